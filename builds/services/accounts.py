"""Signing in. Wrong tries are counted per name, and a lock grows with them.

A try is charged before the secret is looked at and taken off again when it was right: of ten tries sent
at once no more than five are looked at, and no row stays locked while a secret is hashed.

A manager signs in with name and password, a fitter with a PIN on the page of his own name. A fitter's name
in the password form is answered like a name that nobody has: one door each, and one count of wrong tries.
Names that nobody has are counted too (in memory), so that a lock tells nobody who works here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from math import ceil

from django.contrib.auth.hashers import make_password
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from builds.models import Person, Workshop

from . import people

TRIES_BEFORE_LOCK = 5
FIRST_LOCK = timedelta(minutes=1)
LONGEST_LOCK = timedelta(hours=1)
SESSION_LASTS = timedelta(hours=12)  # a working day, from signing in and not from the last press
MOST_TRIES_COUNTED = 1000  # past the longest lock the number no longer matters
STRANGER_REMEMBERED_S = 24 * 3600

WRONG_PASSWORD = "The name or the password is wrong. Type both again."
WRONG_PIN = "That PIN is wrong. Type it again."
SOMEBODY_THERE = "This workshop has its first manager already: sign in, or ask that manager."


@dataclass(frozen=True)
class Tries:
    """Wrong tries so far, and until when further ones are refused."""

    failed: int = 0
    locked_until: datetime | None = None

    def charged(self, now: datetime) -> Tries:
        """One try more. Raises ValidationError while locked: such a try is neither looked at nor counted."""
        if self.locked_until is not None and now < self.locked_until:
            raise ValidationError(_locked_words(self.locked_until, now))
        failed = min(self.failed + 1, MOST_TRIES_COUNTED)
        return Tries(failed, now + _lock_time(failed) if failed >= TRIES_BEFORE_LOCK else None)


def sign_in_with_password(*, name: str, password: str, now: datetime) -> Person:
    """The manager of that name and password. Raises ValidationError, in the same words whatever was wrong."""
    wanted = _folded(name)
    # Compared here, because SQLite folds only the letters A to Z; there are never more than a few managers.
    person = next((each for each in _active(Person.Role.MANAGER) if _folded(each.name) == wanted), None)
    if person is None:
        tries = _charge_stranger(wanted, now)
        make_password(password)  # takes as long as looking at a real one
        raise _refusal(tries, WRONG_PASSWORD, now)
    return _sign_in(person, password, WRONG_PASSWORD, now)


def sign_in_with_pin(*, person: Person, pin: str, now: datetime) -> Person:
    """That fitter, if the PIN is right. Raises ValidationError with what to do."""
    if person.is_manager:
        raise ValidationError("A manager signs in with a password.")
    return _sign_in(person, pin, WRONG_PIN, now)


@transaction.atomic
def first_manager_create(*, workshop_name: str, name: str, password: str) -> Person:
    """The first person of an empty workshop. Raises ValidationError if there is anybody already."""
    Workshop.objects.get_or_create(pk=1)
    # Of two people pressing at once the second waits here, and then finds the first one.
    workshop = Workshop.objects.select_for_update().get(pk=1)
    if Person.objects.exists():
        raise ValidationError(SOMEBODY_THERE)
    workshop.name = workshop_name
    workshop.full_clean()
    workshop.save(update_fields=["name"])
    details = people.PersonDetails(name=name, role=Person.Role.MANAGER)
    return people.person_create(details=details, secret=password)


def _sign_in(person: Person, secret: str, wrong: str, now: datetime) -> Person:
    tries = _charge(person, now)
    if not person.check_password(secret):
        raise _refusal(tries, wrong, now)
    Person.objects.filter(pk=person.pk).update(failed_tries=0, locked_until=None)
    return person


@transaction.atomic
def _charge(person: Person, now: datetime) -> Tries:
    row = Person.objects.select_for_update().get(pk=person.pk)
    tries = Tries(row.failed_tries, row.locked_until).charged(now)
    row.failed_tries, row.locked_until = tries.failed, tries.locked_until
    row.save(update_fields=["failed_tries", "locked_until"])
    return tries


def _charge_stranger(folded_name: str, now: datetime) -> Tries:
    key = "sign-in-stranger-" + sha256(folded_name.encode()).hexdigest()
    tries = cache.get(key, Tries()).charged(now)
    cache.set(key, tries, STRANGER_REMEMBERED_S)
    return tries


def _refusal(tries: Tries, wrong: str, now: datetime) -> ValidationError:
    if tries.locked_until is None:
        return ValidationError(wrong)
    return ValidationError(f"{wrong.partition('.')[0]}. {_locked_words(tries.locked_until, now)}")


def _lock_time(failed: int) -> timedelta:
    doublings = min(failed - TRIES_BEFORE_LOCK, 6)  # 64 minutes is past the longest
    return min(FIRST_LOCK * 2**doublings, LONGEST_LOCK)


def _locked_words(until: datetime, now: datetime) -> str:
    minutes = ceil((until - now).total_seconds() / 60)
    whole_minute = timezone.localtime(until).replace(second=0, microsecond=0)
    if whole_minute < until:
        whole_minute += timedelta(minutes=1)
    return (
        f"Too many wrong tries: this name is locked for {minutes} minute{'s' if minutes > 1 else ''}, "
        f"until {whole_minute:%H:%M}. A manager can set a new PIN or password at once."
    )


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def _active(role: str) -> list[Person]:
    return list(Person.objects.filter(role=role, is_active=True))

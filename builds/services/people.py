"""People: who works here, what they can do, when they are away."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.dateformat import format as date_format

from builds.models import Absence, Closure, Overtime, Person, Skill
from builds.models.workshop import WEEKDAYS

USUAL_HOURS = (*[Decimal(8)] * 5, Decimal(0), Decimal(0))
PIN = re.compile(r"[0-9]{4,8}")
LONGEST_SECRET = 128  # hashing takes longer the longer the text is
RUNS = ("0123456789", "9876543210")


@dataclass(frozen=True)
class PersonDetails:
    """What a manager types about somebody."""

    name: str
    role: str
    is_active: bool = True
    hours: tuple[Decimal, ...] = USUAL_HOURS  # Monday first
    skills: tuple[Skill, ...] = field(default=())
    here_from: date | None = None  # None: since ever
    here_until: date | None = None  # the last day; None: for good


@transaction.atomic
def person_create(*, details: PersonDetails, secret: str) -> Person:
    """Save somebody new with a password or PIN. Raises ValidationError naming the field."""
    person = Person()
    _apply(person, details)
    _set_secret(person, secret)
    _save(person, details)
    return person


@transaction.atomic
def person_update(*, person_id: int, version: int, details: PersonDetails, secret: str = "") -> Person:
    """Change somebody; an empty secret leaves the old one. Raises ValidationError and changes nothing.

    A change of role asks for a new secret: a manager with a PIN of four digits would be too easy to guess.
    """
    managers = _active_managers_locked()
    person = Person.objects.select_for_update().get(pk=person_id)
    if person.version != version:
        raise ValidationError(
            f"{person.name} was changed by somebody else meanwhile. Open the page afresh and change it there."
        )
    _keep_a_manager(person, details, managers)
    role_changed = person.role != details.role
    _apply(person, details)
    if secret:
        _set_secret(person, secret)
    elif role_changed:
        raise ValidationError({"secret": f"The role changes, so set a new one: {_secret_words(person)}."})
    person.version += 1
    _save(person, details)
    return person


@transaction.atomic
def absence_create(*, person: Person, first_day: date, last_day: date, reason: str) -> Absence:
    """Record days away, first and last included. Raises ValidationError if some are recorded already."""
    Person.objects.select_for_update().get(pk=person.pk)
    absence = Absence(person=person, first_day=first_day, last_day=last_day, reason=reason)
    absence.full_clean()
    other = person.absences.filter(first_day__lte=last_day, last_day__gte=first_day).first()
    if other is not None:
        raise ValidationError(
            f"{person.name} is away from {span_in_words(other)} already. "
            "Remove that first, or choose days outside it."
        )
    absence.save()
    return absence


def absence_delete(*, absence: Absence) -> None:
    absence.delete()


@transaction.atomic
def overtime_create(*, person: Person, first_day: date, last_day: date, hours: Decimal) -> Overtime:
    """Record longer days, first and last included. Raises ValidationError if some are recorded already."""
    Person.objects.select_for_update().get(pk=person.pk)
    overtime = Overtime(person=person, first_day=first_day, last_day=last_day, hours=hours)
    overtime.full_clean()
    other = person.overtimes.filter(first_day__lte=last_day, last_day__gte=first_day).first()
    if other is not None:
        raise ValidationError(
            f"{person.name} works {other.hours.normalize():f} h longer from {span_in_words(other)} already. "
            "Remove that first, or choose days outside it."
        )
    overtime.save()
    return overtime


def overtime_delete(*, overtime: Overtime) -> None:
    overtime.delete()


def day_in_words(day: date) -> str:
    return date_format(day, "j M Y")


def span_in_words(span: Absence | Closure | Overtime) -> str:
    return f"{day_in_words(span.first_day)} to {day_in_words(span.last_day)}"


def refuse_taken_name(others: models.QuerySet, name: str, thing: str) -> None:
    """Raises ValidationError if one of the rows has that name, in whatever case.

    The database says so too, but SQLite folds only the letters A to Z.
    """
    taken: Iterable[str] = others.values_list("name", flat=True)
    if name.casefold() in (each.casefold() for each in taken):
        raise ValidationError({"name": f"There is {thing} of that name already."})


def _apply(person: Person, details: PersonDetails) -> None:
    person.name = " ".join(details.name.split())
    person.role = details.role
    person.is_active = details.is_active
    person.here_from, person.here_until = details.here_from, details.here_until
    for day, hours in zip(WEEKDAYS, details.hours, strict=True):
        setattr(person, f"{day}_hours", hours)


def _save(person: Person, details: PersonDetails) -> None:
    refuse_taken_name(Person.objects.exclude(pk=person.pk), person.name, "a person")
    person.full_clean()
    person.save()
    person.skills.set(details.skills)


def _set_secret(person: Person, secret: str) -> None:
    """A new secret also ends a lock: it is what a manager sets for somebody who forgot the old one."""
    try:
        _check_secret(person, secret)
    except ValidationError as error:
        raise ValidationError({"secret": error.messages}) from error
    person.set_password(secret)
    person.failed_tries, person.locked_until = 0, None


def _check_secret(person: Person, secret: str) -> None:
    if not secret:
        raise ValidationError(f"It must not be empty: {_secret_words(person)}.")
    if len(secret) > LONGEST_SECRET:
        raise ValidationError(f"No more than {LONGEST_SECRET} characters, please.")
    if person.is_manager:
        validate_password(secret, person)
    elif not PIN.fullmatch(secret):
        raise ValidationError("A PIN is 4 to 8 digits and nothing else.")
    elif len(set(secret)) == 1 or any(secret in run for run in RUNS):
        raise ValidationError("That PIN is too easy to guess: no single digit repeated, no run like 1234.")


def _keep_a_manager(person: Person, details: PersonDetails, managers: list[Person]) -> None:
    stays = details.is_active and details.role == Person.Role.MANAGER
    if person in managers and len(managers) == 1 and not stays:
        raise ValidationError(
            f"{person.name} is the only manager who works here. Make somebody else a manager first."
        )


def _active_managers_locked() -> list[Person]:
    """Locked, so that two managers cannot each take the other away at the same moment."""
    rows = Person.objects.select_for_update().filter(role=Person.Role.MANAGER, is_active=True)
    return list(rows.order_by("pk"))


def _secret_words(person: Person) -> str:
    if person.is_manager:
        return "a manager has a password of 10 characters or more"
    return "a fitter has a PIN of 4 to 8 digits"

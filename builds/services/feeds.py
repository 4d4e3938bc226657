"""Secret addresses at which a phone's calendar reads the workshop's days.

Whoever knows the address can read it, so it is long, shown once, kept only as a hash, and can be revoked.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from hashlib import sha256
from secrets import token_urlsafe

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import CalendarFeed, Person

MOST = 5  # phones and computers of one person
READ_NOTED_EVERY = timedelta(hours=1)  # a phone asks often; a write for each would serve nobody


@transaction.atomic
def feed_make(*, person: Person, now: datetime) -> tuple[CalendarFeed, str]:
    """Make an address. The secret is returned this once and cannot be read again."""
    Person.objects.select_for_update().get(pk=person.pk)
    if person.calendar_feeds.filter(revoked_at__isnull=True).count() >= MOST:
        raise ValidationError(f"{person.name} has {MOST} calendar addresses already: revoke one first.")
    secret = token_urlsafe(32)
    feed = CalendarFeed.objects.create(person=person, secret_hash=_hash(secret), made_at=now)
    return feed, secret


@transaction.atomic
def feed_revoke(*, feed: CalendarFeed, by: Person, now: datetime) -> None:
    """End an address: at once, and for good. Everybody ends their own; a manager anybody's."""
    if not (by.is_manager or by.pk == feed.person_id):
        raise ValidationError("Only a manager may revoke the calendar address of somebody else.")
    CalendarFeed.objects.filter(pk=feed.pk, revoked_at__isnull=True).update(revoked_at=now)


def feed_behind(secret: str, *, now: datetime) -> CalendarFeed | None:
    """The feed with that secret, if it is neither revoked nor of somebody who has left."""
    feeds = CalendarFeed.objects.select_related("person")
    feed = feeds.filter(secret_hash=_hash(secret), revoked_at__isnull=True, person__is_active=True).first()
    if feed and (feed.read_at is None or now - feed.read_at >= READ_NOTED_EVERY):
        CalendarFeed.objects.filter(pk=feed.pk).update(read_at=now)
    return feed


def _hash(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()

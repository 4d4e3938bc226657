"""Who works here: what the people pages show, read in a known number of queries."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from builds.models import Absence, Job, Overtime, Person, TimeSpent

AN_HOUR_MIN = Decimal(60)


@dataclass(frozen=True)
class RollLine:
    """One person on the list."""

    person: Person
    skills: tuple[str, ...]
    hours_a_week: Decimal
    away_until: date | None  # last day of the absence that today is in
    next_away: date | None  # first day of the next one
    in_hand: int


@dataclass(frozen=True)
class TimeLine:
    job: Job
    hours: Decimal
    is_running: bool


@dataclass(frozen=True)
class PersonSheet:
    line: RollLine
    hours_by_day: tuple[tuple[str, Decimal], ...]
    absences: tuple[Absence, ...]  # the present one and those to come
    overtimes: tuple[Overtime, ...]  # the same
    in_hand: tuple[Job, ...]
    week_begins: date
    times: tuple[TimeLine, ...]
    hours_this_week: Decimal
    has_begun: bool  # works here already; somebody is entered before the first day
    is_here: bool  # today is between the first day and the last


def read_roll(today: date) -> list[RollLine]:
    """Everybody by name, in four queries."""
    in_hand = Counter(Job.objects.in_hand().values_list("started_by_id", flat=True))
    return [_line(person, today, in_hand[person.pk]) for person in _people(today)]


def read_person(person: Person, *, now: datetime) -> PersonSheet:
    """One person's sheet; `now` is local time."""
    today = now.date()
    loaded = _people(today).get(pk=person.pk)
    in_hand = tuple(Job.objects.in_hand().filter(started_by=person).select_related("car"))
    monday = today - timedelta(days=today.weekday())
    week_begins = now.replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=today.weekday())
    times = _times(person, week_begins, now)
    names = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    return PersonSheet(
        line=_line(loaded, today, len(in_hand)),
        hours_by_day=tuple(zip(names, loaded.hours_by_weekday, strict=True)),
        absences=tuple(loaded.absences.all()),
        overtimes=tuple(person.overtimes.filter(last_day__gte=today)),
        in_hand=in_hand,
        week_begins=monday,
        times=times,
        hours_this_week=sum((line.hours for line in times), Decimal(0)),
        has_begun=(begun := person.here_from is None or person.here_from <= today),
        is_here=begun and (person.here_until is None or today <= person.here_until),
    )


def _people(today: date) -> QuerySet[Person]:
    coming = Prefetch("absences", Absence.objects.filter(last_day__gte=today))
    return Person.objects.prefetch_related("skills", coming)


def _line(person: Person, today: date, in_hand: int) -> RollLine:
    absences = list(person.absences.all())
    return RollLine(
        person=person,
        skills=tuple(skill.name for skill in person.skills.all()),
        hours_a_week=sum(person.hours_by_weekday, Decimal(0)),
        away_until=next((each.last_day for each in absences if each.first_day <= today), None),
        next_away=next((each.first_day for each in absences if each.first_day > today), None),
        in_hand=in_hand,
    )


def _times(person: Person, since: datetime, now: datetime) -> tuple[TimeLine, ...]:
    """Hours by job since Monday; a clock that still runs counts until now."""
    minutes: dict[Job, Decimal] = {}
    running = set()
    spent = TimeSpent.objects.filter(person=person, started_at__gte=since).select_related("job__car")
    for each in spent:
        if each.minutes is None:
            running.add(each.job)
            passed = Decimal(max(0.0, (now - each.started_at).total_seconds()) / 60)
        else:
            passed = Decimal(each.minutes)
        minutes[each.job] = minutes.get(each.job, Decimal(0)) + passed
    return tuple(TimeLine(job, total / AN_HOUR_MIN, job in running) for job, total in minutes.items())

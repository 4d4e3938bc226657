"""Writes a car's history into its rows: ticks, signatures, goods out and in, stays away."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.utils import timezone

from builds.demo.cast import WHO_HAS_THE_CAR
from builds.models import Away, Car, Job, Person, TimeSpent
from parts.models import Operation, Supplier

from .history import History, left_over

IN_HAND_AT_ONCE = 1  # of one car: four fitters share four cars
LONGEST_MIN = 10_000
BACKLOG = 9  # jobs of one car that could have been done by now and were not


def record_history(
    car: Car, history: History, today: date, people: list[Person], suppliers: Mapping[str, Supplier]
) -> None:
    """Record as done what was over before today, and as out or in hand what is under way."""
    _record_jobs(car, history, today, people, suppliers)
    _record_operations(car, history, today, people[0])


def _record_jobs(
    car: Car, history: History, today: date, people: list[Person], suppliers: Mapping[str, Supplier]
) -> None:
    jobs = list(Job.objects.of_car(car.pk).select_related("skill").order_by("position"))
    in_hand = 0
    left = left_over(history, today, BACKLOG)
    for number, job in enumerate(jobs):
        began, over = history.start[f"job:{job.pk}"], history.finish[f"job:{job.pk}"]
        if job.place == Job.Place.AWAY and job.key in WHO_HAS_THE_CAR:
            job.supplier = suppliers[WHO_HAS_THE_CAR[job.key]]
            _record_stay(car, job, began, over, today)
        doer, second = _who(job, people, number)
        if f"job:{job.pk}" in left:
            continue
        if over.date() < today:
            job.started_at, job.started_by = _aware(began), doer
            job.done_at, job.done_by = _aware(over), doer
            if job.needs_signature:
                job.signed_off_at, job.signed_off_by = _aware(over + timedelta(minutes=40)), second
        elif began.date() < today and job.place != Job.Place.AWAY and in_hand < IN_HAND_AT_ONCE:
            in_hand += 1
            job.started_at, job.started_by = _aware(began), doer
    Job.objects.bulk_update(
        jobs,
        [
            "supplier",
            "started_at",
            "started_by",
            "done_at",
            "done_by",
            "signed_off_at",
            "signed_off_by",
        ],
    )
    _record_time(jobs, history)


def _who(job: Job, people: list[Person], number: int) -> tuple[Person, Person]:
    """Somebody with the skill, and somebody else to sign."""
    fitters = [person for person in people if not person.is_manager]
    able = [person for person in fitters if job.skill is None or job.skill in person.skills.all()]
    doer = (able or fitters)[number % len(able or fitters)]
    others = [person for person in people if person != doer]
    return doer, others[number % len(others)]


def _record_stay(car: Car, job: Job, began: datetime, over: datetime, today: date) -> None:
    if began.date() < today:
        back = over.date() if over.date() < today else None
        Away.objects.create(
            car=car,
            supplier=job.supplier,
            what_for=job.title.lower(),
            leaves_on=began.date(),
            due_back_on=over.date(),
            back_on=back,
        )


def _record_time(jobs: list[Job], history: History) -> None:
    """Clocked time for finished work: never quite what was estimated."""
    spells = []
    for number, job in enumerate(jobs):
        if job.done_at and job.done_by and job.place != Job.Place.AWAY:
            share = (85, 100, 110, 95, 130)[number % 5]
            minutes = max(10, int(job.hours_likely * 60) * max(1, job.people) * share // 100)
            spells.append(
                TimeSpent(
                    job=job, person=job.done_by, started_at=job.started_at, minutes=min(minutes, 10_000)
                )
            )
        elif job.started_at and job.started_by and job.place != Job.Place.AWAY:
            minutes = int(job.hours_likely * 60) * max(1, job.people) // 3
            spells.append(
                TimeSpent(job=job, person=job.started_by, started_at=job.started_at, minutes=minutes)
            )
    TimeSpent.objects.bulk_create(spells)


def _record_operations(car: Car, history: History, today: date, by: Person) -> None:
    operations = list(Operation.objects.filter(part__car=car).order_by("part", "sequence"))
    for number, operation in enumerate(operations):
        key = f"op:{operation.pk}"
        began, over = history.start[key].date(), history.finish[key].date()
        if began >= today:
            continue
        operation.sent_on = began
        operation.promised_on = over - timedelta(days=(0, 2, 0, 1, 0, 3)[number % 6])
        operation.promised_on = max(operation.promised_on, began)
        if over < today:
            operation.back_on, operation.result, operation.checked_by = over, "accepted", by
        else:
            operation.promised_on = max(over, today)
    Operation.objects.bulk_update(
        operations, ["sent_on", "promised_on", "back_on", "result", "checked_by"], batch_size=200
    )


def _aware(moment: datetime) -> datetime:
    return timezone.make_aware(moment)

"""Starting a car as another one was planned."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from builds.models import Car, Customer, Job, JobLink, Milestone, Need, Person
from parts.models import Operation, Part

from .start import car_start

# What the plan says. What happened (ticks, dates, results), what it cost and for whom stays behind.
JOB_FIELDS = (
    "area_id",
    "key",
    "position",
    "title",
    "place",
    "hours_low",
    "hours_likely",
    "hours_high",
    "people",
    "skill_id",
    "bay_id",
    "supplier_id",
    "needs_signature",
    "cautions",
    "note",
)
PART_FIELDS = (
    "name",
    "drawing_number",
    "material_id",
    "quantity",
    "mass_kg",
    "length_mm",
    "width_mm",
    "height_mm",
    "area_m2",
    "features",
    "colour_set",
    "note",
)
LINE_FIELDS = (
    "process_id",
    "supplier_id",
    "lead_low_days",
    "lead_likely_days",
    "lead_high_days",
    "colour",
    "coating_class",
    "specification",
    "masking",
)


@transaction.atomic
def car_start_copy(
    *,
    source: Car,
    name: str,
    description: str = "",
    customer: Customer | None = None,
    by: Person,
    today: date,
) -> Car:
    """Save a new car with the job list, parts, route cards and milestones of another, all still to do.

    A rejected line and the one that makes it good become one line again.
    """
    car = car_start(name=name, description=description, customer=customer, by=by, today=today)
    jobs = _jobs_copy(source, car)
    parts = _parts_copy(source, car, jobs)
    lines = _lines_copy(source, parts, jobs)
    Need.objects.bulk_create(
        Need(job=jobs[need.job_id], part=parts[need.part_id], operation=lines.get(need.operation_id))
        for need in Need.objects.filter(job__car=source)
    )
    _milestones_copy(source, car, jobs)
    return car


def _jobs_copy(source: Car, car: Car) -> dict[int, Job]:
    """The new jobs by the number of the old."""
    old = list(Job.objects.filter(car=source).order_by("position", "pk"))
    made = Job.objects.bulk_create(
        [Job(car=car, **{name: getattr(job, name) for name in JOB_FIELDS}) for job in old]
    )
    jobs = {job.pk: copy for job, copy in zip(old, made, strict=True)}
    JobLink.objects.bulk_create(
        JobLink(before=jobs[link.before_id], after=jobs[link.after_id], lag_hours=link.lag_hours)
        for link in JobLink.objects.filter(after__car=source)
    )
    return jobs


def _parts_copy(source: Car, car: Car, jobs: Mapping[int, Job]) -> dict[int, Part]:
    old = list(Part.objects.filter(car=source).order_by("pk"))
    made = Part.objects.bulk_create(
        [
            Part(
                car=car,
                made_by=jobs[part.made_by_id] if part.made_by_id else None,
                **{name: getattr(part, name) for name in PART_FIELDS},
            )
            for part in old
        ]
    )
    return {part.pk: copy for part, copy in zip(old, made, strict=True)}


def _lines_copy(
    source: Car, parts: Mapping[int, Part], jobs: Mapping[int, Job]
) -> dict[int | None, Operation]:
    """The new lines by the number of the old; a line that makes another good leads to that one's copy."""
    old = list(Operation.objects.filter(part__car=source).order_by("part", "sequence"))
    planned = [line for line in old if line.reworks_id is None]
    counts: dict[int, int] = {}
    copies = []
    for line in planned:
        counts[line.part_id] = sequence = counts.get(line.part_id, 0) + 1
        fields = {name: getattr(line, name) for name in LINE_FIELDS}
        copies.append(Operation(part=parts[line.part_id], sequence=sequence, **fields))
    made = Operation.objects.bulk_create(copies)
    lines: dict[int | None, Operation] = {line.pk: copy for line, copy in zip(planned, made, strict=True)}
    Operation.after_jobs.through.objects.bulk_create(
        Operation.after_jobs.through(operation=lines[line], job=jobs[job])
        for line, job in Operation.after_jobs.through.objects.filter(
            operation__in=[line.pk for line in planned]
        ).values_list("operation_id", "job_id")
    )
    reworks = {line.pk: line.reworks_id for line in old}
    for line in old:
        first = line.pk
        while reworks[first] is not None:
            first = reworks[first]
        lines[line.pk] = lines[first]
    return lines


def _milestones_copy(source: Car, car: Car, jobs: Mapping[int, Job]) -> None:
    for milestone in source.milestones.prefetch_related("jobs"):
        copy = Milestone.objects.create(car=car, kind=milestone.kind, name=milestone.name)
        copy.jobs.set([jobs[job.pk] for job in milestone.jobs.all()])

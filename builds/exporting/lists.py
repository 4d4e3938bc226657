"""Job lists and parts lists in the columns that an import reads."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from django.db.models import Prefetch

from builds.importing.columns import JOB_COLUMNS, PART_COLUMNS
from builds.importing.values import escaped
from builds.models import Car, Job, JobLink, Need
from parts.models import Operation, Part

from .sheets import ExportSheet, Value

JOB_LISTS, PARTS_LISTS = "Job lists", "Parts lists"


def car_lists(cars: Iterable[Car]) -> list[ExportSheet]:
    """The job lists and parts lists of the cars, ready to be read again."""
    wanted = [car.pk for car in cars]
    return [
        ExportSheet(JOB_LISTS, [column.heading for column in JOB_COLUMNS], _job_rows(wanted)),
        ExportSheet(PARTS_LISTS, [column.heading for column in PART_COLUMNS], _part_rows(wanted)),
    ]


def _job_rows(cars: Sequence[int]) -> Iterator[list[Value]]:
    jobs = (
        Job.objects.filter(car__in=cars)
        .select_related("car", "area", "skill", "supplier")
        .prefetch_related(
            "milestones",
            Prefetch("links_in", JobLink.objects.select_related("before__area")),
            Prefetch("part_needs", Need.objects.select_related("part", "operation")),
        )
        .order_by("car__name", "position", "pk")
    )
    for job in jobs:
        cells = {
            "area": job.area.name,
            "title": job.title,
            "key": job.key,
            "place": job.get_place_display(),
            "hours low": job.hours_low,
            "hours likely": job.hours_likely,
            "hours high": job.hours_high,
            "people": job.people,
            "skill": job.skill.name if job.skill else "",
            "supplier": job.supplier.name if job.supplier else "",
            "second signature": job.needs_signature,
            "cautions": _listed(job.cautions),
            "after": _listed(_link_text(link) for link in job.links_in.all()),
            "needs": _listed(_need_text(need) for need in job.part_needs.all()),
            "milestone": _listed(milestone.name for milestone in job.milestones.all()),
            "note": job.note,
            "car": job.car.name,
        }
        yield [cells[column.name] for column in JOB_COLUMNS]


def _part_rows(cars: Sequence[int]) -> Iterator[list[Value]]:
    """A row for each line of a route card; what the part itself is stands on the first of them."""
    parts = (
        Part.objects.filter(car__in=cars)
        .select_related("car", "material", "made_by__area")
        .prefetch_related(
            Prefetch(
                "operations",
                Operation.objects.order_by("sequence")
                .select_related("process", "supplier")
                .prefetch_related(Prefetch("after_jobs", Job.objects.select_related("area"))),
            ),
            Prefetch("job_needs", Need.objects.select_related("job__area")),
        )
        .order_by("car__name", "pk")
    )
    for part in parts:
        lines: list[Operation | None] = list(part.operations.all()) or [None]
        needs = defaultdict(list)
        for need in part.job_needs.all():
            last = lines[-1].pk if lines[-1] else None
            needs[need.operation_id or last].append(_job_text(need.job))
        for line in lines:
            cells = _part_cells(part) if line is lines[0] else {"part": part.name, "car": part.car.name}
            cells |= _line_cells(line) if line else {}
            cells["needed by"] = _listed(needs[line.pk if line else None])
            yield [cells.get(column.name, "") for column in PART_COLUMNS]


def _part_cells(part: Part) -> dict[str, Value]:
    return {
        "part": part.name,
        "drawing number": part.drawing_number,
        "material": part.material.name if part.material else "",
        "quantity": part.quantity,
        "mass": part.mass_kg,
        "length": part.length_mm,
        "width": part.width_mm,
        "height": part.height_mm,
        "surface": part.area_m2,
        "features": _listed(part.features),
        "seen together with": part.colour_set,
        "made by": _listed([_job_text(part.made_by)]) if part.made_by else "",
        "part note": part.note,
        "car": part.car.name,
    }


def _line_cells(line: Operation) -> dict[str, Value]:
    is_out = line.state == Operation.State.OUT
    return {
        "line": line.sequence,
        "process": line.process.name,
        "supplier": line.supplier.name if line.supplier else "",
        "lead time low": line.lead_low_days,
        "lead time likely": line.lead_likely_days,
        "lead time high": line.lead_high_days,
        "colour": line.colour,
        "coating class": line.coating_class,
        "specification": line.specification,
        "masking": line.masking,
        "after": _listed(_job_text(job) for job in line.after_jobs.all()),
        "goods out": line.sent_on if is_out else None,
        "promised": line.promised_on if is_out else None,
    }


def _listed(texts: Iterable[str]) -> str:
    return "; ".join(escaped(text) for text in texts)


def _job_text(job: Job) -> str:
    return job.key or f"{job.area.name}: {job.title}"


def _link_text(link: JobLink) -> str:
    wait = f" + {link.lag_hours.normalize():f} h" if link.lag_hours else ""
    return f"{_job_text(link.before)}{wait}"


def _need_text(need: Need) -> str:
    return f"{need.part.name} (line {need.operation.sequence})" if need.operation else need.part.name

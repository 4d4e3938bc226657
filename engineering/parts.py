"""The one place where calc sheets reach parts and where these are: this app may not import `parts`."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.apps import apps
from django.utils import timezone

from engineering.models import CalcSheet


@dataclass(frozen=True)
class Abroad:
    """A supplier who works to an older revision than the newest."""

    supplier: str
    phone: str
    sent_on: date
    revision: int | None  # None: no revision was there yet when it went out


def parts_of(job: Any) -> list[Any]:
    """The parts of the job's car, by name: what a sheet may be of."""
    return list(apps.get_model("parts", "Part").objects.filter(car_id=job.car_id).order_by("name"))


def weighed_parts(job: Any) -> list[tuple[str, float]]:
    """Name and mass of all pieces of each part of the car whose mass is known."""
    rows = apps.get_model("parts", "Part").objects.filter(car_id=job.car_id, mass_kg__isnull=False)
    return [(part.name, float(part.mass_kg) * part.quantity) for part in rows.order_by("name")]


def abroad(newest: CalcSheet) -> list[Abroad]:
    """Who has the part of this sheet and an older revision, or none."""
    if newest.part_id is None:
        return []
    rows = apps.get_model("parts", "Operation").objects.filter(
        part_id=newest.part_id, sent_on__isnull=False, back_on__isnull=True, supplier__isnull=False
    )
    made = [
        (timezone.localdate(row.made_at), row.revision)
        for row in CalcSheet.objects.of(newest.job, newest.kind, newest.title)
    ]
    found = []
    for line in rows.select_related("supplier"):
        had = max((revision for day, revision in made if day <= line.sent_on), default=None)
        if had is None or had < newest.revision:
            found.append(Abroad(line.supplier.name, line.supplier.phone, line.sent_on, had))
    return found

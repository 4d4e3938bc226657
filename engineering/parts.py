"""The one place where calc sheets reach parts and where these are: this app may not import `parts`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.apps import apps
from django.db.models import Prefetch
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
    return [one for one in out_with(newest) if one.revision is None or one.revision < newest.revision]


def out_with(sheet: CalcSheet) -> list[Abroad]:
    """Who has the part of this sheet, and the revision that was there when it went out."""
    if sheet.part_id is None:
        return []
    rows = apps.get_model("parts", "Operation").objects.filter(
        part_id=sheet.part_id, sent_on__isnull=False, back_on__isnull=True, supplier__isnull=False
    )
    revisions = list(CalcSheet.objects.of(sheet.job, sheet.kind, sheet.title))
    return [
        Abroad(line.supplier.name, line.supplier.phone, line.sent_on, _there_on(line.sent_on, revisions))
        for line in rows.select_related("supplier")
    ]


def _there_on(day: date, revisions: Iterable[CalcSheet]) -> int | None:
    made = [row.revision for row in revisions if timezone.localdate(row.made_at) <= day]
    return max(made, default=None)


@dataclass(frozen=True)
class Overtaken:
    """A sheet of a part that has a newer revision than the one that was there when the part went out."""

    newest: CalcSheet
    had: int | None  # None: no revision was there yet

    @property
    def words(self) -> str:
        """A question to whoever has the part, without a full stop."""
        went = f"went out with revision {self.had}" if self.had else "went out before the first revision"
        return (
            f"{went} of “{self.newest.title}”; revision {self.newest.revision} is here now: ask which one "
            "they work to"
        )


def overtaken_since(revisions: Iterable[CalcSheet], sent_on: date) -> list[Overtaken]:
    """Of all revisions of a part's sheets: which were revised after it went out."""
    sheets: dict[tuple[int, str, str], list[CalcSheet]] = {}
    for row in revisions:
        sheets.setdefault((row.job_id, row.kind, row.title.casefold()), []).append(row)
    found = []
    for rows in sheets.values():
        newest = max(rows, key=lambda row: row.revision)
        had = _there_on(sent_on, rows)
        if had is None or had < newest.revision:
            found.append(Overtaken(newest, had))
    return found


def sheets_of_parts(lookup: str) -> Prefetch[Any]:
    """Every revision of the sheets of parts, without their figures, as `sheets` of each part."""
    rows = CalcSheet.objects.only("job_id", "part_id", "kind", "title", "revision", "made_at")
    return Prefetch(lookup, rows, to_attr="sheets")

"""The demo's loom: the generic car on Skua's circuit list, and the same with one run measured again."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from django.utils import timezone

from builds.models import Job, Person
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines

from .story import Day

LOOM_TITLE = "Main loom"
MEASURED_AGAIN = ("R11", "2350")
"""Along the sill to the rear, as the tape had it the second time [mm]."""


def wiring_keep(today: date) -> None:
    """Keep the wire list of Skua's loom, in two revisions."""
    job = Job.objects.get(car__name="Skua", key="elec-schedule")
    by, day = Person.objects.get(name="Ines Brandt"), Day(today)
    for on, inputs in ((-12, loom_inputs()), (-9, loom_inputs(dict([MEASURED_AGAIN])))):
        calc_sheet_save(
            job=job,
            kind="loom",
            title=LOOM_TITLE,
            inputs=inputs,
            by=by,
            at=timezone.make_aware(datetime.combine(day.at(on), time(15))),
        )


def loom_inputs(lengths: dict[str, str] | None = None) -> dict[str, Any]:
    """What the form gives for the generic car, with runs of other lengths where they are named [mm]."""
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 50.0}
    for run in inputs["runs"]:
        run["length_mm"] = (lengths or {}).get(run["name"], run["length_mm"])
    return inputs

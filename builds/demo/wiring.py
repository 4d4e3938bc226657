"""The demo's loom: the generic car for Skua, one run measured again, and half of it made at the bench."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from django.utils import timezone

from builds.models import Job, Person
from engineering.bench.services import bench_reading_keep, bench_take, bench_tick, cut_rows
from engineering.loom.bench import Step, expected_ohm
from engineering.models import Bench, CalcSheet
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines

from .story import Day

LOOM_TITLE = "Main loom"
MEASURED_AGAIN = ("R11", "2350")
"""Along the sill to the rear, as the tape had it the second time [mm]."""


CUT_FIRST, LAID_FIRST = 40, 24
"""How many wires, in the order of laying, were cut before the run was measured again, and laid."""
CUT_SINCE, TESTED = 58, 9


def wiring_keep(today: date) -> None:
    """Keep the wire list of Skua's loom in two revisions, and make part of it at the bench."""
    job = Job.objects.get(car__name="Skua", key="elec-schedule")
    by, day = Person.objects.get(name="Ines Brandt"), Day(today)

    def at(on: int, hour: int) -> datetime:
        return timezone.make_aware(datetime.combine(day.at(on), time(hour)))

    first, second = (
        calc_sheet_save(job=job, kind="loom", title=LOOM_TITLE, inputs=inputs, by=by, at=at(on, 15))
        for on, inputs in ((-12, loom_inputs()), (-9, loom_inputs(dict([MEASURED_AGAIN]))))
    )
    bench = bench_take(sheet=first, by=by, at=at(-11, 9))
    _tick(bench, first, CUT_FIRST, (Step.CUT, Step.LABELLED), by, at(-11, 16))
    _tick(bench, first, LAID_FIRST, (Step.LAID,), by, at(-10, 11))
    bench = bench_take(sheet=second, by=by, at=at(-8, 9))
    _tick(bench, second, CUT_SINCE, (Step.CUT, Step.LABELLED), by, at(-8, 15))
    _tick(bench, second, LAID_FIRST, (Step.LAID, Step.TERMINATED), by, at(-7, 10))
    _tick(bench, second, TESTED, (Step.TESTED,), by, at(-7, 14))
    _read(bench, second, by, at(-7, 14))


def _tick(
    bench: Bench, sheet: CalcSheet, count: int, steps: tuple[Step, ...], by: Person, at: datetime
) -> None:
    for label in list(cut_rows(sheet))[:count]:
        for step in steps:
            bench_tick(bench=bench, label=label, step=step, seen=sheet, is_done=True, by=by, at=at)


def _read(bench: Bench, sheet: CalcSheet, by: Person, at: datetime) -> None:
    """Drops at 5 A of the wires tested; the crimp of the last one is poor."""
    tested = list(cut_rows(sheet).values())[:TESTED]
    for row in tested:
        crimps_ohm = 0.04 if row is tested[-1] else 0.002
        bench_reading_keep(
            bench=bench,
            label=row.label,
            seen=sheet,
            given={"drop_v": round(5 * (expected_ohm(row.size, row.cut_mm) + crimps_ohm), 3), "at_a": 5.0},
            by=by,
            at=at,
        )


def loom_inputs(lengths: dict[str, str] | None = None) -> dict[str, Any]:
    """What the form gives for the generic car, with runs of other lengths where they are named [mm]."""
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 50.0}
    for run in inputs["runs"]:
        run["length_mm"] = (lengths or {}).get(run["name"], run["length_mm"])
    return inputs

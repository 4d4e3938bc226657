"""Makes the workshop that the browser tests visit. Run as a program, with FO_DATA_DIR naming an empty folder.

The demo, as `make run` loads it, and beside it one of each thing that a newcomer would only make later (a
calc sheet, a printed progress sheet …), so that every page has something to show. What the addresses call
by number is written to `numbers.json`: the first of each list stands for all where a page has one face.
`empty.sqlite3` is a workshop with nothing.
"""

from __future__ import annotations

import json
import os
from datetime import timedelta
from pathlib import Path
from typing import Any

TANK = {
    "shape": "box",
    "measured": "outside",
    "length_mm": "604",
    "width_mm": "404",
    "height_mm": "204",
    "thickness_mm": "2",
    "metal": "aluminium_5083",
    "liquid": "petrol",
    "foam": "none",
    "expansion_percent": "5",
    "fill_c": "15",
    "hottest_c": "50",
    "pickup_mm": "10",
    "dip_step_mm": "50",
    "title": "Main fuel tank",
}
CIRCUIT = {
    "title": "Headlamp feed",
    "system_v": "12",
    "load": "lamp",
    "current_a": "9.2",
    "length_m": "4",
    "return_path": "body",
    "body_allowance_v": "0.1",
    "drop_limit_percent": "3",
    "ambient_c": "60",
    "insulation": "b",
    "other_wires": "0",
    "least_area_mm2": "0.5",
    "series": "metric",
}


def build() -> dict[str, list[Any]]:
    """Migrate, load and add to it; give the numbers."""
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    _keep_database("empty.sqlite3")
    call_command("load_demo")
    add_what_the_demo_lacks()
    return read_numbers()


def _keep_database(name: str) -> None:
    """Keep a copy of the database beside it, as it is now."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(Path(os.environ["FO_DATA_DIR"]) / name)])


def _close_database() -> None:
    """Leave one file that can be copied: nothing waits beside it to be written into it."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


SHAPED_KINDS = ("profile", "mesh", "filling", "weight")


def add_what_the_demo_lacks() -> None:
    from django.utils import timezone

    from builds.models import Absence, Car, Closure, Improving, Job, Overtime, Person, TimeSpent
    from builds.services.feeds import feed_make
    from builds.services.progress import progress_sheet_print
    from engineering.forms import CircuitForm, TankForm
    from engineering.services import calc_sheet_save
    from parts.models import Operation, Supplier, SupplierClosure
    from parts.services.orders import order_make

    now, today = timezone.now(), timezone.localdate()
    manager = Person.objects.get(name="Maud Ellery")
    rafe = Person.objects.get(name="Rafe Holloway")
    tern = Car.objects.get(name="Tern")
    job = Job.objects.of_car(tern.pk).filter(done_at__isnull=True).order_by("pk")[0]
    for kind, form in (("tank", TankForm(TANK)), ("circuit", CircuitForm(CIRCUIT))):
        if not form.is_valid():
            raise RuntimeError(f"{kind}: {form.errors}")
        calc_sheet_save(
            job=job, kind=kind, title=str(form.data["title"]), inputs=form.inputs(), by=manager, at=now
        )
    progress_sheet_print(car=tern, words="The dials have come.", by=manager, at=now)
    bought = Operation.objects.to_do().filter(process__kind="supply", supplier__isnull=False)[:1]
    order_make(supplier=bought[0].supplier, operations=bought, on=today, by=manager)
    week = (today + timedelta(days=200), today + timedelta(days=206))
    Absence.objects.create(person=rafe, first_day=week[0], last_day=week[1], reason="holiday")
    Overtime.objects.create(person=rafe, first_day=week[0], last_day=week[1], hours=1)
    Closure.objects.create(first_day=week[0], last_day=week[1], reason="annual shut-down")
    SupplierClosure.objects.create(
        supplier=Supplier.objects.get(name="Ferrand Plating"), first_day=week[0], last_day=week[1]
    )
    feed_make(person=manager, now=now)
    Improving.objects.create(
        asked_by=manager, asked_at=now, state="stopped", ended_at=now, words="Nothing better was found."
    )
    _add_own_rules()
    TimeSpent.objects.create(job=job, person=rafe, started_at=now - timedelta(hours=3), minutes=95)


def _add_own_rules() -> None:
    from parts.models import Material, MaterialVerdict, Process, TradeRule

    engrave, gauge, shine = (
        Process.objects.get(key=key) for key in ("engrave", "gauge_threads", "electropolish")
    )
    TradeRule.objects.create(before=engrave, after=gauge, weight="should", reason="Chips get into the gauge")
    MaterialVerdict.objects.create(
        process=shine,
        material=Material.objects.get(key="titanium"),
        verdict="no",
        reason="Our polisher does not take it",
        source="his letter",
    )


def read_numbers() -> dict[str, list[Any]]:
    """By the name that an address gives its number, the numbers of things that look different.

    Where two addresses mean different things by one name, the address itself is the key of the second.
    """
    from builds.models import (
        Absence,
        Away,
        Bay,
        CalendarFeed,
        Car,
        Closure,
        Decision,
        Improving,
        Milestone,
        Overtime,
        Person,
        ProgressSheet,
        Skill,
        TimeSpent,
        Workshop,
    )
    from engineering.models import Bench, BenchChange, BenchReading, CalcSheet
    from parts.models import (
        FinishingBatch,
        MaterialVerdict,
        Operation,
        Part,
        PurchaseOrder,
        StoredFile,
        Supplier,
        SupplierPrice,
        TradeRule,
    )

    tank = CalcSheet.objects.filter(kind="tank").latest("pk")
    circuit = CalcSheet.objects.filter(kind="circuit").latest("pk")
    loom = CalcSheet.objects.filter(kind="loom").latest("pk")
    return {
        "absence_id": _keys(Absence.objects.all()),
        "overtime_id": _keys(Overtime.objects.all()),
        "area_id": [tank.job.area_id],
        "away_id": _keys(Away.objects.all()),
        "bay_id": _keys(Bay.objects.all()),
        "bench_id": _keys(Bench.objects.all()),
        "change_id": _keys(BenchChange.objects.all()),
        "laying_no": [1],
        "reading_id": _keys(BenchReading.objects.all()),
        "batch_id": _keys(FinishingBatch.objects.filter(sent_on=None))
        + _keys(FinishingBatch.objects.exclude(sent_on=None)),
        "car_id": _keys(Car.objects.filter(name="Tern")) + _keys(Car.objects.filter(name="Gannet")),
        "closure_id": _keys(Closure.objects.all()),
        "decision_id": _keys(Decision.objects.owed()),
        "entry_id": _keys(TimeSpent.objects.exclude(minutes=None)),
        "feed_id": _keys(CalendarFeed.objects.all()),
        "file_id": _keys(StoredFile.objects.all()),
        "improving_id": _keys(Improving.objects.all()),
        "job_id": [tank.job_id, *_jobs_in_each_condition()],
        "kind": ["tank", "circuit", "profile", "mesh", "loom"],
        "lot_id": _keys(Operation.objects.filter(part__name="Airbox clips")),
        "loom_id": [loom.pk],
        "milestone_id": _keys(Milestone.objects.all()),
        "operation_id": _keys(Operation.objects.out())[:1]
        + _keys(Operation.objects.filter(sent_on=None, result=""))[:1]
        + _keys(Operation.objects.filter(result="accepted"))[:1],
        "order_id": _keys(PurchaseOrder.objects.all()),
        "part_code": [Part.objects.get(pk=key).code for key in _parts_that_differ()],
        "part_id": _parts_that_differ(),
        "price_id": _keys(SupplierPrice.objects.filter(supplier__name="Ferrand Plating"))[:1],
        "person_id": _keys(Person.objects.filter(name="Rafe Holloway"))
        + _keys(Person.objects.filter(role="manager")),
        "workshop_code": [Workshop.objects.current().code],
        "rule_id": _keys(TradeRule.objects.filter(is_own=True)),
        "verdict_id": _keys(MaterialVerdict.objects.filter(source="his letter")),
        "sheet_id": [tank.pk, circuit.pk, loom.pk, *_keys(CalcSheet.objects.filter(kind__in=SHAPED_KINDS))],
        "progress-sheet": _keys(ProgressSheet.objects.all()),
        "skill_id": _keys(Skill.objects.all()),
        "supplier_id": _keys(Supplier.objects.filter(name="Ferrand Plating")),
    }


def _keys(rows: Any) -> list[int]:
    return list(rows.values_list("pk", flat=True)[:4])


def _jobs_in_each_condition() -> list[int]:
    from django.utils import timezone

    from builds.network import load_workshop

    facts = load_workshop(timezone.localdate()).facts()
    first: dict[str, int] = {}
    for job_id, job in facts.jobs.items():
        first.setdefault(job.condition, job_id)
    return list(first.values())


def _parts_that_differ() -> list[int]:
    """Away, rejected once, with a changed drawing, and one that nothing happened to yet."""
    from parts.models import Part

    parts = Part.objects.order_by("pk")
    return [
        *_keys(parts.filter(name="Radiator", car__name="Tern")),
        *_keys(parts.filter(name="Oil tank", car__name="Skua")),
        *_keys(parts.filter(name="Fuel tank", car__name="Gannet")),
        *_keys(parts.filter(car__name="Petrel"))[:1],
    ]


if __name__ == "__main__":
    folder = Path(os.environ["FO_DATA_DIR"])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    numbers = build()
    _close_database()
    (folder / "numbers.json").write_text(json.dumps(numbers))

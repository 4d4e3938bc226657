"""Two lots that can go now or wait: zinc across three cars, and clear anodise with a colour-match set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

from builds.models import Car, Job, Need, Person
from parts.models import Material, Operation, Part, Process, Supplier, SupplierPromise


class Days(Protocol):
    """Working days counted from today."""

    def at(self, working_days: int) -> date: ...


@dataclass(frozen=True)
class DemoPiece:
    """A part that waits for its finish; `in_days` is what the machinist now promises, None if it is here."""

    car: str
    name: str
    for_job: str
    material: str
    quantity: int
    mass_kg: str
    area_m2: str
    size_mm: tuple[int, int, int]
    in_days: int | None = None
    colour_set: str = ""


@dataclass(frozen=True)
class DemoLot:
    """Pieces that ask for one finish."""

    process: str
    finisher: str
    colour: str
    coating_class: str
    lead_days: tuple[int, int, int]
    pieces: tuple[DemoPiece, ...]


MACHINIST = "Tidewater Machining"
FRONT = "front of the engine"
LOTS = (
    DemoLot(
        "zinc_plate",
        "Ferrand Plating",
        "yellow",
        "8 µm, passivated",
        (3, 6, 12),
        (
            DemoPiece("Tern", "Airbox clips", "airbox-fit", "steel_mild", 12, "0.035", "0.004", (60, 25, 20)),
            DemoPiece(
                "Skua",
                "Hub spacers",
                "susp-build",
                "steel_mild",
                4,
                "0.48",
                "0.021",
                (110, 110, 12),
                4,
            ),
            DemoPiece(
                "Skua",
                "Handbrake quadrant",
                "brake-calipers",
                "steel_mild",
                1,
                "1.1",
                "0.062",
                (130, 130, 8),
                15,
            ),
            DemoPiece(
                "Gannet",
                "Steering column clamps",
                "mock-suspension",
                "steel_mild",
                4,
                "0.22",
                "0.011",
                (60, 60, 12),
            ),
        ),
    ),
    DemoLot(
        "anodise_decorative",
        "Greywater Anodising",
        "clear",
        "AA10",
        (5, 10, 20),
        (
            DemoPiece(
                "Gannet", "Bulkhead plates", "shell-brackets", "al_6xxx", 3, "0.18", "0.031", (140, 90, 4)
            ),
            DemoPiece(
                "Skua",
                "Timing cover",
                "engine-dress",
                "al_6xxx",
                1,
                "1.6",
                "0.19",
                (310, 240, 45),
                colour_set=FRONT,
            ),
            DemoPiece(
                "Skua",
                "Coolant outlet",
                "engine-dress",
                "al_6xxx",
                1,
                "0.7",
                "0.06",
                (120, 90, 80),
                colour_set=FRONT,
            ),
            DemoPiece(
                "Skua",
                "Belt guard",
                "engine-dress",
                "al_6xxx",
                1,
                "0.6",
                "0.11",
                (280, 160, 30),
                6,
                colour_set=FRONT,
            ),
            DemoPiece(
                "Gannet",
                "Throttle spindle arms",
                "engine-dress",
                "al_6xxx",
                4,
                "0.09",
                "0.008",
                (70, 30, 8),
                12,
            ),
        ),
    ),
)


def lots_that_wait(
    cars: Mapping[str, Car], day: Days, suppliers: Mapping[str, Supplier], manager: Person
) -> None:
    """Make the parts of both lots; those that are late have a promise that was not kept and a new one."""
    for lot in LOTS:
        for shown in lot.pieces:
            part = _part(cars[shown.car], shown)
            if shown.in_days is not None:
                _late_at_the_machinist(part, shown.in_days, day, suppliers[MACHINIST], manager)
            _line(part, lot.process, suppliers[lot.finisher], lot.lead_days, lot.colour, lot.coating_class)


def _part(car: Car, shown: DemoPiece) -> Part:
    length, width, height = shown.size_mm
    part = Part.objects.create(
        car=car,
        name=shown.name,
        material=Material.objects.get(key=shown.material),
        quantity=shown.quantity,
        mass_kg=Decimal(shown.mass_kg),
        area_m2=Decimal(shown.area_m2),
        length_mm=length,
        width_mm=width,
        height_mm=height,
        colour_set=shown.colour_set,
    )
    Need.objects.create(job=Job.objects.get(car=car, key=shown.for_job), part=part)
    return part


def _late_at_the_machinist(part: Part, in_days: int, day: Days, machinist: Supplier, manager: Person) -> None:
    first, now = day.at(-2), day.at(in_days)
    line = _line(part, "machine", machinist, (5, 8, 12))
    line.sent_on, line.promised_on = day.at(-14), now
    line.save(update_fields=["sent_on", "promised_on"])
    for promised, made, note in ((first, day.at(-14), "when sent"), (now, day.at(-1), "Imre: a tool broke")):
        SupplierPromise.objects.create(
            operation=line, promised_on=promised, made_on=made, by=manager, note=note
        )


def _line(
    part: Part,
    process: str,
    supplier: Supplier,
    lead_days: tuple[int, int, int],
    colour: str = "",
    coating_class: str = "",
) -> Operation:
    low, likely, high = lead_days
    return Operation.objects.create(
        part=part,
        sequence=part.operations.count() + 1,
        process=Process.objects.get(key=process),
        supplier=supplier,
        lead_low_days=low,
        lead_likely_days=likely,
        lead_high_days=high,
        colour=colour,
        coating_class=coating_class,
    )

"""Wire of a loom put on Orders: parts with a supply line, needed by the job that makes the loom."""

from __future__ import annotations

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from builds.models import Job, Need, Person
from builds.services.route_cards import line_write, part_write
from engineering.bench.buying import REELS_M, BuyLine, buy_lines
from engineering.models import CalcSheet, WireBought
from parts.models import Operation, Part, Process, Supplier
from parts.services.parts import LineWording

LONGEST_NAME = 120


@dataclass(frozen=True)
class WireOrder:
    """How wire is bought: from whom, in what reels, how long it takes in working days, for which job."""

    needed_by: Job
    supplier: Supplier | None
    reel_m: int
    lead_low_days: int
    lead_likely_days: int
    lead_high_days: int


@transaction.atomic
def loom_order(*, sheet: CalcSheet, order: WireOrder, by: Person) -> list[Part]:
    """Put on Orders what the loom still needs, and give the parts made or raised.

    A line that is not ordered yet is raised; what is ordered stays, and what it lacks becomes a part of its
    own. Raises ValidationError, and writes nothing, if nothing is short, the sheet is not the newest or not
    to be built, or the job is of another car or done.
    """
    Job.objects.select_for_update().get(pk=sheet.job_id)  # two presses take turns
    _check(sheet, order)
    short = [line for line in buy_lines(sheet) if line.more_m]
    if not short:
        raise ValidationError("All wire of this loom is on Orders already; nothing was added.")
    # a form of the job that is open somewhere does not know of the needs, and would strike them out
    Job.objects.filter(pk=order.needed_by.pk).update(version=F("version") + 1)
    return [_buy(sheet, line, order, by) for line in short]


def _check(sheet: CalcSheet, order: WireOrder) -> None:
    if sheet.kind != "loom":
        raise ValidationError("Only a wire list says what wire to buy.")
    if CalcSheet.objects.of(sheet.job, sheet.kind, sheet.title).filter(revision__gt=sheet.revision).exists():
        raise ValidationError("There is a newer revision of this sheet: order by that one.")
    if sheet.results["faults"]:
        raise ValidationError("The sheet has faults to put right: sizes may change, so nothing is ordered.")
    if order.reel_m not in REELS_M:
        raise ValidationError({"reel_m": "Choose one of the reels."})
    if order.needed_by.car_id != sheet.job.car_id:
        raise ValidationError({"needed_by": f"“{order.needed_by}” is a job of another car."})
    if order.needed_by.done_at is not None:
        raise ValidationError(
            {"needed_by": f"“{order.needed_by}” is done: choose the job that needs the wire."}
        )


def _buy(sheet: CalcSheet, line: BuyLine, order: WireOrder, by: Person) -> Part:
    piece_m = line.piece_m(order.reel_m)
    waiting = _not_ordered_yet(line, piece_m)
    if waiting is not None:
        part = waiting.part
        part.quantity += line.more_pieces(order.reel_m)
        part.note = _note(sheet, line)
        return part_write(part=part, version=part.version, by=by).part
    part = part_write(
        part=Part(
            car_id=sheet.job.car_id,
            name=_free_name(sheet, line, piece_m),
            quantity=line.more_pieces(order.reel_m),
            note=_note(sheet, line),
        ),
        by=by,
    ).part
    wording = LineWording(
        process=Process.objects.get(key="supply"),
        supplier=order.supplier,
        lead_low_days=order.lead_low_days,
        lead_likely_days=order.lead_likely_days,
        lead_high_days=order.lead_high_days,
    )
    line_write(part=part, wording=wording, by=by)
    Need.objects.create(job=order.needed_by, part=part)
    WireBought.objects.create(
        job=sheet.job,
        title=sheet.title,
        revision=sheet.revision,
        colour=line.colour,
        size=line.size,
        insulation=line.insulation,
        piece_m=piece_m,
        part=part,
    )
    return part


def _not_ordered_yet(line: BuyLine, piece_m: float) -> WireBought | None:
    """A part of the same wire in the same reels whose supply line is still to do."""
    for one in line.bought:
        rows = Operation.objects.filter(part=one.part)
        if one.piece_m == piece_m and rows.exists() and not rows.filter(sent_on__isnull=False).exists():
            return one
    return None


def _note(sheet: CalcSheet, line: BuyLine) -> str:
    return f"{sheet.title}, revision {sheet.revision}, needs {line.needed_m:.1f} m, waste included."


def _free_name(sheet: CalcSheet, line: BuyLine, piece_m: float) -> str:
    """A name that the car has not: a second lot of the same wire is numbered."""
    how = "by the metre" if piece_m == 1 else f"reel of {piece_m:g} m"
    name = f"Wire {line.words}, {how}"[: LONGEST_NAME - 6]
    taken = {part.lower() for part in Part.objects.of_car(sheet.job.car_id).values_list("name", flat=True)}
    number = 2
    found = name
    while found.lower() in taken:
        found, number = f"{name} ({number})", number + 1
    return found

"""Parts and their route cards: what is written on them, as against what happens to them."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Operation, Part, Process, Supplier

from .operations import lock_line
from .pieces import move_needs

PART_FIELDS = (
    "name",
    "drawing_number",
    "material",
    "quantity",
    "mass_kg",
    "length_mm",
    "width_mm",
    "height_mm",
    "area_m2",
    "features",
    "colour_set",
    "made_by",
    "note",
)
LINE_FIELDS = (
    "process",
    "supplier",
    "lead_low_days",
    "lead_likely_days",
    "lead_high_days",
    "colour",
    "coating_class",
    "specification",
    "masking",
    "cost",
)
# What a supplier was told when the part went out. Afterwards it is history.
TOLD_FIELDS = ("process", "supplier", "colour", "coating_class", "specification", "masking")
LONGEST_MM = 20_000


@dataclass(frozen=True)
class LineWording:
    """What is written on a line of a route card."""

    process: Process
    supplier: Supplier | None
    lead_low_days: int
    lead_likely_days: int
    lead_high_days: int
    colour: str = ""
    coating_class: str = ""
    specification: str = ""
    masking: str = ""
    cost: Decimal | None = None
    after_jobs: Collection[Any] = ()
    follows: Operation | None = None  # the line above it; None puts it first
    makes_good: Operation | None = None  # the rejected line that it makes good


@transaction.atomic
def part_save(*, part: Part, version: int | None = None) -> Part:
    """Save a new part, or one that was read at `version` and changed since.

    Raises ValidationError if somebody else saved it meanwhile, or a value cannot be right.
    """
    if part.pk is not None:
        now = Part.objects.select_for_update().get(pk=part.pk)
        _check_version(now, version)
        part.version = now.version + 1
    part.name = " ".join(part.name.split())
    part.colour_set = " ".join(part.colour_set.split())
    wrong = features_wrong(part.features)
    for name in ("length_mm", "width_mm", "height_mm"):
        size = getattr(part, name)
        if size is not None and not 0 < size <= LONGEST_MM:
            wrong[name] = f"A size must be from 1 to {LONGEST_MM} mm, not {size}."
    if part.made_by is not None and part.made_by.car_id != part.car_id:
        wrong["made_by"] = f"“{part.made_by}” is a job of another car."
    if wrong:
        raise ValidationError(wrong)
    part.full_clean()
    part.save(update_fields=[*PART_FIELDS, "version"] if part.pk else None)
    return part


def features_wrong(features: Collection[str]) -> dict[str, str]:
    """What cannot be right about the features of a part, by field; empty if nothing."""
    strangers = set(features) - set(Part.Feature.values)
    if strangers:
        return {"features": f"“{min(strangers)}” is not known. Choose from the list."}
    if {Part.Feature.SEALED, Part.Feature.VENTED} <= set(features):
        return {
            "features": "Hollow sections are either sealed or have vent and drain holes. "
            "If even one is sealed, tick “sealed” alone."
        }
    return {}


@transaction.atomic
def operation_save(
    *,
    part: Part,
    wording: LineWording,
    operation: Operation | None = None,
    version: int | None = None,
    lines_seen: int | None = None,
) -> Operation:
    """Write a new line on the route card (`operation` is None), or change one that was read at `version`.

    `lines_seen` is how many lines stood there when a new one was begun: a second press would add it twice.
    Raises ValidationError if somebody else saved the line or added another meanwhile, if it would stand
    before a line that has gone out, if it changes what the supplier was told, or if a value cannot be right.
    """
    part = Part.objects.select_for_update().get(pk=part.pk)
    if operation is None:
        _check_lines_seen(part, lines_seen)
        line = Operation(part=part, sequence=_free_number(part))
    else:
        line = lock_line(operation)
        _check_version(line, version)
        _check_told(line, wording)
        line.version += 1
    for name in LINE_FIELDS:
        setattr(line, name, getattr(wording, name))
    if wording.makes_good is not None:
        line.reworks = wording.makes_good
    _check_line(line, wording)
    line.full_clean()
    line.save()
    line.after_jobs.set(wording.after_jobs)
    _put_in_place(line, wording.follows)
    if operation is None and line.reworks is not None:
        move_needs(line.reworks, line)
    return line


@transaction.atomic
def operation_delete(*, operation: Operation) -> None:
    """Strike out a line that has not gone out. Raises ValidationError if something rests on it."""
    line = lock_line(operation)
    if line.sent_on is not None:
        raise ValidationError(f"“{line}” is {line.state}: only a line that is still to do can be struck out.")
    if line.batch is not None:
        raise ValidationError(f"“{line}” is in {line.batch}: take it out of the batch first.")
    waiting = [f"“{need.job}”" for need in line.job_needs.select_related("job")]
    if waiting and line.reworks is not None:
        move_needs(line, line.reworks)
    elif waiting:
        raise ValidationError(
            f"{', '.join(waiting)} needs the part as it is after “{line}”. Change that on the job first."
        )
    line.delete()


def _check_version(row: Part | Operation, version: int | None) -> None:
    if row.version != version:
        raise ValidationError(
            f"“{row}” was changed by somebody else meanwhile. Nothing of yours was saved: "
            "look at what stands there now and make your change again."
        )


def _check_lines_seen(part: Part, lines_seen: int | None) -> None:
    there = part.operations.count()
    if lines_seen is not None and lines_seen != there:
        raise ValidationError(
            f"The route card of “{part}” has {there} lines now and had {lines_seen} when you began this one, "
            "so it was not added: perhaps it was pressed twice. Open the part and look."
        )


def _check_told(line: Operation, wording: LineWording) -> None:
    if line.sent_on is None:
        if line.batch is not None:
            same = all(
                getattr(line, name) == getattr(wording, name)
                for name in ("process", "supplier", "colour", "coating_class")
            )
            if not same:
                raise ValidationError(
                    f"“{line}” is in {line.batch}: take it out of the batch before you change its finish."
                )
        return
    changed = [name for name in TOLD_FIELDS if getattr(line, name) != getattr(wording, name)]
    if changed:
        names = ", ".join(str(Operation._meta.get_field(name).verbose_name) for name in changed)
        raise ValidationError(
            f"“{line}” is {line.state}: {names} cannot be changed any more. "
            "If it was recorded by mistake, take goods out back first."
        )


def _check_line(line: Operation, wording: LineWording) -> None:
    wrong = {}
    offered = set(wording.supplier.processes.all()) if wording.supplier else set()
    if offered and wording.process not in offered:
        wrong["supplier"] = (
            f"{wording.supplier} does not offer “{wording.process}”. Choose another supplier, "
            "or add the process on the supplier’s sheet."
        )
    strangers = [job for job in wording.after_jobs if job.car_id != line.part.car_id]
    if strangers:
        wrong["after_jobs"] = f"“{strangers[0]}” is a job of another car."
    good = wording.makes_good and Operation.objects.get(pk=wording.makes_good.pk)
    if good is not None and (good.part_id != line.part_id or good.result != Operation.Result.REJECTED):
        wrong["makes_good"] = f"“{good}” is not a rejected line of this route card."
    if wording.follows is not None and wording.follows.part_id != line.part_id:
        wrong["follows"] = "The line that it comes after is on another route card."
    if wrong:
        raise ValidationError(wrong)


def _free_number(part: Part) -> int:
    last = part.operations.order_by("sequence").last()
    return last.sequence + 1 if last else 1


def _put_in_place(line: Operation, follows: Operation | None) -> None:
    """Move the line to stand after `follows`, or first. Lines that have gone out stay in front."""
    card = [other for other in line.part.operations.order_by("sequence") if other.pk != line.pk]
    place = 0 if follows is None else [other.pk for other in card].index(follows.pk) + 1
    wanted = [*card[:place], line, *card[place:]]
    gone = [other.sent_on is not None for other in wanted]
    if gone != sorted(gone, reverse=True):
        blocking = next(other for other in reversed(wanted) if other.sent_on is not None)
        raise ValidationError(
            {
                "follows": f"“{blocking}” has gone out already: "
                "a line that is still to do can only stand after it, not before."
            }
        )
    _number(wanted)
    line.refresh_from_db(fields=["sequence"])


def _number(wanted: list[Operation]) -> None:
    """Give the lines rising numbers, by way of free ones: no two may bear one number even for a moment."""
    numbers = sorted(line.sequence for line in wanted)
    if [line.sequence for line in wanted] == numbers:
        return
    free = numbers[-1] + 1
    for offset, line in enumerate(wanted):
        Operation.objects.filter(pk=line.pk).update(sequence=free + offset)
    for number, line in zip(numbers, wanted, strict=True):
        Operation.objects.filter(pk=line.pk).update(sequence=number)

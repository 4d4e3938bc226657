"""Pieces that did not come back with the others: go on without them, make them again, or do without.

Pieces that part company become a part of their own: same material, same drawings, the rest of the route
card, and the jobs that need the one need the other too. Nothing of what happened is rewritten.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Operation, Part

from .days import day_words
from .operations import lock_line
from .pieces import SETTLED_FIELDS, count_of, make_room_after, move_needs, reworked_by, settle

WORDING = (
    "process",
    "supplier",
    "lead_low_days",
    "lead_likely_days",
    "lead_high_days",
    "colour",
    "coating_class",
    "specification",
    "masking",
)
GONE_OUT = ("sent_on", "sent_by", "promised_on", "sent_drawing", "batch", "order")
LONGEST_NAME = 120


@transaction.atomic
def pieces_go_on_without(*, operation: Operation, by: Any, needed_by: Collection[int] | None = None) -> Part:
    """Let what is back go on; what is still out becomes a part of its own, out as it was, and is returned.

    `needed_by` are the keys of the needs that wait for the missing pieces too; None: all of them. Raises
    ValidationError if nothing is back, or nothing is missing.
    """
    line = lock_line(operation)
    count = count_of(line)
    _check_is_short(line)
    if not count.left:
        raise ValidationError(f"Of “{line}” nothing is out any more: {count.words}.")
    if not count.back:
        raise ValidationError(f"Of “{line}” nothing is back yet, so nothing can go on without the rest.")
    split, _ = _split(line, count.left, "to follow", needed_by)
    _settle(line)
    return split


@transaction.atomic
def pieces_make_again(*, operation: Operation, by: Any, needed_by: Collection[int] | None = None) -> Part:
    """Have the lost pieces made again from the first line; returns the part that they are now.

    That is a part of its own, unless all pieces are lost. Raises ValidationError if none is lost.
    """
    line = lock_line(operation)
    count = count_of(line)
    _check_is_short(line)
    _check_some_are_lost(line)
    lost, card = line, _lines_so_far(line)
    if count.lost < count.pieces:
        _, lost = _split(line, count.lost, "made again", needed_by)
        _move_lost(line, lost)
        _settle(line)
    _condemn(lost, by)
    _again_from_the_start(lost, card)
    return lost.part


@transaction.atomic
def pieces_do_without(*, operation: Operation, by: Any) -> Part:
    """Fewer are enough: what is out or lost is no longer part of it, and the part's note says so."""
    line = lock_line(operation)
    count = count_of(line)
    _check_is_short(line)
    missing = count.left + count.lost
    if not count.back:
        raise ValidationError(f"Of “{line}” nothing is back: without any piece there is no part.")
    _less(line, missing)
    reasons = "; ".join(dict.fromkeys(row.reason for row in line.goods_in.filter(lost__gt=0)))
    _drop_lost(line)
    part = line.part
    words = f"{missing} of {count.pieces} missing after {line.process.name.lower()}"
    words += f" ({reasons})" if reasons else ""
    part.note = f"{part.note}\n{words}; {by} says that {part.quantity} are enough.".strip()
    part.save(update_fields=["note"])
    _settle(line)
    return part


# Refusals


def _check_is_short(line: Operation) -> None:
    if line.result and line.back_on:
        raise ValidationError(
            f"“{line}” was {line.result} on {day_words(line.back_on)} already: nothing is missing."
        )
    if line.sent_on is None:
        raise ValidationError(f"“{line}” has not gone out, so nothing of it is missing.")


def _check_some_are_lost(line: Operation) -> None:
    if not count_of(line).lost:
        raise ValidationError(
            f"No piece of “{line}” is recorded as lost. Count them as lost at goods in first, with the "
            "reason, or let the others go on without them."
        )


# Parting


def _split(
    line: Operation, pieces: int, words: str, needed_by: Collection[int] | None
) -> tuple[Part, Operation]:
    """Part so many pieces from a line: their own part, with this line as it is and the rest of the card."""
    whole = line.part
    after = [
        later
        for later in whole.operations.filter(sequence__gt=line.sequence).order_by("sequence")
        if later.reworks_id is None
    ]
    needs = list(whole.job_needs.all())
    split = _copy_of_part(whole, pieces, words)
    copies = {}
    for row in (line, *after):
        copies[row.pk] = _copy_of_line(row, split, row.sequence, GONE_OUT if row is line else ())
    for promise in line.promises.all():
        promise.pk, promise.operation = None, copies[line.pk]
        promise._state.adding = True
        promise.save()
    _copy_needs(needs, split, copies, needed_by)
    _less(line, pieces)
    return split, copies[line.pk]


def _copy_of_part(whole: Part, pieces: int, words: str) -> Part:
    split = Part(
        car_id=whole.car_id,
        name=_free_name(whole, f"{pieces} {words}"),
        quantity=pieces,
        split_from=whole,
        **{
            name: getattr(whole, name)
            for name in (
                "drawing_number",
                "material",
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
        },
    )
    split.full_clean(exclude=["car", "material", "made_by", "split_from"])
    split.save()
    for file in whole.files.all():  # the same drawing and photo on the disk
        file.pk, file.part = None, split
        file._state.adding = True
        file.save()
    return split


def _free_name(whole: Part, words: str) -> str:
    taken = {name.lower() for name in Part.objects.of_car(whole.car_id).values_list("name", flat=True)}
    for number in range(1, len(taken) + 2):
        ending = f", {words}" if number == 1 else f", {words} ({number})"
        name = whole.name[: LONGEST_NAME - len(ending)] + ending
        if name.lower() not in taken:
            break
    return name


def _copy_of_line(line: Operation, part: Part, sequence: int, more: Collection[str] = ()) -> Operation:
    copy = Operation(part=part, sequence=sequence)
    for name in (*WORDING, *more):
        setattr(copy, name, getattr(line, name))
    copy.full_clean(exclude=["part", "process", "supplier", "batch", "order"])
    copy.save()
    copy.after_jobs.set(line.after_jobs.all())
    for overrule in line.overrules.all():
        overrule.pk, overrule.operation = None, copy
        overrule._state.adding = True
        overrule.save()
    return copy


def _copy_needs(
    needs: Collection[Any], split: Part, copies: Mapping[int, Operation], needed_by: Collection[int] | None
) -> None:
    """A job that needs the part after an earlier line has had all the pieces already."""
    for need in needs:
        wanted = needed_by is None or need.pk in needed_by
        if wanted and (need.operation_id is None or need.operation_id in copies):
            need.pk, need.part = None, split
            need.operation = copies.get(need.operation_id)
            need._state.adding = True
            need.save()


def _less(line: Operation, pieces: int) -> None:
    """Take pieces off a part and the line that they are missing from; earlier lines did handle them."""
    part = line.part
    part.operations.filter(sequence__lt=line.sequence, quantity__isnull=True).update(quantity=part.quantity)
    if line.quantity is not None:
        line.quantity -= pieces
    part.quantity -= pieces
    part.version += 1
    part.save(update_fields=["quantity", "version"])


def _settle(line: Operation) -> None:
    settle(line)
    line.version += 1
    line.full_clean(exclude=["part", "process", "supplier", "batch", "reworks"])
    line.save(update_fields=[*SETTLED_FIELDS, "quantity", "version"])


# What is lost


def _move_lost(line: Operation, target: Operation) -> None:
    for row in line.goods_in.filter(lost__gt=0):
        target.goods_in.create(
            came_on=row.came_on, lost=row.lost, reason=row.reason, photo=row.photo, by=row.by, at=row.at
        )
    _drop_lost(line)


def _drop_lost(line: Operation) -> None:
    line.goods_in.filter(lost__gt=0, accepted=0, rejected=0).delete()
    line.goods_in.filter(lost__gt=0).update(lost=0)


def _condemn(line: Operation, by: Any) -> None:
    """A line of which all is lost stands as rejected: nothing after it can go until it is made good."""
    rows = list(line.goods_in.all())
    line.back_on = max(row.came_on for row in rows)
    line.result, line.checked_by = Operation.Result.REJECTED, by
    line.reason = f"lost: {'; '.join(dict.fromkeys(row.reason for row in rows))}"[:300]
    line.version += 1
    line.save(update_fields=[*SETTLED_FIELDS, "version"])


def _lines_so_far(line: Operation) -> list[Operation]:
    """The lines that make the part what it is after this one, each once."""
    card = line.part.operations.filter(sequence__lte=line.sequence, reworks__isnull=True)
    return list(card.order_by("sequence").select_related("process", "supplier"))


def _again_from_the_start(lost: Operation, card: Collection[Operation]) -> None:
    """Put those lines behind the lost one, to be done again; the last of them makes it good."""
    before = lost
    for row in card:
        make_room_after(before)
        copy = _copy_of_line(row, lost.part, before.sequence + 1)
        if row.part_id == lost.part_id:
            move_needs(row, copy)
        before = copy
    before.reworks = lost
    before.save(update_fields=["reworks"])
    move_needs(lost, before)


# Together again


@transaction.atomic
def pieces_together_again(*, part: Part, by: Any) -> Part:
    """Undo a parting: the pieces go back to the part that they were split from, which is returned.

    Raises ValidationError if the part was split from no other, or something happened to either since.
    """
    split = Part.objects.select_for_update().get(pk=part.pk)
    if split.split_from_id is None:
        raise ValidationError(f"“{split}” was not parted from another part; nothing was changed.")
    theirs = split.operations.order_by("sequence").first()
    whole, line = _parted_from(split, theirs)
    _check_nothing_happened(split, theirs, whole, line)
    for row in theirs.goods_in.filter(lost__gt=0):
        line.goods_in.create(
            came_on=row.came_on, lost=row.lost, reason=row.reason, photo=row.photo, by=row.by, at=row.at
        )
    if line.quantity is not None:
        line.quantity += split.quantity
    whole.quantity += split.quantity
    whole.version += 1
    whole.save(update_fields=["quantity", "version"])
    split.delete()
    _settle(line)
    return whole


def _parted_from(split: Part, theirs: Operation) -> tuple[Part, Operation]:
    whole = Part.objects.select_for_update().get(pk=split.split_from_id)
    same = whole.operations.filter(process=theirs.process, sent_on=theirs.sent_on, supplier=theirs.supplier)
    line = same.order_by("sequence").last()
    if line is None:
        raise ValidationError(f"The line that “{split}” was parted at is gone: they stay two parts.")
    line.part = whole
    return whole, line


def _check_nothing_happened(split: Part, theirs: Operation, whole: Part, line: Operation) -> None:
    touched = [row for row in split.operations.all() if row.pk != theirs.pk and (row.sent_on or row.batch_id)]
    if touched or theirs.goods_in.exclude(accepted=0, rejected=0).exists():
        raise ValidationError(
            f"Something has happened to “{split}” since it was parted: take that back first, "
            "or leave them two parts."
        )
    later = whole.operations.filter(sequence__gt=line.sequence, sent_on__isnull=False)
    for row in later:
        row.part = whole
        if line.pk not in reworked_by(row):
            raise ValidationError(
                f"“{row}” went out on {day_words(row.sent_on)} without these pieces: take that back first, "
                "or leave them two parts."
            )

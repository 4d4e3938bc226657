"""Finishing batches: made up, changed, sent, taken back, dissolved.

A batch is locked before its parts, and parts in the order of their numbers, so that two managers take turns.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from parts.batching.errors import NoWorkingDay
from parts.batching.limits import Sides, fits, next_working_day
from parts.batching.lots import finish_key
from parts.models import FinishingBatch, MaterialVerdict, Operation, Part, Process, Supplier

from .days import FARTHEST, day_words
from .operations import ALREADY, operation_send, operation_take_back


def batch_check(
    *,
    operation_ids: Collection[int],
    supplier: Supplier,
    leaves: str,
    planned_on: date | None = None,
    today: date,
    batch: FinishingBatch | None = None,
    public_holidays: Collection[date] = frozenset(),
) -> None:
    """Raise the ValidationError that `batch_save` would raise now, and change nothing."""
    lines = _lines(operation_ids)
    _check_members(lines, operation_ids, batch)
    _check_suits(lines, supplier)
    _check_leaving(supplier, leaves, planned_on, today, public_holidays)


@transaction.atomic
def batch_save(
    *,
    operation_ids: Collection[int],
    supplier: Supplier,
    leaves: str,
    planned_on: date | None = None,
    note: str = "",
    today: date,
    batch: FinishingBatch | None = None,
    version: int | None = None,
    public_holidays: Collection[date] = frozenset(),
) -> FinishingBatch:
    """Make a batch of these operations, or change `batch` into it; the members go to the batch's supplier.

    Members of `batch` that are no longer named leave it. Raises ValidationError if they cannot share a
    batch, one is gone, out or in another batch, the supplier cannot take one of them or does not work on
    the day, or `batch` has been sent or changed since `version`.
    """
    target = FinishingBatch() if batch is None else _locked(batch, version)
    _lock_parts(operation_ids)
    batch_check(
        operation_ids=operation_ids,
        supplier=supplier,
        leaves=leaves,
        planned_on=planned_on,
        today=today,
        batch=batch,
        public_holidays=public_holidays,
    )
    first = _lines(operation_ids)[0]
    if set(target.operations.values_list("pk", flat=True) if target.pk else ()) != set(operation_ids):
        target.chosen_because, target.chosen_on = "", None  # made up by hand from now on
    target.supplier, target.process = supplier, first.process
    target.colour, target.coating_class = _tidy(first.colour), _tidy(first.coating_class)
    target.leaves, target.note = leaves, note.strip()
    if leaves == FinishingBatch.Leaves.FIXED:
        target.planned_on = planned_on
    elif target.chosen_on is None:
        target.planned_on = None  # what was chosen keeps the day that was planned for it
    _save(target)
    target.operations.exclude(pk__in=operation_ids).update(batch=None, version=F("version") + 1)
    Operation.objects.filter(pk__in=operation_ids).update(
        batch=target, supplier=supplier, version=F("version") + 1
    )
    return target


@dataclass(frozen=True)
class LotPlan:
    """One lot of an answer of the batch calculation."""

    operation_ids: tuple[int, ...]
    leaves_on: date


@transaction.atomic
def batches_plan(
    *,
    lots: Sequence[LotPlan],
    supplier: Supplier,
    because: str,
    today: date,
    instead_of: Mapping[int, int] | None = None,
    public_holidays: Collection[date] = frozenset(),
) -> list[FinishingBatch]:
    """Plan a batch for each lot: it leaves when all of it is ready, not before its day. All or none.

    `instead_of` gives waiting batches that are given up for these, with the version that was seen of each.
    Raises ValidationError, and changes nothing, for whatever `batch_save` refuses of one of the lots, if a
    piece stands in two of them, or if a batch to be given up has been sent or changed meanwhile.
    """
    if not lots:
        raise _refused("There is no lot to plan.")
    named = [number for lot in lots for number in lot.operation_ids]
    if len(named) != len(set(named)):
        raise _refused("A piece stands in two of the lots. Reload the page and choose again.")
    for number, version in sorted((instead_of or {}).items()):
        batch_dissolve(batch=FinishingBatch(pk=number), version=version)
    _lock_parts(named)
    return [_planned(lot, supplier, because, today, public_holidays) for lot in lots]


def _planned(
    lot: LotPlan, supplier: Supplier, because: str, today: date, public_holidays: Collection[date]
) -> FinishingBatch:
    batch_check(
        operation_ids=lot.operation_ids,
        supplier=supplier,
        leaves=FinishingBatch.Leaves.FIXED,  # so that the day itself is looked at
        planned_on=lot.leaves_on,
        today=today,
        public_holidays=public_holidays,
    )
    first = _lines(lot.operation_ids)[0]
    batch = FinishingBatch(
        supplier=supplier,
        process=first.process,
        colour=_tidy(first.colour),
        coating_class=_tidy(first.coating_class),
        leaves=FinishingBatch.Leaves.WHEN_READY,
        planned_on=lot.leaves_on,
        chosen_because=because,
        chosen_on=today,
    )
    _save(batch)
    Operation.objects.filter(pk__in=lot.operation_ids).update(
        batch=batch, supplier=supplier, version=F("version") + 1
    )
    return batch


@transaction.atomic
def batch_send(
    *,
    batch: FinishingBatch,
    on: date,
    by: Any,
    promised_on: date | None = None,
    leave_behind: Collection[int] = (),
    version: int | None = None,
) -> FinishingBatch:
    """Record that the batch went out; the members in `leave_behind` leave it and stay here.

    Raises ValidationError, and sends nothing, if a member is not ready and not left behind, if nothing would
    go, or if the batch has been sent already or changed since `version`.
    """
    batch = _locked(batch, version)
    members = _lines(batch.operations.values("pk"))
    going = [member for member in members if member.pk not in leave_behind]
    strangers = set(leave_behind) - {member.pk for member in members}
    if strangers:
        raise ValidationError("A piece to be left behind is not in the batch any more. Reload the page.")
    if not going:
        raise ValidationError("Everything would stay behind: then there is nothing to send.")
    _check_members(going, [member.pk for member in going], batch)  # a route card may have changed since
    _send_each(batch, going, on=on, by=by, promised_on=promised_on)
    batch.operations.filter(pk__in=leave_behind).update(batch=None, version=F("version") + 1)
    batch.sent_on = on
    _save(batch)
    return batch


@transaction.atomic
def batch_take_back(*, batch: FinishingBatch, by: Any, version: int | None = None) -> FinishingBatch:
    """Undo a goods out recorded by mistake: the members are in the batch as before, and to do.

    Raises ValidationError if the batch has not been sent, or something of it is back.
    """
    batch = _locked(batch, version, may_be_sent=True)
    if batch.sent_on is None:
        raise ValidationError(
            f"{_name(batch)} has not been sent; there is nothing to take back.", code=ALREADY
        )
    members = list(batch.operations.select_related("part").order_by("part_id", "pk"))
    back = [(member, day) for member in members if (day := _first_in(member)) is not None]
    if back:
        raise ValidationError(
            f"“{back[0][0]}” came in on {day_words(back[0][1])}: the batch did go out. "
            "Take that goods in back first if it is wrong."
        )
    batch.sent_on = None
    _save(batch)
    for member in members:
        operation_take_back(operation=member, by=by)
    return batch


@transaction.atomic
def batch_dissolve(*, batch: FinishingBatch, version: int | None = None) -> None:
    """Give the batch up before it is sent; its members are free for another one.

    Raises ValidationError if it has been sent, or changed since `version`.
    """
    batch = _locked(batch, version)
    batch.operations.update(batch=None, version=F("version") + 1)
    batch.delete()


def _first_in(member: Operation) -> date | None:
    """The day on which something of it came in, be it a few pieces."""
    first = member.goods_in.order_by("came_on").first()
    return first.came_on if first else member.back_on


def _locked(batch: FinishingBatch, version: int | None, *, may_be_sent: bool = False) -> FinishingBatch:
    """The batch as it is now, for this transaction alone."""
    found = FinishingBatch.objects.select_for_update().filter(pk=batch.pk).first()
    if found is None:
        raise ValidationError("Somebody has dissolved this batch in the meantime. Nothing was changed.")
    if found.sent_on is not None and not may_be_sent:
        raise ValidationError(
            f"{_name(found)} went out on {day_words(found.sent_on)} already; nothing was changed.",
            code=ALREADY,
        )
    if version is not None and version != found.version:
        raise ValidationError(
            f"{_name(found)} was changed by somebody else meanwhile. Nothing of yours was saved: "
            "look at it again before you go on."
        )
    return found


def _lock_parts(operation_ids: Collection[int]) -> None:
    numbers = Operation.objects.filter(pk__in=operation_ids).values_list("part_id", flat=True)
    list(Part.objects.select_for_update().filter(pk__in=list(numbers)).order_by("pk"))


def _lines(operation_ids: Any) -> list[Operation]:
    found = Operation.objects.filter(pk__in=operation_ids).order_by("part_id", "pk")
    return list(found.select_related("part__car", "part__material", "process", "batch"))


def _save(batch: FinishingBatch) -> None:
    if batch.pk:
        batch.version += 1
    batch.full_clean()
    batch.save()


# What may share a batch


def _check_members(
    lines: Sequence[Operation], operation_ids: Collection[int], batch: FinishingBatch | None
) -> None:
    if not operation_ids:
        raise _refused("An empty batch has nothing to send: tick at least one piece.")
    if len(lines) != len(set(operation_ids)):
        raise _refused("Somebody has removed a piece from its route card in the meantime. Reload the page.")
    for line in lines:
        _check_free(line, batch)
    finishes = {(line.process_id, *finish_key("", line.colour, line.coating_class)) for line in lines}
    if len(finishes) > 1:
        names = "; ".join(f"{_piece(line)}: {_finish_words(line)}" for line in lines)
        raise _refused(f"One batch takes one finish, and these differ. {names}.")
    _check_materials(lines)


def _check_free(line: Operation, batch: FinishingBatch | None) -> None:
    if line.sent_on is not None:
        raise _refused(f"{_piece(line)} went out on {day_words(line.sent_on)} already.")
    if line.batch is not None and line.batch != batch:
        raise _refused(f"{_piece(line)} is in {line.batch} already. Take it out of there first.")
    if line.process.kind != Process.Kind.FINISH:
        raise _refused(f"{_piece(line)}: {line.process.name.lower()} is not a finish done in batches.")
    if line.supplier_id is None:
        raise _refused(f"{_piece(line)} is finished in our own shop, so it goes out with no batch.")


def _check_materials(lines: Sequence[Operation]) -> None:
    verdicts = MaterialVerdict.objects.filter(process=lines[0].process, verdict=MaterialVerdict.Verdict.NO)
    reasons = dict(verdicts.values_list("material_id", "reason"))
    for line in lines:
        if line.part.material_id in reasons:
            raise _refused(
                f"{_piece(line)} is {line.part.material}, which is not suited to "
                f"{line.process.name.lower()}: {reasons[line.part.material_id]}."
            )


# What the supplier can do


def _check_suits(lines: Sequence[Operation], supplier: Supplier) -> None:
    process = lines[0].process
    if not supplier.processes.filter(pk=process.pk).exists():
        raise ValidationError({"supplier": f"{supplier} does not offer {process.name.lower()}."})
    largest = (supplier.largest_length_mm, supplier.largest_width_mm, supplier.largest_height_mm)
    for line in lines:
        size = (line.part.length_mm, line.part.width_mm, line.part.height_mm)
        if not fits(size, largest):
            raise ValidationError(
                {
                    "supplier": f"{_piece(line)} is {_size_words(size)} and {supplier} takes pieces up to "
                    f"{_size_words(largest)}. Take it out, or choose another supplier."
                }
            )
    _check_lot_size(lines, supplier)


def _check_lot_size(lines: Sequence[Operation], supplier: Supplier) -> None:
    """What is known of the lot against what the supplier says that a lot holds."""
    price = supplier.prices.filter(process=lines[0].process).first()
    if price is None:
        return
    for used, most, unit in (
        (sum(line.pieces for line in lines), price.largest_lot_pieces, "pieces"),
        (sum(line.pieces * (line.part.mass_kg or 0) for line in lines), price.largest_lot_kg, "kg"),
        (sum(line.pieces * (line.part.area_m2 or 0) for line in lines), price.largest_lot_m2, "m²"),
    ):
        if most is not None and used > most:
            raise ValidationError(
                {
                    "supplier": f"Together they are {_plain(used)} {unit}, and {supplier} takes up to "
                    f"{_plain(most)} {unit} into one lot. Make two batches, or choose another supplier."
                }
            )


def _check_leaving(
    supplier: Supplier,
    leaves: str,
    planned_on: date | None,
    today: date,
    public_holidays: Collection[date],
) -> None:
    if leaves not in FinishingBatch.Leaves.values:
        raise ValidationError({"leaves": "Say when the batch leaves."})
    if leaves == FinishingBatch.Leaves.WHEN_READY:
        return
    if planned_on is None:
        raise ValidationError({"planned_on": "A batch that leaves on a fixed date needs that date."})
    if planned_on < today:
        raise ValidationError({"planned_on": f"{day_words(planned_on)} is over. Give today or a later day."})
    if planned_on > today + FARTHEST:
        raise ValidationError(
            {"planned_on": f"{day_words(planned_on)} is over three years away. Check the year."}
        )
    _check_works_on(supplier, planned_on, public_holidays)


def _check_works_on(supplier: Supplier, day: date, public_holidays: Collection[date]) -> None:
    closures = list(supplier.closures.values_list("first_day", "last_day"))
    closures += [(holiday, holiday) for holiday in public_holidays]
    try:
        next_day = next_working_day(day, supplier.working_weekdays, closures)
    except NoWorkingDay:
        raise ValidationError(
            {
                "planned_on": f"{supplier} does not work for a year from {day_words(day)}. "
                "Look at its closures."
            }
        ) from None
    if next_day != day:
        raise ValidationError(
            {
                "planned_on": f"{supplier} does not work on {day_words(day)}. "
                f"The next day it works is {day_words(next_day)}."
            }
        )


# Sending


def _send_each(
    batch: FinishingBatch, going: Sequence[Operation], *, on: date, by: Any, promised_on: date | None
) -> None:
    refusals = []
    for member in going:
        try:
            operation_send(operation=member, on=on, by=by, promised_on=promised_on, with_batch=batch)
        except ValidationError as error:
            if hasattr(error, "error_dict"):
                raise  # a date that is wrong is wrong for all of them
            refusals += [f"{_piece(member)} cannot go: {message}" for message in error.messages]
    if refusals:
        raise ValidationError([*refusals, "Nothing was sent. Tick what stays behind, or wait for it."])


# Words


def _refused(sentence: str) -> ValidationError:
    return ValidationError({"operation": sentence})


def _name(batch: FinishingBatch) -> str:
    name = str(batch)
    return name[0].upper() + name[1:]


def _piece(line: Operation) -> str:
    return f"“{line.part}” of {line.part.car}"


def _finish_words(line: Operation) -> str:
    return ", ".join(
        text for text in (line.process.name, _tidy(line.colour), _tidy(line.coating_class)) if text
    )


def _size_words(sides: Sides) -> str:
    known = [
        f"{name} {side:,} mm" for name, side in zip(("length", "width", "height"), sides, strict=True) if side
    ]
    return ", ".join(known) or "of no known size"


def _plain(figure: Decimal | int) -> str:
    """Without noughts behind the point."""
    return f"{Decimal(figure).normalize():f}"


def _tidy(text: str) -> str:
    return " ".join(text.split())

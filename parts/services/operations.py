"""Goods out and goods in: what happens to one line of a route card.

Each act locks the part first, so that two tablets on the same route card take turns. An act that has been
done already changes nothing and raises a ValidationError with the code `already`, which a page shows as news
and not as a fault.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.db import transaction
from django.utils import timezone

from parts.models import FinishingBatch, GoodsIn, Operation, Part, Process, StoredFile, SupplierPromise

from .days import check_has_been, check_promise, day_words
from .files import file_add
from .pieces import SETTLED_FIELDS, count_of, rework_add, rework_take_back, reworked_by, settle
from .trade import check_answered

ALREADY = "already"
LONGEST_TITLE = 120


@transaction.atomic
def operation_send(
    *,
    operation: Operation,
    on: date,
    by: Any,
    promised_on: date | None = None,
    with_batch: FinishingBatch | None = None,
) -> Operation:
    """Record goods out, with the newest drawing of the part and the supplier's promise if there is one.

    `with_batch` is the finishing batch that is going out at this moment; without it, a line that waits in a
    batch is refused, because a batch goes as a whole. Raises ValidationError if it is out already, if
    something has to come first, or if a date cannot be right, and RuleBroken if the line breaks a rule of the
    trade that nobody has answered for: a card that was read from a list may.
    """
    line = lock_line(operation)
    if line.sent_on is not None:
        raise ValidationError(
            f"“{line}” went out on {day_words(line.sent_on)} already; nothing was changed.", code=ALREADY
        )
    check_has_been(on, field="on")
    _check_batch(line, with_batch)
    _check_comes_first(line, on)
    check_answered(line)
    if promised_on is not None:
        check_promise(promised_on, made_on=on, gone_on=on)
    line.sent_on, line.promised_on, line.sent_by = on, promised_on, by
    line.sent_drawing = newest_drawing(line.part)
    _save(line, "sent_on", "promised_on", "sent_drawing", "sent_by")
    if promised_on is not None:
        SupplierPromise.objects.create(operation=line, promised_on=promised_on, made_on=on, by=by)
    return line


def operation_order(*, operation: Operation, on: date, by: Any, promised_on: date | None = None) -> Operation:
    """Record that a bought-in part was ordered: for it, ordering is going out."""
    return operation_send(operation=operation, on=on, by=by, promised_on=promised_on)


@transaction.atomic
def operations_order(
    *, operations: Sequence[Operation], on: date, by: Any, promised_on: date | None = None
) -> list[Operation]:
    """Record many orders of one day: all of them, or none.

    Raises ValidationError with a sentence for each line that cannot be ordered, naming it.
    """
    ordered, refusals = [], []
    # parts are locked in the order of their numbers, so that two such presses take turns
    for operation in sorted(operations, key=lambda operation: (operation.part_id, operation.sequence)):
        try:
            ordered.append(operation_order(operation=operation, on=on, by=by, promised_on=promised_on))
        except ValidationError as error:
            refusals += [
                f"{operation.part.car}, {operation.part}, {operation.process.name.lower()}: {message}"
                for message in error.messages
            ]
    if refusals:
        raise ValidationError(refusals)
    return ordered


@transaction.atomic
def operation_take_in(*, operation: Operation, on: date, by: Any) -> Operation:
    """Record goods in without a verdict: it is back and has still to be checked."""
    line = lock_line(operation)
    if line.back_on is not None:
        raise ValidationError(
            f"“{line}” came in on {day_words(line.back_on)} already; nothing was changed.", code=ALREADY
        )
    _come_in(line, on)
    _save(line, "back_on")
    return line


@transaction.atomic
def operation_accept(
    *, operation: Operation, on: date, by: Any, cost: Decimal | None = None, count: int | None = None
) -> Operation:
    """Record goods in, checked and found right: all that is still out, or `count` pieces of it.

    Raises ValidationError if the line is not out, has its verdict already, or a figure cannot be right.
    """
    line = lock_line(operation)
    _check_has_no_verdict(line)
    accepted = count_of(line).left if count is None else count
    return _count_in(line, on=on, by=by, accepted=accepted, cost=cost)


@transaction.atomic
def operation_reject(
    *, operation: Operation, on: date, by: Any, reason: str, rework: bool = True
) -> Operation | None:
    """Record goods in and refused; the rework becomes the next line of the route card and is returned.

    Jobs that need the part as it is after this line then wait for the rework. Without rework the route card
    stands still until a line is added that makes this one good; where some pieces were right, there is
    always a rework. Raises ValidationError if no reason is given, the line is not out, or it has its
    verdict already.
    """
    line = lock_line(operation)
    _check_has_no_verdict(line)
    _count_in(line, on=on, by=by, rejected=count_of(line).left, reason=reason, rework=rework)
    return Operation.objects.filter(reworks=line).first()


@transaction.atomic
def operation_count_in(
    *,
    operation: Operation,
    on: date,
    by: Any,
    accepted: int = 0,
    rejected: int = 0,
    lost: int = 0,
    reason: str = "",
    photo: File | None = None,
    cost: Decimal | None = None,
    rework: bool = True,
    left_seen: int | None = None,
) -> Operation:
    """Record some pieces of a line: right, wrong (they go again at once, as a line of their own) or lost.

    What is not named is still out. The photo, of what is wrong, is kept with the part. `left_seen` is how
    many were out when the count was begun: a second press would count them twice. Raises ValidationError if
    more come back than went out, wrong or lost ones have no reason, the line is not out, or somebody has
    counted meanwhile.
    """
    line = lock_line(operation)
    _check_has_no_verdict(line)
    count = count_of(line)
    if left_seen is not None and left_seen != count.left:
        raise ValidationError(
            f"Of “{line}”, {count.words or 'nothing is back'} by now, so {count.left} are out and not "
            f"{left_seen}: perhaps it was pressed twice. Nothing was changed.",
            code=ALREADY,
        )
    return _count_in(
        line,
        on=on,
        by=by,
        accepted=accepted,
        rejected=rejected,
        lost=lost,
        reason=reason,
        photo=photo,
        cost=cost,
        rework=rework,
    )


@transaction.atomic
def operation_take_back(*, operation: Operation, by: Any) -> Operation:
    """Undo the last thing recorded about a line: what was counted in last, else the goods out.

    What the supplier promised stays on record.
    Raises ValidationError if something that came after rests on it.
    """
    line = lock_line(operation)
    _check_nothing_rests_on(line)
    if line.sent_on is None:
        raise ValidationError(f"Nothing has been recorded about “{line}” that could be taken back.")
    last = line.goods_in.order_by("-pk").first()
    if last is not None:
        _take_back_count(line, last)
    elif line.back_on is not None:
        _take_back_goods_in(line)
    else:
        _take_back_goods_out(line)
    return line


def newest_drawing(part: Part) -> StoredFile | None:
    """The drawing that would go out with the part today."""
    return part.files.drawings().first()


def lock_line(operation: Operation) -> Operation:
    """The line as it is now, with its route card locked for this transaction."""
    part = Part.objects.select_for_update().get(pk=operation.part_id)
    try:
        line = Operation.objects.select_related("process", "supplier", "batch").get(pk=operation.pk)
    except Operation.DoesNotExist as error:
        raise ValidationError("Somebody has removed this line in the meantime. Reload the page.") from error
    line.part = part
    return line


def _save(line: Operation, *fields: str) -> None:
    line.version += 1
    line.full_clean(exclude=["part", "process", "supplier", "batch", "reworks"])
    line.save(update_fields=[*fields, "version"])


def _check_batch(line: Operation, with_batch: FinishingBatch | None) -> None:
    batch = line.batch
    if batch is None or batch.sent_on is not None or batch == with_batch:
        return
    raise ValidationError(
        f"“{line}” is in {batch}, which goes out as a whole. "
        "Send the batch on the Finishing sheet, or take the part out of it first."
    )


def comes_first(line: Operation) -> list[str]:
    """What has to be in order before the line can go, in words; empty when it can go now.

    Reads `part.operations`, `part.made_by` and `after_jobs`, so a page prefetches those for many lines.
    """
    card = list(line.part.operations.all())
    own = reworked_by(line)  # pieces that were wrong go again without those that are still out
    made_good = {other.reworks_id for other in card if other.reworks_id is not None}
    words = [
        missing
        for earlier in card
        if earlier.sequence < line.sequence
        and not (earlier.pk in own and not earlier.result)
        and (missing := _missing(earlier, earlier.pk in made_good))
    ]
    jobs = list(line.after_jobs.all())
    if line.part.made_by is not None:
        jobs.append(line.part.made_by)
    for job in dict.fromkeys(jobs):
        if not job.is_complete:
            words.append(f"“{job}” is not done" if job.done_at is None else f"“{job}” is not signed for")
    return words


def _missing(earlier: Operation, is_made_good: bool) -> str:
    name = f"line {earlier.sequence}, {earlier.process.name.lower()},"
    if earlier.result == Operation.Result.REJECTED:
        # the line that makes it good stands between the two and is asked in its own turn
        return "" if is_made_good else f"{name} was rejected and no line makes it good yet"
    return "" if earlier.result else f"{name} is not accepted yet ({earlier.state})"


def _check_comes_first(line: Operation, on: date) -> None:
    missing = comes_first(line)
    if missing:
        raise ValidationError(f"“{line}” cannot go yet: {'; '.join(missing)}.")
    above = line.part.operations.filter(sequence__lt=line.sequence, back_on__gt=on)
    late = above.select_related("process").order_by("back_on").last()
    if late is not None and late.back_on is not None:
        raise ValidationError(
            {
                "on": f"Line {late.sequence}, {late.process.name.lower()}, came in on "
                f"{day_words(late.back_on)}; “{line}” cannot have gone before that."
            }
        )


def _check_has_no_verdict(line: Operation) -> None:
    if line.result:
        on = f" on {day_words(line.back_on)}" if line.back_on else ""
        raise ValidationError(
            f"“{line}” was {line.result}{on} by {line.checked_by} already; nothing was changed.", code=ALREADY
        )


def _come_in(line: Operation, on: date) -> None:
    _check_can_come_in(line, on)
    line.back_on = on


def _check_can_come_in(line: Operation, on: date) -> None:
    if line.sent_on is None:
        raise ValidationError(f"“{line}” has not gone out, so it cannot come in. Record goods out first.")
    check_has_been(on, field="on")
    if on < line.sent_on:
        raise ValidationError(
            {"on": f"It went out on {day_words(line.sent_on)}; it cannot come in before that."}
        )


def _count_in(
    line: Operation,
    *,
    on: date,
    by: Any,
    accepted: int = 0,
    rejected: int = 0,
    lost: int = 0,
    reason: str = "",
    photo: File | None = None,
    cost: Decimal | None = None,
    rework: bool = True,
) -> Operation:
    """Write one row of goods in, put up the rework, and derive what became of the line."""
    on = line.back_on or on  # put aside unchecked: its day is on record
    _check_can_come_in(line, on)
    reason = " ".join(reason.split())
    _check_figures(line, accepted, rejected, lost, reason)
    row = GoodsIn(
        operation=line,
        came_on=on,
        accepted=accepted,
        rejected=rejected,
        lost=lost,
        reason=reason,
        photo=_photo(line, photo, reason, by) if photo else None,
        by=by,
        at=timezone.now(),
    )
    row.full_clean(exclude=["operation"])
    row.save()
    settle(line)
    line.cost = line.cost if cost is None else cost
    _save(line, *SETTLED_FIELDS, "cost")
    if rejected and (rework or rejected < line.pieces):
        rework_add(line, rejected)
    return line


def _photo(line: Operation, upload: File, reason: str, by: Any) -> StoredFile:
    title = f"{line.process.name} at goods in: {reason}".rstrip(": ")[:LONGEST_TITLE]
    return file_add(
        kind=StoredFile.Kind.PHOTO, upload=upload, title=title, part=line.part, by=by, at=timezone.now()
    )


def _check_figures(line: Operation, accepted: int, rejected: int, lost: int, reason: str) -> None:
    wrong = {}
    for name, figure in (("count", accepted), ("rejected", rejected), ("lost", lost)):
        if figure < 0:
            wrong[name] = f"{figure} pieces cannot be counted: give 0 or more."
    total = accepted + rejected + lost
    count = count_of(line)
    if not wrong and not count.left:
        wrong["count"] = (
            f"Of “{line}” nothing is out any more: {count.words}. Say what is to be done about that."
        )
    elif not wrong and total == 0:
        wrong["count"] = "0 counted: say how many pieces came in, or leave the line as it is."
    if not wrong and total > count.left:
        so_far = f", {count.words} already" if count.words else ""
        wrong["count"] = (
            f"{total} counted, but {line.pieces} went out{so_far}: {count.left} can still come in. "
            "Count again, or take back what was counted wrongly before."
        )
    if rejected and not reason:
        wrong["reason"] = "A rejection needs its reason: what is wrong with the part?"
    elif lost and not reason:
        wrong["reason"] = "Lost pieces need their reason: what does the supplier say?"
    if wrong:
        raise ValidationError(wrong)


def _check_nothing_rests_on(line: Operation) -> None:
    """Later lines that have gone out; the rework of some pieces rests on those alone and is asked apart."""
    for later in line.part.operations.filter(sequence__gt=line.sequence, sent_on__isnull=False):
        later.part = line.part
        if line.result or line.pk not in reworked_by(later):
            raise ValidationError(
                f"“{later}”, a later line, went out on {day_words(later.sent_on)}: take that back first."
            )


def _take_back_count(line: Operation, last: GoodsIn) -> None:
    if last.rejected:
        rework_take_back(line, last.rejected)
    if line.result:
        line.cost = None
    last.delete()
    settle(line)
    _save(line, *SETTLED_FIELDS, "cost")


def _take_back_goods_in(line: Operation) -> None:
    """A line put aside unchecked, or one that got its verdict before pieces were counted."""
    if line.result == Operation.Result.REJECTED:
        rework_take_back(line, line.pieces)
    line.back_on, line.result, line.reason, line.checked_by, line.cost = None, "", "", None, None
    _save(line, *SETTLED_FIELDS, "cost")


def _take_back_goods_out(line: Operation) -> None:
    if line.batch is not None and line.batch.sent_on is not None:
        raise ValidationError(
            f"“{line}” went out with {line.batch}; a batch is not taken back piece by piece."
        )
    line.sent_on, line.promised_on, line.sent_drawing, line.sent_by = None, None, None, None
    line.order = None
    _save(line, "sent_on", "promised_on", "sent_drawing", "sent_by", "order")


def gone_word(process: Process) -> str:
    """What going out is called for this process."""
    return "ordered" if process.kind == Process.Kind.SUPPLY else "out"

"""Purchase orders: what is bought from one supplier on one paper, changed, and taken back.

An order is open while something of it is still to come. One without lines was cancelled; it keeps its number,
because a paper with that number may lie at the supplier's.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from parts.models import Operation, Process, PurchaseOrder, Supplier

from .days import check_has_been, check_promise, day_words
from .operations import ALREADY, lock_line, operation_take_back, operations_order
from .promises import supplier_promise


@transaction.atomic
def order_make(
    *,
    supplier: Supplier,
    operations: Sequence[Operation],
    on: date,
    by: Any,
    expected_on: date | None = None,
    their_reference: str = "",
    note: str = "",
) -> PurchaseOrder:
    """Order these lines, of whatever cars, on one paper, each promised for the day expected.

    Raises ValidationError, and orders nothing, if there is no line, one is not this supplier's, one is a
    finish (those go in batches), one cannot be ordered now, or a day cannot be right.
    """
    _check_lines(supplier, operations)
    check_has_been(on, field="on")
    if expected_on is not None:
        _check_expected(expected_on, made_on=on, gone_on=on)
    order = PurchaseOrder(
        supplier=supplier,
        ordered_on=on,
        ordered_by=by,
        expected_on=expected_on,
        their_reference=" ".join(their_reference.split()),
        note=note.strip(),
    )
    order.full_clean(exclude=["supplier", "ordered_by"])
    order.save()
    ordered = operations_order(operations=operations, on=on, by=by, promised_on=expected_on)
    Operation.objects.filter(pk__in=[line.pk for line in ordered]).update(order=order)
    return order


@transaction.atomic
def order_change(
    *,
    order: PurchaseOrder,
    version: int | None,
    by: Any,
    expected_on: date | None,
    their_reference: str,
    note: str,
) -> PurchaseOrder:
    """Change what was agreed. Another day expected is a new promise for every line that is still to come.

    Raises ValidationError if somebody changed it meanwhile, or the day cannot be meant.
    """
    order = _locked(order, version)
    today = timezone.localdate()
    if expected_on is None and order.expected_on is not None:
        raise ValidationError(
            {"expected_on": f"{day_words(order.expected_on)} was expected: give another day, or leave it."}
        )
    if expected_on is not None and expected_on != order.expected_on:
        _check_expected(expected_on, made_on=today, gone_on=order.ordered_on)
        for line in order.lines.out():
            if line.promised_on != expected_on:
                _promise(line, expected_on, today, by, f"order {order.pk}")
    order.expected_on, order.their_reference = expected_on, " ".join(their_reference.split())
    order.note = note.strip()
    _save(order)
    return order


@transaction.atomic
def order_line_take_off(*, operation: Operation, by: Any) -> Operation:
    """Take a line off its order: it is to be ordered again. Raises ValidationError if some of it has come."""
    line = lock_line(operation)
    if line.order_id is None:
        raise ValidationError(f"“{line}” is on no order any more; nothing was changed.", code=ALREADY)
    _check_nothing_came(line)
    order = _locked(line.order, None)
    taken = operation_take_back(operation=line, by=by)
    _save(order)
    return taken


@transaction.atomic
def order_cancel(*, order: PurchaseOrder, version: int | None, by: Any) -> PurchaseOrder:
    """Take all lines off, to be ordered again. Raises ValidationError if something of it has come."""
    order = _locked(order, version)
    lines = list(order.lines.select_related("part").order_by("part_id", "sequence"))
    if not lines:
        raise ValidationError(f"Order {order.pk} has no line left; nothing was changed.", code=ALREADY)
    for line in lines:
        _check_nothing_came(line)
    for line in lines:
        operation_take_back(operation=line, by=by)
    _save(order)
    return order


def _check_lines(supplier: Supplier, operations: Sequence[Operation]) -> None:
    if not operations:
        raise ValidationError({"operations": "Tick at least one line: an order needs something on it."})
    for line in operations:
        name = f"{line.part.car}, {line.part}, {line.process.name.lower()}"
        if line.supplier_id != supplier.pk:
            whose = f"goes to {line.supplier}" if line.supplier else "names no supplier"
            raise ValidationError(
                {"operations": f"{name} {whose}: one order goes to one supplier, here {supplier}."}
            )
        if line.process.kind == Process.Kind.FINISH:
            raise ValidationError({"operations": f"{name} is a finish: it goes out in a batch."})


def _check_expected(day: date, *, made_on: date, gone_on: date) -> None:
    try:
        check_promise(day, made_on=made_on, gone_on=gone_on)
    except ValidationError as error:
        raise ValidationError({"expected_on": error.messages}) from error


def _check_nothing_came(line: Operation) -> None:
    if line.back_on is not None or line.goods_in.exists():
        raise ValidationError(
            f"Some of “{line}” has come in already, so it was ordered. "
            "Take that goods in back first if it is wrong."
        )


def _promise(line: Operation, promised_on: date, today: date, by: Any, note: str) -> None:
    try:
        supplier_promise(operation=line, promised_on=promised_on, on=today, by=by, note=note)
    except ValidationError as error:
        if getattr(error, "code", None) != ALREADY:
            raise


def _locked(order: PurchaseOrder, version: int | None) -> PurchaseOrder:
    found = PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    if version is not None and version != found.version:
        raise ValidationError(
            f"Order {found.pk} was changed by somebody else meanwhile. Nothing of yours was saved: "
            "look at it again before you go on."
        )
    return found


def _save(order: PurchaseOrder) -> None:
    order.version += 1
    order.full_clean(exclude=["supplier", "ordered_by"])
    order.save()

"""Calls to suppliers: whom somebody spoke to, about what, what was said, and the days that were promised."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Call, Operation, Supplier

from .operations import ALREADY
from .promises import supplier_promise

GAVE_DAYS = "gave days"  # what was said, where nothing else was
SAID_AT_LEAST = "Write what was said, or enter a day that was promised."


@transaction.atomic
def call_note(
    *,
    supplier: Supplier,
    at: datetime,
    today: date,
    by: Any,
    said: str = "",
    spoke_to: str = "",
    about: Collection[int] = (),
    promises: Mapping[int, date] | None = None,
) -> Call:
    """Keep a call, and with it a new promise for each line (by its key) that was given a day.

    All of it or nothing. Raises ValidationError if nothing was said, a line is not at this supplier, or a
    promise cannot be meant; that names the field `promised_<line>`.
    """
    given = dict(promises or {})
    said = " ".join(said.split())
    if not said and not given:
        raise ValidationError({"said": SAID_AT_LEAST})
    lines = _lines(supplier, {*about, *given})
    call = Call(
        supplier=supplier, made_at=at, by=by, spoke_to=" ".join(spoke_to.split()), said=said or GAVE_DAYS
    )
    call.full_clean()
    call.save()
    call.operations.set(lines)
    for line in lines:
        if line.pk in given:
            _promise(call, line, given[line.pk], today)
    return call


def _lines(supplier: Supplier, numbers: Collection[int]) -> list[Operation]:
    lines = list(
        Operation.objects.filter(pk__in=numbers, supplier=supplier).select_related("part", "process")
    )
    if len(lines) < len(numbers):
        raise ValidationError(
            f"A line of this list is no longer at {supplier}. Open the list again: it has changed meanwhile."
        )
    return lines


def _promise(call: Call, line: Operation, day: date, today: date) -> None:
    try:
        promise = supplier_promise(
            operation=line, promised_on=day, on=today, by=call.by, note=call.said[:200]
        )
    except ValidationError as error:
        if not hasattr(error, "error_dict") and error.error_list[0].code == ALREADY:
            return
        raise ValidationError({f"promised_{line.pk}": error.messages}) from error
    promise.call = call
    promise.save(update_fields=["call"])

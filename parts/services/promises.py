"""What suppliers promise. Every promise is kept; the newest one counts."""

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Operation, SupplierPromise

from .days import check_has_been, check_promise, day_words
from .operations import ALREADY, lock_line


@transaction.atomic
def supplier_promise(
    *, operation: Operation, promised_on: date, on: date, by: Any, note: str = ""
) -> SupplierPromise:
    """Record what the supplier said on the day `on`. The same words twice change nothing.

    Raises ValidationError if the line is not out, or the day cannot be meant.
    """
    line = lock_line(operation)
    if line.state != Operation.State.OUT or line.sent_on is None:
        raise ValidationError(
            f"“{line}” is not out ({line.state}), so nobody owes it. Record goods out first."
        )
    check_has_been(on, field="on")
    if on < line.sent_on:
        raise ValidationError(
            {"on": f"It went out on {day_words(line.sent_on)}; a promise about it cannot be older than that."}
        )
    check_promise(promised_on, made_on=on, gone_on=line.sent_on)
    promise = SupplierPromise(
        operation=line, promised_on=promised_on, made_on=on, by=by, note=" ".join(note.split())
    )
    _check_is_news(line, promise)
    promise.full_clean(exclude=["operation"])
    promise.save()
    # a promise that was made earlier and written down late does not push aside a newer one
    newest = line.promises.order_by("-made_on", "-pk").first()
    line.promised_on = newest.promised_on if newest else promised_on
    line.version += 1
    line.save(update_fields=["promised_on", "version"])
    return promise


def _check_is_news(line: Operation, promise: SupplierPromise) -> None:
    last = line.promises.order_by("-made_on", "-pk").first()
    if last is None:
        return
    same = (last.promised_on, last.made_on, last.note) == (promise.promised_on, promise.made_on, promise.note)
    if same:
        raise ValidationError(
            f"That promise, {day_words(promise.promised_on)}, is on record already; nothing was changed.",
            code=ALREADY,
        )

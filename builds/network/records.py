"""What suppliers did with their promises: days first promised against days taken, by supplier and process."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from builds.models import Away
from builds.schedule.calendar import WorkCalendar
from builds.schedule.supplier_record import PastJob
from parts.models import Operation, SupplierPromise

from .model import Model

Record = Mapping[tuple[int, int], list[PastJob]]  # by supplier and process
NEWEST = 200  # deliveries of one supplier and process that are still worth asking
HALF_DAY = 0.5


def supplier_records(model: Model) -> Record:
    """Jobs that came back, oldest first, in the supplier's own working days, counted as a lead time is.
    Two queries.

    A job counts against the day first promised; without a promise, against its likely lead time. One that
    went and came on the same day counts as half a day. Lines that went together and came together against
    the same promise are one job: twenty parts in one van say no more of the supplier than one.
    """
    promises: dict[int, date] = dict(
        SupplierPromise.objects.filter(operation__back_on__isnull=False)
        .order_by("-made_on", "-pk")
        .values_list("operation_id", "promised_on")
    )
    back = Operation.objects.filter(supplier__isnull=False, sent_on__isnull=False, back_on__isnull=False)
    fields = ("pk", "supplier_id", "process_id", "sent_on", "promised_on", "back_on", "lead_likely_days")
    found: dict[tuple[int, int], list[PastJob]] = {}
    told: set[tuple[object, ...]] = set()
    for pk, supplier_id, process_id, sent, promised, came, likely in back.order_by(
        "back_on", "pk"
    ).values_list(*fields):
        calendar = model.calendars.get(f"supplier:{supplier_id}")
        if calendar is None or sent < calendar.first:
            continue  # before the calendars begin: too long ago to say anything of today
        first = promises.get(pk, promised)
        delivery = (supplier_id, process_id, sent, first or likely, came)
        if delivery in told:
            continue
        told.add(delivery)
        days = _days(calendar, sent, first) if first else float(likely)
        found.setdefault((supplier_id, process_id), []).append(
            PastJob(max(days, HALF_DAY), max(_days(calendar, sent, came), HALF_DAY))
        )
    return {key: jobs[-NEWEST:] for key, jobs in found.items()}


def supplier_stays(model: Model, supplier_id: int) -> list[PastJob]:
    """Cars that came back from a supplier, against the day last due, oldest first. One query."""
    calendar = model.calendars[f"supplier:{supplier_id}"]
    back = Away.objects.filter(supplier_id=supplier_id, back_on__isnull=False, leaves_on__gte=calendar.first)
    rows = back.order_by("back_on", "pk").values_list("leaves_on", "due_back_on", "back_on")
    return [
        PastJob(max(_days(calendar, left, due), HALF_DAY), max(_days(calendar, left, came), HALF_DAY))
        for left, due, came in rows
    ][-NEWEST:]


def _days(calendar: WorkCalendar, begin: date, end: date) -> float:
    return float(calendar.days_between(begin, end)) if begin < end else 0.0

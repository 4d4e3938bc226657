"""Suppliers: what each does, what is there now, and how its promises turned out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Prefetch, Q

from builds.models import Away
from builds.network import WorkshopState
from builds.schedule.calendar import WorkCalendar
from builds.sheets.waiting import OutLine, line_of, papers_of_parts
from parts.models import FinishingBatch, Operation, Process, Supplier, SupplierClosure
from parts.models.suppliers import WEEKDAYS

MOST_SHOWN = 20  # of the record: what is older says little about the supplier of today


@dataclass(frozen=True)
class SupplierLine:
    supplier: Supplier
    processes: tuple[Process, ...]
    out: int
    late: int
    shut_until: date | None


@dataclass(frozen=True)
class RecordLine:
    """One thing that came back."""

    operation: Operation
    first_promise: date | None
    days_away: int | None  # the supplier's working days; None where its calendar does not reach so far back

    @property
    def days_after_promise(self) -> int | None:
        """Calendar days from the first promise to goods in; negative is early."""
        if self.first_promise is None or self.operation.back_on is None:
            return None
        return (self.operation.back_on - self.first_promise).days


@dataclass(frozen=True)
class SupplierSheet:
    supplier: Supplier
    processes: tuple[Process, ...]
    week: str
    closures: tuple[SupplierClosure, ...]
    out: tuple[OutLine, ...]
    to_do: int
    batches: tuple[FinishingBatch, ...]
    cars_there: tuple[Away, ...]
    record: tuple[RecordLine, ...]

    @property
    def largest(self) -> str:
        supplier = self.supplier
        sides = (supplier.largest_length_mm, supplier.largest_width_mm, supplier.largest_height_mm)
        return " × ".join(str(side) if side else "–" for side in sides) + " mm" if any(sides) else ""

    @property
    def kept(self) -> int:
        """How many came on or before the first day promised."""
        return sum(
            line.days_after_promise is not None and line.days_after_promise <= 0 for line in self.record
        )

    @property
    def promised(self) -> int:
        return sum(line.days_after_promise is not None for line in self.record)

    @property
    def rejected(self) -> int:
        return sum(line.operation.result == Operation.Result.REJECTED for line in self.record)


def read_suppliers(today: date) -> list[SupplierLine]:
    """Every supplier by name, in three queries."""
    out = Q(operations__sent_on__isnull=False, operations__back_on__isnull=True)
    late = out & Q(operations__promised_on__lt=today)
    closures = Prefetch("closures", SupplierClosure.objects.filter(first_day__lte=today, last_day__gte=today))
    rows = Supplier.objects.prefetch_related("processes", closures)
    rows = rows.annotate(
        out_now=Count("operations", filter=out, distinct=True),
        late_now=Count("operations", filter=late, distinct=True),
    )
    return [
        SupplierLine(
            supplier=supplier,
            processes=tuple(supplier.processes.all()),
            out=supplier.out_now,
            late=supplier.late_now,
            shut_until=max((closure.last_day for closure in supplier.closures.all()), default=None),
        )
        for supplier in rows
    ]


def read_supplier(supplier: Supplier, state: WorkshopState) -> SupplierSheet:
    """Queries beside the network's: processes, closures; lines out, promises, drawings; to do; batches; cars;
    the record and its promises."""
    facts = state.facts()
    own = Operation.objects.filter(supplier=supplier, part__car__handed_over_on__isnull=True)
    rows = (
        own.open()
        .filter(sent_on__isnull=False)
        .select_related("part__car", "process", "supplier", "batch", "sent_drawing")
    )
    lines = [
        line
        for row in rows.prefetch_related("promises", *papers_of_parts())
        if (line := line_of(row, facts)) is not None
    ]
    return SupplierSheet(
        supplier=supplier,
        processes=tuple(supplier.processes.all()),
        week=week_words(supplier),
        closures=tuple(supplier.closures.filter(last_day__gte=facts.today)),
        out=tuple(sorted(lines, key=lambda line: (*line.press.sort_key, line.operation.pk))),
        to_do=own.to_do().open().count(),
        batches=tuple(supplier.batches.waiting().select_related("process")),
        cars_there=tuple(supplier.cars_there.away_on(facts.today).select_related("car")),
        record=_record(supplier, state.model.calendars[f"supplier:{supplier.pk}"]),
    )


def week_words(supplier: Supplier) -> str:
    """'Monday to Friday', or the days one by one.

    >>> week_words(Supplier(saturday=True, friday=False))
    'Mon, Tue, Wed, Thu, Sat'
    """
    days = sorted(supplier.working_weekdays)
    if len(days) > 2 and days == list(range(days[0], days[-1] + 1)):
        return f"{WEEKDAYS[days[0]].capitalize()} to {WEEKDAYS[days[-1]].capitalize()}"
    return ", ".join(WEEKDAYS[day][:3].capitalize() for day in days)


def _record(supplier: Supplier, calendar: WorkCalendar) -> tuple[RecordLine, ...]:
    """What came back last, newest first, with the first day promised after it went out."""
    rows = Operation.objects.filter(supplier=supplier, back_on__isnull=False)
    rows = rows.select_related("part__car", "process").prefetch_related("promises")
    return tuple(
        RecordLine(
            row,
            next(
                (
                    promise.promised_on
                    for promise in row.promises.all()
                    if row.sent_on is None or promise.made_on >= row.sent_on
                ),
                row.promised_on,
            ),
            _days_away(calendar, row),
        )
        for row in rows.order_by("-back_on", "-pk")[:MOST_SHOWN]
    )


def _days_away(calendar: WorkCalendar, row: Operation) -> int | None:
    """Counted as a lead time is: see `WorkCalendar.back_from`."""
    if row.sent_on is None or row.back_on is None or row.sent_on < calendar.first:
        return None
    return max(0, calendar.days_between(row.sent_on, row.back_on))

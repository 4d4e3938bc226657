"""Orders: what has still to be ordered, by the last day that does no harm."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Prefetch

from builds.facts import OperationFacts, WorkshopFacts
from builds.network.words import days_words
from builds.sheets.waiting import Press, press_of, waiting_to_order
from parts.batching.words import short_day
from parts.models import Operation, Supplier
from parts.services.operations import comes_first


@dataclass(frozen=True)
class OrderLine:
    """One line of a route card that is to go to a supplier and has not been ordered."""

    operation: Operation
    facts: OperationFacts
    press: Press
    waits_for: tuple[str, ...]  # empty: it can be ordered now
    today: date

    @property
    def is_due(self) -> bool:
        """Whether another day without the order moves the date, or has moved it."""
        return self.facts.order_by is not None and self.facts.order_by <= self.today

    def is_due_by(self, day: date) -> bool:
        return self.facts.order_by is not None and self.facts.order_by <= day

    @property
    def order_by_words(self) -> str:
        day = self.facts.order_by
        if day is None:
            return "no job waits for it"
        if day == self.today:
            return "order today"
        if day < self.today:
            return f"{days_words((self.today - day).days)} overdue, was {short_day(day, self.today)}"
        return short_day(day, self.today)

    @property
    def lead_words(self) -> str:
        line = self.operation
        if line.lead_low_days == line.lead_high_days:
            return days_words(line.lead_likely_days)
        return f"{days_words(line.lead_likely_days)} ({line.lead_low_days} to {line.lead_high_days})"

    @property
    def holds(self) -> str:
        return ", ".join(self.facts.holds)


@dataclass(frozen=True)
class OrderFilter:
    """Which lines the page shows; None shows them whatever they are."""

    supplier_id: int | None = None
    car_id: int | None = None
    until: date | None = None
    ticked: frozenset[str] = frozenset()  # ids that a refused order sent: they stay in sight

    def lets_through(self, line: OrderLine) -> bool:
        operation = line.operation
        return str(operation.pk) in self.ticked or (
            self.supplier_id in (None, operation.supplier_id)
            and self.car_id in (None, operation.part.car_id)
            and (self.until is None or (line.facts.order_by or date.max) <= self.until)
        )


@dataclass(frozen=True)
class FromSupplier:
    lines: tuple[OrderLine, ...]  # the most urgent first

    @property
    def supplier(self) -> Supplier | None:
        return self.lines[0].operation.supplier

    @property
    def cars(self) -> str:
        return ", ".join(sorted({line.operation.part.car.name for line in self.lines}))

    @property
    def order_by_words(self) -> str:
        return self.lines[0].order_by_words


@dataclass(frozen=True)
class OrderSheet:
    now: tuple[OrderLine, ...]  # can be ordered now, by order-by date
    later: tuple[OrderLine, ...]  # wait for something first
    due: int  # of all lines, shown or not
    holding: int
    hidden: int

    @property
    def by_supplier(self) -> tuple[FromSupplier, ...]:
        """What of the lines shown could go on one order, most urgent first."""
        found: dict[int, list[OrderLine]] = {}
        for line in self.now:
            if line.operation.supplier_id is not None:
                found.setdefault(line.operation.supplier_id, []).append(line)
        return tuple(FromSupplier(tuple(lines)) for lines in found.values())

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all is left to order."""
        return not (self.now or self.later or self.hidden)


def read_orders(facts: WorkshopFacts, shown: OrderFilter) -> OrderSheet:
    """Three queries beside the network's: the lines, the route cards that they are on, jobs before them."""
    cards = Operation.objects.select_related("process").order_by("sequence")
    rows = waiting_to_order().select_related("part__car", "part__made_by", "process", "supplier")
    rows = rows.prefetch_related(Prefetch("part__operations", cards), "after_jobs")
    lines = sorted((line for row in rows if (line := _line(row, facts)) is not None), key=_order_key)
    wanted = [line for line in lines if shown.lets_through(line)]
    return OrderSheet(
        now=tuple(line for line in wanted if not line.waits_for),
        later=tuple(line for line in wanted if line.waits_for),
        due=sum(line.is_due and not line.waits_for for line in lines),
        holding=sum(line.press.sets_date for line in lines),
        hidden=len(lines) - len(wanted),
    )


def _line(operation: Operation, facts: WorkshopFacts) -> OrderLine | None:
    known = facts.operations.get(operation.pk)
    if known is None:
        return None
    return OrderLine(operation, known, press_of(known, operation), tuple(comes_first(operation)), facts.today)


def _order_key(line: OrderLine) -> tuple[Any, ...]:
    return (line.facts.order_by or date.max, *line.press.sort_key, line.operation.pk)

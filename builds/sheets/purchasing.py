"""Purchase orders: the list, and one of them with what has come of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from builds.network.words import days_words
from parts.models import Operation, PurchaseOrder
from parts.services.pieces import Count, count_of


@dataclass(frozen=True)
class OrderedLine:
    operation: Operation
    count: Count

    @property
    def is_in(self) -> bool:
        return bool(self.operation.result)

    @property
    def state(self) -> str:
        """'3 of 10 back', 'in Fri 12 Mar', 'to come'."""
        if self.operation.back_on is None:
            return self.count.words or "to come"
        return self.operation.result or "back, to be checked"

    @property
    def can_be_taken_off(self) -> bool:
        return self.operation.back_on is None and not self.count.words


@dataclass(frozen=True)
class OrderSheet:
    order: PurchaseOrder
    lines: tuple[OrderedLine, ...]
    today: date

    @property
    def is_cancelled(self) -> bool:
        return not self.lines

    @property
    def is_open(self) -> bool:
        return any(not line.is_in for line in self.lines)

    @property
    def came(self) -> int:
        return sum(line.is_in for line in self.lines)

    @property
    def state(self) -> str:
        if self.is_cancelled:
            return "cancelled"
        if not self.is_open:
            return "all in"
        lines = "line" if len(self.lines) == 1 else "lines"
        return f"{self.came} of {len(self.lines)} {lines} in" if self.came else "to come"

    @property
    def late_words(self) -> str:
        expected = self.order.expected_on
        if not self.is_open or expected is None or expected >= self.today:
            return ""
        return f"{days_words((self.today - expected).days)} late"

    @property
    def can_be_cancelled(self) -> bool:
        return bool(self.lines) and all(line.can_be_taken_off for line in self.lines)

    @property
    def cars(self) -> str:
        return ", ".join(sorted({line.operation.part.car.name for line in self.lines}))

    @property
    def total(self) -> Decimal | None:
        costs = [line.operation.cost for line in self.lines if line.operation.cost is not None]
        return sum(costs, Decimal(0)) if costs else None

    @property
    def without_price(self) -> int:
        return sum(line.operation.cost is None for line in self.lines)


@dataclass(frozen=True)
class OrderList:
    open: tuple[OrderSheet, ...]  # what is expected first stands first
    closed: tuple[OrderSheet, ...]  # newest first


def read_order(order: PurchaseOrder, today: date) -> OrderSheet:
    """Two queries: its lines, and what came of them."""
    rows = order.lines.select_related("part__car", "part__material", "process", "sent_drawing").order_by(
        "part__name", "part__car__name", "sequence"
    )
    return _sheet(order, rows.prefetch_related("goods_in"), today)


def read_order_list(today: date) -> OrderList:
    """Three queries: orders, their lines, and what came of those."""
    rows = Operation.objects.select_related("part__car", "part__material", "process", "sent_drawing")
    lines = Prefetch("lines", rows.prefetch_related("goods_in"))
    orders = PurchaseOrder.objects.select_related("supplier", "ordered_by").prefetch_related(lines)
    sheets = [_sheet(order, order.lines.all(), today) for order in orders]
    still = [sheet for sheet in sheets if sheet.is_open]
    return OrderList(
        open=tuple(sorted(still, key=lambda sheet: (sheet.order.expected_on or date.max, sheet.order.pk))),
        closed=tuple(sheet for sheet in sheets if not sheet.is_open),
    )


def _sheet(order: PurchaseOrder, rows: Iterable[Operation], today: date) -> OrderSheet:
    return OrderSheet(order, tuple(OrderedLine(row, count_of(row)) for row in rows), today)

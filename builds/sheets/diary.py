"""Days to know of: goods out, goods in, promises and order-by dates, as a phone's calendar takes them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

from django.urls import reverse

from builds.exporting.calendar import Entry
from builds.facts import MilestoneFacts, OperationFacts, WorkshopFacts
from builds.models import Away, Milestone
from parts.batching.words import short_day
from parts.models import FinishingBatch, Operation, Process

AHEAD = timedelta(days=120)  # what is farther off still moves too much to stand in a diary

Address = Callable[[str], str]  # makes a whole address of a path
Line = tuple[Operation, OperationFacts]


def read_diary(facts: WorkshopFacts, *, for_manager: bool, address: Address) -> list[Entry]:
    """Everything until four months from today. Five queries beside the network's.

    What a customer was promised is for managers, with the forecast: `facts` are then those with people.
    Things of one supplier on one day are one entry.
    """
    lines = _lines(facts)
    entries = [
        *_orders(lines, facts.today, address),
        *_goods_out(lines, facts.today, address),
        *_goods_in(lines, facts.today, address),
        *_cars_away(facts.today, address),
    ]
    if for_manager:
        entries += _promises(facts, address)
    last = facts.today + AHEAD
    return sorted(
        (entry for entry in entries if entry.first_day <= last),
        key=lambda entry: (entry.first_day, entry.key),
    )


def _lines(facts: WorkshopFacts) -> list[Line]:
    rows = Operation.objects.filter(supplier__isnull=False, back_on__isnull=True, result="")
    rows = rows.filter(part__car__handed_over_on__isnull=True)
    rows = rows.select_related("part__car", "process", "supplier", "batch").order_by("pk")
    return [(row, facts.operations[row.pk]) for row in rows if row.pk in facts.operations]


def _orders(lines: list[Line], today: date, address: Address) -> Iterator[Entry]:
    """What is bought in and not ordered, on the last day that does no harm; what is overdue, today."""
    days: dict[tuple[int, date], list[Line]] = {}
    for row, known in lines:
        if row.sent_on is None and row.process.kind == Process.Kind.SUPPLY and known.order_by is not None:
            days.setdefault((row.supplier_id, max(today, known.order_by)), []).append((row, known))
    for (supplier_id, day), found in days.items():
        yield Entry(
            f"order-{supplier_id}-{day:%Y%m%d}",
            day,
            day,
            f"Order by today: {_count(found)} from {found[0][0].supplier}",
            tuple(_order_line(row, known, today) for row, known in found),
            address(reverse("orders")),
        )


def _order_line(row: Operation, known: OperationFacts, today: date) -> str:
    overdue = known.order_by is not None and known.order_by < today
    was = f", was to be ordered by {short_day(known.order_by, today)}" if overdue and known.order_by else ""
    return f"{_piece(row)}{was}"


def _goods_out(lines: list[Line], today: date, address: Address) -> Iterator[Entry]:
    """Batches that wait, and single lines that can go."""
    batches: dict[FinishingBatch, list[Line]] = {}
    single: dict[tuple[int, date], list[Line]] = {}
    for row, known in lines:
        if row.sent_on is not None or row.process.kind == Process.Kind.SUPPLY or known.leaves_on is None:
            continue
        if row.batch is not None:
            batches.setdefault(row.batch, []).append((row, known))
        else:
            single.setdefault((row.supplier_id, max(today, known.leaves_on)), []).append((row, known))
    for batch, found in batches.items():
        day = max(today, *(known.leaves_on for _, known in found if known.leaves_on))
        yield Entry(
            f"batch-{batch.pk}",
            day,
            day,
            f"Goods out: {batch} to {found[0][0].supplier}",
            tuple(_piece(row) for row, _ in found),
            address(reverse("batch", args=[batch.pk])),
        )
    for (supplier_id, day), found in single.items():
        yield Entry(
            f"out-{supplier_id}-{day:%Y%m%d}",
            day,
            day,
            f"Goods out: {_count(found)} to {found[0][0].supplier}",
            tuple(_piece(row) for row, _ in found),
            address(reverse("supplier", args=[supplier_id])),
        )


def _goods_in(lines: list[Line], today: date, address: Address) -> Iterator[Entry]:
    """What is out: on the day promised; where that is over or not given, when the network expects it."""
    days: dict[tuple[int, date, bool], list[Line]] = {}
    for row, known in lines:
        if row.sent_on is None:
            continue
        promised = row.promised_on if row.promised_on and row.promised_on >= today else None
        day = promised or known.back_on
        if day is not None:
            days.setdefault((row.supplier_id, day, promised is not None), []).append((row, known))
    for (supplier_id, day, is_promised), found in days.items():
        word = "Promised" if is_promised else "Expected, no day given"
        yield Entry(
            f"in-{supplier_id}-{day:%Y%m%d}-{'promised' if is_promised else 'expected'}",
            day,
            day,
            f"{word}: {_count(found)} from {found[0][0].supplier}",
            tuple(_piece(row) for row, _ in found),
            address(reverse("waiting")),
        )


def _cars_away(today: date, address: Address) -> Iterator[Entry]:
    rows = Away.objects.not_back().filter(car__handed_over_on__isnull=True).select_related("car", "supplier")
    for away in rows:
        url = address(reverse("car", args=[away.car_id]))
        words = (f"At {away.supplier} for {away.what_for}",)
        if away.leaves_on >= today:
            title = f"{away.car} leaves for {away.supplier}"
            yield Entry(f"leaves-{away.pk}", away.leaves_on, away.leaves_on, title, words, url)
        due = max(today, away.due_back_on)
        late = "" if away.due_back_on >= today else f", was due {short_day(away.due_back_on, today)}"
        yield Entry(f"returns-{away.pk}", due, due, f"{away.car} due back{late}", words, url)


def _promises(facts: WorkshopFacts, address: Address) -> Iterator[Entry]:
    names = dict(Milestone.objects.values_list("pk", "car__name"))
    for car in facts.cars.values():
        for milestone in car.milestones:
            if milestone.promised_on is None or milestone.reached_on is not None:
                continue
            by_now = _chances(milestone, facts.today)
            yield Entry(
                f"milestone-{milestone.milestone_id}",
                milestone.promised_on,
                milestone.promised_on,
                f"{names[milestone.milestone_id]}: {milestone.name} promised to the customer",
                (by_now,) if by_now else (),
                address(reverse("car", args=[car.car_id])),
            )


def _chances(milestone: MilestoneFacts, today: date) -> str:
    """'Even chance Fri 11 Dec, four in five Wed 16 Dec'; without a forecast the date alone."""
    if milestone.window is not None:
        even, four = milestone.window.even_chance, milestone.window.four_in_five
        return f"Even chance {short_day(even, today)}, four in five {short_day(four, today)}"
    return f"Expected {short_day(milestone.on, today)}" if milestone.on else ""


def _count(found: list[Line]) -> str:
    return found[0][0].part.name if len(found) == 1 else f"{len(found)} parts"


def _piece(row: Operation) -> str:
    return f"{row.part.car}: {row.part}, {row.process.name.lower()}, {row.pieces} off"

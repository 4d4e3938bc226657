"""One finish across all cars, worked out: the pieces, who finishes them, and every answer worth having."""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256

from builds.network.calendars import supplier_calendar
from builds.schedule.calendar import WorkCalendar
from builds.sheets.finishing import Piece as Line
from parts.batching.answers import Answer, Frontier, PlannedLot
from parts.batching.choosing import chosen
from parts.batching.errors import BatchingError
from parts.batching.frontier import frontier
from parts.batching.pieces import DAY_MIN, Finisher, Piece
from parts.batching.reasons import reason
from parts.batching.words import short_day
from parts.models import Process, Supplier

from .days import ShopDays, back, trips
from .pieces import LeftOut, Reader, colour_sets, sized, too_much
from .tariffs import Gap, PriceList, Prices, price_list

DAYS_AFTER_THE_LAST = 130  # working days beyond the last piece's readiness that are looked at
KEPT = 64


class NotWorkedOut(Exception):
    """There is no answer for a lot; the message says why in a sentence for people."""


@dataclass(frozen=True)
class Working:
    """The calculation for one finish, with all that went into it."""

    supplier: Supplier
    process: Process
    lines: Mapping[int, Line]
    pieces: tuple[Piece, ...]
    finisher: Finisher
    prices: PriceList
    days: ShopDays
    calendar: WorkCalendar  # the finisher's working days
    today: date
    lead_days: int
    lead_days_of: Mapping[int, int]
    ready_on: Mapping[int, date]
    ready_at: Mapping[int, int]  # in minutes of working days
    gaps: tuple[Gap, ...]
    left_out: tuple[LeftOut, ...]
    parted: tuple[str, ...]  # words of colour-match sets that are too much for one lot
    day_pence: int | None
    found: Frontier

    @property
    def chosen(self) -> Answer:
        return chosen(self.found, self.day_pence)

    @property
    def why(self) -> str:
        return self.reason_for(self.chosen)

    def reason_for(self, answer: Answer) -> str:
        worth = self.day_pence if answer is self.chosen else None
        return reason(self.found, answer, self.pieces, self.day_words, worth, is_priced=self.prices.is_priced)

    def leaves_on(self, lot: PlannedLot) -> date:
        return self.days.day(lot.leaves_day)

    def back_on(self, lot: PlannedLot) -> date:
        """The day on which its slowest piece is back, as every page counts it.

        It waits for no other lot that leaves later on the same day, nor for what is slower in another lot.
        """
        last_at = max(self.ready_at[number] for number in lot.piece_ids)
        slowest = max(self.lead_days_of[number] for number in lot.piece_ids)
        minute = max(0, last_at - lot.leaves_day * DAY_MIN)
        back_at = back(self.days, self.calendar, slowest, lot.leaves_day, minute)
        return self.days.day(lot.back_day if back_at is None else back_at // DAY_MIN)

    def day_words(self, number: int) -> str:
        return short_day(self.days.day(number), self.today)

    @property
    def is_at_least(self) -> bool:
        """Something that would cost money is not known."""
        return bool(self.gaps)

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All that can be chosen: the frontier, and its two plain ends where they are not on it."""
        listed = list(self.found.answers)
        for plain in (self.found.apart, self.found.together):
            if all(plain.lots != answer.lots for answer in listed):
                listed.append(plain)
        return tuple(listed)

    @property
    def seen(self) -> str:
        """A mark that changes when anything that the answers come from does."""
        told = (self.supplier.pk, self.days.days[:1], self.pieces, _key(self.pieces, self.finisher))
        return sha256(repr(told).encode()).hexdigest()[:20]


def worked_out(
    lines: Sequence[Line],
    supplier: Supplier,
    reader: Reader,
    prices: Prices,
    day_pence: int | None = None,
) -> Working:
    """Work one finish out. Raises NotWorkedOut if no line can be taken, or no day is known for the last."""
    process = lines[0].operation.process
    listed = price_list(supplier, process, prices)
    by_id = {line.id: line for line in lines}
    pieces, gaps, left_out = _taken(lines, reader, listed, supplier)
    leads = {line.id: lead_days(line, supplier) for line in lines}
    slowest = max(leads[piece.piece_id] for piece in pieces)
    calendar = _calendar(reader, supplier)
    last = max(piece.ready_day for piece in pieces) + DAYS_AFTER_THE_LAST
    ready_at = {p.piece_id: at for p in pieces if (at := reader.ready_at(by_id[p.piece_id])) is not None}
    leaves_at = _leaves_at(ready_at.values())
    finisher = replace(
        trips(reader.days, calendar, slowest, last, leaves_at), tariff=listed.tariff, limits=listed.limits
    )
    if max(piece.ready_day for piece in pieces) > max(finisher.back_on, default=-1):
        raise NotWorkedOut(f"{supplier} takes nothing in on any day that is known once the last is ready.")
    pieces, parted = _within_a_lot(pieces, finisher)
    sooner = {lead for lead in leads.values() if lead < slowest}
    own_trips = {lead: trips(reader.days, calendar, lead, last, leaves_at) for lead in sooner}
    pieces = [_wanted(piece, finisher, own_trips.get(leads[piece.piece_id])) for piece in pieces]
    try:
        found = _kept_frontier(pieces, finisher)
    except BatchingError as error:
        raise NotWorkedOut(str(error)) from error
    return Working(
        supplier=supplier,
        process=process,
        lines=by_id,
        pieces=tuple(pieces),
        finisher=finisher,
        prices=listed,
        days=reader.days,
        calendar=calendar,
        today=reader.facts.today,
        lead_days=slowest,
        lead_days_of=leads,
        ready_on={p.piece_id: day for p in pieces if (day := reader.ready_on(by_id[p.piece_id]))},
        ready_at=ready_at,
        gaps=(*listed.gaps, *gaps),
        left_out=tuple(left_out),
        parted=parted,
        day_pence=day_pence,
        found=found,
    )


def lead_days(line: Line, supplier: Supplier) -> int:
    """The likely lead time on the route card, and carriage there and back."""
    return line.operation.lead_likely_days + 2 * supplier.carriage_days


def usual_supplier(lines: Sequence[Line]) -> Supplier:
    """The finisher that most of the route cards name."""
    named = Counter(line.operation.supplier_id for line in lines)
    most = named.most_common(1)[0][0]
    found = next(line.operation.supplier for line in lines if line.operation.supplier_id == most)
    assert found is not None  # lines done in our own shop are in no lot
    return found


def _pieces(lines: Sequence[Line], reader: Reader) -> tuple[list[Piece], list[LeftOut]]:
    sets = colour_sets(lines)
    pieces, left_out = [], []
    for line in lines:
        piece = reader.piece(line, colour_set=sets[line.id])
        if piece is None:
            left_out.append(LeftOut(line, "nobody knows when it is ready"))
        elif piece.ready_day >= len(reader.days.days):
            left_out.append(LeftOut(line, "it is ready too far ahead"))
        else:
            pieces.append(piece)
    return pieces, left_out


def _taken(
    lines: Sequence[Line], reader: Reader, listed: PriceList, supplier: Supplier
) -> tuple[list[Piece], list[Gap], list[LeftOut]]:
    """The pieces that the finisher can take, what is not known of them, and what is left out."""
    pieces, left_out = _pieces(lines, reader)
    by_id = {line.id: line for line in lines}
    pieces, gaps = sized(pieces, listed.tariff, listed.limits, by_id)
    kept = []
    for piece in pieces:
        words = too_much(piece, listed.limits, supplier.name)
        if words:
            left_out.append(LeftOut(by_id[piece.piece_id], words))
        else:
            kept.append(piece)
    if not kept:
        raise NotWorkedOut(f"There is nothing to compare. {'; '.join(map(str, left_out))}.")
    return kept, gaps, left_out


def _calendar(reader: Reader, supplier: Supplier) -> WorkCalendar:
    rows = reader.solution.model.rows
    return supplier_calendar(rows, rows.suppliers[supplier.pk], reader.facts.today)


def _leaves_at(ready_at: Iterable[int]) -> dict[int, int]:
    """For each day the minute from which all that becomes ready on it can leave: one trip takes it."""
    found: dict[int, int] = {}
    for at in ready_at:
        day, minute = divmod(at, DAY_MIN)
        found[day] = max(minute, found.get(day, 0))
    return found


def _wanted(piece: Piece, finisher: Finisher, own: Finisher | None) -> Piece:
    """The piece with the last moment at which the whole lot can be back.

    A piece that is done sooner than the slowest can leave later: its moment is moved by as many days. And
    leaving with the first trip that it can catch loses no day.
    """
    limit_at = piece.limit_at
    if limit_at is None:
        return piece
    if own is not None:
        in_time = [d for d in own.back_on if own.back_at(d) <= limit_at and d in finisher.back_on]
        day = in_time[-1] if in_time else min(finisher.back_on)
        limit_at += (finisher.back_on[day] - own.back_on[day]) * DAY_MIN
    first = next((day for day in sorted(finisher.back_on) if day >= piece.ready_day), None)
    if first is not None:
        limit_at = max(limit_at, finisher.back_at(first))
    return replace(piece, limit_day=limit_at // DAY_MIN, limit_minute=limit_at % DAY_MIN)


def _within_a_lot(pieces: Sequence[Piece], finisher: Finisher) -> tuple[list[Piece], tuple[str, ...]]:
    """Part the colour-match sets that are more than one lot holds."""
    limits = finisher.limits
    parted = []
    for name in sorted({piece.colour_set for piece in pieces if piece.colour_set}):
        members = [piece for piece in pieces if piece.colour_set == name]
        for used, most in (
            (sum(p.quantity * (p.area_cm2 or 0) for p in members), limits.area_cm2),
            (sum(p.quantity * (p.mass_g or 0) for p in members), limits.mass_g),
            (sum(p.quantity for p in members), limits.pieces),
        ):
            if most is not None and used > most and name not in parted:
                parted.append(name)
    kept = [replace(p, colour_set="") if p.colour_set in parted else p for p in pieces]
    return kept, tuple(name.partition(":")[2] for name in parted)


_frontiers: OrderedDict[object, Frontier] = OrderedDict()


def _kept_frontier(pieces: Sequence[Piece], finisher: Finisher) -> Frontier:
    """Worked out once for each question, by value."""
    question = (tuple(pieces), _key(pieces, finisher))
    found = _frontiers.get(question)
    if found is None:
        found = _frontiers[question] = frontier(pieces, finisher)
        while len(_frontiers) > KEPT:
            _frontiers.popitem(last=False)
    return found


def _key(pieces: Sequence[Piece], finisher: Finisher) -> tuple[object, ...]:
    back_at = tuple((day, finisher.back_at(day)) for day in sorted(finisher.back_on))
    return (back_at, finisher.tariff, finisher.limits)

"""One lot's own page: all answers, what the network and the draws say of them, and how it was worked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from builds.batching.desk import Desk, Standing, suppliers_of
from builds.batching.otherwise import DRAWS, StartUp, chances_of, start_ups
from builds.batching.working import Working
from builds.network import WorkshopState
from builds.network.rows import CarRow
from builds.sheets.finishing import BatchSheet, Finishing
from builds.sheets.finishing import Piece as Line
from builds.sheets.finishing_answers import AnswersSheet, Column, column, difference, read_answers
from builds.sheets.supplier_prices import charges_in_words, limits_in_words
from parts.batching.chances import Chances
from parts.batching.pieces import Piece, price_pence
from parts.batching.reasons import pounds
from parts.models import Supplier, SupplierClosure

CLOSURES_SHOWN = 6


@dataclass(frozen=True)
class Checked:
    """What the network makes of one answer."""

    is_chosen: bool
    lines: tuple[StartUp, ...]


@dataclass(frozen=True)
class Odds:
    """One answer when the ready days are drawn."""

    is_chosen: bool
    words: tuple[str, ...]


@dataclass(frozen=True)
class Input:
    """One piece as the calculation took it."""

    line: Line
    piece: Piece
    ready_on: date | None
    wanted_on: date | None
    waits_for: str  # "first start-up", "handover" or nothing
    lead_days: int
    size: str
    price: str


@dataclass(frozen=True)
class LotPage:
    """Everything that is said about one lot."""

    answers: AnswersSheet
    kept: Column | None  # as the waiting batches stand
    kept_against: str
    batches: tuple[BatchSheet, ...]
    checks: tuple[Checked, ...]
    odds: tuple[Odds, ...]
    inputs: tuple[Input, ...]
    charges: tuple[str, ...]
    limits: tuple[str, ...]
    closures: tuple[SupplierClosure, ...]
    suppliers: tuple[Supplier, ...]
    draws: int
    cars: tuple[CarRow, ...]  # those of its pieces, and those that an answer would move

    @property
    def working(self) -> Working:
        return self.answers.working


@dataclass(frozen=True)
class Pool:
    """The lines that a calculation is about, and the batches in which they wait."""

    working: Working
    standing: Standing | None
    desk: Desk
    lines: tuple[Line, ...]

    @property
    def batches(self) -> tuple[BatchSheet, ...]:
        return self.standing.batches if self.standing else ()

    @property
    def versions(self) -> Mapping[int, int]:
        return {sheet.batch.pk: sheet.batch.version for sheet in self.batches}


def find_pool(
    state: WorkshopState,
    sheet: Finishing,
    operation_id: int,
    *,
    supplier_id: int | None = None,
    day_pence: int | None = None,
) -> Pool | None:
    """The lot that a line belongs to, free or waiting in batches; None if it is in none.

    Raises NotWorkedOut if there is no answer for it.
    """
    desk = Desk.of(state, suppliers_of(sheet.lots, sheet.waiting), day_pence)
    for standing in desk.standings(sheet.waiting):
        lines = [line for batch in standing.batches for line in batch.pieces]
        if any(line.id == operation_id for line in lines):
            return Pool(standing.working, standing, desk, tuple(lines))
    for item in sheet.lots:
        for wave in desk.waves(item.pieces) if item.pieces else ():
            if any(line.id == operation_id for line in wave):
                supplier = _supplier(wave[0], supplier_id)
                if supplier is not None:
                    desk = Desk.of(state, [supplier.pk], day_pence)
                return Pool(desk.lot(wave, supplier), None, desk, tuple(wave))
    return None


def read_lot(state: WorkshopState, pool: Pool) -> LotPage:
    """All of the lot's page."""
    working = pool.working
    answers = read_answers(working, all_of_them=True)
    every = [working.answers[one.number] for one in answers.columns]
    chosen = [one.is_chosen for one in answers.columns]
    drawn = chances_of(state, pool.desk.reader, working, every)
    supplier = working.supplier
    moves = start_ups(state, working, every)
    return LotPage(
        answers=answers,
        kept=column(working, pool.standing.kept, 0) if pool.standing else None,
        kept_against=difference(working, pool.standing.kept, working.chosen) if pool.standing else "",
        batches=pool.batches,
        checks=tuple(map(Checked, chosen, moves)),
        odds=tuple(Odds(own, _odds_words(working, one)) for own, one in zip(chosen, drawn, strict=True))
        if drawn
        else (),
        inputs=tuple(_input(working, piece) for piece in working.pieces),
        charges=charges_in_words(working.prices.price) if working.prices.price else (),
        limits=limits_in_words(working.prices.price) if working.prices.price else (),
        closures=tuple(supplier.closures.filter(last_day__gte=working.today)[:CLOSURES_SHOWN]),
        suppliers=tuple(Supplier.objects.filter(processes=working.process)),
        draws=DRAWS,
        cars=tuple(_cars(state, pool.lines, moves)),
    )


def _cars(
    state: WorkshopState, lines: Sequence[Line], moves: Sequence[Sequence[StartUp]]
) -> Iterator[CarRow]:
    own = {line.candidate.car_id for line in lines}
    moved = {move.car for answer in moves for move in answer}
    return (car for car in state.model.rows.cars.values() if car.id in own or car.name in moved)


def _supplier(line: Line, supplier_id: int | None) -> Supplier | None:
    if supplier_id is None:
        return None
    return Supplier.objects.filter(pk=supplier_id, processes=line.operation.process_id).first()


def _odds_words(working: Working, odds: Chances) -> tuple[str, ...]:
    money = (f"{pounds(round(odds.cost_pence / 100) * 100)} on average",) if working.prices.is_priced else ()
    return (
        *money,
        f"{odds.days_lost:.1f} days lost on average",
        f"no day lost in {round(100 * odds.no_day_lost)} of 100",
    )


def _input(working: Working, piece: Piece) -> Input:
    limit = None if piece.limit_day is None else working.days.day(piece.limit_day)
    line = working.lines[piece.piece_id]
    part = line.operation.part
    of_one = [f"{part.area_m2.normalize():f} m²"] if part.area_m2 else []
    of_one += [f"{part.mass_kg.normalize():f} kg"] if part.mass_kg else []
    return Input(
        line=line,
        piece=piece,
        ready_on=working.ready_on.get(piece.piece_id),
        wanted_on=limit,
        waits_for="" if limit is None else piece.milestone or "first start-up",
        lead_days=working.lead_days_of[piece.piece_id],
        size=", ".join(of_one),
        price=pounds(price_pence(piece, working.finisher.tariff)) if working.prices.is_priced else "",
    )

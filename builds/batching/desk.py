"""Works out the lots of a page: what is free, and what waits in batches, against one network."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from builds.network import WorkshopState
from builds.network.calendars import supplier_calendar
from builds.network.model import Model
from builds.schedule.calendar import WorkCalendar
from builds.sheets.finishing import BatchSheet, LotSheet
from builds.sheets.finishing import Piece as Line
from parts.batching.answers import Answer
from parts.batching.choosing import priced_again
from parts.batching.errors import BatchingError
from parts.batching.lots import finish_key
from parts.models import FinishingBatch, Supplier

from .days import ShopDays
from .pieces import Reader
from .tariffs import Prices, read_prices
from .waves import waves
from .working import NotWorkedOut, Working, usual_supplier, worked_out

Finish = tuple[tuple[str, str, str], int]  # finish and finisher


@dataclass(frozen=True)
class Standing:
    """Batches of one finish that wait at home, against the best that could be done with their pieces now."""

    batches: tuple[BatchSheet, ...]
    working: Working
    kept: Answer

    @property
    def days_more(self) -> int:
        """Days lost by staying with the batches as they are."""
        return self.kept.days_lost - self.working.chosen.days_lost

    @property
    def pence_more(self) -> int:
        return self.kept.cost_pence - self.working.chosen.cost_pence

    @property
    def is_as_good(self) -> bool:
        """Nothing loses fewer days, or as many for less."""
        return (self.days_more, self.pence_more) <= (0, 0) or (self.days_more == 0 and self.pence_more <= 0)

    @property
    def has_slipped(self) -> bool:
        """A piece is ready later than its batch was planned to leave."""
        return any(sheet.has_slipped for sheet in self.batches)


@dataclass(frozen=True)
class Desk:
    """One network with the prices of those who finish."""

    state: WorkshopState
    prices: Prices
    day_pence: int | None = None

    @classmethod
    def of(cls, state: WorkshopState, suppliers: Iterable[int], day_pence: int | None = None) -> Desk:
        return cls(state, read_prices(suppliers), day_pence)

    @cached_property
    def reader(self) -> Reader:
        return Reader(self.state.solution, self.state.facts(), ShopDays.of(self.state.model))

    def calendar(self, supplier: Supplier) -> WorkCalendar:
        """The finisher's working days."""
        rows = self.state.model.rows
        return supplier_calendar(rows, rows.suppliers[supplier.pk], self.state.model.today)

    def lot(self, lines: Sequence[Line], supplier: Supplier | None = None) -> Working:
        """The answers for lines that are free, at the finisher that most of them name unless one is given.

        Raises NotWorkedOut.
        """
        return worked_out(lines, supplier or usual_supplier(lines), self.reader, self.prices, self.day_pence)

    def waves(self, lines: Sequence[Line]) -> list[list[Line]]:
        """Lines of one lot, apart where one waits for the return of another."""
        return waves(lines, self.state.solution)

    def standing(self, batches: Sequence[BatchSheet]) -> Standing | None:
        """What batches of one finish and finisher cost as they are now, and what would be best.

        Days are counted from what could be if none of these pieces waited for another.
        """
        lines = [line for sheet in batches for line in sheet.pieces]
        reader, supplier = self._reader_without(lines), batches[0].batch.supplier
        try:
            working = worked_out(lines, supplier, reader, self.prices, self.day_pence)
        except NotWorkedOut:
            return None
        known = {piece.piece_id for piece in working.pieces}
        lots = [[line.id for line in sheet.pieces if line.id in known] for sheet in batches]
        floors = self._floors(batches)
        as_planned = [
            replace(piece, ready_day=max(piece.ready_day, floors.get(piece.piece_id, 0)))
            for piece in working.pieces
        ]
        try:
            kept = priced_again(as_planned, working.finisher, lots)
        except BatchingError:
            return None
        return Standing(tuple(batches), working, kept)

    def standings(self, batches: Iterable[BatchSheet]) -> list[Standing]:
        """For all waiting batches, those of one finish and finisher together."""
        found = []
        for alike in by_finish(batches):
            levels: dict[int, list[BatchSheet]] = {}
            lines = [line for sheet in alike for line in sheet.pieces]
            wave_of = {line.id: n for n, wave in enumerate(self.waves(lines)) for line in wave}
            for sheet in alike:
                levels.setdefault(max(wave_of[line.id] for line in sheet.pieces), []).append(sheet)
            found += [standing for own in levels.values() if (standing := self.standing(own))]
        return found

    def _reader_without(self, lines: Sequence[Line]) -> Reader:
        """A reader of the network in which these lines are in no batch."""
        rows = self.state.model.rows
        own = {line.id for line in lines}
        freed = {
            number: row._replace(batch_id=None) if number in own else row
            for number, row in rows.operations.items()
        }
        state = WorkshopState(Model(replace(rows, operations=freed), self.state.model.today))
        return Reader(state.solution, state.facts(), self.reader.days)

    def _floors(self, batches: Sequence[BatchSheet]) -> Mapping[int, int]:
        """The day before which a line does not leave, as its batch is planned for it."""
        days, today = self.reader.days, self.state.model.today
        return {
            line.id: days.by_end_of(sheet.batch.planned_on)
            for sheet in batches
            if sheet.batch.planned_on and sheet.batch.planned_on > today
            for line in sheet.pieces
        }


def by_finish(batches: Iterable[BatchSheet]) -> list[list[BatchSheet]]:
    """Waiting batches that leave when all are ready, by finish and finisher; those with a fixed day stay."""
    found: dict[Finish, list[BatchSheet]] = {}
    for sheet in batches:
        batch = sheet.batch
        if batch.sent_on is None and batch.leaves == FinishingBatch.Leaves.WHEN_READY and sheet.pieces:
            key = (finish_key(batch.process.name, batch.colour, batch.coating_class), batch.supplier_id)
            found.setdefault(key, []).append(sheet)
    return list(found.values())


def suppliers_of(lots: Iterable[LotSheet], batches: Iterable[BatchSheet]) -> set[int]:
    found = {line.operation.supplier_id for lot in lots for line in lot.pieces}
    return {number for number in found if number} | {sheet.batch.supplier_id for sheet in batches}

"""The Finishing page for a manager: every lot with its answers, batches against the best, joint trips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builds.batching.desk import Desk, Standing, suppliers_of
from builds.batching.rounds import JointTrips, joint_trips
from builds.batching.working import NotWorkedOut, Working
from builds.models import Workshop
from builds.network import WorkshopState
from builds.sheets.finishing import BatchSheet, Finishing, LotSheet
from builds.sheets.finishing_answers import AnswersSheet, days_words, read_answers
from parts.batching.reasons import pounds


@dataclass(frozen=True)
class LotBlock:
    """A lot with what could be done about it."""

    item: LotSheet
    answers: tuple[AnswersSheet, ...] = ()  # one for each wave
    refusals: tuple[str, ...] = ()

    @property
    def folds(self) -> bool:
        """Nothing of it can go yet, and the answers say when it can: its parts are shown when asked for."""
        return bool(self.answers) and not self.item.ready_ids


@dataclass(frozen=True)
class StandingSheet:
    """Waiting batches of one finish against the best that could be done with their pieces."""

    standing: Standing

    @property
    def batches(self) -> tuple[BatchSheet, ...]:
        return self.standing.batches

    @property
    def lot_id(self) -> int:
        return min(line.id for sheet in self.batches for line in sheet.pieces)

    @property
    def words(self) -> str:
        """What staying with the batches costs against the best answer now."""
        standing = self.standing
        if standing.is_as_good:
            return "still the best answer"
        days, pence = standing.days_more, standing.pence_more
        money = f"{pounds(abs(pence))} {'more' if pence > 0 else 'less'}" if pence else ""
        if not standing.working.prices.is_priced:
            money = ""
        days_more = f"{days_words(days)} more" if days else ""
        costs = " and ".join(words for words in (days_more, money) if words)
        return f"staying costs {costs} than the best answer now"

    @property
    def best(self) -> str:
        return self.standing.working.why


@dataclass(frozen=True)
class DeskSheet:
    """All of it."""

    lots: tuple[LotBlock, ...]
    standings: tuple[StandingSheet, ...]
    trips: tuple[JointTrips, ...]


def day_worth_pence() -> int | None:
    """What a day of first start-up is worth to the workshop; None if nobody has said. One query."""
    worth = Workshop.objects.current().day_worth
    return None if worth is None else round(worth * 100)


def read_desk(state: WorkshopState, sheet: Finishing) -> DeskSheet:
    """Work out every lot; two queries beside those of the network and of the sheet."""
    batches = (*sheet.waiting, *sheet.out)
    desk = Desk.of(state, suppliers_of(sheet.lots, batches), day_worth_pence())
    blocks, workings = [], []
    for item in sheet.lots:
        found, refusals = _answers(desk, item)
        workings += found
        blocks.append(LotBlock(item, tuple(map(read_answers, found)), tuple(refusals)))
    return DeskSheet(
        tuple(blocks),
        tuple(map(StandingSheet, desk.standings(sheet.waiting))),
        tuple(joint_trips(desk, batches, workings)),
    )


def without_desk(sheet: Finishing) -> DeskSheet:
    """The lots alone, for those who do not choose."""
    return DeskSheet(tuple(map(LotBlock, sheet.lots)), (), ())


def read_standing(
    state: WorkshopState, sheet: BatchSheet, alike: Sequence[BatchSheet]
) -> StandingSheet | None:
    """A waiting batch, with those of its finish among `alike`, against the best there is now."""
    desk = Desk.of(state, [sheet.batch.supplier_id], day_worth_pence())
    for standing in desk.standings(alike):
        if any(other.batch.pk == sheet.batch.pk for other in standing.batches):
            return StandingSheet(standing)
    return None


def _answers(desk: Desk, item: LotSheet) -> tuple[list[Working], list[str]]:
    found, refusals = [], []
    for wave in desk.waves(item.pieces) if item.pieces else ():
        try:
            found.append(desk.lot(wave))
        except NotWorkedOut as refusal:
            refusals.append(str(refusal))
    return found, refusals

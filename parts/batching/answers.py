"""Answers: which lots leave when, what they cost and which car pays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from parts.batching.grid import Grid
from parts.batching.packing import Numbers, Packer
from parts.batching.pieces import days_late
from parts.batching.plans import Plan


@dataclass(frozen=True, slots=True)
class PlannedLot:
    """What goes into one bath or oven together.

    Parameters
    ----------
    leaves_day, back_day : int
        Working days.
    piece_ids : tuple of int
        Its pieces, ascending.
    charge_pence : int
        Prices or minimum, and set-up [p].
    """

    leaves_day: int
    back_day: int
    piece_ids: tuple[int, ...]
    charge_pence: int


@dataclass(frozen=True, slots=True)
class CarLoss:
    """What one car pays in days.

    Parameters
    ----------
    car : str
        The car; with the milestone behind it where that is not first start-up.
    days : int
        Working days of that milestone lost by this choice [d].
    unavoidable_days : int
        How many of them would be lost if each piece left as soon as it could [d].
    piece_ids : tuple of int
        The pieces whose return sets the loss; empty if nothing is lost.
    """

    car: str
    days: int
    unavoidable_days: int
    piece_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """One way of sending everything.

    Parameters
    ----------
    lots : tuple of PlannedLot
        In order of leaving.
    cost_pence : int
        All lots, lines and trips [p].
    trips : int
        Days on which goods leave.
    days_lost : int
        Working days of first start-up lost, all cars together [d].
    cars : tuple of CarLoss
        Each car for which a milestone waits.
    bound_pence : int
        No way whatever that loses as few days costs less than this [p].
    """

    lots: tuple[PlannedLot, ...]
    cost_pence: int
    trips: int
    days_lost: int
    cars: tuple[CarLoss, ...]
    bound_pence: int

    @property
    def is_proven(self) -> bool:
        """Nothing costs less at so few days."""
        return self.cost_pence == self.bound_pence


@dataclass(frozen=True, slots=True)
class Frontier:
    """Answers none of which is bettered by another in both cost and days.

    Parameters
    ----------
    answers : tuple of Answer
        From the fewest days lost and dearest to the cheapest.
    together : Answer
        One trip when the last piece is ready, for comparison.
    apart : Answer
        Each piece with the first trip that it can catch, for comparison.
    gap_pence : int
        The most by which, at any number of days, a plan could be cheaper than the best found; 0 means that
        the answers are the whole truth [p].
    """

    answers: tuple[Answer, ...]
    together: Answer
    apart: Answer
    gap_pence: int

    @property
    def is_proven(self) -> bool:
        """No plan that anybody could think of beats these."""
        return self.gap_pence == 0


def answer_of(packer: Packer, plan: Plan, bound_pence: int) -> Answer:
    """Put a plan into the words of the outside.

    Parameters
    ----------
    packer : Packer
        Shares each day's units out into lots.
    plan : Plan
        What leaves when.
    bound_pence : int
        What is known of cheaper plans that lose no more [p].

    Returns
    -------
    Answer
        The same plan by pieces.
    """
    by_day = {day: list(packer.lots(numbers)) for day, numbers in plan.leaving.items()}
    return built(packer, by_day, bound_pence)


def built(packer: Packer, by_day: Mapping[int, Sequence[Numbers]], bound_pence: int | None) -> Answer:
    """Price lots and see what each car loses.

    Parameters
    ----------
    packer : Packer
        Knows what a lot costs.
    by_day : mapping of int to sequence of frozenset of int
        Number of the leaving day to the lots that leave then.
    bound_pence : int or None
        What is known of cheaper plans that lose no more; None if nothing is asked [p].

    Returns
    -------
    Answer
        In order of leaving.
    """
    grid = packer.grid
    lots = []
    for day in sorted(by_day):
        leaves = grid.days[day]
        for lot in sorted(by_day[day], key=min):
            price = sum(grid.units[number].price_pence for number in lot)
            inside = sorted(piece.piece_id for number in lot for piece in grid.units[number].pieces)
            back = grid.finisher.back_on[leaves]
            lots.append(PlannedLot(leaves, back, tuple(inside), price + packer.lot_charge(lot)))
    carriage = grid.finisher.tariff.carriage_pence * len(by_day)
    cost = sum(lot.charge_pence for lot in lots) + carriage + grid.lines_pence
    cars = _losses(grid, lots)
    return Answer(
        lots=tuple(lots),
        cost_pence=cost,
        trips=len(by_day),
        days_lost=sum(car.days for car in cars),
        cars=cars,
        bound_pence=cost if bound_pence is None else bound_pence,
    )


def _losses(grid: Grid, lots: Sequence[PlannedLot]) -> tuple[CarLoss, ...]:
    back = {piece: grid.finisher.back_at(lot.leaves_day) for lot in lots for piece in lot.piece_ids}
    late: dict[str, dict[int, int]] = {car: {} for car in grid.cars}
    for unit in grid.units:
        for piece in unit.pieces:
            if piece.limit_at is not None and back[piece.piece_id] > piece.limit_at:
                late[piece.payer][piece.piece_id] = days_late(back[piece.piece_id], piece.limit_at)
    found = []
    for index, car in enumerate(grid.cars):
        days = max(late[car].values(), default=0)
        causes = tuple(sorted(piece for piece, lost in late[car].items() if lost == days))
        found.append(CarLoss(car, days, int(grid.unavoidable[index]), causes))
    return tuple(found)

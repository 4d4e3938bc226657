"""Every sensible answer to 'send now or wait?': what it costs against what it loses.

See `frontier` for what is exact and why.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from parts.batching.errors import NegativeFigure, NotTheSamePieces
from parts.batching.grid import Grid, Ints
from parts.batching.packing import Packer
from parts.batching.pieces import Finisher, Piece, units
from parts.batching.plans import Plan, settled
from parts.batching.search import search
from parts.batching.sweep import Best, Sweep, most_days, sweep

FEW = 60  # labels in the sweep that looks for good plans
MANY = 800  # labels in the sweep that proves the fewest trips
SOME = 150  # labels in the sweep that bounds the cost where that is not enough
TRIES = 6_000  # single moves tried to better plans, in all
USUAL_DAYS = 60  # leaving days up to which a sweep has its full width; the time goes by their square


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
        The car.
    days : int
        Working days of first start-up lost by this choice [d].
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


def frontier(pieces: Sequence[Piece], finisher: Finisher) -> Frontier:
    """Give all answers worth having, from 'each when ready' to 'one lot, wait for all'.

    Parameters
    ----------
    pieces : sequence of Piece
        All pieces of one finish, across all cars.
    finisher : Finisher
        Who finishes them.

    Returns
    -------
    Frontier
        The answers with who leaves when, what it costs and which car pays.

    Raises
    ------
    BatchingError
        What `parts.batching.pieces.units` refuses; TripsCross if the days out and back make no sense.

    Notes
    -----
    A car loses the most that any of its pieces comes back too late; the days of all cars are added up.

    *When order of readiness is enough.* Let every further lot cost the same (no minimum charge, or one that
    not even everything together passes) and let everything fit into one lot. Take any plan and the days on
    which its lots leave. Let each unit, a piece or a colour-match set, go with the first of these days that
    it can catch. No unit leaves later than before, and goods that leave no later are back no later, so no
    car loses more; no day was added, and lots of one day may be joined, so it costs no more. In the new plan
    a lot holds what became ready since the trip before: it is consecutive in order of readiness. Hence some
    best plan is, for each number of days, and going through the trip days one after the other with all
    undominated labels finds it. This is the exchange argument of the dynamic lot-size model [1]_.

    *When it is not.* With a minimum charge that some lot passes and another does not, a unit that is free
    early can do better to wait: pieces priced £50 and £100 ready on days 0 and 1 and one of £50 on day 5,
    minimum £100. If the second may not wait, consecutive lots cost £250, but the first with the third
    and the second alone cost £200. Lot limits break the argument in the same way. Then all ways of letting
    units wait are searched, up to a fixed number of steps; if they do not suffice, the answers are the best
    found, and each carries a bound from a relaxed problem in which price can wait for a later lot in parts,
    limits apply to the whole only, and labels that are too many are merged into more hopeful ones [2]_.

    References
    ----------
    .. [1] H. M. Wagner, T. M. Whitin, Dynamic version of the economic lot size model, Management Science 5
       (1958) 89-96.
    .. [2] D. Bergman, A. A. Cire, W.-J. van Hoeve, J. Hooker, Decision Diagrams for Optimization, Springer
       2016, chapters 3 and 4.

    Examples
    --------
    >>> from parts.batching.pieces import Tariff, trips
    >>> bracket, pulley = Piece(1, "bracket", "Tern", 0, 20), Piece(2, "pulley", "Tern", 4, 10)
    >>> pieces = [bracket, pulley, Piece(3, "clip", "Skua", 6, 12)]
    >>> found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))
    >>> [(answer.days_lost, answer.cost_pence, len(answer.lots)) for answer in found.answers]
    [(0, 12000, 2), (1, 6000, 1)]
    """
    grid = Grid.of(units(pieces, finisher), finisher)
    packer = Packer(grid)
    best = Best(most_days(grid))
    plans: dict[int, Plan] = {}
    apart = Plan.of_trips(grid, range(len(grid.days)))
    together = Plan.of_trips(grid, ())
    _enter([apart, together], packer, best, plans)
    bound = _explore(grid, packer, best, plans)
    fixed = grid.total_pence + grid.lines_pence
    answers = [_answer(grid, packer, plans[days], int(bound[days]) + fixed) for days in best.steps()]
    return Frontier(
        answers=tuple(answers),
        together=_answer(grid, packer, together, int(bound[together.days(grid)]) + fixed),
        apart=_answer(grid, packer, apart, int(bound[apart.days(grid)]) + fixed),
        gap_pence=int((best.cost - bound).max()),
    )


def chosen(found: Frontier, day_pence: int | None = None) -> Answer:
    """Give the answer that we would take.

    Parameters
    ----------
    found : Frontier
        All answers.
    day_pence : int or None
        What one working day of one car's first start-up is worth to the workshop [p]. None if nobody says.

    Returns
    -------
    Answer
        With a day's worth: the lowest sum of cost and days, of equal ones the one that loses fewer. Without:
        the knee, which lies farthest below the straight line between the two ends once both scales run from
        0 to 1 [1]_; if there is none below it, the one that loses fewest days.

    Raises
    ------
    NegativeFigure
        If a day is worth less than nothing.

    References
    ----------
    .. [1] I. Das, On characterizing the 'knee' of the Pareto curve based on normal-boundary intersection,
       Structural Optimization 18 (1999) 107-115.

    Examples
    --------
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "bracket", "Tern", 0, 20), Piece(2, "clip", "Skua", 6, 8)]
    >>> found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))
    >>> len(chosen(found, day_pence=2000).lots)
    1
    """
    answers = found.answers
    if day_pence is not None:
        if day_pence < 0:
            raise NegativeFigure("The worth of a day", day_pence)
        return min(answers, key=lambda a: (a.cost_pence + day_pence * a.days_lost, a.days_lost))
    quick, cheap = answers[0], answers[-1]
    days, pence = cheap.days_lost - quick.days_lost, quick.cost_pence - cheap.cost_pence
    # distance below the line, times days × pence so that it stays a whole number
    return max(
        answers,
        key=lambda a: (
            (quick.cost_pence - a.cost_pence) * days - (a.days_lost - quick.days_lost) * pence,
            -a.days_lost,
        ),
    )


def priced_again(pieces: Sequence[Piece], finisher: Finisher, lots: Iterable[Sequence[int]]) -> Answer:
    """Keep to lots chosen earlier, whatever has changed since: each leaves when its last piece is ready.

    Parameters
    ----------
    pieces : sequence of Piece
        The same pieces with what is known of them now.
    finisher : Finisher
        Who finishes them.
    lots : iterable of sequence of int
        The pieces of each lot.

    Returns
    -------
    Answer
        What the old choice costs now, and which car pays. Its bound is its own cost.

    Raises
    ------
    NotTheSamePieces
        If the lots do not hold each of the pieces exactly once.
    BatchingError
        What `parts.batching.pieces.units` refuses; limits of a lot are not looked at, as it was agreed.

    Examples
    --------
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "bracket", "Tern", 0, 20), Piece(2, "clip", "Skua", 9, 12)]
    >>> kept = priced_again(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)), [(1, 2)])
    >>> kept.days_lost, kept.cost_pence
    (2, 6000)
    """
    kept = [frozenset(lot) for lot in lots]
    grid = Grid.of(units([_alone(piece) for piece in pieces], finisher), finisher)
    number = {unit.pieces[0].piece_id: n for n, unit in enumerate(grid.units)}
    named = [piece for lot in kept for piece in lot]
    if sorted(named) != sorted(number):
        raise NotTheSamePieces(sorted(set(number) - set(named)), sorted(set(named) - set(number)))
    groups = [frozenset(number[piece] for piece in lot) for lot in kept if lot]
    by_day: dict[int, list[frozenset[int]]] = {}
    for group in groups:
        by_day.setdefault(max(grid.first[n] for n in group), []).append(group)
    return _built(grid, Packer(grid), by_day, None)


def _alone(piece: Piece) -> Piece:
    """The piece without its set: lots that exist already need not be joined again."""
    return Piece(
        piece.piece_id, piece.name, piece.car, piece.ready_day, piece.limit_day, piece.quantity,
        piece.area_cm2, piece.mass_g, piece.size_mm,
    )  # fmt: skip


def _explore(grid: Grid, packer: Packer, best: Best, plans: dict[int, Plan]) -> Ints:
    """Find plans and a bound on all of them, from the quick means to the slow."""
    fewest = _count_trips(grid, packer, best, plans)
    bound = np.minimum(_least_cost(grid, fewest), best.cost)
    if (bound < best.cost).any():
        priced = sweep(grid, best, _width(grid, FEW), relaxed=False)
        _enter([Plan.of_trips(grid, trips) for trips in priced.plans()], packer, best, plans)
        _settle(packer, best, plans)
        hopeful = sweep(grid, best, _width(grid, SOME), relaxed=True)
        _enter([Plan.of_trips(grid, trips) for trips in hopeful.plans()], packer, best, plans)
        bound = np.minimum(np.maximum(bound, _lowest(grid, hopeful, best.cost)), best.cost)
    if (bound < best.cost).any() and search(grid, packer, best, plans):
        bound = best.cost
    return bound


def _width(grid: Grid, labels: int) -> int:
    """The number of labels to keep so that many leaving days take no longer than usual."""
    return max(20, int(labels * min(1.0, (USUAL_DAYS / len(grid.days)) ** 2)))


def _count_trips(grid: Grid, packer: Packer, best: Best, plans: dict[int, Plan]) -> Ints:
    """Enter plans with few trips; give the fewest trips that are not ruled out for each number of days."""
    thin = grid.thinned()
    counted = Best(most_days(thin))
    counted.add(0, len(thin.days))
    counted.add(most_days(thin), 1)
    at = [grid.days.index(day) for day in thin.days]
    for width, relaxed in ((FEW, False), (MANY, True)):
        done = sweep(thin, counted, width, relaxed=relaxed)
        for trips in done.plans():
            plan = Plan.of_trips(grid, [at[day] for day in trips])
            counted.add(plan.days(grid), len(plan.leaving))
            _enter([plan], packer, best, plans)
    return _lowest(thin, done, counted.cost)


def _least_cost(grid: Grid, trips: Ints) -> Ints:
    """What so many trips cost at least: no lot below the minimum, and as many lots as the room calls for."""
    tariff = grid.finisher.tariff
    lots = np.maximum(trips, grid.least_lots)
    short = np.maximum(tariff.minimum_pence * lots - grid.total_pence, 0)
    least: Ints = trips * tariff.carriage_pence + lots * tariff.setup_pence + short
    return least


def _lowest(grid: Grid, relaxed: Sweep, known: Ints) -> Ints:
    """For each number of days the lowest final label, or what is known already if that is less."""
    lowest = known.copy()
    final = relaxed.labels[-1]
    days = final.lost.sum(axis=1) - grid.unavoidable.sum()
    for lost, cost in zip(days, final.cost, strict=True):
        np.minimum(lowest[lost:], cost, out=lowest[lost:])
    return lowest


def _enter(found: Iterable[Plan], packer: Packer, best: Best, plans: dict[int, Plan]) -> None:
    for plan in found:
        days = plan.days(packer.grid)
        if best.add(days, plan.cost(packer)):
            plans[days] = plan


def _settle(packer: Packer, best: Best, plans: dict[int, Plan]) -> None:
    tries = TRIES
    for days in best.steps():
        plan, tries = settled(plans[days], packer, tries)
        _enter([plan], packer, best, plans)


def _answer(grid: Grid, packer: Packer, plan: Plan, bound_pence: int) -> Answer:
    by_day = {day: list(packer.lots(numbers)) for day, numbers in plan.leaving.items()}
    return _built(grid, packer, by_day, bound_pence)


def _built(
    grid: Grid, packer: Packer, by_day: dict[int, list[frozenset[int]]], bound_pence: int | None
) -> Answer:
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
    back = {piece: lot.back_day for lot in lots for piece in lot.piece_ids}
    late: dict[str, dict[int, int]] = {car: {} for car in grid.cars}
    for unit in grid.units:
        for piece in unit.pieces:
            if piece.limit_day is not None and back[piece.piece_id] > piece.limit_day:
                late[piece.car][piece.piece_id] = back[piece.piece_id] - piece.limit_day
    found = []
    for index, car in enumerate(grid.cars):
        days = max(late[car].values(), default=0)
        causes = tuple(sorted(piece for piece, lost in late[car].items() if lost == days))
        found.append(CarLoss(car, days, int(grid.unavoidable[index]), causes))
    return tuple(found)

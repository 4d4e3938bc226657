"""Every sensible answer to 'send now or wait?': what it costs against what it loses.

See `frontier` for what is exact and why.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from parts.batching.answers import Frontier, answer_of
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
    answers = [answer_of(packer, plans[days], int(bound[days]) + fixed) for days in best.steps()]
    return Frontier(
        answers=tuple(answers),
        together=answer_of(packer, together, int(bound[together.days(grid)]) + fixed),
        apart=answer_of(packer, apart, int(bound[apart.days(grid)]) + fixed),
        gap_pence=int((best.cost - bound).max()),
    )


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

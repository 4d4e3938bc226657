"""Partitions that are consecutive in order of readiness: every one worth having, day by day.

A *label* is one way of having sent all that became free up to a day: its cost so far and what each car
has lost so far. A label is dropped when another is no worse in every respect (cars that have nothing
more to come count by their sum only), or when even its most hopeful continuation cannot beat a plan
already found. If labels become too many, the *restricted* sweep keeps the most promising and finds good
plans; the *relaxed* sweep replaces several by their best entries in every column and so finds a bound
that holds for every plan. See D. Bergman, A. A. Cire, W.-J. van Hoeve, J. Hooker, *Decision Diagrams for
Optimization*, Springer 2016, chapters 3 and 4, for the pair of ideas.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from parts.batching.grid import FAR, Grid, Ints

BLOCK = 256  # rows compared at a time


@dataclass(frozen=True)
class Labels:
    """Ways of having sent everything up to one leaving day, one a row.

    Parameters
    ----------
    cost : ndarray, shape (n,)
        Beside the prices of the pieces, which every plan pays [p].
    pool : ndarray, shape (n,)
        Relaxed sweep only: price that may still wait to fill a later lot [p].
    lost : ndarray, shape (n, cars)
        Days lost by each car.
    day, row : ndarray, shape (n,)
        The label that it grew from.
    """

    cost: Ints
    pool: Ints
    lost: Ints
    day: Ints
    row: Ints

    def __len__(self) -> int:
        return len(self.cost)

    def take(self, rows: NDArray[np.intp] | NDArray[np.bool_]) -> "Labels":
        """Give some of the rows.

        Parameters
        ----------
        rows : ndarray
            Which.

        Returns
        -------
        Labels
            Those.
        """
        return Labels(self.cost[rows], self.pool[rows], self.lost[rows], self.day[rows], self.row[rows])


@dataclass(frozen=True)
class Sweep:
    """All labels of a sweep.

    Parameters
    ----------
    labels : tuple of Labels
        Entry 0 is the start, entry k + 1 stands for a trip on leaving day k.
    complete : bool
        None was left out or merged.
    """

    labels: tuple[Labels, ...]
    complete: bool

    def plans(self) -> list[list[int]]:
        """Give the leaving days of each final label.

        Returns
        -------
        list of list of int
            Numbers of leaving days, ascending. Of a merged label one of those it stands for.
        """
        return [self._trips_of(row) for row in range(len(self.labels[-1]))]

    def _trips_of(self, row: int) -> list[int]:
        found = []
        at = len(self.labels) - 1
        while at > 0:
            found.append(at - 1)
            here = self.labels[at]
            at, row = int(here.day[row]), int(here.row[row])
        return found[::-1]


class Best:
    """The lowest cost found so far for each number of days lost beside the unavoidable ones.

    Parameters
    ----------
    most_days : int
        The most days that any plan can lose.
    """

    def __init__(self, most_days: int) -> None:
        self.cost = np.full(most_days + 1, FAR, np.int64)

    def add(self, days: int, cost: int) -> bool:
        """Enter a plan.

        Parameters
        ----------
        days : int
            Days it loses beside the unavoidable ones [d].
        cost : int
            What it costs beside the prices [p].

        Returns
        -------
        bool
            Whether it costs less than all plans that lose no more.
        """
        if cost >= self.cost[days]:
            return False
        np.minimum(self.cost[days:], cost, out=self.cost[days:])
        return True

    def steps(self) -> list[int]:
        """Give each number of days at which the cost falls.

        Returns
        -------
        list of int
            Ascending.
        """
        falls = np.flatnonzero(np.diff(self.cost) < 0) + 1
        start = [0] if self.cost[0] < FAR else []
        return [*start, *(int(days) for days in falls)]


def most_days(grid: Grid) -> int:
    """Give the most days that a plan can lose beside the unavoidable ones: all leave last.

    Parameters
    ----------
    grid : Grid
        The units and days.

    Returns
    -------
    int
        Sum over the cars [d].
    """
    return int((grid.lost_by_trip[-1][0] - grid.unavoidable).sum())


def sweep(grid: Grid, best: Best, width: int, *, relaxed: bool) -> Sweep:
    """Grow labels from leaving day to leaving day.

    Parameters
    ----------
    grid : Grid
        The units and days.
    best : Best
        Plans found already; what cannot beat them is dropped.
    width : int
        The most labels kept at one leaving day.
    relaxed : bool
        Whether too many labels are merged into hopeful ones (a bound) or the least promising are left out
        (plans). The relaxed sweep also lets price wait for a later lot, piece by piece and in part.

    Returns
    -------
    Sweep
        The labels.

    Notes
    -----
    Takes of the order of days² × width × cars steps.
    """
    trips_left = _least_trips_left(grid)
    ends = _plateau_ends(best)
    none = np.zeros(1, np.int64)
    grown = [Labels(none, none, grid.unavoidable[None].copy(), none, none)]
    complete = True
    for k in range(len(grid.days)):
        found = _grow(grid, grown, k, relaxed=relaxed)
        found = found.take(_hopeful(grid, found, k, trips_left, best, ends))
        found = found.take(_undominated(_columns(grid, found, k)))
        if len(found) > width:
            complete = False
            found = _merged(found, width) if relaxed else _promising(grid, found, width)
        grown.append(found)
    return Sweep(tuple(grown), complete)


def _grow(grid: Grid, grown: list[Labels], k: int, *, relaxed: bool) -> Labels:
    """Every label with one more trip, on leaving day k."""
    tariff = grid.finisher.tariff
    cumulated = np.concatenate([[0], np.cumsum(grid.price)])
    of_use = tariff.minimum_pence * (len(grid.days) - 1 - k)  # no more than this can fill later lots
    parts = []
    for j, labels in enumerate(grown):
        if not len(labels):
            continue
        free = int(cumulated[k + 1] - cumulated[j])
        lots = 1 if relaxed else grid.lots_between(j, k)
        pool = labels.pool + free if relaxed else np.full(len(labels), free)
        short = np.maximum(tariff.minimum_pence * lots - pool, 0)
        parts.append(
            Labels(
                cost=labels.cost + tariff.carriage_pence + lots * tariff.setup_pence + short,
                pool=np.clip(pool - tariff.minimum_pence, 0, of_use) if relaxed else labels.pool,
                lost=np.maximum(labels.lost, grid.lost_by_trip[k][j]),
                day=np.full(len(labels), j),
                row=np.arange(len(labels)),
            )
        )
    return Labels(
        *(np.concatenate([getattr(p, name) for p in parts]) for name in Labels.__dataclass_fields__)
    )


def _hopeful(
    grid: Grid, found: Labels, k: int, trips_left: Ints, best: Best, ends: Ints
) -> NDArray[np.bool_]:
    """Rows that could still beat a known plan, if all goes as well as the bounds allow."""
    tariff = grid.finisher.tariff
    days = found.lost.sum(axis=1) - grid.unavoidable.sum()
    trips = trips_left[k + 1][ends]  # fewest further trips if no more days than this are lost
    to_come = int(grid.price[k + 1 :].sum())
    short = np.maximum(tariff.minimum_pence * trips - found.pool[:, None] - to_come, 0)
    ending = found.cost[:, None] + trips * (tariff.carriage_pence + tariff.setup_pence) + short
    beats = (ending < best.cost[ends]) & (ends >= days[:, None])
    hopeful: NDArray[np.bool_] = beats.any(axis=1)
    return hopeful


def _columns(grid: Grid, found: Labels, k: int) -> Ints:
    """What makes one label no worse than another: lower in every column."""
    open_cars = grid.last > k
    closed = found.lost[:, ~open_cars].sum(axis=1)
    return np.column_stack([found.cost, -found.pool, closed, found.lost[:, open_cars]])


def _undominated(rows: Ints) -> NDArray[np.intp]:
    """Rows that no other row matches or betters in every column; one of several that are the same."""
    unique, where = np.unique(rows, axis=0, return_index=True)
    order = np.argsort(unique.sum(axis=1), kind="stable")  # whatever dominates a row stands before it
    rows, where = unique[order], where[order]
    kept = np.empty((0, rows.shape[1]), np.int64)
    numbers = []
    for start in range(0, len(rows), BLOCK):
        block, of = rows[start : start + BLOCK], where[start : start + BLOCK]
        fresh = ~_no_better(block, kept).any(axis=1)
        block, of = block[fresh], of[fresh]
        among = _no_better(block, block)
        np.fill_diagonal(among, False)
        fresh = ~among.any(axis=1)
        kept = np.vstack([kept, block[fresh]])
        numbers.append(of[fresh])
    return np.concatenate(numbers) if numbers else np.empty(0, np.intp)


def _no_better(these: Ints, those: Ints) -> NDArray[np.bool_]:
    """Entry [i, j]: row i of these is nowhere below row j of those."""
    result = np.ones((len(these), len(those)), np.bool_)
    for column in range(these.shape[1]):
        result &= these[:, column][:, None] >= those[:, column][None]
    return result


def _promising(grid: Grid, found: Labels, width: int) -> Labels:
    """Of labels that cost about the same those that lose the fewest days, in turn from every cost."""
    tariff = grid.finisher.tariff
    trip = max(1, tariff.carriage_pence + tariff.setup_pence + tariff.minimum_pence)
    level, days = found.cost // trip, found.lost.sum(axis=1)
    order = np.lexsort((found.cost, days, level))
    _, start = np.unique(level[order], return_index=True)
    rank = np.arange(len(order)) - np.repeat(start, np.diff([*start, len(order)]))
    return found.take(order[np.argsort(rank, kind="stable")[:width]])


def _merged(found: Labels, width: int) -> Labels:
    """As many labels as allowed, each no worse than any of those it stands for.

    Neighbours by cost and days are joined where that flatters them least.
    """
    while len(found) > width:
        found = found.take(np.lexsort((found.lost.sum(axis=1), found.cost)))
        days = found.lost.sum(axis=1)
        together = np.minimum(found.lost[:-1], found.lost[1:]).sum(axis=1)
        flattery = np.minimum(days[:-1], days[1:]) - together
        dearer = np.diff(found.cost)
        order = np.lexsort((flattery, dearer))
        joined = np.zeros(len(found), np.bool_)  # row i + 1 goes into row i
        taken = np.zeros(len(found), np.bool_)
        for left in order[: 4 * (len(found) - width)]:
            if not taken[left] and not taken[left + 1]:
                joined[left + 1] = taken[left] = taken[left + 1] = True
                if joined.sum() == len(found) - width:
                    break
        starts = np.flatnonzero(~joined)
        found = Labels(
            cost=np.minimum.reduceat(found.cost, starts),
            pool=np.maximum.reduceat(found.pool, starts),
            lost=np.minimum.reduceat(found.lost, starts, axis=0),
            day=found.day[starts],
            row=found.row[starts],
        )
    return found


def _plateau_ends(best: Best) -> Ints:
    """For each step of the known costs the most days that still cost so much."""
    falls = np.flatnonzero(np.diff(best.cost) < 0)
    return np.append(falls, len(best.cost) - 1).astype(np.int64)


def _least_trips_left(grid: Grid) -> Ints:
    """Entry [k, x]: fewest trips for what becomes free from day k on, no trip by itself losing over x."""
    days = len(grid.days)
    most = most_days(grid)
    fewest = np.full((days + 1, most + 1), FAR, np.int64)
    fewest[days] = 0
    for j in range(days - 1, -1, -1):
        for k in range(j, days):
            lost = int((grid.lost_by_trip[k][j] - grid.unavoidable).sum())
            np.minimum(fewest[j, lost:], fewest[k + 1, lost:] + 1, out=fewest[j, lost:])
    return fewest

"""What no plan can beat, from the work there is and the hours people have.

When the first so many cars are finished, all the work that they need has been done, and those who can do
it cannot have done more than their hours; nor can counted things have been held more than there is of
them. Which cars come first is not known, so every order is tried, by
dynamic programming over the sets of cars [1]_; the load on people is taken as if it could be split at will,
as in the relaxation of one machine [2]_.

References
----------
.. [1] M. Held, R.M. Karp (1962) 'A dynamic programming approach to sequencing problems', Journal of the
   Society for Industrial and Applied Mathematics 10, 196-210.
.. [2] W.E. Smith (1956) 'Various optimizers for single-stage production', Naval Research Logistics
   Quarterly 3, 59-66. (Both from memory.)
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.plan import Bound

TOGETHER = 12  # so many targets are put in order together: 4096 sets

PARTS = 6  # so many beginnings are tried, before which part of the work cannot be done

Minutes = NDArray[np.int64]


@dataclass(frozen=True)
class Pool:
    """People, and how much work they have hours for.

    Parameters
    ----------
    people : frozenset of str
        Who they are.
    moments : ndarray of int64, shape (n,)
        Places on the axis at which somebody begins or stops, from 0; n is 2 or more [min].
    offered : ndarray of int64, shape (n,)
        Working minutes that they have together up to each of these [min].
    """

    people: frozenset[str]
    moments: Minutes
    offered: Minutes

    def done_by(self, load: Minutes, begin: Minutes) -> Minutes:
        """Give where on the axis loads can be done at the earliest.

        Parameters
        ----------
        load : ndarray of int64, shape (m,)
            Working minutes of all together [min].
        begin : ndarray of int64, shape (m,)
            Where each begins [min].

        Returns
        -------
        ndarray of int64, shape (m,)
            The places; the end of the axis for a load that is never done [min].

        Examples
        --------
        Two people for the first hour, then one:

        >>> pool = Pool(frozenset("AB"), np.array([0, 60, 180]), np.array([0, 120, 240]))
        >>> pool.done_by(np.array([60, 150, 100]), np.array([0, 0, 30]))
        array([ 30,  90, 100])
        """
        reached = self._offered_by(begin) + load
        here = np.clip(np.searchsorted(self.offered, reached, "left"), 1, len(self.offered) - 1)
        left = np.maximum(self.offered[here] - reached, 0)
        done: Minutes = np.maximum(begin, self.moments[here] - left // np.maximum(self._rates[here - 1], 1))
        return done

    def _offered_by(self, position: Minutes) -> Minutes:
        here = np.clip(np.searchsorted(self.moments, position, "left"), 1, len(self.moments) - 1)
        left = np.maximum(self.moments[here] - position, 0)
        offered: Minutes = self.offered[here] - self._rates[here - 1] * left
        return offered

    @cached_property
    def _rates(self) -> Minutes:
        return np.diff(self.offered) // np.diff(self.moments)


@dataclass(frozen=True)
class _Load:
    """The work of one pool, by the set of targets that it is for."""

    pool: Pool
    minutes: dict[int, int]
    heads: dict[int, int]
    tails: dict[int, int]  # by target: least from the end of any of this work to its finish


class Bounds:
    """Bounds of one problem.

    Parameters
    ----------
    axis : Axis
        The problem on its axis.
    """

    def __init__(self, axis: Axis) -> None:
        self.axis = axis

    @cached_property
    def alone(self) -> tuple[int, ...]:
        """For each target how early it can be finished if nothing else is done [min]."""
        groups = np.array([1 << number for number in range(len(self.axis.targets))], object)
        return tuple(int(finish) for finish in self._finish(groups))

    @cached_property
    def in_order(self) -> tuple[tuple[int, ...], int]:
        """The cheapest finishes of the targets, each group of them in its best order, and their cost."""
        finishes = list(self.alone)
        total = 0
        weighty = sorted(range(len(finishes)), key=self._weight, reverse=True)
        for first in range(0, len(weighty), TOGETHER):
            ordered, cost = self._best_order(weighty[first : first + TOGETHER])
            total += cost
            for number, finish in ordered.items():
                finishes[number] = finish
        return tuple(finishes), total

    def bound(self, cost: int = 0) -> Bound:
        """Give what no plan can beat.

        Parameters
        ----------
        cost : int, optional
            Another proven bound of the cost; the better of the two is taken.

        Returns
        -------
        Bound
            With the earliest finish of each target by itself.
        """
        problem, axis = self.axis.problem, self.axis
        earliest = {
            target.key: max(axis.moment(finish), problem.earliest[problem.place[target.key]][1])
            for target, finish in zip(problem.targets, self.alone, strict=True)
        }
        return Bound(max(cost, self.in_order[1]), earliest)

    def cost_of(self, number: int, finish: int) -> int:
        """Give what one target costs.

        Parameters
        ----------
        number : int
            Which of the targets.
        finish : int
            Where it finishes on the axis [min].

        Returns
        -------
        int
            In open minutes times weights.
        """
        _, promised, late, early = self.axis.targets[number]
        return early * finish + (0 if promised is None else late * max(0, finish - promised))

    def latest_starts(self, cost: int) -> list[int]:
        """Give how late each task may start in a plan that costs no more than another.

        Parameters
        ----------
        cost : int
            What the other costs.

        Returns
        -------
        list of int
            By place, the end of the axis for tasks that lead to no target; never before its head [min].
        """
        axis = self.axis
        costs = [self.cost_of(number, finish) for number, finish in enumerate(self.alone)]
        ends = [axis.length] * len(axis.sizes)
        for number, (place, *_) in enumerate(axis.targets):
            affordable = range(self.alone[number], axis.length + 1)
            most = costs[number] + cost - sum(costs)
            dear = bisect_right(affordable, most, key=partial(self.cost_of, number))
            ends[place] = min(ends[place], self.alone[number] + max(0, dear - 1))
        for place in range(len(ends) - 1, -1, -1):
            for before, lag in axis.lags[place]:
                ends[before] = min(ends[before], ends[place] - axis.sizes[place] - lag)
        return [max(end - size, head) for end, size, head in zip(ends, axis.sizes, axis.heads, strict=True)]

    def _weight(self, number: int) -> int:
        return self.axis.targets[number][2] + self.axis.targets[number][3]

    def _best_order(self, chosen: Sequence[int]) -> tuple[dict[int, int], int]:
        sets = 1 << len(chosen)
        groups = np.zeros(sets, object)
        for bit, number in enumerate(chosen):
            groups[1 << bit : 2 << bit] = groups[: 1 << bit] + (1 << number)
        finish = [0, *(int(moment) for moment in self._finish(groups[1:]))]
        best, last = [0] * sets, [0] * sets
        for group in range(1, sets):
            best[group], last[group] = min(
                (best[group ^ 1 << bit] + self.cost_of(number, max(finish[group], self.alone[number])), bit)
                for bit, number in enumerate(chosen)
                if group >> bit & 1
            )
        ordered = {}
        group = sets - 1
        while group:
            number = chosen[last[group]]
            ordered[number] = max(finish[group], self.alone[number])
            group ^= 1 << last[group]
        return ordered, best[-1]

    def _finish(self, groups: NDArray[np.object_]) -> Minutes:
        """Give where the last of each set of targets, bits of a group, can be finished at the earliest."""
        spans = self.axis.problem.earliest
        latest = np.zeros(len(groups), np.int64)
        within = {number: (groups & (1 << number)).astype(bool) for number in range(len(self.axis.targets))}
        for number, (place, *_) in enumerate(self.axis.targets):
            latest = np.where(within[number], np.maximum(latest, self.axis.at(spans[place][1])), latest)
        for load in self._loads:
            minutes = np.zeros(len(groups), np.int64)
            begin = np.full(len(groups), self.axis.length)
            tail = np.full(len(groups), self.axis.length)
            for mask, work in load.minutes.items():
                reached = (groups & mask).astype(bool)
                minutes += np.where(reached, work, 0)
                begin = np.where(reached, np.minimum(begin, load.heads[mask]), begin)
            for number, least in load.tails.items():
                tail = np.where(within[number], np.minimum(tail, least), tail)
            finish = load.pool.done_by(minutes, begin) + tail
            latest = np.where(minutes > 0, np.maximum(latest, finish), latest)
        return latest

    @cached_property
    def _loads(self) -> list[_Load]:
        tails = [self.axis.tails(place) for place, *_ in self.axis.targets]
        masks = [
            sum(1 << number for number, tail in enumerate(tails) if place in tail)
            for place in range(len(self.axis.problem.tasks))
        ]
        problem = self.axis.problem
        able = {names for names in problem.able if names}
        everybody = frozenset(name for names in able for name in names)
        pools = sorted({*able, everybody} - {frozenset()}, key=sorted)
        work: list[tuple[Pool, dict[int, int]]] = []
        for names in pools:
            mine = [place for place, known in enumerate(problem.able) if known and known <= names]
            work.append((self._pool(names), {place: self._work(place) for place in mine}))
        for key, thing in problem.counted.items():
            held = {place: dict(uses)[key] for place, uses in enumerate(problem.holds) if key in dict(uses)}
            minutes = {place: self.axis.sizes[place] * asked for place, asked in held.items()}
            work.append((self._room(thing.capacity), minutes))
        return [
            self._load(pool, part, masks, tails) for pool, minutes in work for part in self._parts(minutes)
        ]

    def _work(self, place: int) -> int:
        """Give the working minutes of all who are on a task."""
        task = self.axis.problem.tasks[place]
        return task.work_min * task.needs

    def _parts(self, minutes: dict[int, int]) -> list[dict[int, int]]:
        """Give all of some work, and what of it cannot begin before some later moments."""
        heads = sorted({self.axis.heads[place] for place in minutes})
        firsts = heads[:: -(-len(heads) // PARTS) or 1]
        return [
            {place: work for place, work in minutes.items() if self.axis.heads[place] >= first}
            for first in firsts
        ]

    def _load(
        self, pool: Pool, minutes: dict[int, int], masks: list[int], tails: list[dict[int, int]]
    ) -> _Load:
        found = _Load(pool, {}, {}, {})
        for place, work in minutes.items():
            mask = masks[place]
            if not mask or not work:
                continue
            found.minutes[mask] = found.minutes.get(mask, 0) + work
            found.heads[mask] = min(self.axis.heads[place], found.heads.get(mask, self.axis.length))
            for number, tail in enumerate(tails):
                if place in tail:
                    found.tails[number] = min(tail[place], found.tails.get(number, tail[place]))
        return found

    def _room(self, capacity: int) -> Pool:
        """Give what a counted thing offers: as much in every minute of the axis."""
        moments = np.array([0, max(1, self.axis.length)], np.int64)
        return Pool(frozenset(), moments, moments * capacity)

    def _pool(self, people: frozenset[str]) -> Pool:
        problem, axis = self.axis.problem, self.axis
        calendars = [c for name in people if (c := problem.by_name[name].calendar) is not None]
        edges = {edge for c in calendars for stretches in axis.stretches(c) for edge in stretches}
        moments = np.array(sorted({0, axis.length, *edges}), np.int64)
        reached = np.maximum(axis.open.add_many(problem.start, moments), problem.start)
        # a stretch of the axis is open to its last minute, so its end is no later than the next opening
        offered = np.zeros(len(moments), np.int64)
        for calendar in calendars:
            inside = np.clip(reached, calendar.opens, calendar.closes)
            offered += calendar.between_many(min(max(problem.start, calendar.opens), calendar.closes), inside)
        return Pool(people, moments, offered)

"""The problem on one axis of open minutes: simpler than the real one, and never harder.

The axis runs through the minutes, from the start of the plan, in which the workshop or anybody in it is
at work: nights, Sundays and Christmas have no length on it. A job of somebody who keeps the workshop's
hours is there exactly as long as its work. Whatever keeps other hours (a supplier, a lag by the clock,
somebody with a short week) gets the *least* length that it can have on the axis wherever it begins.

Each real plan, laid onto the axis, therefore keeps all that is asked there. So what no plan on the axis can
beat, no real plan can; and where everybody keeps the workshop's hours and nothing else runs by the clock,
the two are the same. An order found on the axis becomes a real plan when its tasks are placed in that
order to the minute.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.problem import Crew, Problem
from builds.schedule.spans import Span


@dataclass(frozen=True)
class Axis:
    """The problem on the axis; everything on it is worked out when it is asked for.

    Parameters
    ----------
    problem : Problem
        The real one.
    latest : tuple of int, optional
        For each task the moment after which it does not start in any plan that is of interest. Lengths
        that depend on the day are then the least of fewer days: no Christmas in a plan for March [min].

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Task, Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)], 6: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("fit dash", 600)]
    >>> axis = Axis(Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop"))
    >>> axis.sizes, axis.at(1440)
    ((600,), 480)
    """

    problem: Problem
    latest: tuple[int, ...] | None = None

    @property
    def open(self) -> WorkCalendar:
        """The hours that it runs through."""
        return self.problem.open

    def at(self, moment: int) -> int:
        """Give where a moment is on the axis: negative before the start of the plan.

        Parameters
        ----------
        moment : int
            A moment up to the end of the open hours; one before them counts as their beginning [min].

        Returns
        -------
        int
            Open minutes from the start of the plan [min].
        """
        return self.open.between(self.problem.start, max(moment, self.open.opens))

    def moment(self, position: int) -> int:
        """Give the first moment that is so far along the axis.

        Parameters
        ----------
        position : int
            Open minutes from the start of the plan, not negative [min].

        Returns
        -------
        int
            The moment [min].
        """
        return self.open.add(self.problem.start, position)

    @cached_property
    def heads(self) -> tuple[int, ...]:
        """Where each task can start at the earliest [min]."""
        return tuple(self.at(start) for start, _ in self.problem.earliest)

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        """The least length of each task with whichever crew [min]."""
        return tuple(
            min(self.size(place, crew) for crew in self._single_crews(place))
            for place in range(len(self.problem.tasks))
        )

    def size(self, place: int, crew: Crew) -> int:
        """Give the least length of a task with a crew, or with one person of it.

        Parameters
        ----------
        place : int
            Where the task stands.
        crew : tuple of str
            Its people, or some of them.

        Returns
        -------
        int
            Open minutes; as long as the axis if they never can [min].
        """
        hours = self.problem.hours_of(place, crew)
        work = self.problem.tasks[place].work_min
        if hours is None or work == 0:
            return self.length if work else 0
        if hours == self.open or work <= self._longest_run(hours):
            return work
        earliest = self.problem.earliest[place][0]
        return self._lengths_of(hours, work).least(earliest, self.latest[place] if self.latest else None)

    @cached_property
    def length(self) -> int:
        """How long the axis is [min]."""
        return self.at(self.open.closes)

    @cached_property
    def lags(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """For each task those before it by place, with the least open minutes between finish and start."""
        return tuple(
            tuple((before, self._least_lag(before, after, lag)) for before, _, lag in arcs)
            for after, arcs in enumerate(self.problem.network.waits_for)
        )

    @cached_property
    def befores(self) -> tuple[frozenset[int], ...]:
        """For each task all that it waits for, directly or not; places are in working order."""
        found: list[frozenset[int]] = []
        for arcs in self.lags:
            found.append(frozenset().union(*({place} | found[place] for place, _ in arcs)))
        return tuple(found)

    def leading_to(self, wanted: Iterable[int]) -> list[int]:
        """Give some tasks and all that they wait for, directly or not.

        Parameters
        ----------
        wanted : iterable of int
            Places.

        Returns
        -------
        list of int
            Places, in working order.
        """
        found = set(wanted)
        for place in range(len(self.lags) - 1, -1, -1):
            if place in found:
                found.update(before for before, _ in self.lags[place])
        return sorted(found)

    @cached_property
    def targets(self) -> tuple[tuple[int, int | None, int, int], ...]:
        """For each target its place, its promise on the axis, and the weights of late and early."""
        return tuple(
            (
                self.problem.place[target.key],
                None if target.promised is None else self.at(target.promised),
                target.late_weight,
                target.early_weight,
            )
            for target in self.problem.targets
        )

    def tails(self, target: int) -> dict[int, int]:
        """Give the least open minutes from the finish of each task to that of a target it leads to.

        Parameters
        ----------
        target : int
            Where the target stands.

        Returns
        -------
        dict of int to int
            By place; tasks that do not lead to it are absent [min].
        """
        tails = {target: 0}
        for place in range(target, -1, -1):
            if place not in tails:
                continue
            through = tails[place] + self.sizes[place]
            for before, lag in self.lags[place]:
                tails[before] = max(tails.get(before, through + lag), through + lag)
        return tails

    def gaps(self, place: int, crew: Crew) -> list[Span]:
        """Give the stretches of the axis in which a crew cannot work on a task.

        Parameters
        ----------
        place : int
            Where the task stands.
        crew : tuple of str
            Its people, or some of them.

        Returns
        -------
        list of (int, int)
            Earliest first [min].
        """
        hours = self.problem.hours_of(place, crew)
        if hours is None:
            return [(0, self.length)]
        if hours == self.open:
            return []
        if id(hours) not in self._gaps:
            starts, ends = self.stretches(hours)
            edges = zip([0, *ends], [*starts, self.length], strict=True)
            self._gaps[id(hours)] = [(end, start) for end, start in edges if end < start]
        return self._gaps[id(hours)]

    def stretches(self, hours: WorkCalendar) -> tuple[list[int], list[int]]:
        """Give where the working stretches of a calendar begin and end on the axis.

        Parameters
        ----------
        hours : WorkCalendar
            A calendar.

        Returns
        -------
        tuple of (list of int, list of int)
            Beginnings and ends, from the start of the plan on [min].
        """
        ends = np.array(hours.ends, np.int64)
        coming = ends > self.problem.start
        starts = np.maximum(np.array(hours.starts, np.int64)[coming], self.problem.start)
        within = np.clip(np.stack([starts, ends[coming]]), self.open.opens, self.open.closes)
        at = self.open.between_many(self.problem.start, within)
        return at[0].tolist(), at[1].tolist()

    @cached_property
    def _gaps(self) -> dict[int, list[Span]]:
        return {}

    def latest_moment(self, position: int) -> int:
        """Give the last moment that is no further along the axis.

        Parameters
        ----------
        position : int
            Open minutes from the start of the plan, not negative [min].

        Returns
        -------
        int
            The moment: the next opening, for a position at which all go home [min].
        """
        if position >= self.length:
            return self.open.closes
        return self.open.add(self.problem.start, position + 1) - 1

    def _single_crews(self, place: int) -> Sequence[Crew]:
        return [(name,) for name in self.problem.able[place]] or [()]

    def _longest_run(self, hours: WorkCalendar) -> int:
        """Give the longest stretch of the axis that is all in some hours: work that fits is as long as it is.

        It can be shorter on the axis only in hours of others, who are at work while all here are not.
        """
        if id(hours) not in self._runs:
            starts, ends = self.stretches(hours)
            begin, longest = starts[0], 0
            if sum(ends) - sum(starts) == hours.between(max(self.problem.start, hours.opens), hours.closes):
                for end, following in zip(ends, [*starts[1:], -1], strict=True):
                    longest = max(longest, end - begin)
                    if following != end:
                        begin = following
            self._runs[id(hours)] = longest
        return self._runs[id(hours)]

    @cached_property
    def _runs(self) -> dict[int, int]:
        return {}

    def _least_lag(self, before: int, after: int, lag: int) -> int:
        if lag == 0:
            return 0
        if (0, lag) not in self._lengths:
            edges = np.array([*self.open.starts, *self.open.ends])
            first = max(self.problem.start, self.open.opens, self.open.opens - lag)
            begins = _around(np.concatenate([edges, edges - lag]))
            begins = begins[(begins >= first) & (begins <= min(self.open.closes, self.open.closes - lag))]
            lengths = self.open.between_many(begins, begins + lag)
            self._lengths[0, lag] = Lengths(begins, lengths)
        latest = self.latest[after] - lag if self.latest else None
        return self._lengths[0, lag].least(self.problem.earliest[before][1], latest)

    @cached_property
    def _lengths(self) -> dict[tuple[int, int], "Lengths"]:
        return {}

    def _lengths_of(self, hours: WorkCalendar, work: int) -> "Lengths":
        key = (id(hours), work)
        if key not in self._lengths:
            edges = np.array([*self.open.starts, *self.open.ends, *hours.starts, *hours.ends])
            edges = edges[(edges >= hours.opens) & (edges < hours.closes)]
            done = hours.between_many(hours.opens, edges) - work
            begins = _around(np.concatenate([edges, hours.add_many(hours.opens, done[done >= 0])]))
            begins = begins[(begins >= max(self.problem.start, hours.opens)) & (begins < hours.closes)]
            at_work = hours.between_many(begins, begins + 1) == 1
            fits = hours.between_many(begins, hours.closes) >= work
            begins = begins[at_work & fits]
            finishes = np.clip(hours.add_many(begins, work), self.open.opens, self.open.closes)
            starts = np.clip(begins, self.open.opens, self.open.closes)
            self._lengths[key] = Lengths(begins, self.open.between_many(starts, finishes))
        return self._lengths[key]


@dataclass(frozen=True)
class Lengths:
    """How long something is on the axis if it begins at given moments, between which it changes steadily.

    Parameters
    ----------
    begins : ndarray of int64, shape (n,)
        Moments in order [min].
    lengths : ndarray of int64, shape (n,)
        Open minutes [min].
    """

    begins: NDArray[np.int64]
    lengths: NDArray[np.int64]

    def least(self, first: int, last: int | None) -> int:
        """Give the least length for a beginning in a stretch of time.

        Parameters
        ----------
        first, last : int
            The stretch; None for one without an end [min].

        Returns
        -------
        int
            The least of the lengths in the stretch and of those next to it on either side; 0 if nothing
            is known [min].

        Examples
        --------
        >>> Lengths(np.array([0, 10, 20, 30]), np.array([5, 9, 7, 1])).least(12, 19)
        7
        """
        begin = max(0, int(np.searchsorted(self.begins, first, "right")) - 1)
        end = len(self.begins) if last is None else int(np.searchsorted(self.begins, last, "left")) + 1
        found = self.lengths[begin : max(end, begin + 1)]
        return int(found.min()) if found.size else 0


def _around(moments: NDArray[np.int64]) -> NDArray[np.int64]:
    """Give moments and their neighbours in order: between these a length changes only steadily."""
    return np.sort(np.concatenate([moments - 1, moments, moments + 1]))

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

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.hours import common_spans, spans_of
from builds.schedule.levelling.problem import Crew, Problem
from builds.schedule.spans import Span


@dataclass(frozen=True)
class Axis:
    """The problem on the axis; everything on it is worked out when it is asked for.

    Parameters
    ----------
    problem : Problem
        The real one.

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
        if hours is None:
            return self.length
        return self._least(hours, self.problem.tasks[place].work_min)

    @cached_property
    def length(self) -> int:
        """How long the axis is [min]."""
        return self.at(self.open.closes)

    @cached_property
    def lags(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """For each task those before it by place, with the least open minutes between finish and start."""
        return tuple(
            tuple((before, self._least_lag(lag)) for before, _, lag in arcs)
            for arcs in self.problem.network.waits_for
        )

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

    @cached_property
    def _leasts(self) -> dict[tuple[int, int], int]:
        return {}

    def _single_crews(self, place: int) -> Sequence[Crew]:
        return [(name,) for name in self.problem.able[place]] or [()]

    def _least(self, hours: WorkCalendar, work: int) -> int:
        """Give the least that work can measure, wherever in its hours it begins."""
        if work == 0:
            return work
        key = (id(hours), work)
        if key not in self._leasts:
            longest = self._longest_run(hours)
            self._leasts[key] = work if work <= longest else self._least_anywhere(hours, work)
        return self._leasts[key]

    def _longest_run(self, hours: WorkCalendar) -> int:
        """Give the longest stretch of the axis that is all in some hours, those of people or the workshop.

        Work that fits into it measures what it is; it can measure less only by the clock of others.
        """
        if hours == self.open:
            return self.length
        if id(hours) not in self._runs:
            starts, ends = self.stretches(hours)
            inside = common_spans(spans_of(hours), spans_of(self.open))
            begin, longest = starts[0], 0
            if (
                sum(end - start for start, end in inside) == hours.total_min
            ):  # never at work when all are shut
                for end, following in zip(ends, [*starts[1:], -1], strict=True):
                    longest = max(longest, end - begin)
                    if following != end:
                        begin = following
            self._runs[id(hours)] = longest
        return self._runs[id(hours)]

    @cached_property
    def _runs(self) -> dict[int, int]:
        return {}

    def _least_anywhere(self, hours: WorkCalendar, work: int) -> int:
        first = hours.next_working(max(self.problem.start, hours.opens))
        last = hours.subtract(hours.closes, work)
        edges = self._edges(hours)
        before = hours.between_many(hours.opens, edges) - work
        back = hours.add_many(hours.opens, before[before >= 0])
        begins = self._around(np.concatenate([edges, back]), first, last)
        worked = begins[hours.between_many(begins, begins + 1) == 1]
        return int(self.open.between_many(worked, hours.add_many(worked, work)).min())

    def _least_lag(self, lag: int) -> int:
        if lag == 0:
            return 0
        if (0, lag) not in self._leasts:
            edges = np.array([*self.open.starts, *self.open.ends])
            first = max(self.problem.start, self.open.opens, self.open.opens - lag)
            last = min(self.open.closes, self.open.closes - lag)
            if first > last:
                return 0
            begins = self._around(np.concatenate([edges, edges - lag]), first, last)
            self._leasts[0, lag] = int(self.open.between_many(begins, begins + lag).min())
        return self._leasts[0, lag]

    def _edges(self, hours: WorkCalendar) -> NDArray[np.int64]:
        edges = np.array([*self.open.starts, *self.open.ends, *hours.starts, *hours.ends])
        return edges[(edges >= hours.opens) & (edges <= hours.closes)]

    def _around(self, moments: NDArray[np.int64], first: int, last: int) -> NDArray[np.int64]:
        """Give the moments and their neighbours: between these a length changes only steadily."""
        around = np.concatenate([moments - 1, moments, moments + 1, [first, last]])
        return around[(around >= first) & (around <= last)]

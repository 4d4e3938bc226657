"""Checks done right before what they release: pushed as late as they go, at no cost to anything else.

A plan places each task as early as hands are free, which for a check is not wanted: extinguishers are put out
on the day of a start-up, not three weeks before. Every other task stays where it is, to the minute.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Mapping

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.board import levels_of
from builds.schedule.levelling.problem import Crew, Placed, Problem
from builds.schedule.spans import Span

PASSES = 5  # a check that moves makes room for another: after so many rounds hardly any is left


def pushed_late(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, Placed]:
    """Push the tasks that are to be done `as_late` as they can be, each into hours that nobody needs.

    Parameters
    ----------
    problem : Problem
        The rules.
    placed : mapping of str to Placed
        A plan that keeps them.

    Returns
    -------
    dict of str to Placed
        A plan that keeps them too, in which such a task ends no later than whatever follows it begins, with
        the same people or with others who are free then. No other task has moved, and none is earlier. What
        is in hand, and what nothing follows, stays.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Task, Worker
    >>> from builds.schedule.network import Link
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("chock wheels", 30, as_late=True), Task("start engine", 60, not_before=600)]
    >>> links = [Link("chock wheels", "start engine")]
    >>> problem = Problem.build(jobs, links, [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop")
    >>> early = {"chock wheels": Placed(480, 510, ("Ann",)), "start engine": Placed(600, 660, ("Ann",))}
    >>> pushed_late(problem, early)["chock wheels"]
    Placed(start=570, finish=600, people=('Ann',))
    """
    found = dict(placed)
    checks = [place for place, task in enumerate(problem.tasks) if task.as_late and _may_move(problem, place)]
    if not checks:
        return found
    taken = _Taken(problem, found)
    for _ in range(PASSES):
        moved = False
        for place in sorted(checks, key=lambda place: (-found[problem.tasks[place].key].finish, -place)):
            key = problem.tasks[place].key
            later = taken.latest(place, found[key], _limit(problem, place, found))
            if later.start > found[key].start:
                taken.move(place, found[key], later)
                found[key], moved = later, True
        if not moved:
            break
    return found


def _may_move(problem: Problem, place: int) -> bool:
    task = problem.tasks[place]
    return bool(task.needs and not task.in_hand and problem.network.awaited_by[place])


def _limit(problem: Problem, place: int, placed: Mapping[str, Placed]) -> int:
    """The moment by which a task must be finished for what follows it to stay."""
    limit = min(
        placed[problem.tasks[after].key].start - lag for after, _, lag in problem.network.awaited_by[place]
    )
    not_after = problem.tasks[place].not_after
    return limit if not_after is None else min(limit, not_after)


class _Taken:
    """When everybody and everything is taken in a plan."""

    def __init__(self, problem: Problem, placed: Mapping[str, Placed]) -> None:
        self.problem = problem
        self.people: dict[str, list[Span]] = {worker.key: [] for worker in problem.workers}
        self.levels = levels_of(problem)
        for place, task in enumerate(problem.tasks):
            self._book(place, placed[task.key], 1)

    def move(self, place: int, before: Placed, after: Placed) -> None:
        self._book(place, before, -1)
        self._book(place, after, 1)

    def latest(self, place: int, now: Placed, limit: int) -> Placed:
        """Where a task goes last before a moment; where it is if that is no later. Of crews that can begin at
        the same time its own comes first.
        """
        best = now
        self._book(place, now, -1)
        for crew in (now.people, *self.problem.crews[place]):
            hours = self.problem.hours_of(place, crew)
            if hours is not None:
                best = self._latest_with(place, crew, hours, limit, best)
        self._book(place, now, 1)
        return best

    def _latest_with(self, place: int, crew: Crew, hours: WorkCalendar, limit: int, best: Placed) -> Placed:
        work = self.problem.tasks[place].work_min
        end = min(limit, hours.closes)
        while end - work > best.start:
            try:
                start, finish = hours.latest(end, work)
            except BeyondHorizon:
                return best
            if start <= best.start:
                return best
            end = min([finish, *self._blocks(place, crew, start, finish)])
            if end == finish:
                return Placed(start, finish, crew)
        return best

    def _blocks(self, place: int, crew: Crew, start: int, finish: int) -> list[int]:
        """Where in a stretch anybody or anything begins to be taken: it must end by the first of them."""
        found = [
            begin
            for who in crew
            for begin, end in _meeting(self.people[who], start, finish)
            if begin < finish and end > start
        ]
        for key, asked in self.problem.holds[place]:
            level = self.levels[key]
            first = max(0, bisect_right(level.moments, start) - 1)
            for number in range(first, bisect_left(level.moments, finish)):
                ends = level.moments[number + 1] if number + 1 < len(level.moments) else finish
                if ends > start and level.levels[number] > level.capacity - asked:
                    found.append(level.moments[number])
        return found

    def _book(self, place: int, placed: Placed, sign: int) -> None:
        if placed.start == placed.finish:
            return
        for who in placed.people:
            if sign > 0:
                insort(self.people[who], (placed.start, placed.finish))
            else:
                self.people[who].remove((placed.start, placed.finish))
        for key, asked in self.problem.holds[place]:
            self.levels[key].take(placed.start, placed.finish, sign * asked)


def _meeting(spans: list[Span], start: int, finish: int) -> list[Span]:
    """Those of some stretches, in order and apart, that may meet another."""
    first = max(0, bisect_right(spans, (start, start)) - 1)
    return spans[first : bisect_left(spans, (finish, finish))]

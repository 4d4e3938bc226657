"""Why a task is not earlier: the people, things and tasks that it waits for."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon, UnknownActivity
from builds.schedule.levelling.board import Board
from builds.schedule.levelling.problem import Placed, Problem, Task

Reason = Literal["start of the plan", "not before", "task", "person", "thing", "car", "hours", "kept"]


@dataclass(frozen=True, slots=True)
class Wait:
    """One thing that a task waits for.

    Parameters
    ----------
    reason : str
        'start of the plan': nothing could be earlier. 'not before': its own day. 'task': one that it is
        linked to. 'person': somebody who can do it is on another task, or is not here. 'thing': a counted
        thing that is all taken. 'car': the car is elsewhere, or is worked on here. 'hours': the people who
        are free are not here at the same time. 'kept': it could be earlier, and the plan leaves it.
    resource : str or None
        The person, the thing or the car.
    task : str or None
        What is in the way; None for somebody who is not here.
    until : int
        When that is over [min].
    is_only : bool
        Whether nobody, or nothing, else would do: the only welder.
    gap_min : int
        For a person on another task: the longest that they are free between when the task could be begun
        and then, if that is too short for it; 0 if they are not [min]. What is begun is not interrupted.
    """

    reason: Reason
    resource: str | None
    task: str | None
    until: int
    is_only: bool = False
    gap_min: int = 0


def waits_for(problem: Problem, placed: Mapping[str, Placed], key: str) -> tuple[Wait, ...]:
    """Say why a task is not earlier.

    Parameters
    ----------
    problem : Problem
        The rules.
    placed : mapping of str to Placed
        A plan that keeps them.
    key : str
        The task.

    Returns
    -------
    tuple of Wait
        All that stood in the way in the last minute before its start in which it might have been begun:
        one for each person who could do it. Where links or its own day set its start, those alone.

    Raises
    ------
    UnknownActivity
        If there is no such task.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Task, Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("weld floor", 60, skill="welding"), Task("weld wing", 90, skill="welding")]
    >>> crew = [Worker("Tomas Kell", shop, frozenset({"welding"})), Worker("Ann Marsh", shop)]
    >>> problem = Problem.build(jobs, [], crew, {"shop": shop}, 0, hours="shop")
    >>> welder = ("Tomas Kell",)
    >>> plan = {"weld floor": Placed(480, 540, welder), "weld wing": Placed(540, 630, welder)}
    >>> waits_for(problem, plan, "weld wing")
    (Wait(reason='person', resource='Tomas Kell', task='weld floor', until=540, is_only=True, gap_min=0),)
    """
    if key not in problem.place:
        raise UnknownActivity((key,))
    place = problem.place[key]
    board = _without(problem, placed, place)
    finishes = [placed[task.key].finish for task in problem.tasks]
    ready = problem.ready(place, finishes)
    here = placed[key]
    earliest = board.fit(place, ready, problem.crews[place])
    if earliest is not None and earliest.finish < here.finish and earliest.start < here.start:
        return (Wait("kept", None, None, here.start),)
    begin = _could_begin(problem, place, ready, here)
    if begin >= here.start and not (here.people and problem.open.between(ready, here.start)):
        return tuple(_links(problem, place, ready, finishes))
    own = problem.tasks[place].calendar
    if own is not None and (_begin(problem.calendars[own], ready, 1) or here.start) >= here.start:
        return (Wait("hours", own, None, here.start),)
    found = _people(problem, placed, place, ready)
    found.extend(_things(problem, placed, place))
    return tuple(found) or (Wait("hours", None, None, here.start),)


def _without(problem: Problem, placed: Mapping[str, Placed], place: int) -> Board:
    board = Board(problem)
    for other, task in enumerate(problem.tasks):
        if other != place:
            board.take(other, placed[task.key])
    return board


def _could_begin(problem: Problem, place: int, ready: int, here: Placed) -> int:
    """Give when somebody who can do the task could begin it if everybody and everything were free."""
    moments = [here.start]
    for crew in problem.crews[place]:
        hours = problem.hours_of(place, crew)
        if hours is not None:
            moments.append(_begin(hours, ready, problem.tasks[place].work_min) or here.start)
    return min(moments)


def _begin(hours: WorkCalendar, ready: int, work: int) -> int | None:
    try:
        return hours.earliest(ready, work)[0]
    except BeyondHorizon:
        return None


def _links(problem: Problem, place: int, ready: int, finishes: list[int]) -> Iterator[Wait]:
    if ready == problem.start:
        yield Wait("start of the plan", None, None, ready)
        return
    for before, _, lag in problem.network.waits_for[place]:
        if finishes[before] + lag == ready:
            yield Wait("task", None, problem.tasks[before].key, ready)
    if problem.tasks[place].not_before == ready:
        yield Wait("not before", None, None, ready)


def _people(problem: Problem, placed: Mapping[str, Placed], place: int, ready: int) -> list[Wait]:
    """Give for each person who could do the task what they were on, or that they were not here.

    Nobody, if enough of them were free.
    """
    task, start = problem.tasks[place], placed[problem.tasks[place].key].start
    is_only = len(problem.able[place]) == task.needs
    found: list[Wait] = []
    free: list[str] = []
    for worker in problem.workers:
        if worker.key not in problem.able[place]:
            continue
        hours = problem.hours_of(place, (worker.key,))
        last = _last_minute(hours, ready, start) if hours is not None else None
        if hours is None or last is None:
            until = _begin(hours, start, 1) if hours is not None else None
            found.extend([Wait("person", worker.key, None, until, is_only)] if until is not None else [])
            continue
        on = [key for key, p in placed.items() if worker.key in p.people and p.start <= last < p.finish]
        gap = _gap(hours, placed, worker.key, task, ready, start) if on else 0
        found.extend(Wait("person", worker.key, key, placed[key].finish, is_only, gap) for key in on)
        free.extend([] if on else [worker.key])
    enough = any(set(crew) <= set(free) for crew in problem.crews[place])
    return [] if enough else found


def _gap(
    hours: WorkCalendar, placed: Mapping[str, Placed], worker: str, task: Task, ready: int, start: int
) -> int:
    """Give the longest that somebody is free before a task, if that is too short for it, else 0."""
    own = sorted((p.start, p.finish) for key, p in placed.items() if worker in p.people and key != task.key)
    longest, since = 0, ready
    for begin, finish in own:
        if begin >= start:
            break
        if begin > since:
            longest = max(longest, hours.between(since, begin))
        since = max(since, finish)
    return longest if longest < task.work_min else 0


def _last_minute(hours: WorkCalendar, ready: int, start: int) -> int | None:
    """Give the last minute from `ready` on and before `start` that is in some hours."""
    if hours.between(ready, start) == 0:
        return None
    return hours.previous_working(start) - 1


def _things(problem: Problem, placed: Mapping[str, Placed], place: int) -> Iterator[Wait]:
    task = problem.tasks[place]
    start = placed[task.key].start
    cars = {name: car for car, name in problem.leaving.items()}
    held = dict(problem.holds[place])
    for key, asked in held.items():
        others = [
            (other.key, dict(problem.holds[number])[key], placed[other.key])
            for number, other in enumerate(problem.tasks)
            if number != place and key in dict(problem.holds[number])
        ]
        # what was given back on Friday afternoon is there from then on, but nobody begins before Monday
        ending = [one for one in others if one[2].start < start and _ends_at(problem, one[2], start)]
        going = sum(taken for _, taken, when in others if when.start < start < when.finish)
        going += sum(taken for _, taken, _ in ending)
        if key in cars:
            blocking = [e for e in ending if "away" in (task.place, problem.tasks[problem.place[e[0]]].place)]
            yield from (Wait("car", cars[key], name, when.finish, True) for name, _, when in blocking)
        elif ending and going + asked > problem.counted[key].capacity:
            only = problem.counted[key].capacity == 1
            yield from (Wait("thing", key, name, when.finish, only) for name, _, when in ending)


def _ends_at(problem: Problem, when: Placed, start: int) -> bool:
    """Whether something ends as a task starts, or at the end of the last open stretch before it."""
    return when.finish <= start and problem.open.between(when.finish, start) == 0

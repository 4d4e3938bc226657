"""Whether a plan can be carried out: found out from the rules alone, not from how plans are made.

Working time is counted stretch by stretch here, and what is held at once is added up at every moment at
which anything begins, so that a slip of the planner is not repeated by its judge.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.problem import Placed, Problem, Task

Rule = Literal[
    "all tasks", "order", "dates", "people", "skills", "hours", "one job each", "capacity", "one place"
]


@dataclass(frozen=True, slots=True)
class Violation:
    """One rule that a plan breaks.

    Parameters
    ----------
    rule : str
        Which.
    keys : tuple of str
        The tasks concerned.
    words : str
        What is wrong, with the names of people and things.
    """

    rule: Rule
    keys: tuple[str, ...]
    words: str


def check(problem: Problem, placed: Mapping[str, Placed]) -> tuple[Violation, ...]:
    """Find every rule that a plan breaks.

    Parameters
    ----------
    problem : Problem
        The rules.
    placed : mapping of str to Placed
        The plan.

    Returns
    -------
    tuple of Violation
        Empty for a plan that can be carried out. A last moment that is missed is among them.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("fit tank", 60), Task("bleed brakes", 90)]
    >>> problem = Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop")
    >>> both = {"fit tank": Placed(480, 540, ("Ann",)), "bleed brakes": Placed(500, 590, ("Ann",))}
    >>> [violation.words for violation in check(problem, both)]
    ['Ann is on fit tank and bleed brakes at once']
    """
    missing = [task.key for task in problem.tasks if task.key not in placed]
    if missing:
        return (Violation("all tasks", tuple(missing), f"{', '.join(missing)}: not in the plan"),)
    found = [violation for task in problem.tasks for violation in _of_task(problem, task, placed[task.key])]
    found.extend(_order(problem, placed))
    found.extend(_one_job_each(problem, placed))
    found.extend(_capacity(problem, placed))
    found.extend(_one_place(problem, placed))
    return tuple(found)


def _of_task(problem: Problem, task: Task, placed: Placed) -> Iterator[Violation]:
    key = (task.key,)
    if placed.start < max(problem.start, task.not_before or problem.start):
        yield Violation("dates", key, f"{task.key} starts before it may")
    if task.not_after is not None and placed.finish > task.not_after:
        yield Violation("dates", key, f"{task.key} finishes after its last moment")
    unknown = [name for name in placed.people if name not in problem.by_name]
    if unknown:
        yield Violation("people", key, f"{task.key}: nobody is called {', '.join(unknown)}")
        return
    wanted = task.people if task.work_min else 0
    if len(set(placed.people)) != wanted or len(placed.people) != wanted:
        yield Violation("people", key, f"{task.key} needs {wanted} people and has {len(placed.people)}")
    left_out = [name for name in task.named if wanted and name not in placed.people]
    if left_out:
        yield Violation("people", key, f"{task.key} is for {', '.join(left_out)}")
    skilled = [n for n in placed.people if n in task.named or task.skill in problem.by_name[n].skills]
    if task.skill is not None and wanted and len(skilled) < task.wanted:
        yield Violation(
            "skills", key, f"{task.key} needs {task.wanted} with {task.skill}, has {len(skilled)}"
        )
    yield from _hours(problem, task, placed)


def _hours(problem: Problem, task: Task, placed: Placed) -> Iterator[Violation]:
    key = (task.key,)
    calendars: list[WorkCalendar] = []
    if task.calendar is not None or not placed.people:
        calendars.append(problem.calendars[task.calendar or problem.hours])
    for name in placed.people:
        calendar = problem.by_name[name].calendar
        if calendar is None:
            yield Violation("hours", key, f"{name} has no working time for {task.key}")
            return
        calendars.append(calendar)
    worked = _worked(calendars, placed.start, placed.finish)
    if worked != task.work_min:
        yield Violation("hours", key, f"{task.key} takes {task.work_min} min and is given {worked} min")
    elif task.work_min and not (
        _worked(calendars, placed.start, placed.start + 1)
        and _worked(calendars, placed.finish - 1, placed.finish)
    ):
        yield Violation("hours", key, f"{task.key} begins or ends while it is not worked on")


def _worked(calendars: Sequence[WorkCalendar], start: int, finish: int) -> int:
    """Count the minutes in which all are at work: where the count of those at work is that of all."""
    changes: dict[int, int] = {}
    for calendar in calendars:
        for begin, end in zip(calendar.starts, calendar.ends, strict=True):
            if begin < finish and end > start:
                changes[max(begin, start)] = changes.get(max(begin, start), 0) + 1
                changes[min(end, finish)] = changes.get(min(end, finish), 0) - 1
    minutes = at_work = since = 0
    for moment in sorted(changes):
        if at_work == len(calendars):
            minutes += moment - since
        at_work += changes[moment]
        since = moment
    return minutes


def _order(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    for link in problem.links:
        if placed[link.after].start < placed[link.before].finish + link.lag_min:
            words = f"{link.after} starts before {link.before} is finished"
            if link.lag_min:
                words += f" and {link.lag_min} min are over"
            yield Violation("order", (link.before, link.after), words)


def _one_job_each(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    for worker in problem.workers:
        mine = [task.key for task in problem.tasks if worker.key in placed[task.key].people]
        for one, other in _clashes(mine, placed):
            yield Violation("one job each", (one, other), f"{worker.key} is on {one} and {other} at once")


def _one_place(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    place = {task.key: task.place for task in problem.tasks}
    for car in dict.fromkeys(task.car for task in problem.tasks if task.car is not None):
        mine = [task.key for task in problem.tasks if task.car == car and task.place != "bench"]
        for one, other in _clashes(mine, placed):
            if "away" in (place[one], place[other]):
                yield Violation("one place", (one, other), f"{car} is in two places: {one} and {other}")


def _clashes(keys: Sequence[str], placed: Mapping[str, Placed]) -> Iterator[tuple[str, str]]:
    """Give each pair of tasks of which one is begun before the other, begun no later, is finished."""
    order = sorted(
        (key for key in keys if placed[key].start < placed[key].finish), key=lambda k: placed[k].start
    )
    for number, one in enumerate(order):
        for other in order[number + 1 :]:
            if placed[other].start >= placed[one].finish:
                break
            yield one, other


def _capacity(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    for key, thing in problem.counted.items():
        users = [(task.key, dict(task.uses)[key]) for task in problem.tasks if key in dict(task.uses)]
        for moment in sorted({placed[user].start for user, _ in users}):
            now = [(u, asked) for u, asked in users if placed[u].start <= moment < placed[u].finish]
            held = sum(asked for _, asked in now)
            if held > thing.capacity:
                names = tuple(user for user, _ in now)
                words = f"{', '.join(names)} need {held} of {key} at once, and there are {thing.capacity}"
                yield Violation("capacity", names, words)

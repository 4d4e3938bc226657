"""What is refused before anything is levelled, with the names concerned."""

from typing import TYPE_CHECKING

from builds.schedule.calendar import from_minutes
from builds.schedule.errors import BadDuration, UnknownActivity
from builds.schedule.levelling.errors import (
    BadTask,
    ContradictoryDates,
    OverCapacity,
    TooFewPeople,
    UnknownName,
)
from builds.schedule.levelling.things import Task

if TYPE_CHECKING:
    from builds.schedule.levelling.problem import Problem


def refuse(problem: "Problem", within: bool) -> None:
    """Refuse a problem that has no plan, or that says something that cannot be.

    Parameters
    ----------
    problem : Problem
        All of it in place.
    within : bool
        Whether what does not fit into the calendars is refused, and so what is late for its last moment.

    Raises
    ------
    LevellingError, ScheduleError
        As `Problem.build` lists them.
    """
    for thing in problem.counted.values():
        if thing.capacity < 0:
            raise BadTask(thing.key, thing.capacity, "a capacity of 0 or more")
    for place, task in enumerate(problem.tasks):
        _refuse_numbers(task)
        _refuse_uses(problem, task)
        _refuse_people(problem, place, task)
    unknown = sorted(target.key for target in problem.targets if target.key not in problem.place)
    if unknown:
        raise UnknownActivity(unknown)
    for target in problem.targets:
        if min(target.late_weight, target.early_weight) < 0:
            raise BadTask(target.key, min(target.late_weight, target.early_weight), "weights of 0 or more")
    if within:
        _refuse_dates(problem)


def _refuse_numbers(task: Task) -> None:
    if task.not_after is not None and not isinstance(task.not_after, int):
        raise BadDuration(task.not_after, "a whole number of minutes", task.key)
    if task.people < 0:
        raise BadTask(task.key, task.people, "0 people or more")
    if not 0 <= task.wanted <= task.people:
        raise BadTask(task.key, task.wanted, f"no more skilled people than its {task.people}")
    if len(set(task.named)) < len(task.named) or len(task.named) > task.people:
        raise BadTask(task.key, ", ".join(task.named), f"different people, no more than {task.people}")
    if task.place != "bench" and task.car is None:
        raise BadTask(task.key, "none", "a car to be on or away with")


def _refuse_uses(problem: "Problem", task: Task) -> None:
    unknown = sorted(key for key, _ in task.uses if key not in problem.counted)
    if unknown:
        raise UnknownName("counted thing", unknown)
    if len(dict(task.uses)) < len(task.uses):
        raise BadTask(task.key, ", ".join(key for key, _ in task.uses), "each counted thing once")
    for key, asked in task.uses:
        if asked < 0:
            raise BadTask(task.key, asked, f"0 or more of {key}")
        if asked > problem.counted[key].capacity:
            raise OverCapacity(task.key, key, asked, problem.counted[key].capacity)


def _refuse_people(problem: "Problem", place: int, task: Task) -> None:
    unknown = sorted(set(task.named) - set(problem.by_name))
    if unknown:
        raise UnknownName("worker", unknown)
    if not task.needs or (problem.crews[place] and problem.here.issuperset(task.named)):
        return
    skilled = [w.key for w in problem.workers if task.skill is None or task.skill in w.skills]
    asked = dict.fromkeys((*task.named, *skilled))
    skill, needed = task.skill, task.wanted or task.people
    if problem.here.issuperset(task.named) and task.wanted <= len(problem.here.intersection(asked)):
        skill, needed = None, task.people  # hands are missing, not the skill
        asked = dict.fromkeys(problem.by_name)
    able = [key for key in asked if key in problem.here]
    gone = [key for key in asked if key not in problem.here]
    raise TooFewPeople(task.key, skill, needed, able, gone)


def _refuse_dates(problem: "Problem") -> None:
    for place, task in enumerate(problem.tasks):
        finish = problem.earliest[place][1]
        if task.not_after is not None and finish > task.not_after:
            raise ContradictoryDates(
                _chain(problem, place), from_minutes(task.not_after), from_minutes(finish)
            )


def _chain(problem: "Problem", place: int) -> list[str]:
    """Give the links that set the earliest date of a task, from their first cause."""
    chain = [problem.tasks[place].key]
    while True:
        spans = problem.earliest
        ready = problem.ready(place, [span[1] for span in spans])
        causes = [
            before
            for before, _, lag in problem.network.waits_for[place]
            if spans[before][1] + lag == ready > problem.start
        ]
        if not causes or problem.tasks[place].not_before == ready:
            return chain[::-1]
        place = min(causes)
        chain.append(problem.tasks[place].key)

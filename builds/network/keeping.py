"""The kept plan: written down, read again, and mended where the workshop has changed since.

Checks before a first start-up are pushed to right before it at the end (`levelling.late`): everything else
stays where it is, and nobody counts on their hour.

Mending disturbs little: everybody keeps his jobs in their order, but for those that fall on days on which
he is no longer here, while another is who can do them. Two such plans are made at once, one in
which nothing comes on an earlier day than it was to, and one in which all moves up as far as it can; the
cheaper is taken, and each job that moves costs something in that sum.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from builds.models import KeptPlan
from builds.schedule.levelling.late import pushed_late
from builds.schedule.levelling.plan import MovedTask, Plan, moved, plan_of
from builds.schedule.levelling.problem import Crew, Placed, Previous, Problem
from builds.schedule.levelling.serial import place_in_order, serial_plan

from .calendars import DAY_MIN

MOVED_MIN = 4 * 60  # a start that differs by up to half a day is where people expect it
NEAR_MIN = 21 * DAY_MIN  # what was to begin later than three weeks from now nobody counts on yet
LARGE = 4000  # tasks
WORKED_THIRD = 3  # a working day of eight hours is a third of a day by the clock
ROUNDS = 4  # of moving up what fits into hours that checks left free
AFTER_ALL = 1 << 40  # where something new stands in the order: behind all that was planned


def written(plan: Plan) -> dict[str, list[Any]]:
    """A plan as the database keeps it: start, finish and people by key."""
    return {key: [one.start, one.finish, *one.people] for key, one in plan.placed.items()}


def read(kept: KeptPlan) -> dict[str, Placed]:
    return placed_of(kept.starts)


def placed_of(starts: Mapping[str, list[Any]]) -> dict[str, Placed]:
    """What `written` wrote."""
    rows = starts.items()
    return {key: Placed(start, finish, tuple(people)) for key, (start, finish, *people) in rows}


def previous_of(kept: KeptPlan, problem: Problem) -> Previous:
    """The kept plan as the core weighs it: what it said of the next three weeks."""
    return previous_like(problem, read(kept))


def previous_like(problem: Problem, placed: Mapping[str, Placed]) -> Previous:
    """Any plan as the one that people count on: its jobs, but for those that are no more."""
    end = problem.start + NEAR_MIN
    jobs = (
        (key, one) for key, one in placed.items() if key.startswith("job:") and _is_counted_on(problem, key)
    )
    near = {key: one for key, one in jobs if one.start < end}
    return Previous(near, tolerance_min=MOVED_MIN)


def _is_counted_on(problem: Problem, key: str) -> bool:
    place = problem.place.get(key)
    return (
        key.startswith("job:") and place is not None and not problem.tasks[place].as_late
    )  # a check goes with what it releases


def first_plan(problem: Problem) -> Plan:
    """A plan where none is kept: the best of several orders, or of a very large workshop the most pressing
    first, since what weighs cars against each other would take a minute there.
    """
    if len(problem.tasks) <= LARGE:
        return settled(problem, serial_plan(problem))
    due = {
        place: problem.earliest[place][1] if target.promised is None else target.promised
        for target in problem.targets
        for place in (problem.place[target.key],)
    }
    return with_checks_late(problem, plan_of(problem, place_in_order(problem, latest_for(problem, due))))


def settled(problem: Problem, plan: Plan) -> Plan:
    """The plan with each check right before what it releases, and what then fits into the hours that came
    free moved up: never dearer, and such that mending it changes nothing.
    """
    best = with_checks_late(problem, plan)
    for _ in range(ROUNDS):
        again = replace(mended(problem, best.placed), bound=plan.bound)
        if again.cost >= best.cost:
            break
        best = again
    return best


def with_checks_late(problem: Problem, plan: Plan) -> Plan:
    """The plan with each check right before what it releases, as far as hands are free there."""
    return plan_of(problem, pushed_late(problem, plan.placed), plan.bound)


def latest_for(problem: Problem, due: Mapping[int, int]) -> list[int]:
    """For each task about when it must be finished for targets to be there when they are due, by place."""
    late = [AFTER_ALL] * len(problem.tasks)
    for place, moment in due.items():
        late[place] = moment
    for place in range(len(late) - 1, -1, -1):
        task = problem.tasks[place]
        by_the_clock = task.work_min * (WORKED_THIRD if task.needs else 1)
        for before, _, lag in problem.network.waits_for[place]:
            late[before] = min(late[before], late[place] - by_the_clock - lag)
    return late


def mended(problem: Problem, before: Mapping[str, Placed]) -> Plan:
    """A plan in the order of the one before. Raises as `place_in_order` does."""
    turns = turns_of(problem, before)
    plans = [
        plan_of(problem, place_in_order(problem, turns.order, turns.crews, not_before=not_before))
        for not_before in (turns.same_day, None)
    ]
    return with_checks_late(problem, min(plans, key=lambda plan: plan.cost))


@dataclass(frozen=True)
class Turns:
    """The order of a plan, its people, and the day of each task in it, by place."""

    order: list[int]
    crews: dict[int, Crew]
    same_day: dict[int, int]


def turns_of(problem: Problem, before: Mapping[str, Placed]) -> Turns:
    """How a plan is followed that was made for the workshop as it was then."""
    known = {problem.place[key]: placed for key, placed in before.items() if key in problem.place}
    crews = {place: was.people for place, was in known.items() if _stays(problem, place, was)}
    order = _order(problem, {place: 2 * was.start + (place not in crews) for place, was in known.items()})
    same_day = {
        place: was.start - was.start % DAY_MIN
        for place, was in known.items()
        # what somebody began goes on, whenever it was to be, and a check goes with what it releases
        if not problem.tasks[place].in_hand and not problem.tasks[place].as_late
    }
    return Turns(order, crews, same_day)


def _stays(problem: Problem, place: int, was: Placed) -> bool:
    """Whether a job stays with its people: they can do it, and are here then if anybody who can is."""
    crews = problem.crews[place]
    if was.people not in crews:
        return False
    return _is_here(problem, place, was.people, was.start) or not any(
        _is_here(problem, place, crew, was.start) for crew in crews
    )


def _is_here(problem: Problem, place: int, crew: Crew, moment: int) -> bool:
    hours = problem.hours_of(place, crew)
    return (
        hours is not None and hours.opens <= moment < hours.closes and hours.between(moment, moment + 1) > 0
    )


def _order(problem: Problem, known: Mapping[int, int]) -> list[int]:
    """For each task its turn, those known given. Something new takes the turn of the first that waits for it,
    so that a part made good comes in time for its job.
    """
    order = [AFTER_ALL] * len(problem.tasks)
    for place in range(len(order) - 1, -1, -1):
        if place in known:
            order[place] = known[place]
        else:
            waiting = (order[after] for after, _, _ in problem.network.awaited_by[place])
            order[place] = min(waiting, default=AFTER_ALL)
    return order


def jobs_moved(previous: Previous, plan: Plan) -> tuple[MovedTask, ...]:
    """Jobs of the next weeks that moved by more than half a day, or to other people."""
    return moved(previous, plan.placed)

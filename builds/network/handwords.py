"""Waiting for people, in words: 'waits for the only welder, Wren Abara, who is on …'."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from builds.facts import ChainStep
from builds.schedule.calendar import from_minutes
from builds.schedule.driving import Step
from builds.schedule.handover import HandOver
from builds.schedule.levelling.waits import waits_for

from .ordered import Ordered
from .solution import Solution
from .words import day_words, page

NEAR_DAYS = 6  # a weekday alone says which day is meant


@dataclass(frozen=True)
class KeptBy:
    """The jobs on another car, one after the other, that keep somebody or something from this one."""

    hand: HandOver
    step: Step  # the last of them
    start: int
    more: int  # before the last


def kept_by(hand: HandOver, step: Step, before: KeptBy | None) -> KeptBy:
    """One more job that keeps somebody; where it follows others for the same person, all are one wait."""
    if before is not None and before.hand.resource == hand.resource:
        return KeptBy(hand, step, before.start, before.more + 1)
    return KeptBy(hand, step, step.start, 0)


def wait_for_another_car(solution: Solution, people: Ordered, kept: KeptBy) -> ChainStep:
    """'waits for the only welder, Wren Abara, who is on “…” (Petrel) until Thursday'."""
    rows = solution.model.rows
    job = rows.jobs[int(kept.step.key.partition(":")[2])]
    ends = from_minutes(kept.step.finish).date()
    on = f"“{job.title}” ({rows.cars[job.car_id].name})"
    on += f" and {kept.more} more before it" if kept.more else ""
    until = until_words(ends, solution.model.today)
    if kept.hand.is_person:
        text = f"waits for {_who(people, kept.hand)}, who is on {on} until {until}"
    else:
        text = f"waits for {_name(people, kept.hand)}, taken by {on} until {until}"
    return ChainStep(
        text=text,
        short=f"{_name(people, kept.hand)} on {rows.cars[job.car_id].name}",
        url=page("job", job.id),
        start_on=from_minutes(kept.start).date(),
        finish_on=ends,
        is_waiting=True,
        late_days=0,
    )


def _who(people: Ordered, hand: HandOver) -> str:
    """'the only welder, Wren Abara', or the name alone where others could do it too."""
    name = _name(people, hand)
    return f"the only {_skill(people, hand)}, {name}" if _is_only(people, hand) else name


def _is_only(people: Ordered, hand: HandOver) -> bool:
    problem, plan = people.levelled.problem, people.levelled.plan
    assert problem is not None
    assert plan is not None
    # where the plan had time to spare there, these dates may have none
    place = problem.place[hand.after]
    if len(problem.able[place]) == problem.tasks[place].needs:
        return True
    if people.is_at_once:
        return False  # takes longer than all else on the page; the plan made anew says it
    waits = waits_for(problem, plan.placed, hand.after)
    mine = [wait for wait in waits if wait.reason == "person" and wait.resource == hand.resource]
    return any(wait.is_only for wait in mine)


def _skill(people: Ordered, hand: HandOver) -> str:
    problem = people.levelled.problem
    assert problem is not None
    return problem.tasks[problem.place[hand.after]].skill or "one who can"


def _name(people: Ordered, hand: HandOver) -> str:
    person = people.levelled.people.get(hand.resource)
    return person.name if person is not None else people.levelled.things.get(hand.resource, hand.resource)


def until_words(day: date, today: date) -> str:
    """'Thursday' within the week, else 'Thu 3 Dec'."""
    if 0 <= (day - today).days <= NEAR_DAYS:
        return f"{day:%A}"
    return f"{day:%a} {day_words(day, today)}"

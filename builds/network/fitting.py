"""More work than there are hours: what fits is planned with people, and the rest is named.

What is promised first comes first, what nobody is promised last. A job of more than a working year is taken
for one whose hours are far too long: it gets what hours are left. A plan that is kept keeps its order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from builds.schedule.calendar import from_minutes
from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.problem import Placed, Problem, Task, Worker
from builds.schedule.levelling.serial import place_in_order

from .calendars import horizon
from .keeping import latest_for, turns_of
from .model import Model
from .solution import thing_words, too_far_words

YEAR_MIN = 2000 * 60  # about what one person works in a year: common practice, no source
LAST = 1 << 42  # behind everything else in the order
NAMED = 3  # jobs of one caution; of more it is said how many there are

ANYBODY = None  # jobs that ask for no skill


def too_much_words(tasks: Iterable[Task], workers: Iterable[Worker], start: int, end: int) -> str:
    """'The job lists ask for 49,995 hours of work, …' if that is more than people have; else empty."""
    work: dict[str | None, int] = {ANYBODY: 0}
    for task in tasks:
        work[ANYBODY] += task.work_min * task.needs
        if task.skill is not None:
            work[task.skill] = work.get(task.skill, 0) + task.work_min * task.wanted
    for skill, minutes in work.items():
        able = [worker for worker in workers if skill is ANYBODY or skill in worker.skills]
        there = sum(worker.calendar.between(start, end) for worker in able if worker.calendar)
        if 0 < there < minutes:  # if there is nobody, the core names who could
            return (
                f"The job lists ask for {minutes // 60:,} hours of work, and {_who(skill)} have "
                f"{there // 60:,} until the end of {from_minutes(end).year}."
            )
    return ""


def fitting(problem: Problem, before: Mapping[str, Placed]) -> tuple[dict[str, Placed], tuple[str, ...]]:
    """Place what fits. Gives the tasks placed, and the keys of those that do not fit though all that they
    wait for does; what waits for them is neither.
    """
    if before:
        turns = turns_of(problem, before)
        order, crews, same_day = turns.order, turns.crews, turns.same_day
    else:
        end = problem.open.closes
        promised = ((problem.place[one.key], one.promised) for one in problem.targets)
        due = {place: end if moment is None else moment for place, moment in promised}
        order, crews, same_day = latest_for(problem, due), {}, {}
    order = [
        turn + (LAST if task.work_min > YEAR_MIN and task.needs else 0)
        for turn, task in zip(order, problem.tasks, strict=True)
    ]
    unfit: list[int] = []
    placed = place_in_order(problem, order, crews, same_day, unfit)
    return placed, tuple(problem.tasks[place].key for place in sorted(unfit))


@dataclass(frozen=True)
class Unfit:
    """What is not in the plan: cautions for the page, and the reason by key."""

    cautions: tuple[str, ...]
    words: Mapping[str, str]

    @property
    def keys(self) -> Collection[str]:
        return self.words.keys()

    @classmethod
    def of(cls, model: Model, problem: Problem, left_out: Mapping[str, Collection[str]], lead: str) -> Unfit:
        """From each task that does not fit, with all that waits for it."""
        last = horizon(model.today)[1].year
        words: dict[str, str] = {}
        short: dict[_Room, list[str]] = {}
        cautions = []
        for cause, keys in left_out.items():
            task = problem.tasks[problem.place[cause]]
            room = _room(model, task, last)
            if room is not None:
                short.setdefault(room, []).append(thing_words(model, cause))
                why = f"{thing_words(model, cause)} does not fit into {room.words}."
            else:
                hours = problem.calendars[task.calendar or problem.hours]
                why = too_far_words(model, BeyondHorizon(hours.first, hours.last, cause, None))
                cautions.append(why)
            words |= {key: why for key in keys if key not in words}
        told = [_caution(names, room) for room, names in short.items()]
        if told and lead:
            told[0] = f"{lead} {told[0]}"
        return cls((*told, *cautions), words)


@dataclass(frozen=True)
class _Room:
    """What things do not fit into, what they are, and what would help."""

    words: str
    thing: str
    remedy: str


def _room(model: Model, task: Task, last: int) -> _Room | None:
    """None for what no hands and no place at a supplier would help."""
    if task.needs:
        hours = f"the hours that {_who(task.skill)} still have until the end of {last}"
        return _Room(hours, "job", "Enter more people, or look for hours that are far too long.")
    for key, _ in task.uses:
        kind, _, number = key.partition(":")
        if kind == "supplier":
            taken = f"what {model.rows.suppliers[int(number)].name} takes at once until the end of {last}"
            return _Room(taken, "part", "Let more go there at once, or look for a lead time far too long.")
    return None


def _caution(names: list[str], room: _Room) -> str:
    more = len(names) - NAMED
    named = [*names[:NAMED], f"{more} more {room.thing}{'s' if more > 1 else ''}"] if more > 0 else names
    one = len(names) == 1
    all_names = named[0] if one else f"{', '.join(named[:-1])} and {named[-1]}"
    return (
        f"{all_names} {'does' if one else 'do'} not fit into {room.words}: with what waits for "
        f"{'it, it has' if one else 'them, they have'} no date with people. All else keeps its date. "
        f"{room.remedy}"
    )


def _who(skill: str | None) -> str:
    return "the people here" if skill is ANYBODY else f"those with the skill {skill}"

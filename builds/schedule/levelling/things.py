"""What a problem is made of: tasks, workers, counted things, targets, and the plan before."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from builds.schedule.calendar import WorkCalendar

Place = Literal["on", "bench", "away"]
Crew = tuple[str, ...]
"""Keys of the workers on one task, in the order of the problem's workers."""


@dataclass(frozen=True, slots=True)
class Task:
    """A job, a supplier's operation, a decision, a batch's leaving or a milestone.

    Parameters
    ----------
    key : str
        Name that is used once.
    work_min : int
        Working minutes: of each of its people, or of its own calendar if it needs nobody [min].
    calendar : str, optional
        Name of hours that it keeps besides those of its people: the car's, the supplier's. A task that
        needs nobody keeps the workshop's hours if it names none.
    car : str, optional
        The car that it is part of.
    place : {'bench', 'on', 'away'}
        At the bench; on the car, so not while the car is away; or away with the car.
    people : int
        How many work on it at once; 0 for what suppliers, owners or the clock do. No work needs nobody.
    skill : str, optional
        Skill that it asks for.
    skilled : int, optional
        How many of its people must have the skill, the others helping; all of them if not given.
    named : tuple of str, optional
        Workers who must be on it; they count as able.
    not_before : int, optional
        Moment before which it cannot start [min].
    not_after : int, optional
        Moment by which it must be finished: outweighs every promise [min].
    in_hand : bool
        Somebody is on it: it is carried on with before anything else.
    uses : tuple of (str, int), optional
        Counted things that it holds, and how many of each.
    as_late : bool
        A check of what follows it, best done right before: `late.pushed_late` puts it there.
    """

    key: str
    work_min: int
    calendar: str | None = None
    car: str | None = None
    place: Place = "bench"
    people: int = 1
    skill: str | None = None
    skilled: int | None = None
    named: Crew = ()
    not_before: int | None = None
    not_after: int | None = None
    in_hand: bool = False
    uses: tuple[tuple[str, int], ...] = ()
    as_late: bool = False

    @property
    def needs(self) -> int:
        """How many people it takes up."""
        return self.people if self.work_min else 0

    @property
    def wanted(self) -> int:
        """How many of them must have the skill."""
        if self.skill is None:
            return 0
        return self.people if self.skilled is None else self.skilled


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody who works on cars.

    Parameters
    ----------
    key : str
        Name that is used once.
    calendar : WorkCalendar or None
        Own week less absences; None for somebody who has no working time at all.
    skills : frozenset of str
        What they can do besides jobs that ask for no skill.
    """

    key: str
    calendar: WorkCalendar | None
    skills: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Counted:
    """Something of which there are so many: lifts, bays, a supplier's lines, room round one car.

    Parameters
    ----------
    key : str
        Name that is used once.
    capacity : int
        How many can be held at once.
    """

    key: str
    capacity: int


@dataclass(frozen=True, slots=True)
class Target:
    """A task whose finish matters, usually a milestone of a car.

    Parameters
    ----------
    key : str
        The task.
    promised : int, optional
        Moment promised to somebody [min].
    late_weight : int
        What an open minute after the promise costs.
    early_weight : int
        What each open minute until the finish costs, promised or not: so that a car without a promise
        is finished too.
    """

    key: str
    promised: int | None = None
    late_weight: int = 10
    early_weight: int = 1


@dataclass(frozen=True, slots=True)
class Placed:
    """When a task is done, and by whom.

    Parameters
    ----------
    start, finish : int
        First and last moment [min].
    people : tuple of str
        Keys of its workers, in the order of the problem's workers.
    """

    start: int
    finish: int
    people: Crew = ()


@dataclass(frozen=True, slots=True)
class Previous:
    """The plan that people know already, which should not be turned over for little.

    Parameters
    ----------
    placed : mapping of str to Placed
        What it said; tasks that are no more are passed over.
    moved_weight : int
        What one moved task costs, in the currency of the targets.
    tolerance_min : int
        A start that differs by no more than this, with the same people, has not moved [min].
    """

    placed: Mapping[str, Placed]
    moved_weight: int = 60
    tolerance_min: int = 0

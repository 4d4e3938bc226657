"""What can be wrong with a levelling problem, each with the names concerned."""

from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from builds.schedule.errors import ScheduleError


class LevellingError(ScheduleError):
    """Base of everything that levelling refuses."""


class BadTask(LevellingError):
    """Something that a task says of itself cannot be.

    Parameters
    ----------
    key : str
        The task.
    value : object
        What was given.
    expected : str
        What would have been right, in words.
    """

    def __init__(self, key: str, value: object, expected: str) -> None:
        self.key, self.value, self.expected = key, value, expected
        super().__init__(f"{key} needs {expected}, not {value}.")


class UnknownName(LevellingError):
    """A task, a target or a plan names somebody or something that is not there.

    Parameters
    ----------
    kind : str
        'task', 'worker' or 'counted thing'.
    names : sequence of str
        The names that were not found.
    """

    def __init__(self, kind: Literal["task", "worker", "counted thing"], names: Sequence[str]) -> None:
        self.kind, self.names = kind, tuple(names)
        super().__init__(f"There is no {kind} called {', '.join(self.names)}. Add it, or take the name out.")


class DuplicateName(LevellingError):
    """Two workers or two counted things have the same key.

    Parameters
    ----------
    names : sequence of str
        Every key that is used more than once.
    """

    def __init__(self, names: Sequence[str]) -> None:
        self.names = tuple(names)
        super().__init__(f"More than one is called {', '.join(self.names)}. Each needs its own key.")


class TooFewPeople(LevellingError):
    """A task asks for more people, or for a skill in more people, than there are.

    Parameters
    ----------
    key : str
        The task.
    skill : str or None
        The skill it asks for.
    needed : int
        How many it asks for.
    able : sequence of str
        Those who could do it.
    never_here : sequence of str
        Those who could, but have no working time from the start of the plan on.

    Examples
    --------
    >>> print(TooFewPeople("weld floor", "welding", 1, (), ("Tomas Kell",)))
    weld floor needs 1 with the skill welding, and there is nobody: Tomas Kell is never here.
    """

    def __init__(
        self, key: str, skill: str | None, needed: int, able: Sequence[str], never_here: Sequence[str]
    ) -> None:
        self.key, self.skill, self.needed = key, skill, needed
        self.able, self.never_here = tuple(able), tuple(never_here)
        asked = f"{needed} with the skill {skill}" if skill is not None else f"{needed} people"
        found = f"there is only {', '.join(self.able)}" if self.able else "there is nobody"
        away = ", ".join(self.never_here)
        verb = "is" if len(self.never_here) == 1 else "are"
        missing = f": {away} {verb} never here" if self.never_here else ""
        super().__init__(f"{key} needs {asked}, and {found}{missing}.")


class NoCommonHours(LevellingError):
    """Nobody who could do a task has hours in which it can be done.

    Parameters
    ----------
    key : str
        The task.
    people : sequence of str
        Those who could do it but never at the same time, or never in the hours of the task.
    """

    def __init__(self, key: str, people: Sequence[str]) -> None:
        self.key, self.people = key, tuple(people)
        super().__init__(
            f"{key} cannot be done: {', '.join(self.people)} have no hours in which they are all here and "
            "it can be worked on. Look at their weeks, their absences and where the car is."
        )


class OverCapacity(LevellingError):
    """A task alone asks for more of a counted thing than there is.

    Parameters
    ----------
    key : str
        The task.
    counted : str
        The thing.
    asked, capacity : int
        How many it asks for, and how many there are.
    """

    def __init__(self, key: str, counted: str, asked: int, capacity: int) -> None:
        self.key, self.counted, self.asked, self.capacity = key, counted, asked, capacity
        super().__init__(f"{key} needs {asked} of {counted}, and there are only {capacity}.")


class ContradictoryDates(LevellingError):
    """A task must be finished by a moment that it cannot meet however many people there are.

    Parameters
    ----------
    keys : sequence of str
        The chain that rules it out, from the first cause to the task.
    not_after, earliest : datetime
        When it must be finished, and when it can be at the earliest.
    """

    def __init__(self, keys: Sequence[str], not_after: datetime, earliest: datetime) -> None:
        self.keys, self.not_after, self.earliest = tuple(keys), not_after, earliest
        because = f" after {' → '.join(self.keys[:-1])}" if len(self.keys) > 1 else ""
        super().__init__(
            f"{self.keys[-1]} must be finished by {in_words(not_after)} but cannot be before "
            f"{in_words(earliest)}{because}, even with endless people. Change one of the dates."
        )


class NotAPlan(LevellingError):
    """A plan given to start from leaves tasks out, or breaks a rule.

    Parameters
    ----------
    why : str
        What is wrong with it.
    keys : sequence of str
        The tasks concerned.
    """

    def __init__(self, why: str, keys: Sequence[str]) -> None:
        self.why, self.keys = why, tuple(keys)
        super().__init__(f"This is no plan to start from: {why} ({', '.join(self.keys)}).")


def in_words(moment: datetime) -> str:
    """Write a moment as people say it.

    Parameters
    ----------
    moment : datetime
        Local time.

    Returns
    -------
    str
        Day and time.

    Examples
    --------
    >>> in_words(datetime(2027, 3, 5, 16, 30))
    'Fri 5 Mar 2027, 16:30'
    """
    return f"{moment:%a} {moment.day} {moment:%b} {moment.year}, {moment:%H:%M}"

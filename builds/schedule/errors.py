"""What can be wrong with a network or a calendar, each with the things that caused it.

Every class carries the offending things as attributes, so that the adapter can put the names
of jobs and parts in place of keys; the message alone can be read by a person, too.
"""

from collections.abc import Sequence
from datetime import date, datetime


class ScheduleError(Exception):
    """Base of everything that this core refuses."""


class CycleError(ScheduleError):
    """Activities wait for each other in a circle, so none of them could ever start.

    Parameters
    ----------
    keys : sequence of str
        The circle in working order: each key comes before the next, and the last before the first.

    Examples
    --------
    >>> print(CycleError(("bleed brakes", "fit pipes")))
    These wait for each other in a circle: bleed brakes → fit pipes → bleed brakes. Take one link away.
    """

    def __init__(self, keys: Sequence[str]) -> None:
        self.keys = tuple(keys)
        circle = " → ".join((*self.keys, self.keys[0]))
        super().__init__(f"These wait for each other in a circle: {circle}. Take one link away.")


class UnknownActivity(ScheduleError):
    """A link, a target or a change names an activity that the network does not have.

    Parameters
    ----------
    keys : sequence of str
        The names that are not in the network.
    """

    def __init__(self, keys: Sequence[str]) -> None:
        self.keys = tuple(keys)
        super().__init__(f"Not in the network: {', '.join(self.keys)}. Add it, or take the link away.")


class UnknownCalendar(ScheduleError):
    """An activity keeps the hours of a calendar that the network does not have.

    Parameters
    ----------
    key : str
        The activity.
    calendar : str
        The calendar that it names.
    """

    def __init__(self, key: str, calendar: str) -> None:
        self.key, self.calendar = key, calendar
        super().__init__(f"{key} keeps the hours of {calendar}, and there is no calendar of that name.")


class DuplicateActivity(ScheduleError):
    """Two activities have the same key.

    Parameters
    ----------
    keys : sequence of str
        Every key that is used more than once.
    """

    def __init__(self, keys: Sequence[str]) -> None:
        self.keys = tuple(keys)
        super().__init__(f"More than one activity is called {', '.join(self.keys)}. Each needs its own key.")


class BadDuration(ScheduleError):
    """A length of time is negative, not a whole number of minutes, or out of order.

    Parameters
    ----------
    value : object
        What was given.
    expected : str
        What would have been right, in words.
    key : str, optional
        The activity that it belongs to.
    """

    def __init__(self, value: object, expected: str, key: str | None = None) -> None:
        self.value, self.expected, self.key = value, expected, key
        of_what = f" of {key}" if key is not None else ""
        super().__init__(f"The time{of_what} must be {expected}, not {value}.")


class BadChance(ScheduleError):
    """A chance that is not between 0 and 1, or nothing at all.

    Parameters
    ----------
    value : object
        What was given.
    """

    def __init__(self, value: object) -> None:
        self.value = value
        super().__init__(f"A chance must be greater than 0 and less than 1, not {value}.")


class BadForecast(ScheduleError):
    """A forecast is asked for in a way that gives none: no target, no draws, a share over 1.

    Parameters
    ----------
    value : object
        What was given.
    expected : str
        What would have been right, in words.
    """

    def __init__(self, value: object, expected: str) -> None:
        self.value, self.expected = value, expected
        super().__init__(f"A forecast needs {expected}, not {value}.")


class BadCalendar(ScheduleError):
    """Hours, days or spans that make no calendar.

    Parameters
    ----------
    value : object
        What was given.
    expected : str
        What would have been right, in words.
    """

    def __init__(self, value: object, expected: str) -> None:
        self.value, self.expected = value, expected
        super().__init__(f"A working calendar needs {expected}, not {value}.")


class NotLocalTime(ScheduleError):
    """A moment carries a time zone; this core counts local wall-clock time only.

    Parameters
    ----------
    moment : datetime
        What was given.
    """

    def __init__(self, moment: datetime) -> None:
        self.moment = moment
        super().__init__(f"{moment} has a time zone: turn it into local time without one first.")


class NoWorkingTime(ScheduleError):
    """A calendar has not one working minute from its first day to its last.

    Parameters
    ----------
    first, last : date
        The days that the calendar covers.
    """

    def __init__(self, first: date, last: date) -> None:
        self.first, self.last = first, last
        super().__init__(
            f"There is no working time from {_british(first)} to {_british(last)}: "
            "look at the weekly hours and the closures."
        )


class BeyondHorizon(ScheduleError):
    """A date lies outside the days that a calendar covers, so it is refused rather than guessed.

    Parameters
    ----------
    first, last : date
        The days that the calendar covers.
    key : str, optional
        The activity that could not be dated.
    calendar : str, optional
        The calendar that it keeps.
    """

    def __init__(self, first: date, last: date, key: str | None = None, calendar: str | None = None) -> None:
        self.first, self.last, self.key, self.calendar = first, last, key, calendar
        subject = f"{key} cannot be dated: it" if key is not None else "The date"
        of_which = f" of {calendar}" if calendar is not None else ""
        super().__init__(
            f"{subject} falls outside {_british(first)} to {_british(last)}, which is all that the "
            f"calendar{of_which} covers. Look for a wrong year or a length far too long."
        )


def _british(day: date) -> str:
    return f"{day.day} {day:%b} {day.year}"

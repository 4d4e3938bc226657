"""One network of activities and links, checked once and kept in an order in which it can be worked.

The method is the critical path method [1]_ with start and finish links and lags as in precedence
diagrams [2]_; activities are not interrupted except by closed time of their own calendar.

References
----------
.. [1] J.E. Kelley, M.R. Walker (1959) 'Critical-path planning and scheduling', Proceedings of the
   Eastern Joint Computer Conference, 160-173.
.. [2] J.W. Fondahl (1961) 'A non-computer approach to the critical path method for the construction
   industry', Technical Report 9, Department of Civil Engineering, Stanford University.
   (Both references from memory.)
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import (
    BadDuration,
    CycleError,
    DuplicateActivity,
    UnknownActivity,
    UnknownCalendar,
)


class LinkKind(StrEnum):
    """Which end of the activity after waits for which end of the one before."""

    FS = "FS"  # its start for the finish
    SS = "SS"  # its start for the start
    FF = "FF"  # its finish for the finish
    SF = "SF"  # its finish for the start


@dataclass(frozen=True, slots=True)
class Activity:
    """Something that takes working time, or a milestone if it takes none.

    Parameters
    ----------
    key : str
        Name that is used once in a network.
    work_min : int
        Working minutes of its calendar, not negative [min].
    calendar : str
        Name of the calendar whose hours it keeps.
    not_before : int, optional
        Moment before which it cannot start: a supplier's promise, a fixed day [min].
    """

    key: str
    work_min: int
    calendar: str
    not_before: int | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """One activity waits for another.

    Parameters
    ----------
    before, after : str
        Keys of the activity waited for and of the one that waits.
    kind : LinkKind
        Which ends are tied.
    lag_min : int
        Least *elapsed* minutes from the one end to the other: a cure or a bake goes on through the
        night. Negative if the ends may overlap by so much [min].
    """

    before: str
    after: str
    kind: LinkKind = LinkKind.FS
    lag_min: int = 0


Arc = tuple[int, LinkKind, int]
"""A link seen from one of its activities: place of the other, kind, lag [min]."""


@dataclass(frozen=True)
class Network:
    """Activities and links that have been checked; make one with `build`.

    Parameters
    ----------
    activities : tuple of Activity
        In working order: each comes after all that it waits for.
    links : tuple of Link
        As they were given.
    calendars : mapping of str to WorkCalendar
        The hours that the activities keep.
    start : int
        Moment before which nothing starts: usually now [min].
    place : mapping of str to int
        Where each key stands in `activities`.
    waits_for, awaited_by : tuple of tuple of Arc
        For each place the links that come in and those that go out.
    """

    activities: tuple[Activity, ...]
    links: tuple[Link, ...]
    calendars: Mapping[str, WorkCalendar]
    start: int
    place: Mapping[str, int]
    waits_for: tuple[tuple[Arc, ...], ...]
    awaited_by: tuple[tuple[Arc, ...], ...]

    @classmethod
    def build(
        cls,
        activities: Iterable[Activity],
        links: Iterable[Link],
        calendars: Mapping[str, WorkCalendar],
        start: int,
    ) -> "Network":
        """Check activities and links and put them in working order.

        Parameters
        ----------
        activities : iterable of Activity
            In any order; the result does not depend on it.
        links : iterable of Link
            In any order. Several links may tie the same two activities.
        calendars : mapping of str to WorkCalendar
            Every calendar that an activity names.
        start : int
            Moment before which nothing starts [min].

        Returns
        -------
        Network
            Takes time in proportion to activities and links, and n log n to sort the keys.

        Raises
        ------
        DuplicateActivity
            If a key is used twice.
        BadDuration
            If work or a lag is not a whole number of minutes, or work is negative.
        UnknownCalendar, UnknownActivity
            If a calendar or the end of a link is not there.
        CycleError
            If activities wait for each other, by links of whatever kind and lag, or one for itself.

        Examples
        --------
        >>> from datetime import date
        >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
        >>> jobs = [Activity("fit", 60, "clock"), Activity("paint", 90, "clock")]
        >>> [a.key for a in Network.build(jobs, [Link("paint", "fit")], clock, 0).activities]
        ['paint', 'fit']
        """
        given = tuple(activities)
        tied = tuple(links)
        by_key = {activity.key: activity for activity in given}
        _refuse_duplicates(given, by_key)
        for activity in given:
            check_activity(activity, calendars)
        _refuse_bad_links(tied, by_key)
        order = _working_order(by_key, tied)
        place = {key: position for position, key in enumerate(order)}
        waits_for: list[list[Arc]] = [[] for _ in order]
        awaited_by: list[list[Arc]] = [[] for _ in order]
        for link in tied:
            before, after = place[link.before], place[link.after]
            waits_for[after].append((before, link.kind, link.lag_min))
            awaited_by[before].append((after, link.kind, link.lag_min))
        return cls(
            activities=tuple(by_key[key] for key in order),
            links=tied,
            calendars=calendars,
            start=start,
            place=place,
            waits_for=tuple(map(tuple, waits_for)),
            awaited_by=tuple(map(tuple, awaited_by)),
        )

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """The keys in working order."""
        return tuple(self.place)

    def activity(self, key: str) -> Activity:
        """Look an activity up by its key.

        Parameters
        ----------
        key : str
            The key.

        Returns
        -------
        Activity
            The activity of that key.

        Raises
        ------
        UnknownActivity
            If there is none.
        """
        if key not in self.place:
            raise UnknownActivity((key,))
        return self.activities[self.place[key]]


def check_activity(activity: Activity, calendars: Mapping[str, WorkCalendar]) -> None:
    """Refuse an activity whose work or calendar cannot be.

    Parameters
    ----------
    activity : Activity
        To be looked at.
    calendars : mapping of str to WorkCalendar
        The calendars that there are.

    Raises
    ------
    BadDuration
        If its work or its earliest moment is not a whole number of minutes, or the work is negative.
    UnknownCalendar
        If its calendar is not there.
    """
    if not isinstance(activity.work_min, int) or activity.work_min < 0:
        raise BadDuration(activity.work_min, "a whole number of minutes, not less than 0", activity.key)
    if activity.not_before is not None and not isinstance(activity.not_before, int):
        raise BadDuration(activity.not_before, "a whole number of minutes", activity.key)
    if activity.calendar not in calendars:
        raise UnknownCalendar(activity.key, activity.calendar)


def _refuse_duplicates(given: Sequence[Activity], by_key: Mapping[str, Activity]) -> None:
    if len(by_key) < len(given):
        counts = Counter(activity.key for activity in given)
        raise DuplicateActivity(sorted(key for key, count in counts.items() if count > 1))


def _refuse_bad_links(links: Sequence[Link], by_key: Mapping[str, Activity]) -> None:
    unknown = {key for link in links for key in (link.before, link.after) if key not in by_key}
    if unknown:
        raise UnknownActivity(sorted(unknown))
    for link in links:
        if not isinstance(link.lag_min, int):
            expected = "a whole number of minutes"
            raise BadDuration(link.lag_min, expected, f"the lag from {link.before} to {link.after}")


def _working_order(by_key: Mapping[str, Activity], links: Sequence[Link]) -> list[str]:
    """Give the keys so that each comes after all it waits for: by generations, each in order of key."""
    after: dict[str, list[str]] = {key: [] for key in by_key}
    waiting = dict.fromkeys(by_key, 0)
    for link in links:
        after[link.before].append(link.after)
        waiting[link.after] += 1
    order: list[str] = []
    ready = sorted(key for key, count in waiting.items() if count == 0)
    while ready:
        order.extend(ready)
        released = []
        for key in ready:
            for follower in after[key]:
                waiting[follower] -= 1
                if waiting[follower] == 0:
                    released.append(follower)
        ready = sorted(released)
    if len(order) < len(by_key):
        raise CycleError(_cycle({key for key, count in waiting.items() if count > 0}, links))
    return order


def _cycle(stuck: set[str], links: Sequence[Link]) -> list[str]:
    """Find one circle among activities of which each waits for another of them."""
    awaited: dict[str, str] = {}
    for link in links:
        if link.before in stuck and link.after in stuck:
            awaited[link.after] = min(link.before, awaited.get(link.after, link.before))
    walked = [min(stuck)]
    while awaited[walked[-1]] not in walked:
        walked.append(awaited[walked[-1]])
    circle = walked[walked.index(awaited[walked[-1]]) :]
    circle.reverse()
    turn = circle.index(min(circle))
    return circle[turn:] + circle[:turn]

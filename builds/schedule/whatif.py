"""A network or a calendar with something changed, for asking what would happen if."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from typing import Any

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BadDuration, UnknownActivity
from builds.schedule.network import Activity, Link, Network, check_activity
from builds.schedule.spans import DAY_MIN


def replace_activity(network: Network, key: str, **changes: Any) -> Network:
    """Give the same network with one activity changed.

    Parameters
    ----------
    network : Network
        Stays as it is.
    key : str
        The activity.
    **changes
        Any of ``work_min``, ``calendar`` and ``not_before``.

    Returns
    -------
    Network
        A new one that shares links and calendars with the old.

    Raises
    ------
    UnknownActivity, UnknownCalendar, BadDuration
        As `Network.build` does.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> network = Network.build([Activity("paint", 90, "clock")], [], clock, 0)
    >>> replace_activity(network, "paint", work_min=30).activity("paint").work_min
    30
    """
    return with_activities(network, {key: replace(network.activity(key), **changes)})


def with_activities(network: Network, changes: Mapping[str, Activity]) -> Network:
    """Give the same network with several activities changed.

    Parameters
    ----------
    network : Network
        Stays as it is.
    changes : mapping of str to Activity
        What stands in place of each key; its own key must be the same.

    Returns
    -------
    Network
        A new one that shares links and calendars with the old.

    Raises
    ------
    UnknownActivity
        If a key, or the key of what stands in its place, is not the network's.
    UnknownCalendar, BadDuration
        As `Network.build` does.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> network = Network.build([Activity("paint", 90, "clock")], [], clock, 0)
    >>> late = with_activities(network, {"paint": Activity("paint", 90, "clock", not_before=500)})
    >>> late.activity("paint").not_before
    500
    """
    activities = list(network.activities)
    for key, activity in changes.items():
        if key not in network.place or activity.key != key:
            raise UnknownActivity((activity.key if key in network.place else key,))
        check_activity(activity, network.calendars)
        activities[network.place[key]] = activity
    return replace(network, activities=tuple(activities))


def with_more(network: Network, activities: Collection[Activity], links: Iterable[Link]) -> Network:
    """Give the same network with activities added.

    Parameters
    ----------
    network : Network
        Stays as it is.
    activities : collection of Activity
        What is added.
    links : iterable of Link
        Links of it.

    Returns
    -------
    Network
        A new one that shares calendars with the old; the old one itself if nothing is added.

    Raises
    ------
    ScheduleError
        As `Network.build` does.

    Examples
    --------
    >>> from datetime import date
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> network = Network.build([Activity("fit", 60, "clock")], [], clock, 0)
    >>> with_more(network, [Activity("car back", 90, "clock")], [Link("car back", "fit")]).keys
    ('car back', 'fit')
    """
    more = tuple(activities)
    if not more:
        return network
    return Network.build(
        (*network.activities, *more), (*network.links, *links), network.calendars, network.start
    )


def without(network: Network, keys: Collection[str]) -> Network:
    """Give the same network without some activities.

    Parameters
    ----------
    network : Network
        Stays as it is.
    keys : collection of str
        What is left out, with its links: whatever waits for it does so no longer.

    Returns
    -------
    Network
        A new one that shares calendars with the old.

    Raises
    ------
    UnknownActivity
        If a key is not the network's.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> network = Network.build([Activity("paint", 90, "clock"), Activity("fit", 60, "clock")], [], clock, 0)
    >>> without(network, ["paint"]).keys
    ('fit',)
    """
    gone = frozenset(keys)
    unknown = sorted(gone - set(network.place))
    if unknown:
        raise UnknownActivity(unknown)
    return Network.build(
        (activity for activity in network.activities if activity.key not in gone),
        (link for link in network.links if link.before not in gone and link.after not in gone),
        network.calendars,
        network.start,
    )


def following(network: Network, key: str) -> frozenset[str]:
    """Give an activity and all that waits for it, directly or not.

    Parameters
    ----------
    network : Network
        The activities and their links.
    key : str
        The activity.

    Returns
    -------
    frozenset of str
        Keys.

    Raises
    ------
    UnknownActivity
        If there is no such activity.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.network import Link
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("paint", 90, "clock"), Activity("fit", 60, "clock"), Activity("trim", 60, "clock")]
    >>> sorted(following(Network.build(jobs, [Link("paint", "fit")], clock, 0), "paint"))
    ['fit', 'paint']
    """
    if key not in network.place:
        raise UnknownActivity((key,))
    found = {network.place[key]}
    for place in range(network.place[key], len(network.activities)):
        if place in found:
            found.update(after for after, _, _ in network.awaited_by[place])
    return frozenset(network.keys[place] for place in found)


def with_overtime(calendar: WorkCalendar, first: int, last: int, extra_min: int) -> WorkCalendar:
    """Give the same hours with longer days for a while.

    Parameters
    ----------
    calendar : WorkCalendar
        Stays as it is.
    first, last : int
        Days of which some work falls between these moments are longer [min].
    extra_min : int
        Minutes added at the end of each of these days, greater than 0; no day goes on past midnight [min].

    Returns
    -------
    WorkCalendar
        A new one. Days on which nobody works stay free.

    Raises
    ------
    BadDuration
        If `extra_min` is not greater than 0.

    Examples
    --------
    >>> from datetime import date
    >>> week = WorkCalendar.build({5: [(480, 960)], 0: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 4))
    >>> longer = with_overtime(week, 0, 1440, 120)
    >>> longer.starts, longer.ends
    ((480, 3360), (1080, 3840))
    """
    if extra_min <= 0:
        raise BadDuration(extra_min, "more than 0 minutes of overtime")
    spans = list(zip(calendar.starts, calendar.ends, strict=True))
    ends = []
    for number, (begin, end) in enumerate(spans):
        midnight = (end - 1) // DAY_MIN * DAY_MIN + DAY_MIN
        is_last_of_day = number + 1 == len(spans) or spans[number + 1][0] >= midnight
        longer = is_last_of_day and begin < last and end > first
        ends.append(min(end + extra_min, midnight) if longer else end)
    return WorkCalendar(calendar.first, calendar.last, calendar.starts, tuple(ends))

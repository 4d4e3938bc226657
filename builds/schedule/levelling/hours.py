"""Hours that several calendars share, and hours that any of them has."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from builds.schedule.calendar import WorkCalendar
from builds.schedule.spans import Span, joined


def common_spans(first: Sequence[Span], second: Sequence[Span]) -> list[Span]:
    """Give the stretches that two lists of stretches share.

    Parameters
    ----------
    first, second : sequence of (int, int)
        Each earliest first and apart [min].

    Returns
    -------
    list of (int, int)
        Earliest first and apart [min].

    Examples
    --------
    >>> common_spans([(0, 10), (20, 30)], [(5, 25)])
    [(5, 10), (20, 25)]
    """
    shared = []
    here = there = 0
    while here < len(first) and there < len(second):
        start = max(first[here][0], second[there][0])
        end = min(first[here][1], second[there][1])
        if start < end:
            shared.append((start, end))
        if first[here][1] <= second[there][1]:
            here += 1
        else:
            there += 1
    return shared


def common(calendars: Sequence[WorkCalendar]) -> WorkCalendar | None:
    """Make the calendar of the hours that all of some calendars have.

    Parameters
    ----------
    calendars : sequence of WorkCalendar
        At least one.

    Returns
    -------
    WorkCalendar or None
        None if they share no minute. It covers the days that all of them cover.

    Examples
    --------
    >>> from datetime import date
    >>> early = WorkCalendar.build({5: [(420, 900)]}, (), date(2000, 1, 1), date(2000, 1, 7))
    >>> late = WorkCalendar.build({5: [(600, 1080)]}, (), date(2000, 1, 1), date(2000, 1, 7))
    >>> shared = common([early, late])
    >>> shared.starts, shared.ends
    ((600,), (900,))
    """
    return _common(tuple(calendars))


@lru_cache(maxsize=512)
def _common(calendars: tuple[WorkCalendar, ...]) -> WorkCalendar | None:
    """Kept, since the same few crews share the same hours in every plan of a workshop."""
    found = calendars[0]
    for other in calendars[1:]:
        if other == found:
            continue
        spans = common_spans(spans_of(found), spans_of(other))
        if not spans:
            return None
        starts, ends = zip(*spans, strict=True)
        found = WorkCalendar(max(found.first, other.first), min(found.last, other.last), starts, ends)
    return found


def any_of(calendars: Iterable[WorkCalendar]) -> WorkCalendar:
    """Make the calendar of the hours that any of some calendars has.

    Parameters
    ----------
    calendars : iterable of WorkCalendar
        At least one.

    Returns
    -------
    WorkCalendar
        It covers the days that any of them covers.

    Examples
    --------
    >>> from datetime import date
    >>> early = WorkCalendar.build({5: [(420, 900)]}, (), date(2000, 1, 1), date(2000, 1, 7))
    >>> late = WorkCalendar.build({5: [(600, 1080)]}, (), date(2000, 1, 1), date(2000, 1, 7))
    >>> any_of([early, late]).starts, any_of([early, late]).ends
    ((420,), (1080,))
    """
    different = list(dict.fromkeys(calendars))
    if len(different) == 1:
        return different[0]
    spans = sorted(span for calendar in different for span in spans_of(calendar))
    starts, ends = zip(*joined(spans), strict=True)
    return WorkCalendar(min(c.first for c in different), max(c.last for c in different), starts, ends)


def spans_of(calendar: WorkCalendar) -> list[Span]:
    """Give the working stretches of a calendar as pairs.

    Parameters
    ----------
    calendar : WorkCalendar
        A calendar.

    Returns
    -------
    list of (int, int)
        Earliest first and apart [min].

    Examples
    --------
    >>> from datetime import date
    >>> spans_of(WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 1)))
    [(0, 1440)]
    """
    return list(zip(calendar.starts, calendar.ends, strict=True))

"""Stretches of time as pairs of minutes: joined, cut, and laid out from weekly hours."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date

from builds.schedule.errors import BadCalendar

DAY_MIN = 1440  # minutes of a wall-clock day

Span = tuple[int, int]


def day_hours(weekday: int, spans: Sequence[Span]) -> list[Span]:
    """Check the working hours of one weekday and put them in order.

    Parameters
    ----------
    weekday : int
        0 is Monday, 6 Sunday.
    spans : sequence of (int, int)
        Minutes of the day, 0 to 1440.

    Returns
    -------
    list of (int, int)
        The same spans, earliest first.

    Raises
    ------
    BadCalendar
        If there is no such weekday or no such hours.

    Examples
    --------
    >>> day_hours(0, [(780, 1020), (480, 720)])
    [(480, 720), (780, 1020)]
    """
    if weekday not in range(7):
        raise BadCalendar(f"weekday {weekday}", "weekdays from 0 (Monday) to 6 (Sunday)")
    for start, end in spans:
        if not 0 <= start < end <= DAY_MIN:
            raise BadCalendar(f"{start} to {end}", "hours that begin before they end, from 0 to 1440 min")
    return sorted(spans)


def days_of_work(
    hours: Mapping[int, Sequence[Span]],
    closed: Collection[date],
    first: date,
    last: date,
    epoch: date,
) -> Iterator[Span]:
    """Lay the weekly hours out over the days that are not closed.

    Parameters
    ----------
    hours : mapping of int to sequence of (int, int)
        Working hours of each weekday in order [min of the day].
    closed : collection of date
        Days without work.
    first, last : date
        Days to lay out, both included.
    epoch : date
        The day whose midnight is minute 0.

    Yields
    ------
    (int, int)
        Working spans, earliest first [min].

    Examples
    --------
    >>> list(days_of_work({5: [(480, 720)]}, (), date(2000, 1, 1), date(2000, 1, 9), date(2000, 1, 1)))
    [(480, 720), (10560, 10800)]
    """
    for ordinal in range(first.toordinal(), last.toordinal() + 1):
        day = date.fromordinal(ordinal)
        spans = hours.get(day.weekday())
        if spans and day not in closed:
            midnight = (ordinal - epoch.toordinal()) * DAY_MIN
            for start, end in spans:
                yield midnight + start, midnight + end


def closures(spans: Sequence[Span]) -> list[Span]:
    """Put closed spans in order, join those that touch and drop those of no length.

    Parameters
    ----------
    spans : sequence of (int, int)
        In any order [min].

    Returns
    -------
    list of (int, int)
        Earliest first and apart from each other [min].

    Raises
    ------
    BadCalendar
        If one ends before it begins.

    Examples
    --------
    >>> closures([(50, 60), (0, 10), (5, 20), (30, 30)])
    [(0, 20), (50, 60)]
    """
    for start, end in spans:
        if start > end:
            raise BadCalendar(f"{start} to {end}", "spans that do not end before they begin")
    return list(joined(sorted(span for span in spans if span[0] < span[1])))


def joined(spans: Iterable[Span]) -> Iterator[Span]:
    """Join the spans that touch or overlap.

    Parameters
    ----------
    spans : iterable of (int, int)
        Earliest beginning first [min].

    Yields
    ------
    (int, int)
        Earliest first and apart from each other [min].

    Examples
    --------
    >>> list(joined([(0, 10), (5, 20), (20, 25), (30, 40)]))
    [(0, 25), (30, 40)]
    """
    begin, end = None, 0
    for start, stop in spans:
        if begin is None:
            begin, end = start, stop
        elif start <= end:
            end = max(end, stop)
        else:
            yield begin, end
            begin, end = start, stop
    if begin is not None:
        yield begin, end


def cut(work: Iterable[Span], closed: Sequence[Span]) -> Iterator[Span]:
    """Take closed spans out of working ones.

    Parameters
    ----------
    work : iterable of (int, int)
        Working spans, earliest first and apart [min].
    closed : sequence of (int, int)
        As `closures` gives them [min].

    Yields
    ------
    (int, int)
        What is left, earliest first [min].

    Examples
    --------
    >>> list(cut([(0, 10), (20, 30)], [(5, 7), (9, 22)]))
    [(0, 5), (7, 9), (22, 30)]
    """
    at = 0
    for start, end in work:
        while at < len(closed) and closed[at][1] <= start:
            at += 1
        cutting = at
        while cutting < len(closed) and closed[cutting][0] < end:
            shut, reopened = closed[cutting]
            if shut > start:
                yield start, shut
            start = reopened
            cutting += 1
        if start < end:
            yield start, end

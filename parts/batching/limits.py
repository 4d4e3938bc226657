"""What a finisher can take: the largest piece, and the days on which it works."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta

from parts.batching.errors import NoWorkingDay

Sides = tuple[int | None, int | None, int | None]  # length, width, height [mm]


def fits(piece_mm: Sides, largest_mm: Sides) -> bool:
    """Say whether a piece goes into a bath or oven, turned whichever way suits.

    Parameters
    ----------
    piece_mm : tuple of (int or None)
        Length, width and height of the piece; a side that is None is not looked at [mm].
    largest_mm : tuple of (int or None)
        Length, width and height of the largest piece that the supplier takes [mm]. A side that is None
        is as long as the length; without a length there is no limit that way.

    Returns
    -------
    bool
        Whether each side, the longest against the longest and so on, is within the limit.

    Notes
    -----
    A box goes square into another exactly if their sides compare so in order of size. Laid cornerwise a
    thin piece may be longer; a finisher who does that should raise the limit.

    Examples
    --------
    >>> fits((1200, 80, 40), (600, 1500, 900))
    True
    >>> fits((1200, 80, 40), (900, None, None))
    False
    """
    length = largest_mm[0]
    given = (length, largest_mm[1] or length, largest_mm[2] or length)
    limits = [float("inf") if side is None else side for side in given]
    sides = sorted((side or 0 for side in piece_mm), reverse=True)
    return all(side <= limit for side, limit in zip(sides, sorted(limits, reverse=True), strict=True))


def next_working_day(day: date, weekdays: Collection[int], closures: Iterable[tuple[date, date]]) -> date:
    """Give the first day from `day` on that a supplier works.

    Parameters
    ----------
    day : date
        The day asked about; it is the answer itself if it is worked.
    weekdays : collection of int
        Days of the week that are worked, Monday being 0.
    closures : iterable of (date, date)
        First and last days of closures, both included.

    Returns
    -------
    date
        The day.

    Raises
    ------
    NoWorkingDay
        If there is none within 366 days.

    Examples
    --------
    >>> next_working_day(date(2027, 3, 6), range(5), [(date(2027, 3, 8), date(2027, 3, 9))])
    datetime.date(2027, 3, 10)
    """
    shut = tuple(closures)
    for later in range(367):
        # A day beyond the calendar's last is not worked either.
        if (date.max - day).days < later:
            break
        asked = day + timedelta(days=later)
        if asked.weekday() in weekdays and not any(first <= asked <= last for first, last in shut):
            return asked
    raise NoWorkingDay(day)

"""Many moments at once in the coordinates of one calendar: working minutes since it opens.

In these coordinates work simply adds up, so a chain of jobs on one calendar is a sum, whatever nights,
weekends and closures it runs across. Only where it leaves for another calendar is it turned back.
"""

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builds.schedule.calendar import WorkCalendar

MOST_CELLS = 1 << 18  # above this many cells a calendar is searched rather than looked up

Ints = NDArray[np.signedinteger[Any]]


class WorkingTime:
    """The coordinates of one calendar; make one with `working_time`, which keeps it for next time.

    The horizon is cut into cells of equal length so that each is worked or closed throughout, which
    makes a conversion a look-up. Past the end of the horizon every minute counts as worked: what
    does not fit lands, in order, after the end, where it can be seen.

    Parameters
    ----------
    calendar : WorkCalendar
        Whose working minutes are counted.

    Attributes
    ----------
    is_clock : bool
        Whether every minute of the horizon is worked. Its coordinates are then the moments themselves.
    closes : int
        End of the horizon [min].
    """

    def __init__(self, calendar: WorkCalendar) -> None:
        self.closes = calendar.closes
        self.is_clock = calendar.total_min == calendar.closes - calendar.opens
        if self.is_clock:
            return
        starts, ends = np.array(calendar.starts), np.array(calendar.ends)
        cell = math.gcd(int(np.gcd.reduce(starts)), int(np.gcd.reduce(ends)), calendar.opens, calendar.closes)
        self._cell = cell if (calendar.closes - calendar.opens) // cell <= MOST_CELLS else 0
        if self._cell:
            self._lay_out(calendar, starts, ends)
        else:
            self._starts = np.append(starts, calendar.closes)
            self._ends = ends
            self._worked = np.array(calendar.worked)

    def worked_by(self, moments: Ints) -> Ints:
        """Count the working minutes before each moment.

        Parameters
        ----------
        moments : ndarray of int32 or int64
            At or after the calendar's opening [min].

        Returns
        -------
        ndarray
            Coordinates, of the same type [min].

        Examples
        --------
        >>> from datetime import date
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> working_time(week).worked_by(np.array([0, 2881, 4320, 8640, 9999]))
        array([   0,    1, 1440, 5760, 7119])
        """
        if self.is_clock:
            return moments
        if not self._cell:
            return self._searched(moments)
        cells = moments // self._cell
        cells -= self._first_cell
        worked: Ints = self._shift.take(cells, mode="clip").astype(moments.dtype, copy=False)
        worked += moments
        np.minimum(worked, self._most.take(cells, mode="clip"), out=worked)
        return worked

    def finish_at(self, worked: Ints) -> Ints:
        """Give the moment at which the count of working minutes reaches each coordinate.

        Parameters
        ----------
        worked : ndarray of int32 or int64
            Coordinates, greater than 0 [min].

        Returns
        -------
        ndarray
            Moments: closing time rather than the next opening [min].

        Examples
        --------
        >>> from datetime import date
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> working_time(week).finish_at(np.array([1, 1440, 7200, 7201]))
        array([ 2881,  4320, 10080, 12961])
        """
        return worked if self.is_clock else self._placed(worked, worked - 1)

    def start_at(self, worked: Ints) -> Ints:
        """Give the moment at which the working minute after each coordinate begins.

        Parameters
        ----------
        worked : ndarray of int32 or int64
            Coordinates, not negative [min].

        Returns
        -------
        ndarray
            Moments: the next opening rather than closing time [min].

        Examples
        --------
        >>> from datetime import date
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> working_time(week).start_at(np.array([0, 1440, 7200]))
        array([ 2880,  4320, 12960])
        """
        return worked if self.is_clock else self._placed(worked, worked)

    def _lay_out(self, calendar: WorkCalendar, starts: NDArray[np.int64], ends: NDArray[np.int64]) -> None:
        cell, opens, closes, total = self._cell, calendar.opens, calendar.closes, calendar.total_min
        self._first_cell = opens // cell
        edges = np.arange(opens, closes + 1, cell)
        at_edges = np.stack([starts, ends], axis=1).ravel()
        worked = np.stack([calendar.worked[:-1], calendar.worked[1:]], axis=1).ravel()
        # exact: both are whole numbers far below 2**53, and an edge is never inside a slope's rounding
        before = np.rint(np.interp(edges, at_edges, worked)).astype(np.int64)
        self._shift = (before - edges).astype(np.int32)
        most = np.append(before[1:], np.iinfo(np.int32).max)
        self._most = most.astype(np.int32)
        worked_cells = np.flatnonzero(np.diff(before))
        offsets = edges[worked_cells] - before[worked_cells]
        self._offset = np.append(offsets, closes - total).astype(np.int32)

    def _placed(self, worked: Ints, minute: Ints) -> Ints:
        if not self._cell:
            here = np.searchsorted(self._worked, minute, "right") - 1
            here = np.clip(here, 0, self._worked.size - 1)
            found: Ints = (worked + (self._starts - self._worked)[here]).astype(worked.dtype)
            return found
        cells = minute // self._cell
        moments: Ints = self._offset.take(cells, mode="clip").astype(worked.dtype, copy=False)
        moments += worked
        return moments

    def _searched(self, moments: Ints) -> Ints:
        here = np.searchsorted(self._starts, moments, "right") - 1
        before = np.maximum(here, 0)
        ends = np.append(self._ends, np.iinfo(np.int64).max)
        inside = np.minimum(moments, ends[before]) - self._starts[before]
        counted = np.where(here < 0, 0, self._worked[before] + inside)
        return counted.astype(moments.dtype)


@lru_cache(maxsize=64)
def working_time(calendar: WorkCalendar) -> WorkingTime:
    """Give the coordinates of a calendar, made once and kept while it is in use.

    Parameters
    ----------
    calendar : WorkCalendar
        Whose working minutes are counted.

    Returns
    -------
    WorkingTime
        Its coordinates.

    Examples
    --------
    >>> from datetime import date
    >>> working_time(WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))).is_clock
    True
    """
    return WorkingTime(calendar)

"""Working calendars: when work can go on, and the arithmetic of working minutes.

A moment is an int: whole minutes of *local wall-clock time* since ``EPOCH``. Nothing here knows
time zones, so every day has 1440 minutes and daylight saving makes no difference to working
hours: eight o'clock is eight o'clock. (An elapsed lag across the night in which the clocks change
is therefore out by that hour, which no workshop date can show.)

A stretch of work [start, finish] is counted minute by minute: the minute [t, t + 1) is worked or
it is not. Work can begin at t when the minute after t is worked and end at t when the minute
before t is. Friday's last minute thus ends on Friday at closing time, not on Monday morning.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import accumulate

import numpy as np
from numpy.typing import ArrayLike, NDArray

from builds.schedule.errors import BadCalendar, BadDuration, BeyondHorizon, NotLocalTime, NoWorkingTime
from builds.schedule.spans import DAY_MIN, Span, closures, cut, day_hours, days_of_work, joined

EPOCH = datetime(2000, 1, 1)  # minute 0: a Saturday, before anything that the workshop plans


def to_minutes(moment: datetime) -> int:
    """Count the whole minutes of wall-clock time from ``EPOCH`` to a moment.

    Parameters
    ----------
    moment : datetime
        Local time without a time zone; seconds are dropped.

    Returns
    -------
    int
        Minutes, negative before ``EPOCH`` [min].

    Raises
    ------
    NotLocalTime
        If `moment` has a time zone.

    Examples
    --------
    >>> to_minutes(datetime(2000, 1, 2, 8, 30))
    1950
    """
    if moment.tzinfo is not None:
        raise NotLocalTime(moment)
    return (moment - EPOCH) // timedelta(minutes=1)


def from_minutes(minutes: int) -> datetime:
    """Give the local wall-clock time of a moment.

    Parameters
    ----------
    minutes : int
        Minutes since ``EPOCH`` [min].

    Returns
    -------
    datetime
        Local time without a time zone.

    Raises
    ------
    BeyondHorizon
        If no calendar year from 1 to 9999 has such a moment.

    Examples
    --------
    >>> from_minutes(1950)
    datetime.datetime(2000, 1, 2, 8, 30)
    """
    try:
        return EPOCH + timedelta(minutes=minutes)
    except OverflowError:
        raise BeyondHorizon(date.min, date.max) from None


@dataclass(frozen=True)
class WorkCalendar:
    """The stretches of time in which somebody works, from a first day to a last one.

    Make one with `build`, `around_the_clock` or `whole_days`.

    Parameters
    ----------
    first, last : date
        The days that it covers, both included: the horizon.
    starts, ends : tuple of int
        Beginning and end of each working stretch, in order and apart from each other [min].

    Examples
    --------
    A workshop that is open from 8 to 12 and from 13 to 17, Monday to Friday:

    >>> day = ((480, 720), (780, 1020))
    >>> shop = WorkCalendar.build(dict.fromkeys(range(5), day), (), date(2027, 3, 1), date(2027, 3, 31))
    >>> friday_noon = to_minutes(datetime(2027, 3, 12, 12))
    >>> from_minutes(shop.add(friday_noon, 5 * 60))
    datetime.datetime(2027, 3, 15, 9, 0)
    """

    first: date
    last: date
    starts: tuple[int, ...]
    ends: tuple[int, ...]

    # Making one

    @classmethod
    def build(
        cls,
        week: Mapping[int, Sequence[Span]],
        closed: Collection[date],
        first: date,
        last: date,
        closed_spans: Sequence[Span] = (),
    ) -> "WorkCalendar":
        """Make a calendar from weekly hours, closed days and closed spans.

        Parameters
        ----------
        week : mapping of int to sequence of (int, int)
            For each weekday (Monday is 0) the working hours as minutes of the day, 0 to 1440. Hours
            that touch or overlap are taken together; a night shift is written on both its days.
        closed : collection of date
            Days without work: public holidays, works closures.
        first, last : date
            The days that the calendar covers, both included.
        closed_spans : sequence of (int, int), optional
            Stretches without work in minutes since ``EPOCH``, such as those in which a car is away.

        Returns
        -------
        WorkCalendar
            The hours of the week less everything closed.

        Raises
        ------
        BadCalendar
            If a weekday, an hour or a span cannot be, or `first` is after `last`.
        NoWorkingTime
            If nothing is left.

        Examples
        --------
        >>> monday = {0: ((480, 720),)}
        >>> WorkCalendar.build(monday, (), date(2000, 1, 1), date(2000, 1, 7)).starts
        (3360,)
        """
        hours = {weekday: day_hours(weekday, spans) for weekday, spans in week.items()}
        if first > last:
            raise BadCalendar(f"{first} to {last}", "a first day that is not after the last")
        days = joined(days_of_work(hours, frozenset(closed), first, last, EPOCH.date()))
        return _of_spans(first, last, cut(days, closures(closed_spans)))

    @classmethod
    def around_the_clock(cls, first: date, last: date) -> "WorkCalendar":
        """Make a calendar in which every minute is worked.

        Parameters
        ----------
        first, last : date
            The days that it covers, both included.

        Returns
        -------
        WorkCalendar
            One stretch from the first midnight to the last.

        Raises
        ------
        BadCalendar
            If `first` is after `last`.

        Examples
        --------
        >>> WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 2)).total_min
        2880
        """
        return cls.whole_days(range(7), (), first, last)

    @classmethod
    def whole_days(
        cls, weekdays: Collection[int], closed: Collection[date], first: date, last: date
    ) -> "WorkCalendar":
        """Make the calendar of a supplier whose lead time counts whole working days.

        Parameters
        ----------
        weekdays : collection of int
            Days of the week that count (Monday is 0). Each counts 1440 working minutes.
        closed : collection of date
            Days that do not count.
        first, last : date
            The days that the calendar covers, both included.

        Returns
        -------
        WorkCalendar
            Five working days are ``5 * 1440`` minutes of it: sent on Wednesday at 14:00, back on the
            next Wednesday at 14:00.

        Raises
        ------
        BadCalendar
            If a weekday is not 0 to 6, or `first` is after `last`.
        NoWorkingTime
            If no day is left.

        Examples
        --------
        >>> plater = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 31))
        >>> from_minutes(plater.add(to_minutes(datetime(2027, 3, 10, 14)), 5 * 1440))
        datetime.datetime(2027, 3, 17, 14, 0)
        """
        return cls.build(dict.fromkeys(weekdays, ((0, DAY_MIN),)), closed, first, last)

    def without(self, closed_spans: Sequence[Span]) -> "WorkCalendar":
        """Make the same calendar less some stretches: the hours in which work on one car can go on.

        Parameters
        ----------
        closed_spans : sequence of (int, int)
            Stretches without work in minutes since ``EPOCH``; they may overlap or lie outside.

        Returns
        -------
        WorkCalendar
            A new calendar over the same days.

        Raises
        ------
        BadCalendar
            If a span ends before it begins.
        NoWorkingTime
            If nothing is left.

        Examples
        --------
        >>> clock = WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 1))
        >>> away = clock.without([(600, 660)])
        >>> away.starts, away.ends
        ((0, 660), (600, 1440))
        """
        work = zip(self.starts, self.ends, strict=True)
        return _of_spans(self.first, self.last, cut(work, closures(closed_spans)))

    # What it holds

    @cached_property
    def opens(self) -> int:
        """Beginning of the horizon: midnight before the first day [min]."""
        return _midnight(self.first)

    @cached_property
    def closes(self) -> int:
        """End of the horizon: midnight after the last day [min]."""
        return _midnight(self.last) + DAY_MIN

    @cached_property
    def worked(self) -> tuple[int, ...]:
        """Working minutes before each stretch, and last of all the total [min]."""
        lengths = (end - start for start, end in zip(self.starts, self.ends, strict=True))
        return tuple(accumulate(lengths, initial=0))

    @property
    def total_min(self) -> int:
        """All working minutes of the horizon [min]."""
        return self.worked[-1]

    # Single moments

    def add(self, start: int, work: int) -> int:
        """Give the moment at which work begun at `start` is finished.

        Parameters
        ----------
        start : int
            Moment from which it may be worked; in closed time the work waits for the next opening.
        work : int
            Working minutes, not negative [min]. Work of no length stays where it is, in closed time too:
            a milestone reached on Friday evening belongs to Friday.

        Returns
        -------
        int
            The finish; at closing time rather than at the next opening.

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If `start` or the finish is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.add(0, 1440), week.add(0, 0)
        (4320, 0)
        """
        return self.earliest(start, work)[1]

    def subtract(self, finish: int, work: int) -> int:
        """Give the latest moment at which work must begin to be finished by `finish`.

        Parameters
        ----------
        finish : int
            Moment by which it must be done.
        work : int
            Working minutes, not negative [min]. Work of no length stays where it is.

        Returns
        -------
        int
            The start, a moment at which work can begin.

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If `finish` or the start is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.subtract(4320, 1440), week.subtract(0, 0)
        (2880, 0)
        """
        return self.latest(finish, work)[0]

    def between(self, begin: int, end: int) -> int:
        """Count the working minutes between two moments.

        Parameters
        ----------
        begin, end : int
            Any two moments of the horizon [min].

        Returns
        -------
        int
            Working minutes from `begin` to `end`; negative if `end` is the earlier [min].

        Raises
        ------
        BeyondHorizon
            If either moment is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.between(0, 4320), week.between(4320, 0)
        (1440, -1440)
        """
        return self._worked_by(end) - self._worked_by(begin)

    def next_working(self, moment: int) -> int:
        """Give the first moment from `moment` on at which work can begin.

        Parameters
        ----------
        moment : int
            Any moment of the horizon [min].

        Returns
        -------
        int
            `moment` itself in working time, else the next opening [min].

        Raises
        ------
        BeyondHorizon
            If there is no working time after it.

        Examples
        --------
        >>> day = WorkCalendar.build({0: [(480, 720)]}, (), date(2000, 1, 3), date(2000, 1, 3))
        >>> day.next_working(2880), day.next_working(3400)
        (3360, 3400)
        """
        return self.earliest(moment, 1)[0]

    def previous_working(self, moment: int) -> int:
        """Give the last moment up to `moment` at which work can end.

        Parameters
        ----------
        moment : int
            Any moment of the horizon [min].

        Returns
        -------
        int
            `moment` itself in working time or at its end, else the closing time before it [min].

        Raises
        ------
        BeyondHorizon
            If there is no working time before it.

        Examples
        --------
        >>> day = WorkCalendar.build({0: [(480, 720)]}, (), date(2000, 1, 3), date(2000, 1, 3))
        >>> day.previous_working(4000), day.previous_working(3400)
        (3600, 3400)
        """
        return self.latest(moment, 1)[1]

    # Fitting a stretch of work in

    def earliest(self, not_before: int, work: int) -> Span:
        """Fit work in as early as may be.

        Parameters
        ----------
        not_before : int
            Moment from which it may be worked [min].
        work : int
            Working minutes, not negative [min].

        Returns
        -------
        tuple of (int, int)
            Start and finish; both `not_before` if there is no work [min].

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If it does not fit between `not_before` and the end of the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.earliest(0, 1440)
        (2880, 4320)
        """
        if work <= 0:
            return self._in_place(not_before, work)
        if not_before < self.opens:
            raise BeyondHorizon(self.first, self.last)
        starts, ends = self.starts, self.ends
        here = bisect_right(starts, not_before) - 1
        if here < 0 or not_before >= ends[here]:
            here += 1
            if here == len(starts):
                raise BeyondHorizon(self.first, self.last)
            not_before = starts[here]
        finish = not_before + work
        if finish > ends[here]:
            finish = self._end_at(self.worked[here] + finish - starts[here])
        return not_before, finish

    def latest(self, not_after: int, work: int) -> Span:
        """Fit work in as late as may be: the mirror of `earliest`.

        Parameters
        ----------
        not_after : int
            Moment by which it must be finished [min].
        work : int
            Working minutes, not negative [min].

        Returns
        -------
        tuple of (int, int)
            Start and finish; both `not_after` if there is no work [min].

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If it does not fit between the beginning of the horizon and `not_after`.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.latest(11520, 1440)
        (8640, 10080)
        """
        if work <= 0:
            return self._in_place(not_after, work)
        starts, ends = self.starts, self.ends
        here = bisect_left(starts, not_after) - 1
        if here < 0 or not_after > self.closes:
            raise BeyondHorizon(self.first, self.last)
        if not_after > ends[here]:
            not_after = ends[here]
        start = not_after - work
        if start < starts[here]:
            start = self._begin_at(self.worked[here] + start - starts[here])
        return start, not_after

    def earliest_finishing(self, finish_from: int, work: int) -> Span:
        """Fit work in as early as may be without finishing before a given moment.

        Parameters
        ----------
        finish_from : int
            The finish may not be earlier than this [min].
        work : int
            Working minutes, not negative [min].

        Returns
        -------
        tuple of (int, int)
            Start and finish. If `finish_from` is in closed time, the last minute of work is the first
            one after the next opening.

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If the finish would be after the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.earliest_finishing(7200, 1440)
        (5760, 7200)
        """
        if work <= 0:
            return self._in_place(finish_from, work)
        here = bisect_left(self.ends, finish_from)
        if here == len(self.ends):
            raise BeyondHorizon(self.first, self.last)
        finish = max(finish_from, self.starts[here] + 1)
        begin = self.worked[here] + finish - self.starts[here] - work
        if begin < 0:
            return self.earliest(self.opens, work)
        return self._begin_at(begin), finish

    def latest_starting(self, start_by: int, work: int) -> Span:
        """Fit work in as late as may be without starting after a given moment.

        Parameters
        ----------
        start_by : int
            The start may not be later than this [min].
        work : int
            Working minutes, not negative [min].

        Returns
        -------
        tuple of (int, int)
            Start and finish. If `start_by` is in closed time, the first minute of work is the last one
            before the closing.

        Raises
        ------
        BadDuration
            If `work` is negative.
        BeyondHorizon
            If the start or the finish would be outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.latest_starting(7200, 1440)
        (7200, 8640)
        """
        if work <= 0:
            return self._in_place(start_by, work)
        here = bisect_right(self.starts, start_by) - 1
        if here < 0 or start_by > self.closes:
            raise BeyondHorizon(self.first, self.last)
        start = min(start_by, self.ends[here] - 1)
        return start, self._end_at(self.worked[here] + start - self.starts[here] + work)

    # Whole days

    def days_between(self, begin: date, end: date) -> int:
        """Count the working days from one day up to, not including, another.

        Parameters
        ----------
        begin, end : date
            Days of the horizon; `end` may be the day after its last.

        Returns
        -------
        int
            Days with any working time; negative if `end` is the earlier.

        Raises
        ------
        BeyondHorizon
            If either day is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 31))
        >>> week.days_between(date(2027, 3, 12), date(2027, 3, 16))
        2
        """
        return self._days_before(end) - self._days_before(begin)

    def back_from(self, leaves: date, days: int) -> date:
        """Give the first day on which goods can be back that leave on a day and take so many working days.

        This is what a lead time means everywhere: the working days from the day of leaving up to the day
        back, which is not counted itself, so that ``days_between(leaves, back)`` gives the lead time again.
        Goods leave as a day begins and are at hand as one begins.

        Parameters
        ----------
        leaves : date
            The day on which they go; on a day without work they lie until the next.
        days : int
            Lead time, not negative [working days]. Without any they are back on the day they leave.

        Returns
        -------
        date
            The day after the last of them, worked or not: those who wait may work on other days. The day
            after the horizon, if its end is the end of them.

        Raises
        ------
        BadDuration
            If `days` is negative.
        BeyondHorizon
            If `leaves` or one of the days is outside the horizon.

        Examples
        --------
        Three days from Monday are Monday, Tuesday and Wednesday; three from Wednesday end on Friday:

        >>> week = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 31))
        >>> week.back_from(date(2027, 3, 8), 3), week.back_from(date(2027, 3, 10), 3)
        (datetime.date(2027, 3, 11), datetime.date(2027, 3, 13))
        """
        if days < 0:
            raise BadDuration(days, "not less than 0 working days")
        if days == 0:
            return leaves
        place = self._days_before(leaves) + days - 1
        if place >= len(self._working_days):
            raise BeyondHorizon(self.first, self.last)
        return EPOCH.date() + timedelta(days=self._working_days[place] + 1)

    def working_day_from(self, day: date) -> date:
        """Give the first day with working time from a day on.

        Parameters
        ----------
        day : date
            Any day of the horizon.

        Returns
        -------
        date
            `day` itself if it is worked.

        Raises
        ------
        BeyondHorizon
            If `day` is outside the horizon, or no working day of it is left.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 31))
        >>> week.working_day_from(date(2027, 3, 13))
        datetime.date(2027, 3, 15)
        """
        place = self._days_before(day)
        if place >= len(self._working_days):
            raise BeyondHorizon(self.first, self.last)
        return EPOCH.date() + timedelta(days=self._working_days[place])

    # Many moments at once

    def add_many(self, start: ArrayLike, work: ArrayLike) -> NDArray[np.int64]:
        """Give the finish of many stretches of work at once.

        Parameters
        ----------
        start, work : array_like of int
            As in `add`; the two are broadcast together [min].

        Returns
        -------
        ndarray of int64
            The finishes, each as `add` gives it [min].

        Raises
        ------
        BadDuration
            If any work is negative.
        BeyondHorizon
            If any start or finish is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.add_many(0, [0, 1440, 2880])
        array([   0, 4320, 5760])
        """
        begin, length = np.broadcast_arrays(np.asarray(start, np.int64), np.asarray(work, np.int64))
        if length.size and length.min() < 0:
            raise BadDuration(int(length.min()), "not less than 0 min")
        starts, _, worked = self._arrays
        reached = self._worked_by_many(begin) + length
        if reached.size and reached.max(where=length > 0, initial=0) > worked[-1]:
            raise BeyondHorizon(self.first, self.last)
        here = np.clip(np.searchsorted(worked, reached, "left") - 1, 0, starts.size - 1)
        return np.where(length > 0, starts[here] + reached - worked[here], begin)

    def between_many(self, begin: ArrayLike, end: ArrayLike) -> NDArray[np.int64]:
        """Count the working minutes between many pairs of moments at once.

        Parameters
        ----------
        begin, end : array_like of int
            As in `between`; the two are broadcast together [min].

        Returns
        -------
        ndarray of int64
            Working minutes, negative where `end` is the earlier [min].

        Raises
        ------
        BeyondHorizon
            If any moment is outside the horizon.

        Examples
        --------
        >>> week = WorkCalendar.whole_days(range(5), (), date(2000, 1, 1), date(2000, 1, 31))
        >>> week.between_many([0, 4320], 4320)
        array([1440,    0])
        """
        return self._worked_by_many(np.asarray(end, np.int64)) - self._worked_by_many(
            np.asarray(begin, np.int64)
        )

    # Helpers

    def _in_place(self, moment: int, work: int) -> Span:
        if work < 0:
            raise BadDuration(work, "not less than 0 min")
        if not self.opens <= moment <= self.closes:
            raise BeyondHorizon(self.first, self.last)
        return moment, moment

    def _worked_by(self, moment: int) -> int:
        if not self.opens <= moment <= self.closes:
            raise BeyondHorizon(self.first, self.last)
        here = bisect_right(self.starts, moment) - 1
        if here < 0:
            return 0
        return self.worked[here] + min(moment, self.ends[here]) - self.starts[here]

    def _end_at(self, reached: int) -> int:
        """Give the moment at which the working minutes counted from the beginning come to `reached` > 0."""
        here = bisect_left(self.worked, reached) - 1
        if here == len(self.starts):
            raise BeyondHorizon(self.first, self.last)
        return self.starts[here] + reached - self.worked[here]

    def _begin_at(self, done: int) -> int:
        """Give the moment at which the working minute after the first `done` begins."""
        if done < 0:
            raise BeyondHorizon(self.first, self.last)
        here = bisect_right(self.worked, done) - 1
        return self.starts[here] + done - self.worked[here]

    def _days_before(self, day: date) -> int:
        midnight = _midnight(day)
        if not self.opens <= midnight <= self.closes:
            raise BeyondHorizon(self.first, self.last)
        return bisect_left(self._working_days, midnight // DAY_MIN)

    @cached_property
    def _working_days(self) -> tuple[int, ...]:
        days: dict[int, None] = {}
        for start, end in zip(self.starts, self.ends, strict=True):
            days.update(dict.fromkeys(range(start // DAY_MIN, (end - 1) // DAY_MIN + 1)))
        return tuple(days)

    @cached_property
    def _arrays(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
        return np.array(self.starts), np.array(self.ends), np.array(self.worked)

    def _worked_by_many(self, moments: NDArray[np.int64]) -> NDArray[np.int64]:
        if moments.size and not self.opens <= moments.min() <= moments.max() <= self.closes:
            raise BeyondHorizon(self.first, self.last)
        starts, ends, worked = self._arrays
        here = np.searchsorted(starts, moments, "right") - 1
        inside = np.minimum(moments, ends[here]) - starts[here]
        return np.where(here < 0, 0, worked[here] + inside)


def _midnight(day: date) -> int:
    return (day.toordinal() - EPOCH.toordinal()) * DAY_MIN


def _of_spans(first: date, last: date, spans: Iterable[Span]) -> WorkCalendar:
    pairs = list(spans)
    if not pairs:
        raise NoWorkingTime(first, last)
    starts, ends = zip(*pairs, strict=True)
    return WorkCalendar(first, last, starts, ends)

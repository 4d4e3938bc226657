"""Days by number and the finisher's days, against numpy's business days."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.batching.days import ShopDays, trips
from builds.network.calendars import DAY_MIN, at_midday, at_midnight
from builds.schedule.calendar import WorkCalendar

FIRST, LAST = date(2027, 1, 1), date(2027, 12, 31)
WEEK = [number < 5 for number in range(7)]


def shop_from(day: date, count: int = 250) -> ShopDays:
    days = [day + timedelta(days=number) for number in range(count)]
    return ShopDays(tuple(each for each in days if each.weekday() < 5))


def test_a_moment_keeps_its_minute_and_one_of_a_day_off_is_the_next_morning() -> None:
    days = shop_from(date(2027, 3, 5))  # a Friday
    friday, saturday, monday = (date(2027, 3, day) for day in (5, 6, 8))
    moments = [at_midnight(friday), at_midday(friday), at_midday(saturday), at_midday(monday)]

    assert [days.at(moment) for moment in moments] == [0, 720, DAY_MIN, DAY_MIN + 720]
    assert days.at_many(np.array(moments)).tolist() == [days.at(moment) for moment in moments]
    assert days.day(1) == monday


def test_the_first_day_from_a_weekend_is_monday() -> None:
    days = shop_from(date(2027, 3, 5), 10)

    assert [days.from_day(date(2027, 3, day)) for day in (4, 5, 6, 8, 31)] == [0, 0, 1, 1, len(days.days)]


def test_what_is_over_by_the_end_of_a_weekend_was_over_on_friday() -> None:
    days = shop_from(date(2027, 3, 5))

    assert [days.by_end_of(date(2027, 3, day)) for day in (4, 5, 7, 8)] == [-1, 0, 0, 1]


@dataclass(frozen=True)
class Weeks:
    """Our days, and a finisher's days as a calendar and as numpy is told them."""

    days: ShopDays
    calendar: WorkCalendar
    mask: list[bool]
    closed: list[date]


@st.composite
def weeks(draw: st.DrawFn, last_weekday: int) -> Weeks:
    start = draw(st.dates(date(2027, 2, 1), date(2027, 6, 30)))
    closed = [start + timedelta(days=n) for n in draw(st.sets(st.integers(0, 40), max_size=10))]
    weekdays = draw(st.sets(st.integers(0, last_weekday), min_size=1))
    calendar = WorkCalendar.whole_days(weekdays, closed, FIRST, LAST)
    return Weeks(shop_from(start), calendar, [number in weekdays for number in range(7)], closed)


@given(drawn=weeks(last_weekday=4), lead=st.integers(1, 15))
def test_goods_are_back_when_numpy_says(drawn: Weeks, lead: int) -> None:
    """Leaving as a day begins and taking n of the finisher's days: back on our next day after the n-th.

    numpy.busday_offset counts from the day itself, which is the first of them: n - 1 further ones.
    """
    days, mask, closed = drawn.days, drawn.mask, drawn.closed

    found = trips(days, drawn.calendar, lead, last=20)

    for number, day in enumerate(days.days[:21]):
        is_open = bool(np.is_busday(day, weekmask=mask, holidays=closed))
        assert (number in found.back_on) == is_open
        if is_open:
            over = np.busday_offset(day, lead - 1, weekmask=mask, holidays=closed) + 1
            assert days.day(found.back_on[number]) == np.busday_offset(over, 0, "forward", weekmask=WEEK)
    assert found.back_minute == {}


@given(drawn=weeks(last_weekday=5), lead=st.integers(1, 15))
def test_goods_that_leave_at_midday_are_back_at_midday_when_numpy_says(drawn: Weeks, lead: int) -> None:
    """Half of the day on which they leave and half of the n-th of the finisher's days after it.

    What is done at midday of a day on which we are shut is at hand as our next day begins.
    """
    days = drawn.days

    found = trips(days, drawn.calendar, lead, 20, dict.fromkeys(range(21), 720))

    for number in found.back_on:
        over = np.busday_offset(days.day(number), lead, weekmask=drawn.mask, holidays=drawn.closed)
        ours = np.busday_offset(over, 0, "forward", weekmask=WEEK)
        assert days.day(found.back_on[number]) == ours
        assert found.back_minute.get(number, 0) == (720 if ours == over else 0)


def test_no_trip_is_offered_past_the_finishers_calendar() -> None:
    days = shop_from(date(2027, 12, 20), count=60)
    calendar = WorkCalendar.whole_days(range(5), (), FIRST, LAST)

    assert max(trips(days, calendar, 5, last=30).back_on) == days.days.index(date(2027, 12, 27))


@pytest.mark.parametrize("number", [-3, 10_000])
def test_numbers_past_the_ends_are_taken_as_the_ends(number: int) -> None:
    days = shop_from(date(2027, 3, 5))

    assert days.day(number) in (days.days[0], days.days[-1])

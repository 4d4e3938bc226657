"""Working calendars against numpy's business days, a count minute by minute, and cases made by hand."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from builds.schedule.calendar import EPOCH, WorkCalendar, from_minutes, to_minutes
from builds.schedule.errors import BadCalendar, BadDuration, BeyondHorizon, NotLocalTime, NoWorkingTime
from tests.builds.schedule import slow

FIRST, LAST = date(2027, 1, 1), date(2028, 12, 31)
SHOP_DAY = ((480, 720), (780, 1020))  # 08:00 to 12:00, 13:00 to 17:00
SHOP_WEEK = dict.fromkeys(range(5), SHOP_DAY)
SHOP = WorkCalendar.build(SHOP_WEEK, (), FIRST, LAST)
# Bank holidays in England and Wales 2027, from memory of gov.uk/bank-holidays; any days would do here.
HOLIDAYS = [
    date(2027, m, d) for m, d in ((1, 1), (3, 26), (3, 29), (5, 3), (5, 31), (8, 30), (12, 27), (12, 28))
]


def at(text: str) -> int:
    return to_minutes(datetime.fromisoformat(text))


def shown(moment: int) -> str:
    return f"{from_minutes(moment):%Y-%m-%d %H:%M}"


# --- single cases, made by hand with a wall calendar


def test_the_epoch_is_minute_nought_and_seconds_are_dropped():
    assert to_minutes(EPOCH) == 0
    assert to_minutes(datetime(2000, 1, 1, 0, 1, 59)) == 1
    assert to_minutes(datetime(1999, 12, 31, 23, 59)) == -1
    assert from_minutes(to_minutes(datetime(2028, 2, 29, 8))) == datetime(2028, 2, 29, 8)


def test_work_that_fills_friday_finishes_on_friday():
    assert shown(SHOP.add(at("2027-03-12 08:00"), 480)) == "2027-03-12 17:00"


def test_one_minute_more_finishes_on_monday():
    assert shown(SHOP.add(at("2027-03-12 08:00"), 481)) == "2027-03-15 08:01"


def test_work_that_starts_at_friday_closing_is_done_on_monday():
    assert shown(SHOP.add(at("2027-03-12 17:00"), 60)) == "2027-03-15 09:00"


def test_work_counted_back_from_monday_opening_begins_on_friday():
    assert shown(SHOP.subtract(at("2027-03-15 08:00"), 60)) == "2027-03-12 16:00"


def test_work_counted_back_over_the_dinner_break():
    assert shown(SHOP.subtract(at("2027-03-12 14:00"), 120)) == "2027-03-12 11:00"


def test_work_of_no_length_stays_where_it_is_even_in_closed_time():
    saturday = at("2027-03-13 10:00")
    assert SHOP.add(saturday, 0) == saturday
    assert SHOP.subtract(saturday, 0) == saturday


def test_next_and_previous_working_moments():
    assert shown(SHOP.next_working(at("2027-03-12 17:00"))) == "2027-03-15 08:00"
    assert shown(SHOP.previous_working(at("2027-03-12 17:00"))) == "2027-03-12 17:00"
    assert shown(SHOP.next_working(at("2027-03-15 08:00"))) == "2027-03-15 08:00"
    assert shown(SHOP.previous_working(at("2027-03-15 08:00"))) == "2027-03-12 17:00"
    assert shown(SHOP.next_working(at("2027-03-15 08:01"))) == "2027-03-15 08:01"


def test_a_closure_at_both_ends_of_the_work():
    closed = (date(2027, 3, 10), date(2027, 3, 12))  # Wednesday and Friday
    shop = WorkCalendar.build(SHOP_WEEK, closed, FIRST, LAST)
    assert shown(shop.add(at("2027-03-10 08:00"), 480)) == "2027-03-11 17:00"
    assert shown(shop.add(at("2027-03-10 08:00"), 481)) == "2027-03-15 08:01"
    assert shown(shop.subtract(at("2027-03-12 17:00"), 480)) == "2027-03-11 08:00"


def test_a_car_that_is_away_in_the_middle_of_a_day():
    away = [(at("2027-03-10 10:00"), at("2027-03-11 15:30"))]
    car = WorkCalendar.build(SHOP_WEEK, (), FIRST, LAST, away)
    assert shown(car.add(at("2027-03-10 09:00"), 60)) == "2027-03-10 10:00"
    assert shown(car.add(at("2027-03-10 09:00"), 90)) == "2027-03-11 16:00"
    assert shown(car.next_working(at("2027-03-10 10:00"))) == "2027-03-11 15:30"
    assert shown(car.subtract(at("2027-03-11 16:00"), 90)) == "2027-03-10 09:00"
    assert car.between(at("2027-03-10 08:00"), at("2027-03-11 17:00")) == 120 + 90
    assert car == SHOP.without(away)


def test_closed_spans_may_overlap_touch_lie_outside_or_have_no_length():
    spans = [(600, 700), (650, 720), (720, 780), (-500, 0), (5000, 9000), (900, 900)]
    day = WorkCalendar.build({5: [(480, 1020)]}, (), date(2000, 1, 1), date(2000, 1, 1), spans)
    assert (day.starts, day.ends) == ((480, 780), (600, 1020))


def test_hours_that_touch_or_overlap_are_taken_together_over_midnight_too():
    nights = WorkCalendar.build(
        {5: [(1200, 1440), (1100, 1300)], 6: [(0, 300)]}, (), date(2000, 1, 1), date(2000, 1, 2)
    )
    assert (nights.starts, nights.ends) == ((1100,), (1740,))


@pytest.mark.parametrize("day", ["2027-03-28", "2027-10-31"], ids=["clocks go forward", "clocks go back"])
def test_the_nights_when_the_clocks_change_count_like_any_other(day):
    sunday = date.fromisoformat(day)
    offsets = {
        datetime(sunday.year, sunday.month, sunday.day, hour, tzinfo=ZoneInfo("Europe/London")).utcoffset()
        for hour in (0, 12)
    }
    assert len(offsets) == 2  # so it is one of those nights
    begin = to_minutes(datetime.combine(sunday, datetime.min.time()))
    clock = WorkCalendar.around_the_clock(FIRST, LAST)
    assert clock.between(begin, begin + 1440) == 1440
    friday, monday = begin - 2 * 1440 + 480, begin + 1440 + 480
    assert SHOP.add(friday, 481) == monday + 1


def test_the_leap_day_is_worked_when_it_falls_on_a_weekday():
    assert date(2028, 2, 29).weekday() == 1
    assert shown(SHOP.add(at("2028-02-28 08:00"), 960)) == "2028-02-29 17:00"
    assert SHOP.days_between(date(2028, 2, 28), date(2028, 3, 1)) == 2


def test_a_supplier_counts_whole_working_days():
    plater = WorkCalendar.whole_days(range(5), [date(2027, 3, 29)], FIRST, LAST)
    assert shown(plater.add(at("2027-03-25 14:00"), 3 * 1440)) == "2027-03-31 14:00"


def test_fitting_to_a_bound_in_closed_time_takes_the_nearest_worked_minute():
    saturday = at("2027-03-13 10:00")
    start, finish = SHOP.earliest_finishing(saturday, 480)
    assert (shown(start), shown(finish)) == ("2027-03-12 08:01", "2027-03-15 08:01")
    start, finish = SHOP.latest_starting(saturday, 480)
    assert (shown(start), shown(finish)) == ("2027-03-12 16:59", "2027-03-15 16:59")


# --- refusals


def test_a_moment_with_a_time_zone_is_refused():
    with pytest.raises(NotLocalTime) as refusal:
        to_minutes(datetime(2027, 3, 12, tzinfo=UTC))
    assert refusal.value.moment == datetime(2027, 3, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("week", "closed", "spans"),
    [
        ({}, (), ()),
        ({0: ()}, (), ()),
        (SHOP_WEEK, [date(2027, 3, 8) + timedelta(days=n) for n in range(7)], ()),
        (SHOP_WEEK, (), [(at("2027-03-01 00:00"), at("2027-04-01 00:00"))]),
    ],
    ids=["no weekday", "no hours", "closed all week", "away all week"],
)
def test_a_calendar_without_working_time_is_refused(week, closed, spans):
    with pytest.raises(NoWorkingTime, match="8 Mar 2027 to 14 Mar 2027") as refusal:
        WorkCalendar.build(week, closed, date(2027, 3, 8), date(2027, 3, 14), spans)
    assert (refusal.value.first, refusal.value.last) == (date(2027, 3, 8), date(2027, 3, 14))


@pytest.mark.parametrize(
    ("week", "spans", "last"),
    [
        ({7: SHOP_DAY}, (), LAST),
        ({0: [(600, 600)]}, (), LAST),
        ({0: [(-1, 600)]}, (), LAST),
        ({0: [(600, 1441)]}, (), LAST),
        (SHOP_WEEK, [(10, 9)], LAST),
        (SHOP_WEEK, (), FIRST - timedelta(days=1)),
    ],
    ids=["eighth weekday", "no length", "before midnight", "after midnight", "span backwards", "last first"],
)
def test_hours_that_cannot_be_are_refused(week, spans, last):
    with pytest.raises(BadCalendar):
        WorkCalendar.build(week, (), FIRST, last, spans)


@pytest.mark.parametrize(
    "ask",
    [
        lambda c: c.add(c.opens - 1, 1),
        lambda c: c.add(c.opens - 1, 0),
        lambda c: c.add(c.closes, 1),
        lambda c: c.add(c.opens, c.total_min + 1),
        lambda c: c.add(c.opens, 10**12),
        lambda c: c.subtract(c.closes + 1, 1),
        lambda c: c.subtract(c.closes + 1, 0),
        lambda c: c.subtract(c.opens, 1),
        lambda c: c.subtract(c.closes, c.total_min + 1),
        lambda c: c.between(c.opens - 1, c.closes),
        lambda c: c.between(c.opens, c.closes + 1),
        lambda c: c.next_working(c.closes),
        lambda c: c.previous_working(c.opens),
        lambda c: c.earliest_finishing(c.closes, 1),
        lambda c: c.latest_starting(c.opens, 1),
        lambda c: c.latest_starting(c.closes, 10**6),
        lambda c: c.latest_starting(c.closes + 1, 1),
        lambda c: c.days_between(FIRST - timedelta(days=1), LAST),
        lambda c: c.days_between(FIRST, LAST + timedelta(days=2)),
        lambda c: c.add_many([c.opens, c.opens - 1], 1),
        lambda c: c.add_many(c.opens, [1, c.total_min + 1]),
        lambda c: c.between_many(c.opens, [c.closes, c.closes + 1]),
    ],
)
def test_nothing_is_dated_beyond_the_horizon(ask):
    with pytest.raises(BeyondHorizon, match="1 Jan 2027 to 31 Dec 2028") as refusal:
        ask(SHOP)
    assert (refusal.value.first, refusal.value.last) == (FIRST, LAST)


def test_no_date_comes_from_a_year_that_no_calendar_has():
    with pytest.raises(BeyondHorizon):
        from_minutes(10**12)


def test_the_last_day_there_is_can_end_a_horizon():
    eve = WorkCalendar.around_the_clock(date(9999, 12, 30), date.max)
    assert eve.total_min == 2 * 1440


@pytest.mark.parametrize(
    "ask", [SHOP.add, SHOP.subtract, SHOP.earliest_finishing, SHOP.latest_starting, SHOP.add_many]
)
def test_negative_work_is_refused(ask):
    with pytest.raises(BadDuration) as refusal:
        ask(at("2027-03-12 08:00"), -5)
    assert refusal.value.value == -5


def test_many_of_none_is_none():
    assert SHOP.add_many([], []).size == 0
    assert SHOP.between_many([], []).size == 0


# --- numpy's business days: numpy.busday_count and numpy.busday_offset

days = st.dates(FIRST, LAST - timedelta(days=60))
weekdays = st.sets(st.integers(0, 6), min_size=1)


@settings(deadline=None)
@given(a=days, b=days, kept=weekdays, shut=st.sets(st.sampled_from(HOLIDAYS)))
def test_working_days_agree_with_numpy_busday_count(a, b, kept, shut):
    calendar = WorkCalendar.whole_days(kept, shut, FIRST, LAST)
    begin, end = min(a, b), max(a, b)
    mask = [int(day in kept) for day in range(7)]
    expected = int(np.busday_count(begin, end, weekmask=mask, holidays=sorted(shut)))
    assert calendar.days_between(begin, end) == expected
    assert calendar.days_between(end, begin) == -expected
    midnights = [to_minutes(datetime.combine(day, datetime.min.time())) for day in (begin, end)]
    assert calendar.between(*midnights) == expected * 1440


@settings(deadline=None)
@given(day=days, count=st.integers(1, 25), kept=weekdays, shut=st.sets(st.sampled_from(HOLIDAYS)))
def test_lead_times_agree_with_numpy_busday_offset(day, count, kept, shut):
    mask = [int(weekday in kept) for weekday in range(7)]
    last_worked = np.busday_offset(
        day, count - 1, roll="forward", weekmask=mask, holidays=sorted(shut)
    ).item()
    assume(last_worked <= LAST)
    calendar = WorkCalendar.whole_days(kept, shut, FIRST, LAST)
    midnight = to_minutes(datetime.combine(day, datetime.min.time()))
    finish = calendar.add(midnight, count * 1440)
    assert from_minutes(finish - 1).date() == last_worked
    assert from_minutes(calendar.subtract(finish, count * 1440)).date() == np.busday_offset(
        day, 0, roll="forward", weekmask=mask, holidays=sorted(shut)
    )


@settings(deadline=None)
@given(day=days, count=st.integers(1, 25), kept=weekdays, shut=st.sets(st.sampled_from(HOLIDAYS)))
def test_goods_are_back_on_the_day_after_the_last_that_numpy_counts(day, count, kept, shut):
    mask = [int(weekday in kept) for weekday in range(7)]
    last = np.busday_offset(day, count - 1, roll="forward", weekmask=mask, holidays=sorted(shut)).item()
    assume(last <= LAST)
    calendar = WorkCalendar.whole_days(kept, shut, FIRST, LAST)
    back = calendar.back_from(day, count)
    assert back == last + timedelta(days=1)
    assert np.busday_count(day, back, weekmask=mask, holidays=sorted(shut)) == count


def test_without_a_lead_time_goods_are_back_on_the_day_they_leave():
    assert SHOP.back_from(date(2027, 3, 13), 0) == date(2027, 3, 13)


def test_a_lead_time_past_the_horizon_or_below_nought_is_refused():
    week = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 5))
    assert week.back_from(date(2027, 3, 1), 5) == date(2027, 3, 6)
    with pytest.raises(BeyondHorizon):
        week.back_from(date(2027, 3, 1), 6)
    with pytest.raises(BadDuration):
        week.back_from(date(2027, 3, 1), -1)


def test_the_first_working_day_from_a_day():
    week = WorkCalendar.whole_days(range(5), (), date(2027, 3, 1), date(2027, 3, 14))
    found = [week.working_day_from(date(2027, 3, day)) for day in (5, 6, 8)]
    assert found == [date(2027, 3, 5), date(2027, 3, 8), date(2027, 3, 8)]
    with pytest.raises(BeyondHorizon):
        week.working_day_from(date(2027, 3, 13))


# --- minute by minute

HORIZON_DAYS = 6
MONDAY = date(2000, 1, 3)
ORIGIN = 2 * 1440  # the midnight before that Monday, in the core's minutes


@st.composite
def small_calendars(draw):
    """A core calendar of six days with odd hours and holes, and its minutes one by one."""
    hours = st.tuples(st.integers(0, 1430), st.integers(1, 500)).map(lambda p: (p[0], min(p[0] + p[1], 1440)))
    week = draw(st.dictionaries(st.integers(0, 6), st.lists(hours, max_size=3), max_size=6))
    shut = draw(
        st.lists(st.sampled_from([MONDAY + timedelta(days=n) for n in range(HORIZON_DAYS)]), max_size=2)
    )
    hole = st.tuples(st.integers(-200, HORIZON_DAYS * 1440), st.integers(0, 900)).map(
        lambda p: (p[0], sum(p))
    )
    holes = draw(st.lists(hole, max_size=3))
    worked = slow.worked_minutes(week, shut, MONDAY, HORIZON_DAYS, holes)
    assume(any(worked))
    moved = [(start + ORIGIN, end + ORIGIN) for start, end in holes]
    last = MONDAY + timedelta(days=HORIZON_DAYS - 1)
    return WorkCalendar.build(week, shut, MONDAY, last, moved), worked


moments = st.integers(0, HORIZON_DAYS * 1440)
works = st.one_of(st.integers(0, 30), st.integers(0, 2500))


def dated(ask, *arguments):
    try:
        return ask(*arguments)
    except BeyondHorizon:
        return None


@settings(deadline=None)
@given(pair=small_calendars(), moment=moments, other=moments, work=works)
def test_adding_subtracting_and_counting_agree_with_a_count_minute_by_minute(pair, moment, other, work):
    calendar, worked = pair
    begin, low, high = moment + ORIGIN, min(moment, other), max(moment, other)
    expected = slow.finish_of(worked, moment, work)
    assert dated(calendar.add, begin, work) == (None if expected is None else expected + ORIGIN)
    expected = slow.start_of(worked, moment, work)
    assert dated(calendar.subtract, begin, work) == (None if expected is None else expected + ORIGIN)
    assert calendar.between(low + ORIGIN, high + ORIGIN) == sum(worked[low:high])
    assert calendar.between(high + ORIGIN, low + ORIGIN) == -sum(worked[low:high])
    first = next((m for m in range(moment, len(worked)) if worked[m]), None)
    assert dated(calendar.next_working, begin) == (None if first is None else first + ORIGIN)
    last = next((m for m in range(moment, 0, -1) if worked[m - 1]), None)
    assert dated(calendar.previous_working, begin) == (None if last is None else last + ORIGIN)


@settings(max_examples=60, deadline=None)
@given(pair=small_calendars(), moment=moments, work=st.one_of(st.integers(1, 40), st.integers(1, 400)))
def test_fitting_to_a_finish_or_a_start_agrees_with_trying_every_minute(pair, moment, work):
    calendar, worked = pair
    spans = ((m, slow.finish_of(worked, m, work)) for m in range(len(worked)) if worked[m])
    after = next(((m, finish) for m, finish in spans if finish is None or finish >= moment), (None, None))
    assert dated(calendar.earliest_finishing, moment + ORIGIN, work) == moved(*after)
    start = next((m for m in range(min(moment, len(worked) - 1), -1, -1) if worked[m]), None)
    finish = None if start is None else slow.finish_of(worked, start, work)
    assert dated(calendar.latest_starting, moment + ORIGIN, work) == moved(start, finish)


def moved(start, finish):
    return None if finish is None else (start + ORIGIN, finish + ORIGIN)


@settings(deadline=None)
@given(pair=small_calendars(), moment=moments, work=st.integers(1, 2500))
def test_subtracting_what_was_added_comes_back_to_the_first_working_moment(pair, moment, work):
    calendar, _ = pair
    finish = dated(calendar.add, moment + ORIGIN, work)
    assume(finish is not None)
    assert calendar.subtract(finish, work) == calendar.next_working(moment + ORIGIN)
    assert calendar.between(moment + ORIGIN, finish) == work


@settings(deadline=None)
@given(pair=small_calendars(), rows=st.lists(st.tuples(moments, works), min_size=1, max_size=8))
def test_many_at_once_are_the_same_as_one_by_one(pair, rows):
    calendar, _ = pair
    fitting = [(m + ORIGIN, w) for m, w in rows if dated(calendar.add, m + ORIGIN, w) is not None]
    assume(fitting)
    starts, lengths = map(list, zip(*fitting, strict=True))
    finishes = calendar.add_many(starts, lengths)
    assert finishes.tolist() == [calendar.add(*row) for row in fitting]
    assert calendar.between_many(starts, finishes).tolist() == [
        calendar.between(start, int(finish)) for start, finish in zip(starts, finishes, strict=True)
    ]

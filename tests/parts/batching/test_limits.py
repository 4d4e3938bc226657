"""The largest piece a finisher takes, and the days on which it works."""

from datetime import date, timedelta
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.batching.errors import NoWorkingDay
from parts.batching.limits import fits, next_working_day

side = st.integers(1, 3000)


def test_a_piece_within_every_side_fits() -> None:
    assert fits((1000, 200, 100), (1200, 600, 600))


def test_a_piece_that_is_too_long_does_not() -> None:
    assert not fits((1300, 200, 100), (1200, 600, 600))


def test_a_piece_may_be_turned() -> None:
    assert fits((100, 1100, 200), (600, 600, 1200))


def test_two_long_sides_need_two_long_sides() -> None:
    assert not fits((1000, 1000, 10), (1200, 600, 600))


def test_a_length_alone_limits_every_side() -> None:
    assert fits((900, 800, 700), (900, None, None))
    assert not fits((100, 950, 100), (900, None, None))


def test_a_height_alone_limits_only_the_flattest_way() -> None:
    assert fits((5000, 4000, 300), (None, None, 300))
    assert not fits((5000, 4000, 301), (None, None, 300))


def test_unknown_sides_of_a_piece_are_not_held_against_it() -> None:
    assert fits((None, None, None), (100, 100, 100))
    assert not fits((101, None, None), (100, 100, 100))


def test_no_limits_take_anything() -> None:
    assert fits((9999, 9999, 9999), (None, None, None))


@given(st.tuples(side, side, side), st.tuples(side, side, side))
def test_it_agrees_with_trying_all_six_ways_round(
    piece: tuple[int, int, int], largest: tuple[int, int, int]
) -> None:
    by_trial = any(
        all(a <= b for a, b in zip(turned, largest, strict=True)) for turned in permutations(piece)
    )

    assert fits(piece, largest) == by_trial


def test_a_worked_day_is_its_own_answer() -> None:
    assert next_working_day(date(2027, 3, 5), range(5), ()) == date(2027, 3, 5)  # a Friday


def test_a_weekend_and_a_closure_are_passed_over() -> None:
    shut = [(date(2027, 3, 8), date(2027, 3, 12))]

    assert next_working_day(date(2027, 3, 6), range(5), shut) == date(2027, 3, 15)


@given(
    day=st.dates(date(2020, 1, 1), date(2035, 12, 31)),
    weekdays=st.sets(st.integers(0, 6), min_size=1),
    shut_after=st.integers(-5, 20),
    shut_for=st.integers(0, 30),
)
def test_it_agrees_with_numpys_business_days(
    day: date, weekdays: set[int], shut_after: int, shut_for: int
) -> None:
    first = day + timedelta(shut_after)
    closed = [first + timedelta(n) for n in range(shut_for + 1)]
    mask = [number in weekdays for number in range(7)]

    # numpy.busday_offset(…, 0, roll="forward"), numpy's own reference on business days
    expected = np.busday_offset(day, 0, roll="forward", weekmask=mask, holidays=closed).astype(date)

    assert next_working_day(day, weekdays, [(first, closed[-1])]) == expected


def test_a_supplier_that_is_shut_for_a_year_is_refused() -> None:
    with pytest.raises(NoWorkingDay) as refusal:
        next_working_day(date(2027, 3, 6), range(5), [(date(2027, 1, 1), date(2029, 1, 1))])

    assert refusal.value.day == date(2027, 3, 6)


def test_the_end_of_the_calendar_is_no_crash() -> None:
    with pytest.raises(NoWorkingDay):
        next_working_day(date.max, (), ())

"""Three-point estimates along one path, against the normal distribution of scipy.

The printed examples are in test_worked_examples.py.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from builds.schedule.errors import BadDuration, ScheduleError
from builds.schedule.pert import Estimate, PathSum, along, chance_within, length_at, window

paths = st.builds(PathSum, st.floats(0, 500), st.floats(0.01, 400))


def test_an_empty_path_takes_no_time():
    assert along([]) == PathSum(0, 0)


def test_a_certain_path_is_done_by_its_mean_and_not_before():
    path = along([Estimate(3, 3, 3), Estimate(4, 4, 4)])
    assert path == PathSum(7, 0)
    assert [chance_within(path, length) for length in (6.999, 7, 7.001)] == [0, 1, 1]
    assert window(path).even_chance == window(path).four_in_five == 7


@pytest.mark.parametrize(
    "figures",
    [(2, 1, 3), (1, 3, 2), (-1, 0, 1), (math.nan, 1, 2), (0, 1, math.inf), (0, math.nan, 2)],
    ids=["low over likely", "likely over high", "negative", "nan", "endless", "nan likely"],
)
def test_estimates_out_of_order_are_refused(figures):
    with pytest.raises(BadDuration, match="low, likely and high in this order") as refusal:
        Estimate(*figures)
    assert refusal.value.value == figures


@pytest.mark.parametrize("chance", [0, 1, -0.1, 1.1, math.nan])
def test_a_chance_of_nought_or_one_is_refused(chance):
    with pytest.raises(ScheduleError):
        length_at(PathSum(10, 4), chance)


def test_a_length_that_is_not_a_number_is_refused():
    with pytest.raises(ScheduleError):
        chance_within(PathSum(10, 4), math.nan)


@settings(deadline=None)
@given(path=paths, length=st.floats(-100, 1000))
def test_chances_agree_with_scipy(path, length):
    expected = norm(path.mean, math.sqrt(path.variance)).cdf(length)
    assert chance_within(path, length) == pytest.approx(expected, abs=1e-12)


@settings(deadline=None)
@given(path=paths, chance=st.floats(0.001, 0.999))
def test_lengths_agree_with_scipy(path, chance):
    expected = norm(path.mean, math.sqrt(path.variance)).ppf(chance)
    assert length_at(path, chance) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@settings(deadline=None)
@given(path=paths)
def test_the_window_opens_at_the_mean_and_closes_where_four_in_five_are_done(path):
    both = window(path)
    assert both.even_chance == pytest.approx(path.mean)
    assert chance_within(path, both.four_in_five) == pytest.approx(0.8)
    assert both.even_chance <= both.four_in_five

"""Lengths as distributions, against scipy; what remains of them, against scipy's truncated ones."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from builds.schedule.errors import BadChance, BadDuration
from builds.schedule.pert import Estimate
from builds.schedule.spread import (
    Fixed,
    Lognormal,
    Overdue,
    Pert,
    Ratios,
    Remaining,
    Shifted,
    Triangular,
    normal_scores,
    quantile_table,
    remaining,
)

CHANCES = np.array([1e-6, 0.001, 0.05, 0.2, 0.5, 0.8, 0.95, 0.999, 1 - 1e-6])
ORDERED = st.lists(st.floats(0, 5000), min_size=3, max_size=3).map(sorted).filter(lambda f: f[2] - f[0] > 1)


def beta_of(low, likely, high):
    """The textbook's modified beta, as scipy knows it."""
    width = high - low
    return stats.beta(1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, low, width)


def triangular_of(low, likely, high):
    return stats.triang((likely - low) / (high - low), low, high - low)


PAIRS = [
    pytest.param(Pert(100, 250, 900), beta_of(100, 250, 900), id="beta"),
    pytest.param(Pert(0, 0, 900), beta_of(0, 0, 900), id="beta, likely at low"),
    pytest.param(Pert(100, 900, 900), beta_of(100, 900, 900), id="beta, likely at high"),
    pytest.param(Triangular(100, 250, 900), triangular_of(100, 250, 900), id="triangular"),
    pytest.param(Triangular(100, 100, 900), triangular_of(100, 100, 900), id="triangular, likely at low"),
    pytest.param(Triangular(100, 900, 900), triangular_of(100, 900, 900), id="triangular, likely at high"),
    pytest.param(Lognormal(700, 0.4), stats.lognorm(0.4, scale=700), id="lognormal"),
    pytest.param(Overdue(60, 300), stats.expon(60, 300), id="exponential after a least time"),
    pytest.param(Shifted(Lognormal(700, 0.4), 60), stats.lognorm(0.4, 60, 700), id="shifted"),
]


@pytest.mark.parametrize(("spread", "known"), PAIRS)
def test_quantiles_and_chances_are_those_of_scipy(spread, known):
    width = spread.at(0.999) - spread.at(0.001)
    assert spread.quantiles(CHANCES) == pytest.approx(known.ppf(CHANCES), abs=2e-5 * width)
    lengths = np.linspace(-10, 1200, 80)
    found = [spread.chance_within(length) for length in lengths]
    assert found == pytest.approx(known.cdf(lengths), abs=1e-5)


@pytest.mark.parametrize(("spread", "known"), PAIRS)
def test_mean_and_standard_deviation_are_those_of_scipy(spread, known):
    assert spread.mean_min == pytest.approx(known.mean(), rel=1e-9)
    assert spread.sd_min == pytest.approx(known.std(), rel=1e-9)


@settings(deadline=None)
@given(figures=ORDERED)
def test_the_mean_of_the_beta_is_that_of_the_pert_paper(figures):
    assert Pert(*figures).mean_min == pytest.approx(Estimate(*figures).mean)
    assert beta_of(*figures).mean() == pytest.approx(Estimate(*figures).mean)


def test_the_beta_is_wider_than_the_papers_convention_for_a_central_mode():
    """Variance (b - a)² / 28 instead of (b - a)² / 36 for a likely value in the middle."""
    assert Pert(0, 50, 100).sd_min ** 2 == pytest.approx(100**2 / 28)
    assert Estimate(0, 50, 100).variance == pytest.approx(100**2 / 36)


@settings(deadline=None, max_examples=50)
@given(many=st.lists(ORDERED, min_size=1, max_size=8))
def test_a_table_of_many_spreads_has_the_quantiles_of_each(many):
    spreads = [kind(*figures) for figures in many for kind in (Pert, Triangular)]
    table = quantile_table(spreads, CHANCES)
    for row, spread in zip(table, spreads, strict=True):
        assert row == pytest.approx(spread.quantiles(CHANCES), abs=2e-5 * (spread.high - spread.low))


def test_ratios_give_the_lengths_that_happened_and_nothing_beyond():
    spread = Ratios(1000, (2.0, 1.0, 1.2, 1.4))
    assert spread.quantiles([0.01, 0.125, 0.5, 0.875, 0.99]).tolist() == [1000, 1000, 1300, 2000, 2000]
    assert [spread.chance_within(length) for length in (999, 1300, 2000)] == [0, 0.5, 1]
    assert spread.mean_min == pytest.approx(1400, rel=0.01)


def test_a_certain_length_is_itself_at_every_chance():
    assert Fixed(90).quantiles(CHANCES).tolist() == [90] * len(CHANCES)
    assert [Fixed(90).chance_within(length) for length in (89.9, 90)] == [0, 1]
    assert Pert(90, 90, 90).quantiles(CHANCES) == pytest.approx(90)
    assert Triangular(90, 90, 90).at(0.8) == 90
    assert all(
        spread.is_certain for spread in (Fixed(90), Pert(5, 5, 5), Lognormal(5, 0), Ratios(9, (1.0, 1.0)))
    )


def test_normal_scores_are_those_of_scipy():
    assert normal_scores(CHANCES) == pytest.approx(stats.norm.ppf(CHANCES), rel=1e-12)


# What has been going on for a while


def truncated(known, elapsed):
    """Quantiles of what is left, from scipy's distribution and survival function."""
    still = known.sf(elapsed)
    return known.isf(still * (1 - CHANCES)) - elapsed


@pytest.mark.parametrize("elapsed", [50, 300, 500])
@pytest.mark.parametrize(("spread", "known"), PAIRS)
def test_what_remains_is_the_truncated_distribution(spread, known, elapsed):
    if spread.chance_within(elapsed) > 0.95 and spread.has_end:
        pytest.skip("outlasted: see the test of that")
    left = remaining(spread, elapsed)
    assert left.quantiles(CHANCES) == pytest.approx(truncated(known, elapsed), rel=1e-4, abs=0.2)
    gone = known.cdf(elapsed)
    for length in (10, 200, 600):
        expected = (known.cdf(elapsed + length) - gone) / (1 - gone)
        assert left.chance_within(length) == pytest.approx(expected, abs=1e-4)


def test_what_remains_of_a_lognormal_agrees_with_a_truncated_normal_of_its_logarithm():
    """By scipy.stats.truncnorm, a second independent way."""
    spread, elapsed = Lognormal(700, 0.4), 900
    low = math.log(elapsed / 700) / 0.4
    known = np.exp(stats.truncnorm(low, np.inf).ppf(CHANCES) * 0.4) * 700 - elapsed
    assert remaining(spread, elapsed).quantiles(CHANCES) == pytest.approx(known, rel=1e-4, abs=0.05)


def test_the_mean_of_what_remains_is_the_mean_residual_life():
    spread, known = Lognormal(700, 0.4), stats.lognorm(0.4, scale=700)
    expected = known.expect(lambda x: x - 900, lb=900, conditional=True)
    assert remaining(spread, 900).mean_min == pytest.approx(expected, rel=2e-3)


def test_something_that_has_not_begun_keeps_its_whole_spread():
    assert remaining(Pert(1, 2, 3), 0) == Pert(1, 2, 3)


def test_an_exponential_tail_has_no_memory():
    left = remaining(Overdue(0, 300), 777)
    assert left.quantiles(CHANCES) == pytest.approx(Overdue(0, 300).quantiles(CHANCES), rel=1e-6)


@pytest.mark.parametrize("elapsed", [880, 900, 50_000])
def test_an_estimate_that_is_outlasted_gives_a_day_at_least_and_a_tail_of_its_own_width(elapsed):
    estimate = Pert(100, 250, 900)
    assert remaining(estimate, elapsed) == Overdue(1440, 1440)  # its own deviation is less than a day
    assert remaining(estimate, elapsed, least_min=30) == Overdue(30, estimate.sd_min)


def test_a_certain_length_that_is_exceeded_is_outlasted_too():
    assert remaining(Fixed(100), 40).at(0.5) == 60
    assert remaining(Fixed(100), 101, least_min=480) == Overdue(480, 480)


def test_a_suppliers_record_has_no_end_and_is_cut_off_where_it_stands():
    left = remaining(Lognormal(1440, 0.5), 3 * 1440)
    assert isinstance(left, Remaining)
    assert left.at(0.5) == pytest.approx(truncated_median(3), rel=1e-4)


def truncated_median(days):
    known = stats.lognorm(0.5, scale=1440)
    return known.isf(known.sf(days * 1440) / 2) - days * 1440


@settings(deadline=None)
@given(figures=ORDERED, early=st.floats(0, 1), late=st.floats(0, 1))
def test_the_longer_it_has_taken_the_later_it_is_done(figures, early, late):
    low, _, high = figures
    first, second = (low + (high - low) * share for share in sorted((early, late)))
    spread = Pert(*figures)
    for chance in (0.5, 0.8):
        one = first + remaining(spread, first, least_min=5).at(chance)
        other = second + remaining(spread, second, least_min=5).at(chance)
        assert other >= one - 1e-3 * (high - low) or isinstance(remaining(spread, second, 5), Overdue)


# Refusals


@pytest.mark.parametrize("kind", [Pert, Triangular])
@pytest.mark.parametrize(
    "figures",
    [(2, 1, 3), (1, 3, 2), (-1, 0, 1), (math.nan, 1, 2), (0, 1, math.inf)],
    ids=["low over likely", "likely over high", "negative", "nan", "endless"],
)
def test_estimates_out_of_order_are_refused(kind, figures):
    with pytest.raises(BadDuration, match="low, likely and high in this order"):
        kind(*figures)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Fixed(-1),
        lambda: Fixed(math.nan),
        lambda: Lognormal(0, 0.3),
        lambda: Lognormal(10, -0.3),
        lambda: Lognormal(10, math.inf),
        lambda: Ratios(10, ()),
        lambda: Ratios(10, (1.0, 0.0)),
        lambda: Ratios(-1, (1.0,)),
        lambda: Overdue(-1, 5),
        lambda: Overdue(5, -1),
        lambda: Shifted(Fixed(1), -1),
        lambda: remaining(Fixed(1), -1),
        lambda: remaining(Fixed(1), math.nan),
        lambda: remaining(Fixed(1), 1, least_min=-1),
    ],
)
def test_figures_that_cannot_be_are_refused(make):
    with pytest.raises(BadDuration):
        make()


@pytest.mark.parametrize("chance", [0, 1, -0.1, 1.1, math.nan])
def test_a_chance_of_nought_or_one_is_refused(chance):
    with pytest.raises(BadChance, match="greater than 0 and less than 1"):
        Pert(1, 2, 3).at(chance)

"""Fuses, outputs and shorts, against standards, makers' sheets and a textbook."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.loom.protection import (
    Rated,
    adiabatic_k,
    blows_within_s,
    fuse_share,
    holds_for_s,
    let_through_a2s,
    settle,
)
from engineering.loom.wire_list import Component, Device, DeviceKind, Nature, Pin


@pytest.mark.parametrize(
    ("start_c", "end_c", "k"),
    [
        (70, 160, 115),
        (70, 140, 103),
        (90, 160, 100),
        (90, 140, 86),
        (90, 250, 143),
        (60, 200, 141),
        (30, 160, 143),
        (30, 250, 176),
    ],
)
def test_adiabatic_constants_of_the_wiring_regulations(start_c, end_c, k):
    """BS 7671 Tables 43.1, 54.2 and 54.3, after a certification body's pocket guide: all eight within 0.5."""
    assert adiabatic_k(start_c, end_c) == pytest.approx(k, abs=0.5)


def test_a_textbook_short():
    """Basic Electrical Installation Work, p. 251: 200 A for 0.4 s with k 115 needs 1.10 mm²."""
    assert math.sqrt(200**2 * 0.4) / 115 == pytest.approx(1.10, abs=0.005)
    assert math.sqrt(200**2 * 0.4) / adiabatic_k(70, 160) == pytest.approx(1.10, abs=0.005)


@pytest.mark.parametrize(
    ("family", "multiple", "quickest_s", "slowest_s"),
    [
        ("blade", 1.35, 0.75, 600),
        ("blade", 1.6, 0.25, 50),
        ("blade", 2.0, 0.15, 5),
        ("large blade", 1.35, 60, 1800),
        ("large blade", 2.0, 2, 50),
        ("large blade", 3.5, 0.2, 7),
        ("large blade", 6.0, 0.04, 1),
    ],
)
def test_times_of_the_fuse_standard(family, multiple, quickest_s, slowest_s):
    """ISO 8820-3 types C and E, as makers' sheets of 10, 35 and 40 A fuses print them."""
    assert holds_for_s(family, multiple) == pytest.approx(quickest_s)
    assert blows_within_s(family, multiple) == pytest.approx(slowest_s)


@pytest.mark.parametrize(
    ("family", "rating_a", "melts_a2s"),
    [("blade", 40, 3300), ("large blade", 40, 8500), ("large blade", 30, 4100), ("large blade", 35, 6000)],
)
def test_typical_melting_lies_between_our_two_limits(family, rating_a, melts_a2s):
    """One maker's sheets: typical I²t of 40 A blade, and of 30, 35 and 40 A large blade fuses."""
    short_a = 20.0 * rating_a
    assert melts_a2s <= let_through_a2s(Rated("F", DeviceKind.FUSE, rating_a, family), short_a)
    assert holds_for_s(family, 20) * short_a**2 <= melts_a2s


@pytest.mark.parametrize(("ambient_c", "left_a"), [(20, 40), (65, 34), (85, 30), (110, 25), (125, 22)])
def test_a_fuse_in_hot_surroundings(ambient_c, left_a):
    """One maker's sheet of a 40 A large blade fuse."""
    assert 40 * fuse_share(ambient_c) == pytest.approx(left_a, abs=0.5)


@given(st.sampled_from(["blade", "large blade", "bolt-in"]), st.floats(1.0, 40), st.floats(1.0, 3))
def test_a_harder_short_is_never_let_through_longer(family, multiple, harder):
    rating_a = 20.0
    fuse = Rated("F", DeviceKind.FUSE, rating_a, family)
    weak = let_through_a2s(fuse, multiple * rating_a)
    assert let_through_a2s(fuse, harder * multiple * rating_a) <= weak * (1 + 1e-9)
    assert holds_for_s(family, multiple) <= blows_within_s(family, multiple)


FUSE = Device("F1", Pin("F", "a"), Pin("F", "b"))
OUTPUT = Device("O1", Pin("F", "a"), Pin("F", "b"), DeviceKind.ELECTRONIC)


def load(steady_a, nature=Nature.STEADY, **more):
    return Component("Pump", Pin("P", "1"), None, steady_a, nature, **more)


def fuse(rating_a, **more):
    return Device("F1", Pin("F", "a"), Pin("F", "b"), rating_a=rating_a, **more)


@pytest.mark.parametrize(("nature", "rating_a"), [(Nature.STEADY, 15), (Nature.LAMP, 15), (Nature.MOTOR, 20)])
def test_the_smallest_fuse_that_suits_is_that_of_the_circuit_sheet(nature, rating_a):
    """9.2 A × 4/3 = 12.3, × 1.5 = 13.8, × 2 = 18.4: the next standard ratings."""
    assert settle(FUSE, (load(9.2, nature),)) == Rated("F1", DeviceKind.FUSE, rating_a, "blade")


def test_a_fuse_in_a_hot_place_is_larger():
    """12.3 A / 0.75 = 16.4 A at 85 °C."""
    assert settle(fuse(None, ambient_c=85), (load(9.2),)).rating_a == 20


def test_a_fuse_smaller_than_its_load_is_refused():
    assert settle(fuse(10), (load(9.2),)) == (
        "F1: a fuse of 10 A is smaller than its load, which asks for 12.3 A. Take 15 A, or split the load."
    )


def test_a_fuse_must_outlast_the_in_rush():
    """A blade fuse at 2 times its rating may blow after 0.15 s, at 1.35 times after 0.75 s."""
    starts = load(7.5, Nature.MOTOR, inrush_a=20, inrush_s=0.2)
    words = settle(fuse(10), (starts,))
    assert words.startswith("F1: a fuse of 10 A may blow after 0.15 s at 20 A, and Pump draws that for 0.2 s")
    assert settle(FUSE, (starts,)).rating_a == 15


def test_the_others_run_while_one_starts():
    starts = load(5, Nature.MOTOR, inrush_a=16, inrush_s=0.2)
    assert settle(FUSE, (starts,)).rating_a == 10
    assert settle(FUSE, (starts, load(2))).rating_a == 15


def test_an_output_trips_above_its_load_and_bears_the_in_rush():
    """9.2 A × 1.2 = 11.04 A, set in half amperes."""
    assert settle(OUTPUT, (load(9.2),)).rating_a == 11.5
    starts = load(9.2, Nature.MOTOR, inrush_a=50, inrush_s=0.1)
    assert "lets 0 A through for 0 s, and Pump makes 50 A for 0.1 s" in settle(OUTPUT, (starts,))
    allowed = Device("O1", Pin("F", "a"), Pin("F", "b"), DeviceKind.ELECTRONIC, None, 60, 0.1, retries=2)
    assert settle(allowed, (starts,)).inrush_a2s == pytest.approx(60**2 * 0.1 * 3)


def test_no_fuse_is_large_enough():
    assert settle(FUSE, (load(160),)) == "F1: no standard fuse suits. Split the load over two circuits."

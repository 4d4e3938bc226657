"""Sizing one tank: the sums that a person can follow on paper, and every refusal."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank import (
    FOAMS,
    LIQUIDS,
    METALS,
    Box,
    ExpansionRule,
    LyingCylinder,
    Measured,
    TankError,
    TankInputError,
    TankInputs,
    UprightCylinder,
    dip_chart,
    size_tank,
)


@pytest.fixture
def petrol_box() -> TankInputs:
    """Inside 600 x 400 x 200 mm: 48 L, a figure that needs no calculator."""
    return TankInputs(
        shape=Box(604, 404, 204),
        measured=Measured.OUTSIDE,
        thickness_mm=2,
        metal=METALS["aluminium_5083"],
        liquid=LIQUIDS["petrol"],
        foam=None,
        expansion_percent=5,
        fill_c=15,
        hottest_c=50,
        pickup_mm=10,
        dip_step_mm=50,
    )


def test_a_plain_petrol_tank_by_hand(petrol_box):
    result = size_tank(petrol_box)
    assert result.inside == Box(600, 400, 200)
    assert result.gross_l == pytest.approx(48.0)
    assert result.brim_l == pytest.approx(48.0)
    assert result.expansion_by_percentage_l == pytest.approx(2.4)
    assert result.expansion_l == pytest.approx(2.4)
    assert result.expansion_governed_by is ExpansionRule.PERCENTAGE
    assert result.filled_l == pytest.approx(45.6)
    assert result.filled_depth_mm == pytest.approx(190)
    assert result.rest_l == pytest.approx(2.4)
    assert result.usable_l == pytest.approx(43.2)
    assert result.liquid_kg == pytest.approx(45.6 * 0.745)
    assert (result.liquid_lightest_kg, result.liquid_heaviest_kg) == pytest.approx(
        (45.6 * 0.72, 45.6 * 0.775)
    )


def test_warm_petrol_asks_for_more_than_two_per_cent(petrol_box):
    """14 CFR 25.969 asks 2 %; petrol of 720 kg/m³ from 15 to 50 °C needs 1 − 0.95474 = 4.526 %."""
    result = size_tank(dataclasses.replace(petrol_box, expansion_percent=2))
    assert result.expansion_governed_by is ExpansionRule.TEMPERATURE
    assert result.expansion_by_temperature_l == pytest.approx(48 * (1 - 0.95474), abs=48 * 5e-6)
    assert result.expansion_l == result.expansion_by_temperature_l


def test_what_was_filled_in_just_fits_when_hot(petrol_box):
    result = size_tank(dataclasses.replace(petrol_box, expansion_percent=0))
    hot_l = result.filled_l * petrol_box.liquid.expansion.volume_ratio(15, 50)
    assert hot_l == pytest.approx(result.brim_l)


def test_foam_takes_its_own_volume_and_holds_some_back(petrol_box):
    """MIL-DTL-83054 type I, limits from memory: 3 % displaced, 2.5 % retained."""
    result = size_tank(dataclasses.replace(petrol_box, foam=FOAMS["type_i"]))
    assert result.foam_displaced_l == pytest.approx(48 * 0.03)
    assert result.brim_l == pytest.approx(46.56)
    assert result.filled_l == pytest.approx(46.56 * 0.95)
    assert result.rest_l == pytest.approx(2.4 * 0.97)
    assert result.foam_retained_l == pytest.approx((48 - 2.4) * 0.025)
    assert result.usable_l == pytest.approx(44.232 - 2.328 - 1.14)
    assert result.foam_kg == pytest.approx(0.048 * 32)
    assert result.dip_chart[-1].litres == pytest.approx(46.56)


@pytest.mark.parametrize("name", FOAMS)
def test_foam_limits_agree_with_the_density_of_its_solid(name):
    """Foam density over solid density, about 1200 kg/m³, is never above the limit of the type."""
    assert 100 * FOAMS[name].density_kg_m3 / 1200 <= FOAMS[name].displaced_percent


def test_inside_dimensions_give_the_same_tank(petrol_box):
    from_inside = dataclasses.replace(petrol_box, shape=Box(600, 400, 200), measured=Measured.INSIDE)
    assert size_tank(from_inside) == size_tank(petrol_box)


def test_the_sheet_weighs_its_edges_too(petrol_box):
    """Outside less inside: 604·404·204 − 600·400·200 mm³ of aluminium at 2660 kg/m³."""
    result = size_tank(petrol_box)
    assert result.empty_kg == pytest.approx((604 * 404 * 204 - 600 * 400 * 200) * 2660e-9)
    assert result.sheet_m2 == pytest.approx(2 * (602 * 402 + 602 * 202 + 402 * 202) / 1e6)
    assert result.weld_m == pytest.approx(4 * (604 + 404 + 204) / 1000)
    # area times thickness, the shop's way, comes within a thousandth
    assert result.sheet_m2 * 2 * 2.660 == pytest.approx(result.empty_kg, rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "litres"),
    [
        (LyingCylinder(356, 906), math.pi / 4 * 3.5**2 * 9.0),
        (UprightCylinder(356, 906), math.pi / 4 * 3.5**2 * 9.0),
    ],
)
def test_round_tanks(petrol_box, shape, litres):
    result = size_tank(dataclasses.replace(petrol_box, shape=shape, thickness_mm=3))
    assert result.gross_l == pytest.approx(litres)
    assert result.weld_m == pytest.approx((2 * math.pi * 356 + 906) / 1000)


def test_the_dip_chart_runs_from_nothing_to_the_brim():
    rows = dip_chart(Box(600, 400, 200), 75)
    assert [row.depth_mm for row in rows] == [0, 75, 150, 200]
    assert [row.litres for row in rows] == pytest.approx([0, 18, 36, 48])
    assert [row.brim_percent for row in rows] == pytest.approx([0, 37.5, 75, 100])


def test_a_step_that_divides_the_depth_gives_no_line_twice():
    assert [row.depth_mm for row in dip_chart(Box(600, 400, 200), 100)] == [0, 100, 200]


REFUSALS = [
    ("length_mm", {"shape": Box(0, 404, 204)}, "Length: must be more than 0 mm"),
    ("width_mm", {"shape": Box(604, -1, 204)}, "Width: must be more than 0 mm, not -1 mm"),
    ("height_mm", {"shape": Box(604, 404, math.nan)}, "Height: give a number"),
    ("diameter_mm", {"shape": LyingCylinder(math.inf, 900)}, "Diameter: give a number"),
    ("length_mm", {"shape": Box(6040, 404, 204)}, "more than 5000 mm"),
    ("length_mm", {"shape": Box(2000, 2000, 2000)}, "up to 2000 L"),
    ("thickness_mm", {"thickness_mm": 0}, "more than 0 mm"),
    ("thickness_mm", {"thickness_mm": 102}, "leaves no inside in a height of 204 mm"),
    ("thickness_mm", {"thickness_mm": 25}, "plate, not sheet"),
    ("expansion_percent", {"expansion_percent": -1}, "outside 0 to 50 %"),
    ("expansion_percent", {"expansion_percent": 51}, "outside 0 to 50 %"),
    ("fill_c", {"fill_c": -40}, "outside -20 to 80 °C for petrol"),
    ("hottest_c", {"hottest_c": 120}, "outside -20 to 80 °C for petrol"),
    ("hottest_c", {"hottest_c": 5}, "below the 15 °C"),
    ("pickup_mm", {"pickup_mm": -1}, "below the floor"),
    ("pickup_mm", {"pickup_mm": 200}, "at or above the roof"),
    ("pickup_mm", {"pickup_mm": 195}, "nothing could be drawn"),
    ("dip_step_mm", {"dip_step_mm": 0}, "more than 0 mm"),
    ("dip_step_mm", {"dip_step_mm": 0.1}, "more than 400 lines; take 1 mm"),
]


@pytest.mark.parametrize(("field", "change", "words"), REFUSALS)
def test_a_figure_that_cannot_be_meant_is_refused_in_words(petrol_box, field, change, words):
    with pytest.raises(TankInputError) as refusal:
        size_tank(dataclasses.replace(petrol_box, **change))
    assert refusal.value.field == field
    assert words in refusal.value.message
    assert isinstance(refusal.value, TankError)


LENGTHS = st.floats(60, 900)


@given(
    shape=st.one_of(
        st.builds(Box, LENGTHS, LENGTHS, LENGTHS),
        st.builds(LyingCylinder, LENGTHS, LENGTHS),
        st.builds(UprightCylinder, LENGTHS, LENGTHS),
    ),
    thickness_mm=st.floats(0.5, 5),
    foam=st.sampled_from([None, *FOAMS.values()]),
    expansion_percent=st.floats(0, 15),
    hottest_c=st.floats(15, 80),
)
def test_no_tank_gives_more_than_it_holds(shape, thickness_mm, foam, expansion_percent, hottest_c):
    result = size_tank(
        TankInputs(
            shape, Measured.OUTSIDE, thickness_mm, METALS["mild_steel"], LIQUIDS["petrol"], foam,
            expansion_percent, 15, hottest_c, 0, 10,
        )
    )  # fmt: skip
    assert 0 < result.usable_l <= result.filled_l <= result.brim_l <= result.gross_l < result.outside.full_l
    parts = result.usable_l + result.rest_l + result.foam_retained_l + result.expansion_l
    assert parts + result.foam_displaced_l == pytest.approx(result.gross_l)
    litres = [row.litres for row in result.dip_chart]
    assert litres == sorted(litres)
    assert litres[0] == 0
    assert litres[-1] == pytest.approx(result.brim_l)

"""What four scales show, and what of it the list leaves unexplained."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.weight import (
    Corners,
    Item,
    WeightError,
    WeightInputError,
    Wheels,
    balance,
    height_by_lifting,
    standing,
    unlisted,
)

WHEELS = Wheels(2400, 1300, 1260)
LISTED = [
    Item("bare car", 820, 1150, -10, 480),
    Item("engine", 160, 150, 20, 520),
    Item("spare wheel", 17, 3000, 0, 500),
]


@given(st.floats(5, 200), st.floats(-800, 3200), st.floats(-600, 600))
def test_a_mass_left_off_the_list_is_found_where_it_sits(mass_kg: float, x_mm: float, y_mm: float) -> None:
    """The scales are those of the whole car, so what is missing must come out as it was put in."""
    forgotten = Item("forgotten", mass_kg, x_mm, y_mm, 400)
    readings = balance([*LISTED, forgotten], WHEELS).corners
    found = unlisted(LISTED, readings, WHEELS)
    assert found.mass_kg == pytest.approx(mass_kg, abs=1e-6)
    assert found.x_mm == pytest.approx(x_mm, abs=0.01)
    assert found.y_mm == pytest.approx(y_mm, abs=0.01)
    assert found.front_kg + found.rear_kg == pytest.approx(mass_kg, abs=1e-6)
    assert found.is_inside


def test_scales_that_agree_with_the_list_leave_nothing() -> None:
    found = unlisted(LISTED, balance(LISTED, WHEELS).corners, WHEELS)
    assert (found.x_mm, found.y_mm, found.is_inside) == (None, None, True)
    assert found.mass_kg == pytest.approx(0, abs=1e-9)


def test_a_place_outside_the_car_says_that_more_than_one_figure_is_wrong() -> None:
    readings = balance([*LISTED, Item("a", 5, 0, 0, 400)], WHEELS).corners
    twisted = Corners(
        readings.front_left + 30, readings.front_right + 30, readings.rear_left - 30, readings.rear_right - 30
    )
    assert not unlisted(LISTED, twisted, WHEELS).is_inside


def test_a_wound_up_car_shows_on_the_diagonals_and_not_in_the_balance() -> None:
    level = balance(LISTED, WHEELS).corners
    wound = Corners(
        level.front_left + 20,
        level.front_right - 20,
        level.rear_left - 20 * 1300 / 1260,
        level.rear_right + 20 * 1300 / 1260,
    )
    assert standing(wound, WHEELS)[1] == pytest.approx(standing(level, WHEELS)[1], abs=1e-6)
    assert wound.diagonal_share < level.diagonal_share


@given(height=st.floats(350, 900), x=st.floats(600, 1800), lift=st.floats(150, 1100))
def test_the_height_comes_back_from_a_car_turned_by_hand(height: float, x: float, lift: float) -> None:
    """Statics of a rigid body, each point turned about the front axle, apart from the formula."""
    mass, radius = 900.0, 300.0
    angle = math.asin(lift / WHEELS.wheelbase_mm)

    def along_ground(aft: float, above_axle: float) -> float:
        return aft * math.cos(angle) - above_axle * math.sin(angle)

    rear_lifted = mass * along_ground(x, height - radius) / along_ground(WHEELS.wheelbase_mm, 0)
    level = mass * (1 - x / WHEELS.wheelbase_mm)
    found = height_by_lifting(
        total_kg=mass,
        front_level_kg=level,
        front_lifted_kg=mass - rear_lifted,
        lift_mm=lift,
        wheels=WHEELS,
        wheel_radius_mm=radius,
    )
    assert found == pytest.approx(height, abs=0.01)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"lift_mm": 50}, "lift_mm"),
        ({"lift_mm": 2400}, "lift_mm"),
        ({"lift_mm": 2000}, "lift_mm"),
        ({"front_lifted_kg": 420}, "front_lifted_kg"),
        ({"front_lifted_kg": 950}, "front_lifted_kg"),
        ({"total_kg": 0}, "total_kg"),
        ({"wheel_radius_mm": float("nan")}, "wheel_radius_mm"),
    ],
)
def test_a_weighing_that_tells_nothing_is_refused(change: dict[str, float], field: str) -> None:
    figures = {
        "total_kg": 900.0,
        "front_level_kg": 430.0,
        "front_lifted_kg": 450.0,
        "lift_mm": 600.0,
        "wheel_radius_mm": 300.0,
    } | change
    with pytest.raises(WeightInputError) as refused:
        height_by_lifting(wheels=WHEELS, **figures)
    assert refused.value.field == field


@pytest.mark.parametrize("bad", [-1.0, float("nan"), 6000.0])
def test_a_reading_that_cannot_be_is_refused_by_its_scale(bad: float) -> None:
    with pytest.raises(WeightInputError, match="rear left") as refused:
        standing(Corners(200, 200, bad, 200), WHEELS)
    assert refused.value.field == "rear_left_kg"


def test_scales_without_a_car_are_refused() -> None:
    with pytest.raises(WeightError, match="All four scales show 0"):
        standing(Corners(0, 0, 0, 0), WHEELS)

"""Surge on a tank sheet: slope and acceleration together, with and without the pot, worked by hand.

Relative equilibrium: the surface stands square to what the liquid feels, the sum of gravity in the axes of
the car and the acceleration turned round (White, Fluid Mechanics, section 2.9; section from memory).
"""

from __future__ import annotations

import math

import pytest

from engineering.sheets import KINDS
from tests.engineering.tanks_typed import typed_box, worked_out

LONG, WIDE, HIGH, PICKUP = 600.0, 400.0, 200.0, 10.0


@pytest.fixture
def typed() -> dict[str, str]:
    """Inside 600 × 400 × 200 mm; the pickup 10 mm up in the middle."""
    return typed_box(measured="inside", size_mm=(600, 400, 200), pickup_mm=(300, 200, 10))


def in_section(tan: float, half: float) -> float:
    """Area under a surface through the pickup that rises by `tan`, in a section 2 · half long and high
    enough not to be touched by it at the top: a triangle on the high side."""
    wet = half + PICKUP / tan
    return tan * wet * wet / 2


def test_braking_on_the_level_leaves_a_triangle(typed):
    """tan θ = a/g = 0.5, along the car: 320 × 160 mm at the front."""
    _, results = worked_out(typed)
    legs = dict(results["surge"]["here"])
    assert in_section(0.5, LONG / 2) == pytest.approx(320 * 160 / 2)
    assert legs[180.0] == pytest.approx(in_section(0.5, LONG / 2) * WIDE / 1e6, rel=1e-9)


def test_a_slope_adds_to_braking_as_a_sum_of_vectors(typed):
    """Nose down by 20 %, braking at 0.4 g along the road: along the car the liquid feels sin φ + 0.4, square
    to it cos φ."""
    _, results = worked_out(typed | {"nose_up_percent": "-20", "surge_g": "0.4"})
    slope = math.atan(0.2)
    tan = (math.sin(slope) + 0.4) / math.cos(slope)
    wet = LONG / 2 + PICKUP / tan
    # the surface meets the roof before it meets the front
    over = LONG / 2 - (HIGH - PICKUP) / tan
    area = tan * wet * wet / 2 - (tan * over * over / 2 if over > 0 else 0)
    legs = dict(results["surge"]["on_slope"]["here"])
    assert legs[180.0] == pytest.approx(area * WIDE / 1e6, rel=1e-9)
    # gathering speed on the same slope nearly levels it again
    tan_back = abs(math.sin(slope) - 0.4) / math.cos(slope)
    assert legs[0.0] == pytest.approx(in_section(tan_back, LONG / 2) * WIDE / 1e6, rel=1e-9)


def test_a_side_slope_adds_to_a_bend(typed):
    """Left side up by 10 % in a left-hand bend of 0.3 g: both push the liquid to the right."""
    _, results = worked_out(typed | {"left_up_percent": "10", "surge_g": "0.3"})
    slope = math.atan(0.1)
    tan = (math.sin(slope) + 0.3) / math.cos(slope)
    legs = dict(results["surge"]["on_slope"]["here"])
    assert legs[90.0] == pytest.approx(in_section(tan, WIDE / 2) * LONG / 1e6, rel=1e-9)


def test_both_accelerations_at_once_count_as_one(typed):
    """Braking in a left-hand bend at 0.5 g: 0.354 g each way; by Monte Carlo over the box, 4 standard
    errors."""
    import numpy as np

    _, results = worked_out(typed)
    each = 0.5 / math.sqrt(2)
    generator = np.random.default_rng(5)
    places = generator.uniform((0, 0, 0), (LONG, WIDE, HIGH), (400_000, 3))
    # braking: up by `each` forwards; left-hand bend: up by `each` to the right
    surface = PICKUP + each * (places[:, 0] - LONG / 2) - each * (places[:, 1] - WIDE / 2)
    below = places[:, 2] < surface
    share, error = below.mean(), math.sqrt(below.mean() * (1 - below.mean()) / len(below))
    assert abs(dict(results["surge"]["here"])[135.0] / 48 - share) < 4 * error


def test_foam_takes_its_share_of_what_is_left(typed):
    """Type II foam displaces 2.5 % everywhere."""
    _, bare = worked_out(typed)
    _, foamed = worked_out(typed | {"foam": "type_ii", "foam_percent": "100"})
    left = [results["surge"]["worst"]["litres_left"] for results in (bare, foamed)]
    assert left[1] == pytest.approx(0.975 * left[0])


def test_the_page_names_the_worst_on_the_level_and_on_the_slope(typed):
    pot = {
        "pot_x_mm": "225", "pot_y_mm": "125", "pot_length_mm": "150", "pot_width_mm": "150",
        "pot_depth_mm": "60", "pickup_z_mm": "-50",
    }  # fmt: skip
    inputs, results = worked_out(typed | pot | {"nose_up_percent": "10"})
    shown = KINDS["profile"].show(inputs, results)["surge"]
    assert shown["slope"] == "nose up 10 %"
    assert [row["words"] for row in shown["rows"]][:3] == [
        "gathering speed", "gathering speed in a left-hand bend", "in a left-hand bend"
    ]  # fmt: skip
    for row in shown["rows"]:
        assert float(row["bare"]) > float(row["level"]) > 0
        assert float(row["bare_slope"]) > float(row["slope"])
    assert float(shown["slope_l"]) > float(shown["worst_l"])


BOX = {
    "box_x_mm": "225", "box_y_mm": "150", "box_length_mm": "150", "box_width_mm": "100",
    "box_height_mm": "80", "pump_l_h": "120", "bend_s": "25", "bend_l": "10", "pickup_x_mm": "370",
    "pickup_y_mm": "245", "pickup_z_mm": "2", "surge_g": "0.35",
}  # fmt: skip


def test_the_box_is_tried_in_all_directions(typed):
    """The pickup stands in the front left corner: at worst the car gathers speed in a left-hand bend, which
    none of the four plain directions is, and which uncovers it sooner than all of them."""
    from engineering.tank.bodies import Block
    from engineering.tank.pot import Pot, through_bend
    from engineering.tank.solid import solid_box
    from engineering.tank.surge import Pull

    inputs, results = worked_out(typed | BOX)
    box = results["box"]
    assert 0 < box["direction_deg"] < 90
    pot = Pot(Block(150, 100, 80, (225, 150, 0)), (370, 245, 2))
    plain = [
        through_bend(
            solid_box((0, 0, 0), (600, 400, 200)), pot, 10,
            Pull(0.35 * math.cos(math.radians(turn)), 0.35 * math.sin(math.radians(turn))), 25, 120,
        ).covered_s
        for turn in (0, 90, 180, 270)
    ]  # fmt: skip
    assert box["covered_s"] < min(plain)
    words = KINDS["profile"].show(inputs, results)["box"]
    assert "gathering speed in a left-hand bend" in words[0]
    assert words[1].startswith("The box comes dry after")

"""Free surfaces under acceleration, against textbook problems and a solid modeller."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from engineering.tank.attitude import STANDARD_GRAVITY, Attitude, Pull, apparent_gravity_g, apparent_up
from engineering.tank.bodies import Pushed
from engineering.tank.drum import Drum, Lie
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.errors import TankInputError
from engineering.tank.profile import SideProfile
from engineering.tank.solid import joined, solid_box
from engineering.tank.surge import highest_g, litres_when_uncovered, surface_height_mm, surge_polar

CASES = json.loads((Path(__file__).parent / "cut_cases.json").read_text())["cases"]
SHAPES = {
    "box_with_recessed_pot": joined(
        [solid_box((0, 0, 0), (600, 400, 200)), solid_box((60, 125, -60), (150, 150, 60))]
    ),
    "wedge": Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800).solid(),
}
BOX = solid_box((0, 0, 0), (600, 400, 200))


def in_g(metres_per_second2, g=9.81):
    return metres_per_second2 / g


def test_the_angle_of_an_open_tank_and_the_pressure_on_its_ends():
    """Bansal, Fluid Mechanics, ch. 5: 6 × 2.5 × 2 m, water 1 m deep, 2.4 m/s² along it, g 9.81.

    13.74°; 17 008.5 and 2611.4 Pa; the source rounds its depths, unrounded 17 010 and 2610 Pa.
    """
    tank = solid_box((0, 0, 0), (6000, 2500, 2000))
    pull = Pull(in_g(2.4))
    assert math.degrees(math.atan(pull.forwards_g)) == pytest.approx(13.74, abs=0.01)
    rear, front = (surface_height_mm(tank, 15_000, pull, (x, 0)) for x in (0, 6000))
    assert 9.81 * rear == pytest.approx(17_010.0, abs=0.05)
    assert 9.81 * front == pytest.approx(2610.0, abs=0.05)
    forces = [1000 * 9.81 * (height / 1000) ** 2 / 2 * 2.5 for height in (rear, front)]
    assert forces == pytest.approx([36_868.0, 868.0], abs=0.5)  # published, rounded: 36 862 and 869 N
    assert forces[0] - forces[1] == pytest.approx(36_000)  # mass times acceleration


def test_what_spills_from_a_brimming_tank():
    """The same tank brim-full: 11.007 m³ spill; 11.0092 unrounded."""
    tank = solid_box((0, 0, 0), (6000, 2500, 2000))
    up = apparent_up(pull=Pull(in_g(2.4)))
    left = tank.litres_below(up, np.array([float(np.array([0, 0, 2000]) @ up)]))[0]
    assert (30_000 - left) / 1000 == pytest.approx(11.0092, abs=5e-5)
    assert (30_000 - left) / 1000 == pytest.approx(11.007, abs=3e-3)


def test_a_tank_that_spills_and_whose_floor_runs_dry():
    """4 × 2 × 1.2 m, water 1 m, 5 m/s²: left 2.8253 m³, spilled 5.1747 (published, tan θ rounded: 5.176)."""
    tank = solid_box((0, 0, 0), (4000, 2000, 1200))
    up = apparent_up(pull=Pull(in_g(5.0)))
    left = tank.litres_below(up, np.array([1200 * up[2]]))[0] / 1000
    assert left == pytest.approx(2.8253, abs=5e-5)
    assert 8 - left == pytest.approx(5.1747, abs=5e-5)


@pytest.mark.parametrize(("length", "width", "rise_cm"), [(2000, 600, 25.484), (600, 2000, 7.645)])
def test_how_far_it_rises_at_the_end(length, width, rise_cm):
    """Çengel and Cimbala: fish tank 0.8 m high, 2 × 0.6 m, 0 to 90 km/h in 10 s."""
    tank = solid_box((0, 0, 0), (length, width, 800))
    litres = length * width * 400 / 1e6
    rear = surface_height_mm(tank, litres, Pull(in_g(2.5)), (0, 0))
    assert (rear - 400) / 10 == pytest.approx(rise_cm, abs=5e-4)


def test_the_most_that_an_open_glass_may_hold():
    """60 cm high, 40 cm across, 4 m/s²: 51.8 cm."""
    glass = DrumCavity(Drum(400, 600, Lie.UPRIGHT))
    up = apparent_up(pull=Pull(in_g(4.0)))
    litres = glass.litres_below(up, np.array([float(np.array([-200, 0, 600]) @ up)]))[0]
    assert litres * 1e6 / (math.pi * 200**2) / 10 == pytest.approx(51.845, abs=5e-4)


def test_a_mug_on_the_move():
    """White, Fluid Mechanics, Example 2.13 (from memory): 6 cm across, 7 cm deep, 7 m/s², 1010 kg/m³.

    35.5°, rise 2.14 cm, 906 Pa at the rear corner.
    """
    mug = DrumCavity(Drum(60, 200, Lie.UPRIGHT))
    litres = math.pi * 30**2 * 70 / 1e6
    rear = surface_height_mm(mug, litres, Pull(in_g(7.0)), (-30, 0))
    assert math.degrees(math.atan(in_g(7.0))) == pytest.approx(35.5, abs=0.05)
    assert rear - 70 == pytest.approx(21.4, abs=0.05)
    assert 1010 * 9.81 * rear / 1000 == pytest.approx(906, abs=0.5)


def test_a_glass_on_a_roundabout():
    """White, solutions, P2.138: 3 in across, 4 ft from the centre at 12 rev/min; slope 0.196, 10.8 US fl oz.

    Twelve US fl oz to the brim, so 3.0636 in high; 2.77 in fill it safely.
    """
    inch, ounce_l = 25.4, 0.0295735295625
    height = 12 * ounce_l * 1e6 / (math.pi * (1.5 * inch) ** 2)
    glass = DrumCavity(Drum(3 * inch, height, Lie.UPRIGHT))
    pull = Pull(leftwards_g=(2 * math.pi * 12 / 60) ** 2 * 4 / 32.174)
    assert pull.leftwards_g == pytest.approx(0.196, abs=5e-4)
    up = apparent_up(pull=pull)
    litres = glass.litres_below(up, np.array([float(np.array([0, -1.5 * inch, height]) @ up)]))[0]
    assert litres / ounce_l == pytest.approx(10.8, abs=0.05)
    assert litres * 1e6 / (math.pi * (1.5 * inch) ** 2) / inch == pytest.approx(2.77, abs=0.005)


def test_a_truck_tank_by_half_its_length():
    """Bertin, Aerodynamics for Engineers, P3.2: 20 ft long, 10 ft deep, 6.3 ft/s², g 32.2.

    A published answer of 6.1 ft takes the whole length; half of it gives 8.0435 ft.
    """
    foot = 304.8
    tank = solid_box((0, 0, 0), (20 * foot, 8 * foot, 10 * foot))
    up = apparent_up(pull=Pull(6.3 / 32.2))
    litres = tank.litres_below(up, np.array([10 * foot * up[2]]))[0]
    assert litres * 1e6 / (20 * foot * 8 * foot) / foot == pytest.approx(8.0435, abs=5e-5)


def test_plain_accelerations_in_degrees():
    """1 g slopes the surface by 45°, braking at 0.8 g by 38.66°."""
    for g, degrees in ((1.0, 45.0), (0.8, 38.66)):
        up = apparent_up(pull=Pull(-g))
        assert math.degrees(math.acos(up[2])) == pytest.approx(degrees, abs=0.005)


def test_a_slope_adds_to_a_pull():
    """On a slope of θ, rolling freely down at g·sin θ, the surface stays square to the road."""
    slope = Attitude(nose_up_deg=20)
    g, up = apparent_gravity_g(slope, Pull(forwards_g=-math.sin(math.radians(20))))
    assert up == pytest.approx([0, 0, 1], abs=1e-12)
    assert g == pytest.approx(math.cos(math.radians(20)))
    assert STANDARD_GRAVITY == 9.80665


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_what_is_left_when_the_pickup_comes_dry(case):
    """Worked out by exact clipping of sections, apart from this code."""
    for row in case["volume_when_pickup_uncovers"]:
        for name, place in case["pickups_mm"].items():
            left = litres_when_uncovered(SHAPES[case["name"]], tuple(place), Pull(row["ax_g"], row["ay_g"]))
            assert left == pytest.approx(row[f"{name}_volume_when_uncovered_L"], rel=1e-8)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_whether_a_pickup_is_covered(case):
    solid = SHAPES[case["name"]]
    for row in case["fill_cases"]:
        pull = Pull(row["ax_g"], row["ay_g"])
        for name, answer in row["pickups"].items():
            x, y, z = case["pickups_mm"][name]
            head = surface_height_mm(solid, row["volume_L"], pull, (x, y)) - z
            assert head == pytest.approx(answer["vertical_head_mm"], abs=1e-5)
            left = litres_when_uncovered(solid, (x, y, z), pull)
            assert (row["volume_L"] > left) is answer["covered"]


def test_the_polar_holds_the_plain_directions_and_names_the_worst():
    polar = surge_polar(BOX, (150, 200, 10), 0.5, 72)
    by_direction = {leg.direction_deg: leg.litres_left for leg in polar.around}
    assert len(polar.around) == 72
    # pickup near the rear: gathering speed brings liquid to it, braking takes it away
    assert by_direction[0] < by_direction[180]
    assert by_direction[90] == pytest.approx(by_direction[270])
    assert polar.worst.direction_deg == pytest.approx(180, abs=45)
    assert polar.worst.litres_left >= max(by_direction.values())
    # braking: a surface of slope ½ through (150, 10) leaves 470 × 235 / 2 × 400 mm³, less what the roof cuts
    over = 235 - 200
    assert by_direction[180] == pytest.approx((470 * 235 - over * 2 * over) / 2 * 400 / 1e6)


def test_a_pickup_in_a_pot_leaves_less_than_one_on_the_floor():
    solid = SHAPES["box_with_recessed_pot"]
    with_pot = surge_polar(solid, (135, 200, -50), 0.5, 36)
    without = surge_polar(BOX, (135, 200, 10), 0.5, 36)
    assert with_pot.worst.litres_left < without.worst.litres_left


def test_foam_leaves_its_share():
    full = litres_when_uncovered(BOX, (300, 200, 10), Pull(0.3))
    assert litres_when_uncovered(BOX, (300, 200, 10), Pull(0.3), free_share=0.97) == pytest.approx(
        0.97 * full
    )


def test_the_pull_that_a_pickup_bears():
    """A pickup 10 mm up at mid-length of a box, 24 L: dry when the triangle beyond it holds them all."""
    g = highest_g(BOX, (300, 200, 10), 12.0, 180)
    assert litres_when_uncovered(BOX, (300, 200, 10), Pull(-g)) == pytest.approx(12.0, abs=1e-6)
    assert highest_g(BOX, (300, 200, 10), 2.0, 180) == 0.0
    assert highest_g(BOX, (0, 200, 0), 5.0, 0) == 5.0


@pytest.mark.parametrize("g", [-0.1, 50, math.nan])
def test_a_pull_that_no_car_does_is_refused(g):
    with pytest.raises(TankInputError) as refusal:
        surge_polar(BOX, (300, 200, 10), g)
    assert refusal.value.field == "surge_g"
    assert "outside 0 to 5 g" in refusal.value.message

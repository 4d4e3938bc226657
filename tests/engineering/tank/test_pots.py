"""Pots: the pool they keep, how long it lasts, how it fills again; holes by published problems."""

import dataclasses
import json
import math
from pathlib import Path

import pytest

from engineering.tank.attitude import Pull
from engineering.tank.bodies import Block, Pushed
from engineering.tank.drum import Drum, Lie
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.errors import TankInputError
from engineering.tank.orifice import Hole, drain_seconds, orifice_l_s
from engineering.tank.pot import Pot, pot_pool, reserve_seconds, through_bend
from engineering.tank.profile import SideProfile
from engineering.tank.solid import joined, solid_box

CASES = json.loads((Path(__file__).parent / "cut_cases.json").read_text())["cases"]
POT = Pot(Block(150, 150, 60, (60, 125, -60)), (135, 200, -50))
WITH_POT = joined([solid_box((0, 0, 0), (600, 400, 200)), solid_box((60, 125, -60), (150, 150, 60))])
FOOT = 304.8


@pytest.mark.parametrize("row", CASES[0]["pot_retained"]["cases"])
def test_what_an_open_pot_keeps(row):
    """Below the plane through its lowest lip corner, by exact clipping and a solid modeller."""
    assert pot_pool(POT, Pull(row["ax_g"], row["ay_g"])).kept_l == pytest.approx(row["retained_L"], rel=1e-9)


def test_what_of_it_the_pump_can_have():
    """Level: 1.35 L less 10 mm of 150 × 150 mm below the pickup."""
    assert pot_pool(POT).above_pickup_l == pytest.approx(1.35 - 0.225)
    # at 1 g a corner of 60 × 60 mm is kept, and the pickup stands above it
    assert pot_pool(POT, Pull(-1.0)).above_pickup_l == 0


def test_seconds_of_a_pool():
    """2.0 L at 100 lb/h of petrol at 745 kg/m³: 118.3 s."""
    litres_per_hour = 100 * 0.45359237 / 0.745
    assert reserve_seconds(2.0, litres_per_hour) == pytest.approx(118.3, abs=0.05)
    assert reserve_seconds(2.0, litres_per_hour, litres_per_hour / 2) == pytest.approx(236.6, abs=0.1)
    assert reserve_seconds(2.0, 100, 100) == math.inf


def test_oil_through_a_hole_under_air_pressure():
    """Published: SG 0.9, 0.61 m over a 25 mm hole, 13 780 Pa, C 0.61: 0.00195 m³/s."""
    head_mm = 610 + 13_780 / (900 * 9.81) * 1000
    hole = Hole(25, (0, 0, 0), coefficient=0.61)
    assert orifice_l_s(hole, head_mm, 9.81) == pytest.approx(1.9541, abs=5e-4)


def test_the_coefficient_of_a_measured_hole():
    """Published: 16 mm, 1.5 m of head, 0.65 L/s: C about 0.6 (0.596)."""
    ideal = orifice_l_s(Hole(16, (0, 0, 0), coefficient=1.0), 1500, 9.81)
    assert 0.65 / ideal == pytest.approx(0.596, abs=5e-4)


def hole_of(area_mm2, coefficient):
    return Hole(math.sqrt(4 * area_mm2 / math.pi), (0, 0, 0), coefficient=coefficient)


@pytest.mark.parametrize(
    ("name", "tank", "hole", "depths_mm", "seconds", "by"),
    [
        ("professional-exam problem: 4 ft across, 5 in² nozzle, 6 to 2 ft, no losses; published 93.9 s",
         DrumCavity(Drum(4 * FOOT, 7 * FOOT, Lie.UPRIGHT)), hole_of(5 * 25.4**2, 1.0),
         (6 * FOOT, 2 * FOOT), 93.38, 0.1),
        ("Bansal, ch. 7, from memory: 4 m across, 0.5 m hole, C 0.6, 5 to 2 m: 39.58 s",
         DrumCavity(Drum(4000, 6000, Lie.UPRIGHT)), Hole(500, (0, 0, 0), coefficient=0.6),
         (5000, 2000), 39.58, 0.02),
        ("the same to empty: 107.7 s",
         DrumCavity(Drum(4000, 6000, Lie.UPRIGHT)), Hole(500, (0, 0, 0), coefficient=0.6),
         (5000, 0), 107.695, 0.03),
        ("Streeter and Wylie, from memory: 1.5 m across, 75 mm, C 0.82, 3.0 to 2.5 m: 33.2 s",
         DrumCavity(Drum(1500, 4000, Lie.UPRIGHT)), Hole(75, (0, 0, 0), coefficient=0.82),
         (3000, 2500), 33.239, 0.02),
        ("Bansal, ch. 7, from memory: lying drum 2 m across, 5 m long, half full, 100 mm, C 0.6: 584 s",
         DrumCavity(Drum(2000, 5000, Lie.LENGTHWISE)), Hole(100, (0, 0, 0), coefficient=0.6),
         (1000, 0), 583.98, 0.3),
    ],
    ids=lambda value: value[:34] if isinstance(value, str) else "",
)  # fmt: skip
def test_how_long_a_tank_takes_to_run_out(name, tank, hole, depths_mm, seconds, by):
    """The sources take g = 9.81 (the first 32.2 ft/s²), we 9.80665: 0.02 % in √g."""
    assert drain_seconds(tank, hole, *depths_mm) == pytest.approx(seconds, abs=by), name


def test_a_bend_without_holes_lasts_the_pool():
    """At 0.3 g the pot keeps 0.84375 L; at 90 L/h net that above the pickup lasts 40 s a litre."""
    bend = through_bend(WITH_POT, POT, 1.0, Pull(-0.3), 60, 100, 10)
    pool = pot_pool(POT, Pull(-0.3))
    assert bend.at_start_l == pytest.approx(0.84375, rel=1e-6)
    assert bend.covered_s == pytest.approx(pool.above_pickup_l * 40, rel=1e-3)
    assert bend.covered_s == pytest.approx(reserve_seconds(pool.above_pickup_l, 100, 10), rel=1e-3)
    assert not bend.holds
    assert through_bend(WITH_POT, POT, 1.0, Pull(-0.3), 0.9 * bend.covered_s, 100, 10).holds


def test_a_full_tank_feeds_the_pot_over_its_lip():
    bend = through_bend(WITH_POT, POT, 40.0, Pull(0.3), 30, 200)
    assert bend.holds
    assert bend.at_end_l == pytest.approx(bend.at_start_l)
    assert bend.refilled_l == 0


BOX_WITH_COLLECTOR = solid_box((0, 0, 0), (600, 400, 200))


def collector(flap):
    """100 × 100 × 100 mm on the floor, a 10 mm hole at its foot, the pickup on the floor."""
    hole = Hole(10, (250, 200, 0), has_flap=flap, coefficient=0.6)
    return Pot(Block(100, 100, 100, (250, 150, 0)), (300, 200, 0), (hole,))


def test_two_vessels_find_their_level():
    """Bansal, ch. 7 (from memory): t = 2 A1 A2 (√H1 − √H2) / ((A1 + A2) C a √(2g)), H the difference."""
    a1, a2 = 0.1 * 0.1, 0.6 * 0.4 - 0.1 * 0.1
    area = math.pi / 4 * 0.01**2
    h1 = 0.1  # one litre in the box, none outside
    h2 = 0.04

    def seconds(low):
        return (
            2 * a1 * a2 * (math.sqrt(h1) - math.sqrt(low)) / ((a1 + a2) * 0.6 * area * math.sqrt(2 * 9.80665))
        )

    bend = through_bend(BOX_WITH_COLLECTOR, collector(False), 1.0, Pull(), seconds(h2), 0)
    # what left the box lowered it and raised the rest
    moved = (h1 - h2) / (1 / a1 + 1 / a2) * 1000
    assert bend.leaked_l == pytest.approx(moved, rel=2e-3)
    assert bend.at_end_l == pytest.approx(1.0 - moved, rel=2e-3)


def test_a_flap_keeps_the_pool():
    bend = through_bend(BOX_WITH_COLLECTOR, collector(True), 1.0, Pull(), 60, 0)
    assert bend.leaked_l == 0
    assert bend.at_end_l == pytest.approx(1.0)


def head_while_both_fall_mm(l_h):
    """Box and tank fall together, so the hole passes what the tank's share of the area gives up."""
    through = l_h / 3600 / 1000 * 230 / 240
    return (through / (0.6 * math.pi / 4 * 0.01**2)) ** 2 / (2 * 9.80665) * 1000


def test_a_hole_that_lets_in_what_the_pump_takes_holds():
    """11 L outside stand 48 mm high; by Torricelli the hole passes its share under 16.3 mm of head."""
    bend = through_bend(BOX_WITH_COLLECTOR, collector(True), 12.0, Pull(), 200, 100)
    assert bend.holds
    left_l = 12.0 - 100 / 3600 * 200
    box_mm = (left_l * 1e6 - 230_000 * head_while_both_fall_mm(100)) / 240_000
    assert bend.at_end_l == pytest.approx(box_mm * 0.01, rel=2e-3)


def test_the_last_litres_come_too_slowly():
    """Below that head the hole passes less than the pump takes: the box is dry with 3.7 L outside it."""
    bend = through_bend(BOX_WITH_COLLECTOR, collector(True), 12.0, Pull(), 600, 100)
    outside_l = 0.23 * head_while_both_fall_mm(100)
    assert not bend.holds
    assert bend.covered_s == pytest.approx((12 - outside_l) / 100 * 3600, rel=2e-3)


def test_nothing_comes_from_nowhere():
    """What the pot holds at the end is what it held, and took in, less what it lost and the pump drew."""
    bend = through_bend(BOX_WITH_COLLECTOR, collector(False), 12.0, Pull(0.1), 40, 90)
    assert bend.at_end_l == pytest.approx(
        bend.at_start_l + bend.refilled_l - bend.leaked_l - 90 / 3600 * 40, abs=1e-3
    )


def test_a_profile_shaped_tank_with_a_round_pot():
    wedge = Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800).solid()
    body = Drum(140, 90, Lie.UPRIGHT, at_mm=(200, 400, -80))
    pot = Pot(dataclasses.replace(body, straight_mm=80), (200, 400, -75))
    pot_l = math.pi * 70**2 * 80 / 1e6
    assert pot_pool(pot).kept_l == pytest.approx(pot_l, rel=1e-9)
    pool = pot_pool(pot, Pull(leftwards_g=0.8))
    bend = through_bend(joined([wedge, body.solid()]), pot, 3.0, Pull(leftwards_g=0.8), 4, 250)
    assert bend.covered_s == pytest.approx(pool.above_pickup_l * 3600 / 250, rel=1e-3)
    assert 0 < pool.kept_l < pot_l
    assert not bend.holds


REFUSED = [
    ("pot_pickup_mm", {"pot": Pot(Block(150, 150, 60, (60, 125, -60)), (300, 200, -50))}, "outside the pot"),
    ("pot_holes", {"pot": dataclasses.replace(POT, holes=(Hole(0, (60, 200, -50)),))}, "more than 0 mm"),
    (
        "pot_holes",
        {"pot": dataclasses.replace(POT, holes=(Hole(70, (60, 200, -50)),))},
        "larger than its wall",
    ),
    ("pot_holes", {"pot": dataclasses.replace(POT, holes=(Hole(8, (300, 200, -50)),))}, "not in the wall"),
    (
        "pot_holes",
        {"pot": dataclasses.replace(POT, holes=(Hole(8, (60, 200, -50), coefficient=2),))},
        "0 to 1",
    ),
    ("bend_s", {"seconds": 0}, "at most 600 s"),
    ("bend_s", {"seconds": math.nan}, "at most 600 s"),
    ("pump_l_h", {"pump_l_h": -1}, "0 to 5000 L/h"),
    ("return_l_h", {"return_l_h": 200}, "more than the 100 L/h of the pump"),
    ("tank_l", {"tank_l": 60}, "outside 0 to the 49.35 L"),
    ("leftwards_g", {"pull": Pull(0, 50)}, "50 g is outside"),
]


@pytest.mark.parametrize(("field", "change", "words"), REFUSED)
def test_what_cannot_be_meant_is_refused(field, change, words):
    given = {
        "inside": WITH_POT,
        "pot": POT,
        "tank_l": 10.0,
        "pull": Pull(0.3),
        "seconds": 5.0,
        "pump_l_h": 100.0,
    }
    with pytest.raises(TankInputError) as refusal:
        through_bend(**{**given, **change})
    assert refusal.value.field == field
    assert words in refusal.value.message

"""Dip charts as the car stands, and reading them backwards."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from fluids.geometry import TANK
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank.attitude import Attitude, Pull, apparent_up
from engineering.tank.bodies import Block, Pushed
from engineering.tank.build import TankBuild
from engineering.tank.dip import dip_chart
from engineering.tank.dipping import dip_chart_at, level_for_litres, stick_at
from engineering.tank.drum import Drum, Lie
from engineering.tank.ends import FLANGED_AND_DISHED
from engineering.tank.errors import TankInputError
from engineering.tank.fittings import recessed_pot
from engineering.tank.inputs import Measured
from engineering.tank.profile import SideProfile
from engineering.tank.shapes import Box
from engineering.tank.solid import solid_box

CASES = json.loads((Path(__file__).parent / "cut_cases.json").read_text())["cases"]
BOX = solid_box((0, 0, 0), (600, 400, 200))


@pytest.fixture
def with_pot():
    tank = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
    return tank.having(recessed_pot(tank, Block(150, 150, 60, (60, 125, -60))))


def test_level_it_is_the_chart_of_the_plain_sheet():
    rows = dip_chart_at(BOX, stick_at(BOX, 300, 200), 30)
    assert [(r.depth_mm, r.litres) for r in rows] == [
        (pytest.approx(r.depth_mm), pytest.approx(r.litres)) for r in dip_chart(Box(600, 400, 200), 30)
    ]


def test_over_the_pot_the_stick_reaches_into_it(with_pot):
    """cut_cases.json: 60 mm is the brim of the pot, 1.35 L; 110 mm 13.35 L."""
    inside = with_pot.inside_solid
    assert stick_at(inside, 135, 200).length_mm == pytest.approx(260)
    assert stick_at(inside, 400, 200).length_mm == pytest.approx(200)
    rows = {row.depth_mm: row.litres for row in dip_chart_at(inside, stick_at(inside, 135, 200), 10)}
    assert rows[60] == pytest.approx(1.35, rel=1e-9)
    assert rows[110] == pytest.approx(13.35, rel=1e-9)


@pytest.mark.parametrize("where", [50, 300, 550])
def test_a_box_on_a_slope_by_hand(where):
    """Nose up by a tenth: a surface that cuts both ends holds area × its depth at mid-length."""
    stick = stick_at(BOX, where, 200)
    rows = {row.depth_mm: row.litres for row in dip_chart_at(BOX, stick, 10, Attitude.on_slope(10))}
    middle = 100.0 + (where - 300) * 0.1  # nose up: the liquid lies deeper at the rear, at low x
    assert rows[100] == pytest.approx(0.24 * middle, rel=1e-9)


def test_a_slope_to_the_left_by_hand():
    """Left side up by a twentieth, read 100 mm left of the middle: 5 mm less wet than mid-width."""
    stick = stick_at(BOX, 300, 300)
    rows = {row.depth_mm: row.litres for row in dip_chart_at(BOX, stick, 10, Attitude.on_slope(0, 5))}
    assert rows[60] == pytest.approx(0.24 * 65, rel=1e-9)


def test_a_slope_is_the_same_as_the_pull_of_its_tangent():
    """tan θ = a/g: a surface cannot tell a slope of 30 % from gathering speed at 0.3 g."""
    assert apparent_up(Attitude.on_slope(30)) == pytest.approx(apparent_up(pull=Pull(0.3)), abs=1e-15)
    assert apparent_up(Attitude.on_slope(0, 30)) == pytest.approx(apparent_up(pull=Pull(0, 0.3)), abs=1e-15)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_chart_read_backwards(case, with_pot):
    if case["name"] == "wedge":
        inside = Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800).solid()
    else:
        inside = with_pot.inside_solid
    low = inside.low_mm[2]
    for row in case["dip_inverse"]:
        level = level_for_litres(inside, np.array([0.0, 0.0, 1.0]), row["volume_L"])
        assert level - low == pytest.approx(row["depth_mm"], abs=1e-6)
    for row in case["fill_cases"]:
        up = apparent_up(pull=Pull(row["ax_g"], row["ay_g"]))
        level = level_for_litres(inside, up, row["volume_L"])
        assert level / up[2] == pytest.approx(row["c_mm"], abs=1e-6)


def test_a_drum_read_backwards_agrees_with_the_library():
    """fluids with its exact method (its default reads a spline, and is 0.01 mm out)."""
    theirs = TANK(D=0.35, L=0.7, horizontal=True, sideA="torispherical", sideB="torispherical",
                  sideA_f=1.0, sideA_k=0.06, sideB_f=1.0, sideB_k=0.06)  # fmt: skip
    drum = TankBuild(
        Drum(350, 700, Lie.LENGTHWISE, FLANGED_AND_DISHED, FLANGED_AND_DISHED), Measured.INSIDE, 2
    )
    up = Attitude().up()
    for litres in (0.5, 10.0, 37.0, 70.0):
        depth = level_for_litres(drum.inside, up, litres) + 175
        assert depth == pytest.approx(1000 * theirs.h_from_V(litres / 1000, method="brenth"), abs=1e-5)


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.001, 0.999))
def test_forth_and_back_is_where_it_began(nose_up, left_up, share):
    up = Attitude(nose_up, left_up).up()
    level = level_for_litres(BOX, up, 48 * share)
    assert BOX.litres_below(up, np.array([level]))[0] == pytest.approx(48 * share, abs=1e-7)


def test_foam_takes_its_share_of_every_line():
    rows = dip_chart_at(BOX, stick_at(BOX, 300, 200), 50, free_share=0.97)
    assert [row.litres for row in rows] == pytest.approx([0, 11.64, 23.28, 34.92, 46.56])
    assert rows[-1].brim_percent == 100


@pytest.mark.parametrize(
    ("field", "make", "words"),
    [
        ("stick", lambda: stick_at(BOX, 700, 200), "there is no tank"),
        ("stick", lambda: stick_at(BOX, 300, math.nan), "there is no tank"),
        ("dip_step_mm", lambda: dip_chart_at(BOX, stick_at(BOX, 1, 1), 0), "more than 0 mm"),
        ("dip_step_mm", lambda: dip_chart_at(BOX, stick_at(BOX, 1, 1), 0.1), "more than 400 lines"),
        ("nose_up_deg", lambda: Attitude(nose_up_deg=75).up(), "outside -60 to 60°"),
        ("left_up_deg", lambda: Attitude(left_up_deg=math.nan).up(), "outside -60 to 60°"),
        ("forwards_g", lambda: apparent_up(pull=Pull(50)), "50 g is outside -5 to 5 g"),
        ("leftwards_g", lambda: apparent_up(pull=Pull(0, math.inf)), "no car on wheels"),
    ],
)
def test_what_cannot_be_meant_is_refused(field, make, words):
    with pytest.raises(TankInputError) as refusal:
        make()
    assert refusal.value.field == field
    assert words in refusal.value.message

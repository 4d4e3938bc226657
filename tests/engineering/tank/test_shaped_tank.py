"""Sizing a tank of any shape: sums that can be followed on paper, and every refusal."""

import dataclasses
import math

import pytest

from engineering.tank import FOAMS, LIQUIDS, METALS, Box, ExpansionRule, Measured, TankInputs, size_tank
from engineering.tank.attitude import Attitude
from engineering.tank.bodies import Block, Pushed
from engineering.tank.build import TankBuild
from engineering.tank.errors import TankInputError
from engineering.tank.fittings import recessed_pot
from engineering.tank.liquids import own_liquid
from engineering.tank.profile import SideProfile
from engineering.tank.shaped import ShapedInputs, size_shaped
from engineering.tank.units import imperial_gallons, us_gallons


@pytest.fixture
def wedge_with_pot() -> ShapedInputs:
    """Wedge of cut_cases.json, 65.28 L, over a pot of 200 × 200 × 50 mm: 2 L."""
    wedge = TankBuild(
        Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800), Measured.INSIDE, 2.0
    )
    build = wedge.having(recessed_pot(wedge, Block(200, 200, 50, (60, 300, -50))))
    return ShapedInputs(
        build,
        METALS["aluminium_5083"],
        LIQUIDS["petrol"],
        None,
        100,
        5,
        15,
        50,
        (160, 400, -40),
        dip_step_mm=10,
    )


def test_a_box_is_sized_as_on_the_plain_sheet():
    """Two ways to the same tank: closed form, and a mesh cut by planes."""
    plain = size_tank(
        TankInputs(Box(604, 404, 204), Measured.OUTSIDE, 2, METALS["mild_steel"], LIQUIDS["petrol"],
                   FOAMS["type_i"], 5, 15, 50, 10, 50)
    )  # fmt: skip
    shaped = size_shaped(
        ShapedInputs(TankBuild(Block(604, 404, 204, (-2, -2, -2)), Measured.OUTSIDE, 2), METALS["mild_steel"],
                     LIQUIDS["petrol"], FOAMS["type_i"], 100, 5, 15, 50, (300, 200, 10), dip_step_mm=50)
    )  # fmt: skip
    for field in dataclasses.fields(plain):
        if field.name not in ("outside", "inside", "dip_chart", "expansion_governed_by"):
            assert getattr(shaped, field.name) == pytest.approx(getattr(plain, field.name)), field.name
    assert [(r.depth_mm, r.litres) for r in shaped.dip_chart] == [
        (pytest.approx(r.depth_mm), pytest.approx(r.litres)) for r in plain.dip_chart
    ]


def test_a_wedge_with_a_pot_by_hand(wedge_with_pot):
    result = size_shaped(wedge_with_pot)
    assert result.gross_l == pytest.approx(65.28 + 2.0, rel=1e-9)
    assert result.filled_l == pytest.approx(0.95 * 67.28, rel=1e-9)
    assert result.rest_l == pytest.approx(0.4)  # 200 × 200 × 10 mm below a pickup 10 mm over the pot's floor
    assert result.usable_l == pytest.approx(0.95 * 67.28 - 0.4, rel=1e-9)
    assert result.stick.length_mm == pytest.approx(290)
    # wedge and pot: 800·(420 h − h²/3) + 2 L up to the depth filled in
    h = result.filled_depth_mm - 50
    assert 800 * (420 * h - h**2 / 3) / 1e6 + 2.0 == pytest.approx(result.filled_l, rel=1e-8)
    assert imperial_gallons(result.gross_l) == pytest.approx(14.7995, abs=1e-4)
    assert us_gallons(result.gross_l) == pytest.approx(17.7735, abs=1e-4)


def test_its_sheet_by_hand(wedge_with_pot):
    """The wedge's metal is 2.283740418 L at 2 mm by a solid modeller (cut_cases.json).

    Below the outer floor the pot stands out 204 × 204 × 50 mm; below the inner one it holds 200 × 200 × 50.
    """
    metal_l = 2.283740418 + (204 * 204 * 50 - 200 * 200 * 50) / 1e6
    assert size_shaped(wedge_with_pot).empty_kg == pytest.approx(metal_l * 2.660, rel=1e-8)


def test_on_a_slope_more_stays_behind(wedge_with_pot):
    """Nose down by 30 % liquid leaves the pickup for the front; nose up it comes."""
    floor = dataclasses.replace(wedge_with_pot, pickup_mm=(60, 400, 12))
    level = size_shaped(floor).rest_l
    assert size_shaped(dataclasses.replace(floor, attitude=Attitude.on_slope(-30))).rest_l > level
    assert size_shaped(dataclasses.replace(floor, attitude=Attitude.on_slope(10))).rest_l < level


def test_foam_that_leaves_the_pot_free(wedge_with_pot):
    """Type III of MIL-DTL-83054 in 90 % of the tank: 2.5 % of that displaced, 4.5 % retained."""
    result = size_shaped(dataclasses.replace(wedge_with_pot, foam=FOAMS["type_iii"], foam_percent=90))
    assert result.foam_displaced_l == pytest.approx(67.28 * 0.9 * 0.025, rel=1e-9)
    assert result.brim_l == pytest.approx(67.28 * (1 - 0.0225), rel=1e-9)
    assert result.foam_retained_l == pytest.approx((67.28 - 0.4) * 0.9 * 0.045, rel=1e-9)
    assert result.foam_kg == pytest.approx(0.06728 * 0.9 * 23, rel=1e-9)


def test_the_liquid_weighs_where_its_centre_is(wedge_with_pot):
    """Half a box lies at a quarter of its height."""
    box = dataclasses.replace(
        wedge_with_pot, build=TankBuild(Block(600, 400, 200), Measured.INSIDE, 2), pickup_mm=(300, 200, 0),
        expansion_percent=0, fill_c=15, hottest_c=15,
    )  # fmt: skip
    result = size_shaped(box)
    assert result.liquid_centre_mm == pytest.approx((300, 200, 100), abs=1e-6)
    assert result.half_centre_mm == pytest.approx((300, 200, 50), abs=1e-6)
    assert result.liquid_kg == pytest.approx(48 * 0.745)


def test_own_liquid_by_its_specific_gravity(wedge_with_pot):
    """Expansion space of 2 % against 0.0011 per °C over 35 °C: 1 − 1/1.0385 = 3.707 %."""
    alcohol = own_liquid("Racing alcohol", 0.796, 0.0011, True)
    result = size_shaped(dataclasses.replace(wedge_with_pot, liquid=alcohol, expansion_percent=2))
    assert result.expansion_governed_by is ExpansionRule.TEMPERATURE
    assert result.expansion_l == pytest.approx(67.28 * (1 - 1 / 1.0385), rel=1e-9)
    assert result.liquid_kg == pytest.approx(result.filled_l * 0.796)


REFUSED = [
    ("pickup_mm", {"pickup_mm": (700, 400, 10)}, "Pickup: at x 700"),
    ("pickup_mm", {"pickup_mm": (160, 400, -51)}, "outside the tank, which reaches from -50 to 240 mm"),
    ("pickup_mm", {"pickup_mm": (160, 400, 240)}, "Put its mouth inside"),
    ("pickup_mm", {"pickup_mm": (160, math.nan, 0)}, "give x, y and z"),
    ("pickup_mm", {"pickup_mm": (160, 400, 235)}, "nothing could be drawn"),
    ("stick", {"stick_mm": (500, 400)}, "Dip stick: at x 500"),
    ("foam_percent", {"foam": FOAMS["type_i"], "foam_percent": 0}, "more than 0 to 100 %"),
    ("foam_percent", {"foam": FOAMS["type_i"], "foam_percent": 120}, "more than 0 to 100 %"),
    ("expansion_percent", {"expansion_percent": 60}, "outside 0 to 50 %"),
    ("hottest_c", {"hottest_c": 5}, "below the 15 °C"),
    ("fill_c", {"fill_c": -80}, "outside -20 to 80 °C"),
    ("dip_step_mm", {"dip_step_mm": 0}, "more than 0 mm"),
    ("nose_up_deg", {"attitude": Attitude(80)}, "outside -60 to 60°"),
]


@pytest.mark.parametrize(("field", "change", "words"), REFUSED)
def test_a_figure_that_cannot_be_meant_is_refused(wedge_with_pot, field, change, words):
    with pytest.raises(TankInputError) as refusal:
        size_shaped(dataclasses.replace(wedge_with_pot, **change))
    assert refusal.value.field == field
    assert words in refusal.value.message


@pytest.mark.parametrize(
    ("gravity", "expansion", "field"),
    [(80, 0.001, "specific_gravity"), (0, 0.001, "specific_gravity"), (math.nan, 0.001, "specific_gravity"),
     (0.8, 0.1, "expansion_per_c"), (0.8, -0.001, "expansion_per_c")],
)  # fmt: skip
def test_a_liquid_that_cannot_be(gravity, expansion, field):
    with pytest.raises(TankInputError) as refusal:
        own_liquid("Brew", gravity, expansion, True)
    assert refusal.value.field == field

"""Round tanks with ends of every kind, against Jones's published examples and a maintained library."""

import math

import numpy as np
import pytest
from fluids.geometry import TANK

from engineering.tank.attitude import Attitude, Pull, apparent_up
from engineering.tank.drum import Drum, Lie
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.ends import (
    DIN_28011,
    DIN_28013,
    FLANGED_AND_DISHED,
    FLAT_END,
    HEMISPHERE,
    End,
    EndShape,
)
from engineering.tank.errors import TankInputError
from engineering.tank.units import us_gallons

INCH = 25.4


def coned(depth_mm):
    return End(EndShape.CONED, depth_mm)


def dished(depth_mm):
    return End(EndShape.DISHED, depth_mm)


def ellipsoidal(depth_mm):
    return End(EndShape.ELLIPSOIDAL, depth_mm)


@pytest.mark.parametrize(
    ("end", "at_36", "at_84"),
    [
        (coned(42 * INCH), 2041.1923581, 6180.5407739),
        (ellipsoidal(42 * INCH), 2380.9565416, 7103.4452359),
        (FLANGED_AND_DISHED, 2028.6266708, 5939.8979102),
        (FLAT_END, 1805.1882880, 5162.8929738),  # not in the article: closed form
    ],
    ids=["coned", "ellipsoidal", "flanged and dished", "flat"],
)
@pytest.mark.parametrize("lie", [Lie.LENGTHWISE, Lie.CROSSWISE])
def test_joness_lying_tank(end, at_36, at_84, lie):
    """D. Jones, 'Compute Fluid Tank Volumes' (2002): D 108 in, L 156 in, two ends 42 in deep, US gallons.

    The digits beyond his two decimals are the fluids library's tests of his examples.
    """
    cavity = DrumCavity(Drum(108 * INCH, 156 * INCH, lie, end, end))
    assert us_gallons(cavity.litres_at(36 * INCH)) == pytest.approx(at_36, rel=1e-7)
    assert us_gallons(cavity.litres_at(84 * INCH)) == pytest.approx(at_84, rel=1e-7)


@pytest.mark.parametrize(
    ("end", "at_24", "at_60"),
    [
        (coned(33 * INCH), 250.6746138, 2251.1755358),
        (ellipsoidal(33 * INCH), 783.3581682, 2902.8316119),
        (dished(33 * INCH), 583.6018353, 2658.4605834),
        (FLANGED_AND_DISHED, 904.0688284, 3036.7614412),
    ],
    ids=["coned", "ellipsoidal", "dished", "flanged and dished"],
)
def test_joness_standing_tank(end, at_24, at_60):
    """D. Jones (2003): D 132 in, the bottom 33 in deep, US gallons."""
    cavity = DrumCavity(Drum(132 * INCH, 120 * INCH, Lie.UPRIGHT, end, FLAT_END))
    assert us_gallons(cavity.litres_at(24 * INCH)) == pytest.approx(at_24, rel=1e-9)
    assert us_gallons(cavity.litres_at(60 * INCH)) == pytest.approx(at_60, rel=1e-9)


@pytest.mark.parametrize(
    ("percent", "cubic_metres"),
    [(7.142857, 3.058448), (14.285714, 8.537083), (21.428571, 15.425298), (28.571429, 23.292010),
     (50, 50.0), (71.428571, 76.707990), (92.857143, 96.941552)],
)  # fmt: skip
def test_a_published_strapping_table(percent, cubic_metres):
    """fluids documentation, 'Tank Design and Weight Estimation': 100 m³, L/D 3, ASME F&D ends, lying."""
    diameter, length = 3411.696249, 10235.088748
    cavity = DrumCavity(Drum(diameter, length, Lie.LENGTHWISE, FLANGED_AND_DISHED, FLANGED_AND_DISHED))
    assert cavity.litres_at(diameter * percent / 100) / 1000 == pytest.approx(cubic_metres, abs=2e-6)


@pytest.mark.parametrize(
    ("end", "depth", "volume"),
    [
        (FLANGED_AND_DISHED, 0.169337614, 0.080999004),
        (End(EndShape.TORISPHERICAL, dish=0.8, knuckle=0.06), 0.205021009, 0.094536451),
        (DIN_28011, 0.193774225, 0.098965995),
        (DIN_28013, 0.254472732, 0.130771734),
        (ellipsoidal(250.0), 0.25, math.pi / 24),
        (HEMISPHERE, 0.5, math.pi / 12),
    ],
)
def test_constants_of_the_standard_ends(end, depth, volume):
    """Depth per D and volume per D³ as fluids gives them; handbooks: 0.169 and 0.081 for ASME F&D."""
    assert end.depth_on(1000.0) == pytest.approx(1000 * depth, abs=1e-6)
    one_end = Drum(1000.0, 1e-9, Lie.UPRIGHT, end, FLAT_END)
    assert one_end.volume_mm3() / 1e9 == pytest.approx(volume, rel=1e-8)


LIBRARY_ENDS = [
    (FLAT_END, {}),
    (FLANGED_AND_DISHED, {"side": "torispherical", "f": 1.0, "k": 0.06}),
    (DIN_28013, {"side": "torispherical", "f": 0.8, "k": 0.154}),
    (dished(40.0), {"side": "spherical", "a": 0.040}),
    (HEMISPHERE, {"side": "spherical", "a": 0.175}),
    (coned(60.0), {"side": "conical", "a": 0.060}),
    (ellipsoidal(80.0), {"side": "ellipsoidal", "a": 0.080}),
]


def _library_tank(words: dict, horizontal: bool) -> TANK:
    given = {}
    for side in ("sideA", "sideB"):
        for name, value in words.items():
            given[side if name == "side" else f"{side}_{name}"] = value
    return TANK(D=0.35, L=0.7, horizontal=horizontal, **given)


@pytest.mark.parametrize("lie", list(Lie))
@pytest.mark.parametrize(("end", "words"), LIBRARY_ENDS)
def test_every_depth_agrees_with_the_library(end, words, lie):
    """fluids.geometry.TANK, from a tenth of a millimetre to the brim: within 1e-7, where 5e-4 is asked."""
    theirs = _library_tank(words, horizontal=lie is not Lie.UPRIGHT)
    cavity = DrumCavity(Drum(350.0, 700.0, lie, end, end))
    assert cavity.depth_mm == pytest.approx(1000 * theirs.h_max, rel=1e-9)
    for share in (0.0003, 0.003, 0.01, 0.05, 0.1, 0.25, 0.5, 0.77, 0.95, 0.999, 1.0):
        depth_m = theirs.h_max * share
        assert cavity.litres_at(1000 * depth_m) == pytest.approx(1000 * theirs.V_from_h(depth_m), rel=1e-7)


@pytest.mark.parametrize(("end", "words"), LIBRARY_ENDS)
def test_the_mesh_of_a_drum_has_its_volume_and_nearly_its_skin(end, words):
    theirs = _library_tank(words, horizontal=True)
    mesh = Drum(350.0, 700.0, Lie.LENGTHWISE, end, end).solid()
    assert mesh.full_l == pytest.approx(1000 * theirs.V_total, rel=1e-9)
    assert mesh.skin_mm2 / 1e6 == pytest.approx(theirs.A, rel=1e-4)


@pytest.mark.parametrize("pull", [Pull(), Pull(0.05, 0.03), Pull(0, 0.7), Pull(1, 0), Pull(-0.8, 0.6)])
@pytest.mark.parametrize("lie", list(Lie))
def test_tilted_it_agrees_with_its_own_mesh(pull, lie):
    """Segments summed along the axis against the mesh cut by the plane: two ways, 1e-5 of the whole apart."""
    cavity = DrumCavity(Drum(350.0, 600.0, lie, FLANGED_AND_DISHED, coned(60.0), other_mm=260.0))
    up = apparent_up(pull=pull)
    low, high = cavity.span_mm(up)
    assert (low, high) == pytest.approx(cavity.solid.span_mm(up), abs=0.05)
    levels = np.linspace(low, high, 60)
    exact, meshed = cavity.litres_below(up, levels), cavity.solid.litres_below(up, levels)
    assert exact == pytest.approx(meshed, abs=1e-5 * cavity.full_l)


def test_a_standing_glass_that_tilts_by_its_own_closed_form():
    """A slanted cut through a standing cylinder that misses floor and roof: V = πR² · mean depth."""
    cavity = DrumCavity(Drum(200.0, 400.0, Lie.UPRIGHT))
    up = Attitude(nose_up_deg=20, left_up_deg=-10).up()
    level = 180.0 * up[2]  # through the axis, 180 mm above the floor
    assert cavity.litres_below(up, np.array([level]))[0] == pytest.approx(
        math.pi * 1e4 * 180 / 1e6, rel=1e-10
    )


def test_the_hoof_of_a_tilted_glass():
    """The plane through the middle of the floor at slope m: V = 2/3 · R³ · m (Archimedes' hoof)."""
    radius = 100.0
    cavity = DrumCavity(Drum(2 * radius, 400.0, Lie.UPRIGHT))
    up = apparent_up(pull=Pull(forwards_g=1.5))
    assert cavity.litres_below(up, np.array([0.0]))[0] == pytest.approx(
        2 / 3 * radius**3 * 1.5 / 1e6, rel=1e-10
    )


def test_the_elliptical_drum_is_a_round_one_pressed_flat():
    """Half height at half depth, and a third less everywhere for two thirds of the height."""
    flat = DrumCavity(Drum(300.0, 700.0, Lie.LENGTHWISE, other_mm=200.0))
    rounded = DrumCavity(Drum(300.0, 700.0, Lie.LENGTHWISE))
    for share in (0.1, 0.5, 0.8):
        assert flat.litres_at(200 * share) == pytest.approx(rounded.litres_at(300 * share) * 2 / 3, rel=1e-9)


def test_sheet_round_a_capsule_by_its_closed_form():
    """Two half balls and a straight part: V = π r² L + 4/3 π r³, for both skins."""

    def capsule_l(radius):
        return (math.pi * radius**2 * 700 + 4 / 3 * math.pi * radius**3) / 1e6

    inside = Drum(350.0, 700.0, Lie.LENGTHWISE, HEMISPHERE, HEMISPHERE)
    metal_l = (inside.grown(2.0).volume_mm3() - inside.volume_mm3()) / 1e6
    assert metal_l == pytest.approx(capsule_l(177) - capsule_l(175), rel=1e-9)


@pytest.mark.parametrize(
    ("end", "inner", "outer"),
    [
        (FLANGED_AND_DISHED, {"side": "torispherical", "f": 1.0, "k": 0.06},
         {"side": "torispherical", "f": 352 / 354, "k": 23 / 354}),
        (HEMISPHERE, {"side": "spherical", "a": 0.175}, {"side": "spherical", "a": 0.177}),
    ],
)  # fmt: skip
def test_sheet_is_the_mean_of_both_skins_times_its_thickness(end, inner, outer):
    """The library's areas of the inner and the outer skin; their mean is exact but for t³ (Steiner)."""

    def area_m2(diameter_m, words):
        sides = {f"{side}_{k}": v for side in ("sideA", "sideB") for k, v in words.items() if k != "side"}
        tank = TANK(D=diameter_m, L=0.7, horizontal=True, sideA=words["side"], sideB=words["side"], **sides)
        return tank.A

    inside = Drum(350.0, 700.0, Lie.LENGTHWISE, end, end)
    metal_l = (inside.grown(2.0).volume_mm3() - inside.volume_mm3()) / 1e6
    assert metal_l == pytest.approx((area_m2(0.35, inner) + area_m2(0.354, outer)) / 2 * 2, rel=1e-5)


@pytest.mark.parametrize("lie", list(Lie))
def test_floor_and_roof_at_a_place_agree_with_the_mesh(lie):
    cavity = DrumCavity(Drum(350.0, 600.0, lie, FLANGED_AND_DISHED, coned(60.0), other_mm=260.0))
    low, high = cavity.solid.low_mm, cavity.solid.high_mm
    for share_x, share_y in [(0.5, 0.5), (0.07, 0.5), (0.9, 0.4), (0.3, 0.3)]:
        x, y = low[:2] + (high - low)[:2] * (share_x, share_y)
        assert cavity.upright_mm(x, y) == pytest.approx(cavity.solid.upright_mm(x, y), abs=0.1)
    assert cavity.upright_mm(high[0] + 1, 0) is None
    assert cavity.solid.upright_mm(high[0] + 1, 0) is None


@pytest.mark.parametrize(
    ("field", "drum", "words"),
    [
        ("diameter_mm", Drum(0, 700), "more than 0 mm"),
        ("diameter_mm", Drum(math.nan, 700), "give a number"),
        ("other_mm", Drum(300, 700, other_mm=-5), "more than 0 mm"),
        ("straight_mm", Drum(300, -1), "must be 0 to 5000 mm"),
        ("straight_mm", Drum(300, 0), "between flat ends"),
        ("first_end_mm", Drum(300, 700, first=dished(200)), "at most 150 mm"),
        ("second_end_mm", Drum(300, 700, second=coned(0)), "more than 0"),
        ("first_end_mm", Drum(300, 700, first=End(EndShape.TORISPHERICAL, dish=0.4)), "0.5 to 2 times"),
    ],
)
def test_a_drum_that_cannot_be_made_is_refused(field, drum, words):
    with pytest.raises(TankInputError) as refusal:
        drum.check()
    assert refusal.value.field == field
    assert words in refusal.value.message

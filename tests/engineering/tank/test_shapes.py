"""Litres at a depth, against figures that others published or computed."""

import itertools
import math

import pytest
from fluids.geometry import TANK
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank import Box, LyingCylinder, UprightCylinder, depth_for_litres
from engineering.tank.units import L_PER_IMPERIAL_GALLON, L_PER_US_GALLON, imperial_gallons, us_gallons

L_PER_CUBIC_INCH = 0.016387064  # 25.4 mm to the inch, exact
MM_PER_INCH = 25.4


@pytest.mark.parametrize(
    ("depth_share", "volume_share"),
    [
        (0.05, 0.018693),
        (0.10, 0.052044),
        (0.20, 0.142378),
        (0.25, 0.195501),
        (0.30, 0.252316),
        (0.40, 0.373530),
        (0.50, 0.500000),
        (0.75, 0.804499),
        (0.90, 0.947956),
    ],
)
def test_a_lying_cylinder_follows_the_handbook_table(depth_share, volume_share):
    """Perry's Chemical Engineers' Handbook, 'Volume of partially filled horizontal cylinders'."""
    tank = LyingCylinder(diameter_mm=400, length_mm=1000)
    assert round(tank.litres_at(400 * depth_share) / tank.full_l, 6) == volume_share


@pytest.mark.parametrize(("depth_in", "us_gallon"), [(36, 1805.1882880), (84, 5162.8929738)])
def test_the_straight_part_of_the_tank_in_joness_article(depth_in, us_gallon):
    """D. Jones's tank, 108 in across and 156 in long, without its heads; from his closed form."""
    tank = LyingCylinder(diameter_mm=108 * MM_PER_INCH, length_mm=156 * MM_PER_INCH)
    assert us_gallons(tank.litres_at(depth_in * MM_PER_INCH)) == pytest.approx(us_gallon, rel=1e-9)


def test_joness_conical_tank_is_the_straight_part_and_what_a_quadrature_gives_for_the_heads():
    """Jones's printed answer for conical heads 42 in deep at 36 in: 2041.19 US gallons, two decimals.

    The two cones are integrated here slice by slice, each slice being a segment of a smaller circle.
    """
    radius, depth, cone = 54 * MM_PER_INCH, 36 * MM_PER_INCH, 42 * MM_PER_INCH
    slices = 20000
    heads_l = 0.0
    for number in range(slices):
        slice_radius = radius * (1 - (number + 0.5) / slices)
        slice_of = LyingCylinder(2 * slice_radius, cone / slices)
        heads_l += 2 * slice_of.litres_at(depth - radius + slice_radius)
    straight_l = LyingCylinder(2 * radius, 156 * MM_PER_INCH).litres_at(depth)
    assert us_gallons(straight_l + heads_l) == pytest.approx(2041.1923581, abs=0.005)


@pytest.mark.parametrize("depth_m", [0.0, 0.001, 0.05, 0.1, 0.175, 0.28, 0.349, 0.35])
def test_a_lying_cylinder_agrees_with_the_fluids_library(depth_m):
    """An independent library (fluids.geometry.TANK), 0.35 m across and 0.9 m long."""
    theirs = TANK(D=0.35, L=0.9, horizontal=True)
    ours = LyingCylinder(350, 900)
    assert ours.litres_at(1000 * depth_m) == pytest.approx(1000 * theirs.V_from_h(depth_m), abs=1e-9)
    assert ours.full_l == pytest.approx(86.590148, abs=5e-7)
    assert ours.skin_mm2 / 1e6 == pytest.approx(theirs.A, rel=1e-12)


@pytest.mark.parametrize("depth_m", [0.0, 0.01, 0.1, 0.2, 0.4])
def test_an_upright_cylinder_agrees_with_the_fluids_library(depth_m):
    theirs = TANK(D=0.18, L=0.4, horizontal=False)
    ours = UprightCylinder(180, 400)
    assert ours.litres_at(1000 * depth_m) == pytest.approx(1000 * theirs.V_from_h(depth_m), rel=1e-12)
    assert ours.skin_mm2 / 1e6 == pytest.approx(theirs.A, rel=1e-12)


@pytest.mark.parametrize(
    ("depth_mm", "litres"), [(1.0, 1.59), (50.0, 13.35), (100.0, 25.35), (175.0, 43.35), (200.0, 49.35)]
)
def test_a_box_agrees_with_a_solid_modeller(depth_mm, litres):
    """A 600 x 400 x 200 mm box over a pot of 1.35 L, cut by a level plane in a general solid modeller."""
    assert Box(600, 400, 200).litres_at(depth_mm) + 1.35 == pytest.approx(litres, rel=1e-12)


def test_the_gallons_are_the_legal_ones():
    """Weights and Measures Act 1985 Schedule 1; NIST Handbook 44 Appendix C (231 cubic inches)."""
    assert L_PER_IMPERIAL_GALLON == 4.54609
    assert pytest.approx(231 * L_PER_CUBIC_INCH, rel=1e-15) == L_PER_US_GALLON
    assert imperial_gallons(1) / us_gallons(1) == pytest.approx(1 / 1.200950, abs=5e-7)


def test_the_gallons_agree_with_a_units_library():
    import pint

    litre = pint.UnitRegistry().litre
    assert imperial_gallons(60) == pytest.approx((60 * litre).m_as("imperial_gallon"), rel=1e-14)
    assert us_gallons(60) == pytest.approx((60 * litre).m_as("gallon"), rel=1e-14)


SIZES = st.floats(10, 2000)
SHAPES = st.one_of(
    st.builds(Box, SIZES, SIZES, SIZES),
    st.builds(UprightCylinder, SIZES, SIZES),
    st.builds(LyingCylinder, SIZES, SIZES),
)


@given(SHAPES, st.lists(st.floats(0, 1), min_size=2, max_size=20))
def test_litres_never_fall_as_depth_rises(shape, shares):
    depths = sorted(share * shape.depth_mm for share in shares)
    litres = [shape.litres_at(depth) for depth in depths]
    slack = 1e-12 * shape.full_l  # two depths a rounding error apart
    assert all(later >= earlier - slack for earlier, later in itertools.pairwise(litres))


@given(SHAPES, st.floats(0, 1))
def test_the_dip_chart_reads_backwards(shape, share):
    litres = share * shape.full_l
    depth_mm = depth_for_litres(shape, litres)
    assert 0 <= depth_mm <= shape.depth_mm
    assert shape.litres_at(depth_mm) == pytest.approx(litres, abs=1e-9 * shape.full_l)


@given(SHAPES)
def test_empty_is_nothing_and_the_brim_is_everything(shape):
    assert shape.litres_at(0) == 0
    assert shape.litres_at(-5) == 0
    assert shape.litres_at(shape.depth_mm) == pytest.approx(shape.full_l, rel=1e-12)
    assert shape.litres_at(shape.depth_mm + 5) == shape.litres_at(shape.depth_mm)
    assert depth_for_litres(shape, shape.full_l * 1.01) == shape.depth_mm
    assert depth_for_litres(shape, -1) == 0


@given(st.floats(10, 2000), st.floats(10, 2000), st.floats(0, 1))
def test_what_is_above_half_depth_mirrors_what_is_below(diameter_mm, length_mm, share):
    tank = LyingCylinder(diameter_mm, length_mm)
    depth_mm = share * diameter_mm
    both = tank.litres_at(depth_mm) + tank.litres_at(diameter_mm - depth_mm)
    assert both == pytest.approx(tank.full_l, rel=1e-12)


def test_a_box_of_a_cylinders_section_area_holds_the_same():
    assert UprightCylinder(200, 100).full_l == pytest.approx(
        Box(100 * math.sqrt(math.pi), 100 * math.sqrt(math.pi), 100).full_l
    )

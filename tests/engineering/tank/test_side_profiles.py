"""Side profiles: their area with bends, sheet inside and outside, and every outline that is refused."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank.bodies import Pushed
from engineering.tank.drum import Drum
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.errors import TankInputError
from engineering.tank.profile import Corner, SideProfile
from engineering.tank.profiles import l_profile, step_profile, wedge_profile
from engineering.tank.solid import to_manifold


def test_a_rectangle_with_rounded_corners():
    """Area a·b − (4 − π) r², round 2(a + b) − (8 − 2π) r: any book of mensuration."""
    profile = SideProfile.through([(0, 0, 30), (400, 0, 30), (400, 200, 30), (0, 200, 30)])
    assert profile.area_mm2 == pytest.approx(400 * 200 - (4 - math.pi) * 900, rel=1e-14)
    assert profile.perimeter_mm == pytest.approx(1200 - (8 - 2 * math.pi) * 30, rel=1e-14)


def test_an_inner_corner_gains_what_an_outer_one_loses():
    sharp = SideProfile.through([(0, 0), (400, 0), (400, 120), (150, 120), (150, 300), (0, 300)])
    bent = SideProfile.through([(0, 0), (400, 0), (400, 120), (150, 120, 40), (150, 300), (0, 300)])
    assert bent.area_mm2 - sharp.area_mm2 == pytest.approx((1 - math.pi / 4) * 1600)


@pytest.mark.parametrize("turned", [False, True])
def test_the_outline_keeps_the_area_of_its_bends(turned):
    corners = [(0, 0, 30), (420, 0, 10), (260, 240, 20), (200, 240), (200, 150, 15), (0, 150, 25)]
    profile = SideProfile.through(corners[::-1] if turned else corners)
    profile.check()
    x, z = profile.outline().T
    shoelace = float(np.sum(x * np.roll(z, -1) - np.roll(x, -1) * z)) / 2
    assert shoelace == pytest.approx(profile.area_mm2, rel=1e-12)
    body = Pushed(profile, 800)
    mesh = body.solid()
    to_manifold(mesh)  # refuses what is not closed
    assert mesh.full_l == pytest.approx(profile.area_mm2 * 800 / 1e6, rel=1e-12)
    assert mesh.skin_mm2 == pytest.approx(body.sheet_mm2(), rel=1e-5)
    library = trimesh.Trimesh(mesh.points_mm, mesh.triangles, process=False)
    assert library.is_watertight
    assert library.volume / 1e6 == pytest.approx(mesh.full_l, rel=1e-12)


def test_a_profile_bent_to_a_half_round_at_both_ends_follows_the_cylinder_at_every_depth():
    """Floor and roof with two half circles: a box and a lying cylinder, both exact; 5e-4 is asked."""
    profile = SideProfile.through([(0, 0, 100), (600, 0, 100), (600, 200, 100), (0, 200, 100)])
    mesh = Pushed(profile, 700).solid()
    cylinder = DrumCavity(Drum(200, 700))
    for depth in (0.05, 0.2, 1, 2, 5, 20, 50, 100, 150, 190, 199):
        exact = 400 * 700 * depth / 1e6 + cylinder.litres_at(depth)
        assert mesh.litres_at(depth) == pytest.approx(exact, rel=5e-4)


def test_a_profile_that_is_all_bend_is_a_lying_cylinder():
    """Four bends that meet: from half a millimetre of 200 within 5e-4."""
    profile = SideProfile.through([(0, 0, 100), (200, 0, 100), (200, 200, 100), (0, 200, 100)])
    profile.check()
    mesh = Pushed(profile, 700).solid()
    cylinder = DrumCavity(Drum(200, 700))
    for depth in (0.5, 1, 2, 5, 20, 50, 100, 150, 190, 199):
        assert mesh.litres_at(depth) == pytest.approx(cylinder.litres_at(depth), rel=5e-4), depth


@pytest.mark.parametrize(
    ("profile", "by_depth"),
    [
        (wedge_profile(420, 260, 240), lambda h: 420 * h - h**2 / 3),  # as in cut_cases.json
        (l_profile(600, 300, 120, 250), lambda h: 600 * min(h, 120) + 250 * max(h - 120, 0)),
        (step_profile(600, 300, 200, 100), lambda h: 400 * min(h, 100) + 600 * max(h - 100, 0)),
    ],
    ids=["wedge", "L", "step"],
)
def test_ready_made_profiles_by_hand(profile, by_depth):
    profile.check()
    mesh = Pushed(profile, 500).solid()
    for depth in (0.1, 1, 60, 119, 121, 200, mesh.depth_mm):
        assert mesh.litres_at(depth) == pytest.approx(500 * by_depth(depth) / 1e6, rel=1e-10)


def test_sheet_of_a_wedge_weighs_what_a_solid_modeller_says():
    """Metal of the wedge in cut_cases.json, sheet outside with mitred corners: 2.2837 L at 2 mm."""
    wedge = Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800)
    for thickness, metal_l in ((2.0, 2.283740418), (3.0, 3.443562285)):
        assert wedge.grown(thickness).solid().full_l - wedge.solid().full_l == pytest.approx(
            metal_l, abs=1e-8
        )


def test_inside_and_outside_of_a_bend_share_its_centre():
    """An outer bend of 12 mm in 2 mm sheet is one of 10 mm inside; an inner corner grows instead."""
    outside = SideProfile.through([(0, 0, 12), (400, 0), (400, 120), (150, 120, 12), (150, 300), (0, 300, 1)])
    inside = outside.grown(-2)
    assert [corner.bend_mm for corner in inside.corners] == [10, 0, 0, 14, 0, 0]
    back = inside.grown(2)
    assert [(c.x_mm, c.z_mm) for c in back.corners] == [
        (pytest.approx(c.x_mm), pytest.approx(c.z_mm)) for c in outside.corners
    ]


@given(st.floats(60, 900), st.floats(60, 900), st.floats(40, 500), st.floats(0.5, 5), st.floats(0, 15))
def test_the_inside_lies_within_the_outside_by_the_sheet(floor, roof, height, thickness, bend):
    profile = SideProfile.through([(0, 0, bend), (floor, 0), (roof, height, bend), (0, height)])
    outer = Pushed(profile, 300)
    metal = outer.solid().full_l - outer.grown(-thickness).solid().full_l
    # between both skins times the thickness, but for corners
    most = outer.sheet_mm2() * thickness / 1e6
    assert 0 < metal <= most * (1 + 1e-9)


REFUSED = [
    ([(0, 0), (100, 0)], "3 to 1000 points, not 2"),
    ([(0, 0), (math.nan, 0), (0, 100)], "point 2: x is not a number"),
    ([(0, 0), (100, 0), (0, 7000)], "point 3: z of 7000 mm is beyond 5000 mm"),
    ([(0, 0, -3), (100, 0), (0, 100)], "point 1: the bend radius must be 0 mm or more, not -3 mm"),
    ([(0, 0), (100, 0), (100, 0), (0, 100)], "points 2 and 3 are in the same place"),
    ([(0, 0), (100, 0), (100, 100), (0, 0)], "points 4 and 1 are in the same place"),
    ([(0, 0), (100, 100), (100, 0), (0, 100)], "from point 1 to 2 meets the face from point 3 to 4"),
    ([(0, 0), (100, 0), (50, 0), (0, 100)], "crosses itself"),
    ([(0, 0), (100, 0), (200, 0)], "crosses itself"),
    ([(0, 0), (400, 0), (400, 100), (200, 0), (0, 100)], "crosses itself"),
    ([(0, 0, 60), (100, 0, 60), (100, 200), (0, 200)], "bends at points 1 and 2 need 120.0 mm of the 100.0"),
]


@pytest.mark.parametrize(("points", "words"), REFUSED)
def test_an_outline_that_no_sheet_follows_is_refused(points, words):
    with pytest.raises(TankInputError) as refusal:
        SideProfile.through(points).check()
    assert refusal.value.field == "profile"
    assert words in refusal.value.message


def test_sheet_too_thick_for_a_face_is_refused():
    with pytest.raises(TankInputError) as refusal:
        SideProfile.through([(0, 0), (400, 0), (400, 5), (0, 5)]).grown(-3)
    assert refusal.value.field == "thickness_mm"
    assert "leaves nothing of face" in refusal.value.message


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: wedge_profile(0, 260, 240), "floor_mm"),
        (lambda: wedge_profile(420, -1, 240), "roof_mm"),
        (lambda: l_profile(600, 300, 300, 250), "foot_mm"),
        (lambda: l_profile(600, 300, 120, 700), "leg_mm"),
        (lambda: step_profile(600, 300, 600, 100), "step_x_mm"),
        (lambda: step_profile(600, 300, 200, math.inf), "step_z_mm"),
    ],
)
def test_ready_made_profiles_refuse_sizes_that_cannot_be_meant(make, field):
    with pytest.raises(TankInputError) as refusal:
        make()
    assert refusal.value.field == field


def test_a_sharp_first_corner_is_no_crossing():
    """A triangle may begin at any of its corners, in either turn: half of base times height."""
    corners = [Corner(0, 0), Corner(600, 200), Corner(0, 200)]
    for first in range(3):
        turned = corners[first:] + corners[:first]
        for order in (turned, turned[::-1]):
            profile = SideProfile(tuple(order))
            profile.check()
            assert profile.area_mm2 == pytest.approx(600 * 200 / 2)


def test_a_face_folded_back_at_the_first_corner_is_refused():
    profile = SideProfile((Corner(0, 0), Corner(100, 0), Corner(100, 50), Corner(200, 0)))
    with pytest.raises(TankInputError, match="crosses itself"):
        profile.check()

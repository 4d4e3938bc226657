"""Cutting a closed mesh by any plane, against volumes worked out by three other methods.

`cut_cases.json` was computed apart from this code: exact polygon clipping of sections, a general solid
modeller, and Monte Carlo with its standard error; its own head says how far they agree.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank.attitude import Pull, apparent_up
from engineering.tank.bodies import Pushed
from engineering.tank.cutting import clipped_below, volume_and_centroid
from engineering.tank.drum import Drum, Lie
from engineering.tank.ends import HEMISPHERE
from engineering.tank.profile import SideProfile
from engineering.tank.solid import Solid, joined, solid_box, to_manifold

CASES = json.loads((Path(__file__).parent / "cut_cases.json").read_text())["cases"]
UP = np.array([0.0, 0.0, 1.0])


def box_with_pot() -> Solid:
    return joined([solid_box((0, 0, 0), (600, 400, 200)), solid_box((60, 125, -60), (150, 150, 60))])


def wedge() -> Solid:
    return Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800).solid()


SHAPES = {"box_with_recessed_pot": box_with_pot(), "wedge": wedge()}


def _rows(kind: str) -> list:
    return [(case["name"], row) for case in CASES for row in case[kind]]


def _plane(row: dict) -> tuple[np.ndarray, float]:
    """z = c − ax·x − ay·y as unit normal and height along it."""
    up = apparent_up(pull=Pull(row.get("ax_g", 0.0), row.get("ay_g", 0.0)))
    return up, row["c_mm"] * up[2]


@pytest.mark.parametrize(("name", "row"), _rows("level_cases") + _rows("tilt_cases") + _rows("fill_cases"))
def test_volume_and_centre_below_a_plane(name, row):
    up, level = _plane(row)
    solid = SHAPES[name]
    # the printed c has nine decimals, the printed volume too
    assert solid.litres_below(up, np.array([level]))[0] == pytest.approx(row["volume_L"], rel=1e-8)
    assert solid.centroid_below_mm(up, level) == pytest.approx(row["centroid_mm"], abs=1e-4)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_whole_and_its_surface(case):
    solid = SHAPES[case["name"]]
    assert solid.full_l == pytest.approx(case["total_volume_L"], rel=1e-12)
    assert solid.skin_mm2 / 1e6 == pytest.approx(case["internal_surface_area_m2"], rel=1e-9)


def test_both_ways_of_cutting_agree_at_any_angle():
    """Prisms summed as cubics against triangles clipped one by one: two algorithms, one answer."""
    solid = box_with_pot()
    for forwards, leftwards in [(0, 0), (0.013, -0.4), (1, 1), (-1.3, 0.2)]:
        up = apparent_up(pull=Pull(forwards, leftwards))
        low, high = solid.span_mm(up)
        for level in np.linspace(low, high, 23)[1:-1]:
            pieces = clipped_below(solid.points_mm, solid.triangles, up, level)
            clipped = volume_and_centroid(pieces, up * level)[0] / 1e6
            summed = solid.litres_below(up, np.array([level]))[0]
            assert summed == pytest.approx(clipped, rel=1e-9, abs=1e-10)


def test_a_mesh_of_a_hundred_thousand_triangles_is_within_a_thousandth():
    """A ball, V = πh²(3R − h)/3; the mesh is a general library's, 81,920 triangles with corners on the ball.

    Its own volume falls short by 1.3e-4 since its corners lie on the ball, not by the cutting.
    """
    ball = trimesh.creation.icosphere(subdivisions=6, radius=200.0)
    solid = Solid(np.asarray(ball.vertices), np.asarray(ball.faces, dtype=np.int64))
    up = apparent_up(pull=Pull(0.3, -0.2))
    depths = np.linspace(0, 400, 41)[4:]
    exact = math.pi * depths**2 * (600 - depths) / 3 / 1e6
    assert solid.litres_below(up, depths - 200) == pytest.approx(exact, rel=1e-3)


def test_a_fine_mesh_agrees_with_a_solid_modeller():
    """manifold3d trims the solid by the plane, closes it and gives the volume: not our way to the figure."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=200.0)
    solid = Solid(np.asarray(ball.vertices), np.asarray(ball.faces, dtype=np.int64))
    up = apparent_up(pull=Pull(0.3, -0.2))
    for level in (-150.3, -20.7, 130.9):
        litres = to_manifold(solid).trim_by_plane(tuple(-up), -level).volume() / 1e6
        assert solid.litres_below(up, np.array([level]))[0] == pytest.approx(litres, rel=1e-9)


@pytest.mark.parametrize("count", [1, 13, 200, 1000])
def test_many_levels_give_what_each_gives_alone(count):
    """Short and long pieces take different ways through the sum."""
    solid = wedge()
    up = apparent_up(pull=Pull(0.2, 0.1))
    low, high = solid.span_mm(up)
    levels = np.random.default_rng(5).uniform(low, high, count)
    together = solid.litres_below(up, levels)
    alone = [solid.litres_below(up, np.array([level]))[0] for level in levels]
    assert together == pytest.approx(alone, rel=1e-11, abs=1e-11)


def test_levels_that_crowd_keep_their_digits():
    solid = box_with_pot()
    levels = 50 + np.linspace(-1e-6, 1e-6, 101)
    assert solid.litres_below(UP, levels) == pytest.approx(1.35 + 0.24 * levels, rel=1e-12)


@given(
    forwards=st.floats(-1.5, 1.5), leftwards=st.floats(-1.5, 1.5),
    shares=st.lists(st.floats(-0.2, 1.2), min_size=1, max_size=40),
)  # fmt: skip
def test_more_level_never_means_fewer_litres(forwards, leftwards, shares):
    solid = SHAPES["box_with_recessed_pot"]
    up = apparent_up(pull=Pull(forwards, leftwards))
    low, high = solid.span_mm(up)
    levels = np.sort(low + (high - low) * np.array(shares))
    litres = solid.litres_below(up, levels)
    assert np.all(np.diff(litres) >= -1e-9)
    assert np.all((litres >= 0) & (litres <= solid.full_l))
    # what is below one way up is above the other way up
    upside_down = solid.litres_below(-up, -levels)
    assert litres + upside_down == pytest.approx(np.full(len(levels), solid.full_l), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_a_single_plane_cuts_as_one_among_many(seed):
    """Both ways to the same volume: the quick one for single planes, the other for dip charts."""
    generator = np.random.default_rng(seed)
    ball = Drum(300, 50, Lie.UPRIGHT, HEMISPHERE, HEMISPHERE, 200, (7, 8, 9)).solid()
    up = generator.normal(size=3)
    up /= np.linalg.norm(up)
    low, high = ball.span_mm(up)
    levels = np.concatenate([np.linspace(low, high, 41), ball.points_mm[:5] @ up])
    many = ball.litres_below(up, levels)
    singly = np.array([ball.litres_below(up, np.array([level]))[0] for level in levels])
    assert singly == pytest.approx(many, abs=1e-10)

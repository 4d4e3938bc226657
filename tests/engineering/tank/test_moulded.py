"""Bodies from files: sheet round them, their edges and views, and keeping them as text."""

import base64
import math
import zlib

import numpy as np
import pytest
import trimesh

from engineering.tank.bodies import Block, Pushed
from engineering.tank.build import TankBuild
from engineering.tank.errors import TankInputError
from engineering.tank.inputs import Measured
from engineering.tank.kept_mesh import MOST_KEPT, packed, to_be_kept, unpacked
from engineering.tank.moulded import Moulded, silhouette
from engineering.tank.profile import SideProfile
from engineering.tank.solid import Solid, joined, solid_box

WITH_POT = joined([solid_box((0, 0, 0), (600, 400, 200)), solid_box((60, 125, -60), (150, 150, 60))])
WEDGE = Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800)


def ball(subdivisions: int) -> Solid:
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=200)
    return Solid(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.int64))


@pytest.mark.parametrize(
    ("solid", "thickness", "metal_l"),
    [(WITH_POT, 2.0, 1.852224), (WITH_POT, 3.0, 2.793576), (WEDGE.solid(), 2.0, 2.283740418),
     (WEDGE.solid(), 3.0, 3.443562285)],
)  # fmt: skip
def test_sheet_round_flat_faces_is_mitred(solid, thickness, metal_l):
    """cut_cases.json, outward offset by a solid modeller."""
    build = TankBuild(Moulded(solid), Measured.INSIDE, thickness)
    build.check()
    assert build.metal_l == pytest.approx(metal_l, rel=1e-6)
    assert build.sheet_m2 == pytest.approx(metal_l / thickness, rel=0.02)


def test_sheet_round_a_ball():
    """4/3 π ((R + t)³ − R³), within the facets of the mesh."""
    build = TankBuild(Moulded(ball(5)), Measured.INSIDE, 2.0)
    assert build.metal_l == pytest.approx(4 / 3 * math.pi * (202**3 - 200**3) / 1e6, rel=1e-3)


def test_edges_of_a_box_and_of_a_wedge():
    assert Moulded(solid_box((0, 0, 0), (600, 400, 200))).weld_mm() == pytest.approx(4 * 1200)
    slope = math.hypot(160, 240)
    assert Moulded(WEDGE.solid()).weld_mm() == pytest.approx(2 * (420 + 260 + 240 + slope) + 4 * 800)
    assert Moulded(ball(4)).weld_mm() == 0


def _area(outlines: list) -> float:
    return sum(
        float(np.sum(p[:, 0] * np.roll(p[:, 1], -1) - np.roll(p[:, 0], -1) * p[:, 1])) / 2 for p in outlines
    )


def test_views_show_what_is_seen():
    assert _area(silhouette(WEDGE.solid(), 0, 2)) == pytest.approx(81_600, rel=1e-6)
    assert _area(silhouette(WEDGE.solid(), 1, 2)) == pytest.approx(800 * 240, rel=1e-6)
    assert _area(silhouette(WEDGE.solid(), 0, 1)) == pytest.approx(420 * 800, rel=1e-6)
    assert _area(silhouette(WITH_POT, 0, 2)) == pytest.approx(600 * 200 + 150 * 60, rel=1e-6)
    # half full: the wedge is 340 long at 120 mm
    assert _area(silhouette(WEDGE.solid(), 0, 2, 120)) == pytest.approx((420 + 340) / 2 * 120, rel=1e-6)
    assert silhouette(WEDGE.solid(), 0, 2, -1) == []


def test_a_solid_comes_back_from_its_text():
    back = unpacked(packed(WITH_POT))
    assert back.full_l == pytest.approx(49.35, rel=1e-6)
    assert np.array_equal(back.triangles, WITH_POT.triangles)


def test_a_fine_solid_is_thinned_before_it_is_kept():
    """81,920 triangles of a ball: a shell of area times the tolerance is the most that may go."""
    fine = ball(6)
    thin, tolerance = to_be_kept(fine)
    assert len(thin.triangles) <= MOST_KEPT
    assert 0 < tolerance <= 0.5
    assert abs(thin.full_l - fine.full_l) < fine.skin_mm2 * tolerance / 1e6
    coarse = ball(3)
    assert to_be_kept(coarse) == (coarse, 0.0)


def _with(points: np.ndarray, triangles: np.ndarray) -> str:
    return packed(Solid(points, triangles))


@pytest.mark.parametrize(
    "text",
    [
        "", "no base64!", base64.b64encode(b"not packed").decode(),
        base64.b64encode(zlib.compress(b"\x05\0\0\0\x05\0\0\0short")).decode(),
        base64.b64encode(zlib.compress(b"\0" * 50_000_000)).decode(),
        _with(np.full((8, 3), np.nan), WITH_POT.triangles[:0]),
        _with(solid_box((0, 0, 0), (1, 1, 1)).points_mm, np.array([[0, 1, 99]])),
        _with(solid_box((0, 0, 0), (1, 1, 1)).points_mm, np.array([[0, 1, 2]])),
    ],
    ids=["empty", "no text", "no data", "short", "bomb", "no numbers", "no such point", "open"],
)  # fmt: skip
def test_a_text_that_is_no_solid_is_refused(text):
    with pytest.raises(TankInputError, match="Choose it again"):
        unpacked(text)


def test_a_block_and_its_mesh_make_the_same_tank():
    block = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
    mesh = TankBuild(Moulded(Block(600, 400, 200).solid()), Measured.INSIDE, 2.0)
    assert mesh.inside.full_l == pytest.approx(block.inside.full_l)
    assert mesh.metal_l == pytest.approx(block.metal_l, rel=1e-6)
    assert mesh.weld_m == pytest.approx(block.weld_m)

"""Boxes, wedges, cylinders and necks joined to a tank and cut from it, worked out by hand."""

import math

import numpy as np
import pytest
import trimesh

from engineering.tank.bodies import Block, Pushed
from engineering.tank.build import TankBuild
from engineering.tank.errors import TankInputError
from engineering.tank.fittings import filler_neck
from engineering.tank.free import cut_body, joined_body
from engineering.tank.inputs import Measured
from engineering.tank.part import Wall
from engineering.tank.prism import Prism, box, rod, tube, wedge
from engineering.tank.profile import SideProfile

OUTER = TankBuild(Block(604, 404, 204), Measured.OUTSIDE, 2.0)  # 48 L inside
INNER = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)


def joined(tank: TankBuild, body: Prism) -> TankBuild:
    made = tank.having(joined_body(body, "fitted", "Line 1"))
    made.check()
    return made


def cut(tank: TankBuild, body: Prism) -> TankBuild:
    made = tank.having(cut_body(body, "fitted", "Line 1"))
    made.check()
    return made


def test_a_box_that_only_touches_opens_through_both_sheets():
    """On the front: 200 × 200 × 100 mm outside. Inside it adds 196 × 96 mm over its own 196 mm and the 4 mm
    of two sheets."""
    tank = joined(OUTER, box(200, 200, 100, (604, 100, 50)))
    assert tank.inside.full_l == pytest.approx(48 + 200 * 196 * 96 / 1e6, rel=1e-9)
    assert tank.outside_solid.full_l == pytest.approx((604 * 404 * 204 + 200 * 200 * 100) / 1e6, rel=1e-9)
    # at mid-thickness its four sides are 200 mm long, and its end stands for the hole
    assert tank.sheet_m2 - OUTER.sheet_m2 == pytest.approx(2 * (198 + 98) * 200 / 1e6, rel=1e-6)
    # four edges along it, and round its end and its foot
    assert tank.weld_m - OUTER.weld_m == pytest.approx((4 * 200 + 4 * (198 + 98)) / 1000, rel=1e-6)


def test_a_box_that_enters_counts_once():
    """50 mm of its length lie in the tank already: 150 mm stand out."""
    tank = joined(OUTER, box(200, 200, 100, (554, 100, 50)))
    assert tank.inside.full_l == pytest.approx(48 + 150 * 196 * 96 / 1e6, rel=1e-9)


def test_inside_dimensions_join_as_measured():
    tank = joined(INNER, box(200, 200, 100, (600, 100, 50)))
    assert tank.inside.full_l == pytest.approx(48 + 4.0, rel=1e-9)
    assert tank.outside_solid.full_l == pytest.approx((604 * 404 * 204 + 200 * 204 * 104) / 1e6, rel=1e-9)


@pytest.mark.parametrize("towards", [Wall.FRONT, Wall.REAR, Wall.LEFT, Wall.RIGHT])
def test_a_wedge_under_the_floor(towards):
    """Half of 300 × 200 × 60 mm, flat on top, hung from the floor; the whole floor over it is open."""
    body = wedge(300, 200, 60, (100, 100, -60), towards, flat_top=True)
    assert body.solid().full_l == pytest.approx(1.8, rel=1e-12)
    tank = joined(INNER, body)
    assert tank.inside.full_l == pytest.approx(48 + 1.8, rel=1e-9)
    # the deep end is where it does not run out to: a stick there is longer by nearly all of it
    deep = {Wall.FRONT: (110, 200), Wall.REAR: (390, 200), Wall.LEFT: (250, 110), Wall.RIGHT: (250, 290)}
    spot = tank.inside.upright_mm(*deep[towards])
    assert spot is not None
    assert spot[0] < -53


def test_a_wedge_keeps_its_slope_when_the_sheet_is_taken_off():
    """A right triangle of 300 × 60 mm moved inwards by 2 mm all round: its sides shrink by
    t · (a + b + c)/(2 · area) of themselves, 2/r of them, r the radius of its inner circle."""
    body = wedge(300, 200, 60, (0, 0, 0), Wall.FRONT)
    r = (300 + 60 - math.hypot(300, 60)) / 2
    share = (1 - 2 / r) ** 2
    assert body.grown(-2).solid().full_l == pytest.approx(share * 300 * 60 / 2 * 196 / 1e6, rel=1e-9)


def test_a_cylinder_on_the_roof():
    tank = joined(INNER, rod(150, 80, 2, (200, 100, 200)))
    assert tank.inside.full_l == pytest.approx(48 + math.pi * 75**2 * 80 / 1e6, rel=1e-9)
    side = math.pi * 152 * 80  # at mid-thickness
    assert tank.sheet_m2 - INNER.sheet_m2 == pytest.approx(side / 1e6, rel=1e-4)
    # round foot and end, and the seam along it
    assert tank.weld_m - INNER.weld_m == pytest.approx((2 * math.pi * 152 + 80) / 1000, rel=1e-3)


def test_a_tunnel_through_the_tank():
    """⌀ 100 mm across the car, as for a shaft: the liquid loses that of its lining, ⌀ 104 mm."""
    tank = cut(OUTER, rod(100, 404, 1, (250, 0, 50)))
    assert tank.inside.full_l == pytest.approx(48 - math.pi * 52**2 * 400 / 1e6, rel=1e-9)
    assert tank.outside_solid.full_l == pytest.approx((604 * 404 * 204 - math.pi * 50**2 * 404) / 1e6)
    # lining of ⌀ 102 mm at mid-thickness, two holes out of the sides
    sheet = math.pi * 102 * 402 - 2 * math.pi * 51**2
    assert tank.sheet_m2 - OUTER.sheet_m2 == pytest.approx(sheet / 1e6, rel=1e-4)


def test_a_half_round_channel_in_the_roof():
    """⌀ 80 mm along the car, its axis in the roof's outer face, longer than the tank."""
    tank = cut(OUTER, rod(80, 700, 0, (-50, 162, 164)))
    r = 42.0  # of the lining inside, whose axis stands 2 mm over the inner face of the roof
    segment = r * r * math.acos(2 / r) - 2 * math.sqrt(r * r - 4)
    assert tank.inside.full_l == pytest.approx(48 - segment * 600 / 1e6, rel=1e-6)


def test_a_notch_over_a_whole_edge_leaves_no_bar_of_metal():
    """Top front edge, over the whole width, measured inside."""
    tank = cut(INNER, box(100, 400, 50, (500, 0, 150)))
    inside = 48 - 100 * 400 * 50 / 1e6
    outside = (604 * 404 * 204 - 100 * 404 * 50) / 1e6
    assert tank.inside.full_l == pytest.approx(inside, rel=1e-9)
    assert tank.metal_l == pytest.approx(outside - inside, rel=1e-9)
    # the sheet is folded down, not more: two sides lose the notch
    assert tank.sheet_m2 - INNER.sheet_m2 == pytest.approx(-2 * 100 * 50 / 1e6, rel=1e-6)


def test_a_wedge_cut_from_a_sloping_front():
    """The wedge tank of 65.28 L; a box over its nose, 800 wide, from x = 340, cuts the part where it is
    lower than 120 mm: 80 · 120 / 2 · 800."""
    main = Pushed(SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)]), 800)
    tank = cut(TankBuild(main, Measured.INSIDE, 2), box(100, 800, 250, (340, 0, 0)))
    assert tank.inside.full_l == pytest.approx(65.28 - 80 * 120 / 2 * 800 / 1e6, rel=1e-9)


@pytest.mark.parametrize("lean", [0, 20, 45])
def test_a_leaning_neck_holds_its_bore_by_its_length(lean):
    """Cut off by a plane through its axis' foot, a tube holds π r² L however it leans."""
    tank = INNER.having(filler_neck(INNER, 50, 120, (300, 200, 200), lean, Wall.LEFT))
    tank.check()
    assert tank.inside.full_l == pytest.approx(48 + math.pi * 25**2 * 120 / 1e6, rel=1e-6)
    # a tube cut off at a slant has its girth times the length of its axis; the roof loses an ellipse
    side = math.pi * 52 * (120 - 1 / math.cos(math.radians(lean)))
    hole = math.pi * 26**2 / math.cos(math.radians(lean))
    assert tank.sheet_m2 - INNER.sheet_m2 == pytest.approx((side - hole) / 1e6, rel=2e-3)


def test_a_neck_out_of_a_side_wall():
    tank = INNER.having(filler_neck(INNER, 50, 60, (300, 400, 150), 90, Wall.LEFT))
    tank.check()
    assert tank.inside.full_l == pytest.approx(48 + math.pi * 25**2 * 60 / 1e6, rel=1e-6)
    assert tank.outside_solid.high_mm[1] == pytest.approx(460)


def test_a_joined_body_may_be_cut_again():
    """A box on the front with a notch in its own roof; the notch touches the box only."""
    tank = INNER.having(
        joined_body(box(200, 200, 100, (600, 100, 50)), "fitted", "Line 1"),
        cut_body(box(50, 200, 30, (700, 100, 120)), "fitted", "Line 2"),
    )
    tank.check()
    assert tank.inside.full_l == pytest.approx(48 + 4 - 0.3, rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_random_joins_are_those_of_a_general_mesh_library(seed):
    """Boxes at random over and in the tank, measured inside: union as trimesh makes it, which works in single
    precision and with the same modeller below it."""
    generator = np.random.default_rng(seed)
    tank, meshes = INNER, [trimesh.creation.box(bounds=[(0, 0, 0), (600, 400, 200)])]
    for number in range(3):
        size = generator.uniform(80, 250, 3)
        corner = generator.uniform((-60, -60, -60), (500, 300, 150))
        tank = tank.having(joined_body(box(*size, tuple(corner)), "fitted", f"Line {number}"))
        meshes.append(trimesh.creation.box(bounds=[corner, corner + size]))
    theirs = trimesh.boolean.union(meshes)
    assert tank.inside.full_l == pytest.approx(theirs.volume / 1e6, rel=1e-6)
    assert tank.inside_solid.skin_mm2 == pytest.approx(theirs.area, rel=1e-6)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: joined(OUTER, box(100, 100, 100, (900, 0, 0))), "does not touch the tank"),
        (lambda: cut(OUTER, box(100, 100, 100, (900, 0, 0))), "does not touch the tank"),
        (lambda: cut(OUTER, box(100, 100, 100, (200, 100, 50))), "opens through no wall"),
        (lambda: joined(OUTER, box(100, 3, 100, (604, 0, 0))), "no wider than its own sheet"),
        (lambda: cut(OUTER, box(50, 404, 204, (300, 0, 0))), "separate rooms"),
        (lambda: joined(OUTER, box(0, 3, 100, (604, 0, 0))), "more than 0 mm"),
        (lambda: joined(OUTER, box(math.nan, 3, 100, (604, 0, 0))), "give a number"),
        (lambda: joined(OUTER, rod(100, 9000, 0, (604, 0, 0))), "not another unit"),
        (lambda: filler_neck(OUTER, 50, 80, (300, 200, 400)), "put its foot on the tank"),
        (lambda: filler_neck(OUTER, 50, 80, (300, 200, 204), 150), "0 to 120°"),
        (lambda: filler_neck(OUTER, 450, 80, (300, 200, 204)), "does not fit in its wall"),
        (lambda: wedge(10, 10, 10, (0, 0, 0), Wall.TOP), "to the front, the rear"),
        (lambda: tube(50, 80, (0, 0, 0), math.nan, Wall.LEFT, 5), "not nan°"),
    ],
)
def test_what_cannot_be_joined_or_cut_is_refused(make, words):
    with pytest.raises(TankInputError) as refusal:
        make()
    assert words in refusal.value.message

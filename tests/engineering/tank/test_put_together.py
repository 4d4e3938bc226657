"""A tank of several bodies: what it holds, what its sheet weighs, and what cannot be put together."""

import math

import pytest

from engineering.tank.bodies import Block, Dimension, Pushed
from engineering.tank.build import TankBuild, stretched_to
from engineering.tank.drum import Drum, Lie
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.ends import FLANGED_AND_DISHED, HEMISPHERE
from engineering.tank.errors import TankInputError
from engineering.tank.fittings import baffle, collector_box, filler_neck, mounting_recess, recessed_pot
from engineering.tank.inputs import Measured
from engineering.tank.part import Wall
from engineering.tank.profile import SideProfile


@pytest.fixture
def box() -> TankBuild:
    """Inside 600 x 400 x 200 mm, 2 mm sheet: 48 L."""
    return TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)


@pytest.mark.parametrize(("thickness", "metal_l"), [(2.0, 1.852224), (3.0, 2.793576)])
def test_a_pot_under_the_floor(thickness, metal_l):
    """Box with pot of cut_cases.json: 49.35 L, wetted 0.916 m², metal as a solid modeller offsets it."""
    tank = TankBuild(Block(600, 400, 200), Measured.INSIDE, thickness)
    tank = tank.having(recessed_pot(tank, Block(150, 150, 60, (60, 125, -60))))
    tank.check()
    assert tank.inside.full_l == pytest.approx(49.35, rel=1e-12)
    assert tank.inside_solid.skin_mm2 / 1e6 == pytest.approx(0.916, rel=1e-12)
    assert tank.metal_l == pytest.approx(metal_l, rel=1e-9)
    # the shop's way, area times thickness, falls short only by the edges
    assert tank.sheet_m2 * thickness == pytest.approx(metal_l, rel=0.02)


def test_outside_dimensions_give_the_same_tank(box):
    inside = box.having(recessed_pot(box, Block(150, 150, 60, (60, 125, -60))))
    inside.check()
    outer = TankBuild(Block(604, 404, 204, (-2, -2, -2)), Measured.OUTSIDE, 2.0)
    outside = outer.having(recessed_pot(outer, Block(154, 154, 62, (58, 123, -62))))
    assert outside.inside.full_l == pytest.approx(inside.inside.full_l, rel=1e-12)
    assert outside.metal_l == pytest.approx(inside.metal_l, rel=1e-9)


def test_a_round_pot_is_the_box_and_a_cylinder(box):
    pot = Drum(140, 80, Lie.UPRIGHT, at_mm=(300, 200, -80))
    tank = box.having(recessed_pot(box, pot))
    tank.check()
    assert tank.inside.full_l == pytest.approx(48 + math.pi * 70**2 * 80 / 1e6, rel=1e-9)


def test_the_room_of_a_recess_is_as_measured():
    """Inside: what the liquid loses. Outside: the room for the mount, and the liquid loses the sheet too."""
    inside = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
    inside = inside.having(mounting_recess(inside, Block(200, 200, 50, (200, 100, 150)), Wall.TOP))
    inside.check()
    assert inside.inside.full_l == pytest.approx(48 - 2.0, rel=1e-12)
    outside = TankBuild(Block(604, 404, 204, (-2, -2, -2)), Measured.OUTSIDE, 2.0)
    outside = outside.having(mounting_recess(outside, Block(200, 200, 52, (200, 100, 150)), Wall.TOP))
    outside.check()
    assert outside.inside.full_l == pytest.approx(48 - 204 * 204 * 52 / 1e6, rel=1e-12)
    assert outside.outside_solid.full_l == pytest.approx((604 * 404 * 204 - 200 * 200 * 52) / 1e6, rel=1e-12)


def test_a_recess_flush_with_a_wall_leaves_no_lid_behind(box):
    """Metal goes round the recess: 2 mm on its five faces, none across its mouth."""
    tank = box.having(mounting_recess(box, Block(100, 100, 50, (250, 150, 150)), Wall.TOP))
    tank.check()
    plain = 604 * 404 * 204 / 1e6 - 48
    opening = 96 * 96 * 2 / 1e6  # out of the roof
    lining = (100 * 100 * 50 - 96 * 96 * 48) / 1e6
    assert tank.metal_l == pytest.approx(plain - opening + lining, rel=2e-3)
    assert tank.inside.full_l == pytest.approx(48 - 0.5, rel=1e-12)


def test_a_filler_neck_stands_on_the_roof(box):
    tank = box.having(filler_neck(box, 50, 80, (300, 200, 200)))
    tank.check()
    assert tank.inside.full_l == pytest.approx(48 + math.pi * 25**2 * 80 / 1e6, rel=1e-9)
    assert tank.inside.depth_mm == pytest.approx(280)
    # open at its mouth: walls from the roof's outer face up, and the hole out of the roof
    walls = math.pi * (27**2 - 25**2) * 78 - math.pi * 25**2 * 2
    assert tank.metal_l == pytest.approx(604 * 404 * 204 / 1e6 - 48 + walls / 1e6, rel=1e-6)


def test_a_baffle_takes_only_its_metal(box):
    """A sheet of 396 × 196 mm with 30 % open: 0.7 of its area, 2 mm thick."""
    part = baffle(box, Wall.FRONT, 300, clear_mm=2, open_percent=30)
    tank = box.having(part)
    tank.check()
    assert box.inside.full_l - tank.inside.full_l == pytest.approx(396 * 196 * 2 * 0.7 / 1e6, rel=1e-9)
    assert part.area_mm2 == pytest.approx(396 * 196 * 0.7)
    assert part.weld_mm == pytest.approx(2 * (396 + 196))
    assert tank.metal_l - box.metal_l == pytest.approx(396 * 196 * 2 * 0.7 / 1e6, rel=1e-9)


def test_a_baffle_follows_a_wedge():
    """At x = 340 the wedge is 120 mm high: 800 × 120 mm of sheet, whatever the bounding box says."""
    profile = SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)])
    tank = TankBuild(Pushed(profile, 800), Measured.INSIDE, 2)
    part = baffle(tank, Wall.FRONT, 340, clear_mm=0, open_percent=20)
    assert part.area_mm2 == pytest.approx(800 * 120 * 0.8, rel=2e-3)
    tank.having(part).check()


def test_a_collector_box_takes_only_its_walls(box):
    tank = box.having(*collector_box(box, Block(150, 150, 80, (60, 125, 0))))
    tank.check()
    walls_l = (154**2 - 150**2) * 80 / 1e6
    assert tank.inside.full_l == pytest.approx(48 - walls_l, rel=1e-12)
    assert tank.sheet_m2 - box.sheet_m2 == pytest.approx((2 * 154 + 2 * 150) * 80 / 1e6)


def test_one_round_body_stays_exact_and_becomes_a_mesh_only_with_parts():
    drum = TankBuild(Drum(350, 700, Lie.CROSSWISE, FLANGED_AND_DISHED, HEMISPHERE), Measured.INSIDE, 2)
    assert isinstance(drum.inside, DrumCavity)
    with_neck = drum.having(filler_neck(drum, 50, 40, (0, 350, 174)))
    with_neck.check()
    added = with_neck.inside.full_l - drum.inside.full_l
    assert added == pytest.approx(math.pi * 25**2 * 39 / 1e6, rel=0.05)  # the crown curves away under it


@pytest.mark.parametrize(
    ("dimension", "size"), [(Dimension.LENGTH, 750), (Dimension.WIDTH, 500), (Dimension.HEIGHT, 250)]
)
def test_stretching_a_box_to_sixty_litres(box, dimension, size):
    stretched = stretched_to(box, dimension, 60)
    assert stretched.inside.full_l == pytest.approx(60, abs=1e-6)
    assert getattr(stretched.main, dimension.value) == pytest.approx(size, rel=1e-6)


def test_stretching_the_length_of_a_drum_leaves_its_ends():
    """Two half balls hold 4/3 π r³; the rest is straight."""
    drum = TankBuild(Drum(300, 100, Lie.LENGTHWISE, HEMISPHERE, HEMISPHERE), Measured.INSIDE, 2)
    stretched = stretched_to(drum, Dimension.LENGTH, 50)
    straight = (50e6 - 4 / 3 * math.pi * 150**3) / (math.pi * 150**2)
    assert isinstance(stretched.main, Drum)
    assert stretched.main.straight_mm == pytest.approx(straight, rel=1e-6)


def test_stretching_to_what_can_be_filled_in(box):
    """95 % of the brim is wanted."""
    stretched = stretched_to(box, Dimension.LENGTH, 57, lambda tank: 0.95 * tank.inside.full_l)
    assert stretched.inside.full_l == pytest.approx(60, abs=1e-5)


@pytest.mark.parametrize("wanted", [0, -3, math.nan, 5000])
def test_a_wanted_capacity_that_cannot_be_meant(box, wanted):
    with pytest.raises(TankInputError) as refusal:
        stretched_to(box, Dimension.LENGTH, wanted)
    assert refusal.value.field == "wanted_l"


def test_a_capacity_that_one_dimension_cannot_reach(box):
    with pytest.raises(TankInputError, match="not reached by changing the length alone"):
        stretched_to(box, Dimension.LENGTH, 1)


BOX = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
REFUSED = [
    ("pot", lambda: recessed_pot(BOX, Block(700, 150, 60, (0, 125, -60))), "does not fit"),
    ("pot", lambda: recessed_pot(BOX, Block(150, 150, 60, (500, 125, -60))), "smaller or move it"),
    ("pot", lambda: recessed_pot(BOX, Block(150, 150, 60, (60, 125, -90))), "hang below the floor"),
    ("pot", lambda: recessed_pot(BOX, Block(150, 150, 60, (60, 125, 20))), "hang below the floor"),
    ("recess", lambda: mounting_recess(BOX, Block(100, 500, 50, (0, 0, 150)), Wall.TOP), "does not fit"),
    ("recess", lambda: mounting_recess(BOX, Block(100, 100, 50, (0, 0, 100)), Wall.TOP), "reach the top"),
    ("recess", lambda: mounting_recess(BOX, Block(100, 100, 200, (0, 0, 0)), Wall.TOP), "right through"),
    ("filler", lambda: filler_neck(BOX, 450, 80, (300, 200, 200)), "450 mm across does not fit"),
    ("filler", lambda: filler_neck(BOX, 0, 80, (300, 200, 200)), "more than 0 mm"),
    ("baffles", lambda: baffle(BOX, Wall.FRONT, 900, 0, 30), "outside the tank"),
    ("baffles", lambda: baffle(BOX, Wall.FRONT, 300, 0, 0), "divides the tank in two"),
    ("baffles", lambda: baffle(BOX, Wall.FRONT, 300, 150, 30), "leaves nothing"),
    ("baffles", lambda: baffle(BOX, Wall.FRONT, 300, 0, 100), "outside 0 to less than 100 %"),
    ("collector", lambda: collector_box(BOX, Block(150, 150, 80, (500, 125, 0))), "outside the tank"),
    ("width_mm", lambda: TankBuild(Block(600, 0, 200), Measured.INSIDE, 2).check(), "more than 0 mm"),
    ("length_mm", lambda: TankBuild(Block(-1, 40, 200), Measured.INSIDE, 2).check(), "not -1 mm"),
    ("thickness_mm", lambda: TankBuild(Block(600, 40, 200), Measured.OUTSIDE, 20).check(), "less than half"),
    ("thickness_mm", lambda: TankBuild(Block(600, 400, 200), Measured.INSIDE, 0).check(), "more than 0 mm"),
    ("thickness_mm", lambda: TankBuild(Block(600, 400, 200), Measured.INSIDE, 30).check(), "plate, not"),
    ("length_mm", lambda: TankBuild(Block(4000, 4000, 200), Measured.INSIDE, 2).check(), "up to 2000 L"),
    ("at_mm", lambda: TankBuild(Block(1, 1, 1, (9e9, 0, 0)), Measured.INSIDE, 2).check(), "within 5000 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("field", "make", "words"), REFUSED)
def test_what_cannot_be_put_together_is_refused_in_words(field, make, words):
    with pytest.raises(TankInputError) as refusal:
        make()
    assert refusal.value.field == field
    assert words in refusal.value.message


def test_a_recess_that_divides_the_tank_is_refused(box):
    """A channel over the whole width, as deep as the tank but for half a millimetre of sheet."""
    channel = mounting_recess(box, Block(50, 400, 199.9999999, (250, 0, 1e-7)), Wall.TOP)
    tank = TankBuild(box.main, Measured.OUTSIDE, 2.0, (channel,))
    with pytest.raises(TankInputError) as refusal:
        tank.check()
    assert refusal.value.field == "recess"
    assert "separate rooms" in refusal.value.message

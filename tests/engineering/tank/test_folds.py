"""What a profile is cut and folded from: folds by DIN 6935, pieces and faces by hand."""

import math

import pytest

from engineering.tank.bodies import Pushed
from engineering.tank.folding import Blanks, blanks_of, fold_allowance_mm
from engineering.tank.inputs import Measured
from engineering.tank.profile import SideProfile


@pytest.mark.parametrize(
    ("inner", "thickness", "shortening"),
    [
        (1.0, 1.0, 1.9),
        (1.6, 1.0, 2.1),
        (2.5, 1.0, 2.4),
        (4.0, 1.0, 3.0),
        (1.6, 1.5, 2.9),
        (2.5, 1.5, 3.2),
        (4.0, 1.5, 3.7),
        (2.5, 2.0, 4.0),
        (4.0, 2.0, 4.5),
        (6.0, 2.0, 5.2),
    ],
)
def test_right_angles_are_those_of_the_workshop_table(inner, thickness, shortening):
    """Compensation values for 90° by DIN 6935, as tabulated in Tabellenbuch Metall (Europa-Lehrmittel),
    to a tenth of a millimetre; from memory."""
    legs = 2 * (inner + thickness)
    assert legs - fold_allowance_mm(90, inner, thickness) == pytest.approx(shortening, abs=0.051)


def test_a_wide_fold_keeps_the_middle_of_its_sheet():
    assert fold_allowance_mm(60, 50, 2) == pytest.approx(math.radians(60) * 51)


def box_of(bends: tuple[float, ...]) -> Pushed:
    corners = [(0, 0), (600, 0), (600, 200), (0, 200)]
    return Pushed(SideProfile.through([(*at, r) for at, r in zip(corners, bends, strict=True)]), 400)


def developed(blanks: Blanks) -> list[tuple[tuple[int, ...], float]]:
    return [(strip.corners, round(strip.length_mm, 3)) for strip in blanks.strips]


def test_a_box_of_welded_corners_is_four_strips_and_two_sides():
    """Outside 600 × 400 × 200 mm in 2 mm: all at mid-thickness."""
    blanks = blanks_of(box_of((0, 0, 0, 0)), Measured.OUTSIDE, 2)
    assert developed(blanks) == [((1, 2), 598), ((2, 3), 198), ((3, 4), 598), ((4, 1), 198)]
    assert blanks.width_mm == 398
    assert blanks.sides_mm == (598, 198)
    assert blanks.folds == ()
    assert (blanks.roof.first, blanks.roof.last, blanks.roof.corner_to_corner_mm) == (3, 4, 600)


def test_three_folds_and_one_weld_make_one_strip():
    """Folds of 12 mm outside are 10 mm inside, 5 times the sheet: each takes π/2 · 11 mm, all but the last
    hundredth, and both legs lose 12 mm to it. The welded corner is mitred 1 mm in from the outside."""
    blanks = blanks_of(box_of((12, 12, 12, 0)), Measured.OUTSIDE, 2)
    fold = fold_allowance_mm(90, 10, 2)
    assert fold == pytest.approx(math.pi / 2 * 11, rel=1e-3)
    flats = (200 - 12 - 1) + (600 - 24) + (200 - 24) + (600 - 12 - 1)
    assert developed(blanks) == [((4, 1, 2, 3, 4), round(flats + 3 * fold, 3))]
    assert [(f.corner, f.angle_deg, f.inner_mm) for f in blanks.folds] == [
        (1, 90, 10),
        (2, 90, 10),
        (3, 90, 10),
    ]


def test_inside_dimensions_have_their_radius_inside():
    blanks = blanks_of(box_of((10, 10, 10, 10)), Measured.INSIDE, 2)
    assert [fold.inner_mm for fold in blanks.folds] == [10] * 4
    around = 2 * (580 + 180) + 4 * fold_allowance_mm(90, 10, 2)
    assert developed(blanks) == [((1, 2, 3, 4, 1), round(around, 3))]


def test_a_fold_into_the_tank_has_its_inner_side_outside():
    """An L measured outside: the corner where the leg meets the foot turns the other way."""
    points = [(0, 0, 0), (600, 0, 0), (600, 120, 0), (250, 120, 12), (250, 300, 0), (0, 300, 0)]
    blanks = blanks_of(Pushed(SideProfile.through(points), 400), Measured.OUTSIDE, 2)
    assert [(fold.corner, fold.inner_mm) for fold in blanks.folds] == [(4, 12)]
    assert (blanks.roof.first, blanks.roof.last, blanks.roof.corner_to_corner_mm) == (5, 6, 250)


def test_the_order_of_the_points_changes_nothing():
    """Clockwise, the same tank: the same lengths under other numbers."""
    points = [(0, 0, 12), (420, 0, 12), (260, 240, 12), (0, 240, 0)]
    there = blanks_of(Pushed(SideProfile.through(points), 800), Measured.OUTSIDE, 2)
    back = blanks_of(Pushed(SideProfile.through(points[::-1]), 800), Measured.OUTSIDE, 2)
    assert back.strips[0].length_mm == pytest.approx(there.strips[0].length_mm)
    assert [fold.angle_deg for fold in back.folds] == pytest.approx([f.angle_deg for f in there.folds][::-1])


def test_strips_and_sides_are_the_sheet_but_for_the_folds():
    """Area of strips by their width and of both sides against the skin at mid-thickness, where wide folds
    keep their length."""
    body = Pushed(SideProfile.through([(0, 0, 20), (420, 0, 20), (260, 240, 20), (0, 240, 0)]), 800)
    blanks = blanks_of(body, Measured.INSIDE, 2)
    middle = body.grown(1)
    wrap = sum(strip.length_mm for strip in blanks.strips) * blanks.width_mm
    assert wrap + 2 * middle.profile.area_mm2 == pytest.approx(middle.sheet_mm2(), rel=1e-9)

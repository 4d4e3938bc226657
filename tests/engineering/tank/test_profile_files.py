"""Side profiles from DXF drawings, made here with a general drawing library."""

import io
import math

import ezdxf
import pytest

from engineering.tank.errors import TankInputError
from engineering.tank.profile import SideProfile
from engineering.tank.profile_file import read_profile

WEDGE = [(0, 0), (420, 0), (260, 240), (0, 240)]


def drawing(draw, units: int = 0) -> bytes:
    document = ezdxf.new(units=units)
    draw(document.modelspace())
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def wedge_of_lines(space, order=(0, 2, 1, 3), gap=0.0):
    for number in order:  # not in order round the tank, and one turned
        a, b = WEDGE[number], WEDGE[(number + 1) % 4]
        start = (a[0] + gap, a[1])
        space.add_line(*((b, start) if number == 2 else (start, b)))


def test_four_lines_in_any_order():
    report = read_profile(drawing(wedge_of_lines), "mm")
    assert report.profile.area_mm2 == pytest.approx(81_600)
    assert report.sizes_mm == pytest.approx((420, 240))
    assert report.findings == ()
    assert len(report.profile.corners) == 4


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4)])
def test_the_unit_is_the_one_given(unit, mm):
    def small(space):
        space.add_lwpolyline([(x / mm, z / mm) for x, z in WEDGE], close=True)

    assert read_profile(drawing(small), unit).profile.area_mm2 == pytest.approx(81_600)


def test_arcs_are_followed():
    """A rounded rectangle by bulges, tan of a quarter of the angle: a·b − (4 − π)·r²."""
    r, bulge = 30, math.tan(math.pi / 8)
    corners = [(r, 0, 0), (400 - r, 0, bulge), (400, r, 0), (400, 200 - r, bulge), (400 - r, 200, 0),
               (r, 200, bulge), (0, 200 - r, 0), (0, r, bulge)]  # fmt: skip

    def draw(space):
        space.add_lwpolyline(corners, format="xyb", close=True)

    report = read_profile(drawing(draw), "mm")
    assert report.profile.area_mm2 == pytest.approx(400 * 200 - (4 - math.pi) * r**2, rel=1e-5)
    ours = SideProfile.through([(0, 0, r), (400, 0, r), (400, 200, r), (0, 200, r)])
    assert report.profile.area_mm2 == pytest.approx(ours.area_mm2, rel=1e-5)


def test_lines_and_arcs_hang_together():
    """Two lines and two half circles: 400 × 200 and a circle of 200."""

    def draw(space):
        space.add_line((0, 0), (400, 0))
        space.add_arc((400, 100), 100, -90, 90)
        space.add_line((400, 200), (0, 200))
        space.add_arc((0, 100), 100, 90, 270)

    report = read_profile(drawing(draw), "mm")
    assert report.profile.area_mm2 == pytest.approx(80_000 + math.pi * 1e4, rel=1e-4)
    assert report.sizes_mm == pytest.approx((600, 200), abs=0.02)


@pytest.mark.parametrize("shape", ["circle", "ellipse", "spline"])
def test_closed_curves(shape):
    def draw(space):
        if shape == "circle":
            space.add_circle((50, 50), 120)
        elif shape == "ellipse":
            space.add_ellipse((0, 0), (150, 0), ratio=96 / 150)
        else:
            points = [(120 * math.cos(a), 120 * math.sin(a)) for a in [i * math.pi / 16 for i in range(33)]]
            space.add_spline(points)

    area = math.pi * (150 * 96 if shape == "ellipse" else 120 * 120)
    rel = 2e-3 if shape == "spline" else 1e-4  # the spline itself only comes near the circle
    assert read_profile(drawing(draw), "mm").profile.area_mm2 == pytest.approx(area, rel=rel)


def test_what_is_no_outline_is_left_out_and_told():
    def draw(space):
        wedge_of_lines(space)
        space.add_text("SIDE OF TANK")
        space.add_point((10, 10))

    assert read_profile(drawing(draw), "mm").findings == ("Left out, being no outline: POINT, TEXT.",)


def test_a_small_gap_is_closed_and_told():
    report = read_profile(drawing(lambda space: wedge_of_lines(space, gap=0.2)), "mm")
    assert report.findings == ("Gaps up to 0.20 mm between lines were closed.",)
    assert report.profile.area_mm2 == pytest.approx(81_600, rel=2e-3)


def test_a_drawing_that_says_another_unit_is_told():
    report = read_profile(drawing(wedge_of_lines, units=1), "mm")
    assert report.findings == ("The drawing says that it is in inches; taken as millimetres, as you said.",)


def two_outlines(space):
    wedge_of_lines(space)
    space.add_circle((100, 100), 20)


def crossing(space):
    space.add_lwpolyline([(0, 0), (400, 300), (400, 0), (0, 300)], close=True)


REFUSED = [
    ("file", b"", "mm", "it is empty"),
    ("file", b"AC1027 binary", "mm", "a DWG drawing"),
    ("file", b"hello", "mm", "no DXF drawing"),
    ("file", b"  0\nSECTION\n  2\nENTITIES\n garbage", "mm", "File:"),
    ("file", drawing(lambda space: space.add_text("nothing")), "mm", "no outline in it"),
    ("file", drawing(lambda space: wedge_of_lines(space, (0, 1, 2))), "mm", "the outline is open at x"),
    ("file", drawing(two_outlines), "mm", "there are 2 closed outlines"),
    ("profile", drawing(crossing), "mm", "crosses itself"),
    ("unit", drawing(wedge_of_lines), "m", "would be 4.2e+05 mm long"),
    ("unit", drawing(wedge_of_lines), "ell", "none of mm"),
]


@pytest.mark.parametrize(("field", "data", "unit", "words"), REFUSED, ids=[row[3] for row in REFUSED])
def test_a_drawing_that_makes_no_profile_is_refused(field, data, unit, words):
    with pytest.raises(TankInputError) as refusal:
        read_profile(data, unit)
    assert refusal.value.field == field
    assert words in refusal.value.message

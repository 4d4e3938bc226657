"""Sender tables: readings by Ohm and proportion, calibration points, and what a plain gauge gets wrong."""

import math

import pytest

from engineering.tank.dipping import stick_at
from engineering.tank.drum import Drum, Lie
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.errors import TankInputError
from engineering.tank.sender import SENDER_RANGES, Sender, SenderRange, Signal, sender_table
from engineering.tank.solid import joined, solid_box

BOX = solid_box((0, 0, 0), (600, 400, 200))
DRUM = DrumCavity(Drum(400, 800, Lie.LENGTHWISE))


def tube(inside, lowest, highest, name="240_to_33", x=300, y=200):
    return Sender(SENDER_RANGES[name], stick_at(inside, x, y), lowest, highest)


def test_a_box_makes_every_gauge_right():
    table = sender_table(BOX, tube(BOX, 0, 200), 5)
    assert [row.litres for row in table.rows] == pytest.approx([0, 12, 24, 36, 48])
    assert [row.reading for row in table.rows] == pytest.approx([240, 188.25, 136.5, 84.75, 33])
    assert table.linear.shows_too_much_l == pytest.approx(0, abs=1e-9)
    assert table.linear.shows_too_little_l == pytest.approx(0, abs=1e-9)


def test_what_a_short_sender_cannot_tell():
    """20 mm above the floor to 20 mm below the roof: 4.8 L each it cannot tell from empty and full."""
    table = sender_table(BOX, tube(BOX, 20, 180), 3)
    assert (table.below_l, table.above_l) == pytest.approx((4.8, 4.8))
    assert [row.litres for row in table.rows] == pytest.approx([4.8, 24, 43.2])
    # its lowest reading says empty while 4.8 L are there
    assert table.linear.shows_too_little_l == pytest.approx(4.8)


def test_a_lying_drum_by_the_handbook_table():
    """Perry's table of partly filled cylinders: at 25 % of the depth 19.5501 % of the volume, at 50 % half.

    A gauge that takes depth for volume so shows 5.45 % of the drum too much there.
    """
    sender = Sender(SENDER_RANGES["0.5_to_4.5_v"], stick_at(DRUM, 400, 0), 0, 400)
    table = sender_table(DRUM, sender, 5)
    halves = [row for row in table.rows if row.share == pytest.approx(0.5, abs=1e-6)]
    assert halves[0].depth_mm == pytest.approx(200, abs=0.02)
    assert halves[0].reading == pytest.approx(2.5, abs=1e-3)
    quarter = table.rows[1]  # 25 % of the volume: h/D 0.29804 by iteration of the segment formula
    theta = 2 * math.acos(1 - 2 * quarter.depth_mm / 400)
    assert (theta - math.sin(theta)) / (2 * math.pi) == pytest.approx(0.25, abs=2e-4)
    # the error x − A(x)/A peaks where the chord is π/4 of the diameter
    chord = math.pi / 4
    x = (1 - math.sqrt(1 - chord**2)) / 2
    theta = 2 * math.acos(1 - 2 * x)
    worst = x - (theta - math.sin(theta)) / (2 * math.pi)
    assert table.linear.shows_too_much_l == pytest.approx(worst * DRUM.full_l, rel=1e-3)
    assert table.linear.shows_too_little_l == pytest.approx(worst * DRUM.full_l, rel=1e-3)


def test_more_points_leave_less_error():
    sender = tube(DRUM, 0, 399, x=400, y=0)
    errors = [sender_table(DRUM, sender, points).with_points for points in (2, 3, 5, 9, 17)]
    worst = [max(e.shows_too_much_l, e.shows_too_little_l) for e in errors]
    assert worst == sorted(worst, reverse=True)
    assert worst[-1] < 0.2 * worst[0]


def test_points_put_where_it_bends_beat_even_ones_over_a_pot():
    inside = joined([BOX, solid_box((60, 125, -60), (150, 150, 60))])
    sender = tube(inside, 5, 250, x=135, y=200)
    even = sender_table(inside, sender, 4).with_points
    best = sender_table(inside, sender, 4, best=True)
    assert max(best.with_points.shows_too_much_l, best.with_points.shows_too_little_l) < 0.2
    assert max(even.shows_too_much_l, even.shows_too_little_l) > 0.2
    # the bend is at the mouth of the pot
    assert any(row.depth_mm == pytest.approx(60, abs=0.5) for row in best.rows)


def test_points_at_the_calibration_points_are_right():
    table = sender_table(DRUM, tube(DRUM, 10, 390, x=400, y=0), 6)
    for row in table.rows:
        assert DRUM.litres_at(row.depth_mm) == pytest.approx(row.litres, rel=1e-9)


def test_a_swinging_arm_reads_by_its_angle():
    """Pivot at mid-depth, arm twice the half travel: 30° down to 30° up; a quarter of the angle is −15°."""
    sender = Sender(SenderRange(0, 90), stick_at(BOX, 300, 200), 0, 200, arm_mm=200, pivot_mm=100)
    depth = 100 - 200 * math.sin(math.radians(15))
    assert float(sender.reading_at([depth])[0]) == pytest.approx(22.5)
    assert sender.reading_at([0, 100, 200]) == pytest.approx([0, 45, 90])


@pytest.mark.parametrize(
    ("field", "change", "words"),
    [
        ("sender_at_empty", {"range": SenderRange(-1, 90)}, "must be 0 to 5000 Ω, not -1 Ω"),
        ("sender_at_full", {"range": SenderRange(0, math.nan)}, "must be 0 to 5000 Ω"),
        ("sender_at_full", {"range": SenderRange(0, 50, Signal.VOLTAGE)}, "must be 0 to 24 V, not 50 V"),
        ("sender_at_full", {"range": SenderRange(90, 90)}, "says nothing"),
        ("sender_lowest_mm", {"lowest_mm": -5}, "outside the tank there, which is 200 mm deep"),
        ("sender_highest_mm", {"highest_mm": 201}, "outside the tank there"),
        ("sender_highest_mm", {"lowest_mm": 90, "highest_mm": 80}, "must be above its lowest"),
        ("sender_arm_mm", {"arm_mm": 50, "pivot_mm": 100}, "too short to swing 100 mm"),
    ],
)
def test_a_sender_that_does_not_fit_is_refused(field, change, words):
    given = {
        "range": SENDER_RANGES["0_to_90"],
        "stick": stick_at(BOX, 300, 200),
        "lowest_mm": 0,
        "highest_mm": 200,
    }
    with pytest.raises(TankInputError) as refusal:
        sender_table(BOX, Sender(**{**given, **change}), 5)
    assert refusal.value.field == field
    assert words in refusal.value.message


@pytest.mark.parametrize("points", [1, 33])
def test_a_number_of_points_that_no_dash_has(points):
    with pytest.raises(TankInputError, match="take 2 to 32"):
        sender_table(BOX, tube(BOX, 0, 200), points)

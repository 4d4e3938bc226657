"""Baffles and a collector box in the tank of a side-profile sheet, worked by hand."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from engineering.sheets import KINDS
from tests.engineering.tanks_typed import typed_box, worked_out

BOX = {
    "box_x_mm": "100", "box_y_mm": "125", "box_length_mm": "150", "box_width_mm": "150",
    "box_height_mm": "80",
}  # fmt: skip
BEND = {"pump_l_h": "360", "bend_s": "10", "bend_l": "1.8", "surge_g": "0.001"}


@pytest.fixture
def typed() -> dict[str, str]:
    """Inside 600 × 400 × 200 mm of 2 mm sheet: 48 L."""
    return typed_box(measured="inside", size_mm=(600, 400, 200), pickup_mm=(175, 200, 0))


def test_a_box_takes_the_room_of_its_walls(typed: dict[str, str]) -> None:
    """Two walls of 154 and two of 150 mm, 80 mm high, of 2 mm sheet."""
    bare, boxed = worked_out(typed)[1], worked_out(typed | BOX)[1]
    walls_l = 2 * (154 + 150) * 80 * 2 / 1e6
    assert bare["gross_l"] - boxed["gross_l"] == pytest.approx(walls_l, rel=1e-6)
    assert boxed["empty_kg"] - bare["empty_kg"] == pytest.approx(walls_l * 7.85, rel=1e-6)


def test_the_drawing_shows_what_stands_inside(typed: dict[str, str]) -> None:
    """Broken lines: four walls from three sides, and a baffle from above."""
    row = {"baffles-0-way": "across", "baffles-0-at_mm": "300", "baffles-0-open_percent": "30"}
    lines = [KINDS["profile"].show(*worked_out(more))["views"].hidden for more in (typed, typed | BOX | row)]
    assert [line.count("M") for line in lines] == [0, 13]


def test_a_baffle_takes_its_sheet_less_its_openings(typed: dict[str, str]) -> None:
    """400 × 200 mm of 2 mm sheet with 30 % open: 0.112 L."""
    row = {"baffles-0-way": "Across", "baffles-0-at_mm": "300", "baffles-0-open_percent": "30"}
    baffled = worked_out(typed | row)[1]
    assert 48 - baffled["gross_l"] == pytest.approx(0.112, rel=1e-6)


def test_a_box_without_holes_runs_dry_by_the_clock(typed: dict[str, str]) -> None:
    """150 × 150 × 80 mm hold 1.8 L, all there is; at 0.36 m³/h, a tenth of a litre a second, 18 s."""
    inputs, results = worked_out(typed | BOX | BEND)
    assert results["box"]["holds"] is True
    assert results["box"]["at_start_l"] == pytest.approx(1.8, rel=2e-3)
    assert results["box"]["at_end_l"] == pytest.approx(0.8, abs=0.01)
    _, longer = worked_out(typed | BOX | BEND | {"bend_s": "30"})
    assert longer["box"]["holds"] is False
    assert longer["box"]["covered_s"] == pytest.approx(18, abs=0.15)
    shown = KINDS["profile"].show(inputs, results)
    assert shown["box"][-1] == "The box holds the pump through a bend of 10 s."


def test_holes_feed_the_box_from_the_tank(typed: dict[str, str]) -> None:
    """With 12 L in the tank four holes of 12 mm keep the box going where it would come dry without them."""
    more = typed | BOX | BEND | {"bend_l": "12", "bend_s": "40"}
    without, fed = worked_out(more)[1], worked_out(more | {"box_holes": "4", "box_hole_mm": "12"})[1]
    assert (without["box"]["holds"], fed["box"]["holds"]) == (False, True)
    assert without["box"]["refilled_l"] == 0
    assert fed["box"]["refilled_l"] > 2


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        (BOX | {"box_x_mm": "500"}, "box_x_mm", "outside the tank"),
        (BOX | {"box_height_mm": "300"}, "box_height_mm", "outside the tank"),
        (BOX | {"box_width_mm": "-1"}, "box_width_mm", "more than 0 mm"),
        (BOX | BEND | {"box_holes": "4"}, "box_hole_mm", "give their diameter"),
        (BOX | BEND | {"box_holes": "4", "box_hole_mm": "90"}, "box_hole_mm", "larger than its wall"),
        (BOX | BEND | {"bend_l": "60"}, "bend_l", "outside 0 to"),
        (BOX | BEND | {"pickup_x_mm": "400"}, "pickup_z_mm", "outside the pot"),
        ({"baffles-0-way": "up", "baffles-0-at_mm": "300"}, "baffles", "Line 1: write “across” or “along”"),
        ({"baffles-0-way": "along", "baffles-0-at_mm": "300"}, "baffles", "Line 1: Baffle: without a gap"),
    ],
)
def test_what_cannot_stand_inside_is_named(
    typed: dict[str, str], changes: dict[str, str], field: str, words: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        worked_out(typed | changes)
    assert words in str(refused.value.message_dict[field])

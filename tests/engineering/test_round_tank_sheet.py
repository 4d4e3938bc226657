"""The sheet of a round tank: typed, worked out, stretched, kept, printed, and refused by field."""

import math
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from fluids.geometry import TANK

from engineering.models import CalcSheet
from engineering.sheets import KINDS
from engineering.sheets.drum_form import DrumForm

POT = {
    "pot_x_mm": "100", "pot_y_mm": "300", "pot_length_mm": "150", "pot_width_mm": "150", "pot_depth_mm": "60",
    "pickup_z_mm": "-50",
}  # fmt: skip


@pytest.fixture
def typed() -> dict[str, str]:
    """Across the car: 350 mm inside, 700 mm straight, flanged and dished at both ends."""
    return {
        "title": "Round tank", "lie": "crosswise", "diameter_mm": "350", "straight_mm": "700",
        "first_end": "asme_f_and_d", "second_end": "asme_f_and_d", "measured": "inside", "thickness_mm": "2",
        "metal": "aluminium_5083", "condition": "H111", "stretch": "straight_mm", "liquid": "petrol",
        "foam": "none", "foam_percent": "100", "pickup_x_mm": "175", "pickup_y_mm": "400", "pickup_z_mm": "5",
        "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "dip_step_mm": "10", "sender": "none",
        "surge_g": "0.5",
    }  # fmt: skip


def worked_out(typed: dict[str, str]) -> tuple[dict[str, Any], dict[str, Any]]:
    form = DrumForm(typed)
    assert form.is_valid(), form.errors
    return form.inputs(), KINDS["drum"].work_out(form.inputs())


def litres_by_depth(results: dict[str, Any]) -> dict[float, float]:
    return {row["depth_mm"]: row["litres"] for row in results["dip_chart"]}


def test_every_depth_of_a_lying_tank_is_that_of_the_fluids_library(typed):
    _, results = worked_out(typed)
    theirs = TANK(
        D=0.35, L=0.7, horizontal=True, sideA="torispherical", sideB="torispherical", sideA_f=1, sideA_k=0.06,
        sideB_f=1, sideB_k=0.06,
    )  # fmt: skip
    for depth, litres in litres_by_depth(results).items():
        assert litres == pytest.approx(1000 * theirs.V_from_h(depth / 1000), rel=1e-6, abs=1e-6), depth
    assert len(results["dip_chart"]) == 36
    # inside surface, and the sheet at mid-thickness about 1 mm outside it
    assert results["sheet_m2"] == pytest.approx(theirs.A, rel=0.01)
    assert results["empty_kg"] == pytest.approx(results["sheet_m2"] * 2e-3 * 2660, rel=2e-3)


@pytest.mark.parametrize(
    ("end", "depth_mm", "theirs"),
    [
        ("flat", "", {}),
        ("hemisphere", "", {"sideA": "ellipsoidal", "sideA_a": 0.175}),
        ("ellipsoidal", "80", {"sideA": "ellipsoidal", "sideA_a": 0.08}),
        ("dished", "45", {"sideA": "spherical", "sideA_a": 0.045}),
        ("coned", "60", {"sideA": "conical", "sideA_a": 0.06}),
        ("din_28011", "", {"sideA": "torispherical", "sideA_f": 1, "sideA_k": 0.1}),
        ("din_28013", "", {"sideA": "torispherical", "sideA_f": 0.8, "sideA_k": 0.154}),
    ],
)
@pytest.mark.parametrize(("lie", "is_lying"), [("lengthwise", True), ("upright", False)])
def test_every_end_lying_and_upright_is_that_of_the_fluids_library(
    typed, end, depth_mm, theirs, lie, is_lying
):
    """One end of each kind below or behind, the other flat."""
    places = {"pickup_x_mm": "400", "pickup_y_mm": "175"} if is_lying else {"pickup_y_mm": "175"}
    ends = {"first_end": end, "first_end_mm": depth_mm, "second_end": "flat"}
    _, results = worked_out(typed | ends | places | {"lie": lie, "dip_step_mm": "25"})
    tank = TANK(D=0.35, L=0.7, horizontal=is_lying, **theirs)
    for depth, litres in litres_by_depth(results).items():
        assert litres == pytest.approx(1000 * tank.V_from_h(depth / 1000), rel=1e-6, abs=1e-6), depth
    assert results["gross_l"] == pytest.approx(1000 * tank.V_total, rel=1e-9)


def test_an_ellipse_is_a_circle_pressed(typed):
    """Of 350 mm wide and 240 mm high the litres at any share of the height are those of the circle, by
    240/350."""
    _, round_one = worked_out(typed | {"dip_step_mm": "35"})
    _, pressed = worked_out(typed | {"other_mm": "240", "dip_step_mm": "24"})
    circle, ellipse = round_one["dip_chart"], pressed["dip_chart"]
    assert len(circle) == len(ellipse) == 11
    for of_circle, of_ellipse in zip(circle, ellipse, strict=True):
        assert of_ellipse["litres"] == pytest.approx(of_circle["litres"] * 240 / 350, rel=1e-9, abs=1e-9)


def test_outside_dimensions_leave_the_sheet_out(typed):
    """Flat ends: 350 mm outside in 3 mm sheet is 344 mm inside, 700 mm is 694."""
    flat = {"first_end": "flat", "second_end": "flat", "measured": "outside", "thickness_mm": "3"}
    _, results = worked_out(typed | flat)
    assert results["gross_l"] == pytest.approx(math.pi * 172**2 * 694 / 1e6, rel=1e-9)
    assert results["outside_mm"] == pytest.approx((350, 700, 350), rel=2e-4)
    assert results["blanks"]["girth_mm"] == pytest.approx(math.pi * 347, rel=1e-6)
    assert results["blanks"]["across_mm"] == pytest.approx([347, 347])


@pytest.mark.parametrize(
    ("stretch", "words"),
    [("straight_mm", "the straight part becomes"), ("diameter_mm", "the diameter, or first axis becomes")],
)
def test_a_wanted_capacity_stretches_it(typed, stretch, words):
    """Half balls at both ends: 4/3 π r³ + π r² L inside, 95 % of it to be filled in."""
    balls = {"first_end": "hemisphere", "second_end": "hemisphere", "wanted_l": "60", "stretch": stretch}
    inputs, results = worked_out(typed | balls)
    r, straight = 175.0, 700.0
    if stretch == "straight_mm":
        straight = results["stretched_mm"]
    else:
        r = results["stretched_mm"] / 2
    assert results["filled_l"] == pytest.approx(60, abs=1e-5)
    assert (4 / 3 * math.pi * r**3 + math.pi * r**2 * straight) / 1e6 == pytest.approx(60 / 0.95, rel=1e-7)
    assert words in KINDS["drum"].show(inputs, results)["stretched"]
    # the lowest, rightmost and rearmost point stays where places are counted from
    assert min(results["drawing"]["low_mm"]) == pytest.approx(-2, abs=0.1)


def test_a_pot_under_a_round_floor(typed):
    """By hand: 150 × 150 × 60 mm, and what lies under the round floor over its mouth, as far up as the
    higher of its edges: the pot stands from x 100 to 250, the axis at 175: 75 mm on either side. With a
    pot the tank is a mesh, promised within 0.1 %."""
    _, bare = worked_out(typed)
    _, results = worked_out(typed | POT)
    rise = 175 - math.sqrt(175**2 - 75**2)
    segment = 175**2 * math.asin(75 / 175) - 75 * math.sqrt(175**2 - 75**2)
    under_floor = 150 * (150 * rise - segment) / 1e6
    assert results["gross_l"] - bare["gross_l"] == pytest.approx(1.35 + under_floor, rel=1e-3)
    assert results["surge"]["without_pot"]["worst"]["litres_left"] > results["surge"]["worst"]["litres_left"]
    assert results["pot"]["level_l"] == pytest.approx(1.35 - 0.225, rel=1e-3)


def test_a_baffle_is_round_as_the_tank(typed):
    """Along the axis' square: a disc of 350 mm less 2 × 5 mm, 20 % open."""
    row = {"baffles-0-way": "along", "baffles-0-at_mm": "400", "baffles-0-clear_mm": "5"}
    _, bare = worked_out(typed)
    _, results = worked_out(typed | row | {"baffles-0-open_percent": "20"})
    disc_m2 = math.pi / 4 * 0.340**2
    assert results["sheet_m2"] - bare["sheet_m2"] == pytest.approx(disc_m2 * 0.8, rel=1e-3)
    assert bare["gross_l"] - results["gross_l"] == pytest.approx(disc_m2 * 0.8 * 2, rel=1e-3)


def test_surge_of_a_lying_cylinder_by_hand(typed):
    """Flat ends, pickup on the floor in mid-length: along the car the section turns on its axis, and at 1 g
    the surface through the lowest point cuts the segment below the chord at 45°, R²/2 · (π/2 − 1)."""
    flat = {"first_end": "flat", "second_end": "flat", "surge_g": "1", "pickup_z_mm": "0"}
    _, results = worked_out(typed | flat | {"pickup_y_mm": "350"})
    legs = dict(results["surge"]["here"])
    segment_l = 175**2 / 2 * (math.pi / 2 - 1) * 700 / 1e6
    assert legs[0.0] == pytest.approx(segment_l, rel=1e-6)
    assert legs[180.0] == pytest.approx(segment_l, rel=1e-6)


def test_it_is_kept_shown_and_printed(as_fitter, fuel_job, typed):
    new = reverse("calc-sheet-new", args=[fuel_job.pk, "drum"])
    answer = as_fitter.post(new, typed | POT, follow=True)
    sheet = CalcSheet.objects.get()
    text = answer.content.decode()
    for words in (
        "L usable", "imperial gallons", "Aluminium 5083, condition H111, 2 mm", "both flanged and dished",
        "blank 1105.8 × 700.0 mm, rolled", "Pot 150 × 150, 60 mm below", "Surge at 0.5 g",
        "Without the pot it would be", "lying across the car", "Never weld, cut, grind or drill",
    ):  # fmt: skip
        assert words in text, words
    assert "Filled with foam" not in text
    known = KINDS["drum"].facts(sheet.inputs, sheet.results)
    # depth of a flanged and dished end 0.169 D (Perry's Chemical Engineers' Handbook, from memory)
    assert known.width_mm == pytest.approx(700 + 2 * (0.1693 * 350 + 2), abs=0.1)
    printed = as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk]))
    assert printed.content.startswith(b"%PDF")


def test_it_is_on_the_list_of_a_job(as_fitter, fuel_job):
    text = as_fitter.get(reverse("calc-sheet-list", args=[fuel_job.pk])).content.decode()
    assert "New round-tank sheet" in text


def test_the_kept_tank_is_the_one_that_was_stretched(typed):
    from engineering.sheets.drum import made_build

    inputs, results = worked_out(typed | {"wanted_l": "80"})
    assert made_build(inputs, results).inside.full_l == pytest.approx(80 / 0.95, rel=1e-7)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"diameter_mm": "0"}, "diameter_mm", "more than 0 mm"),
        ({"diameter_mm": "-350"}, "diameter_mm", "not -350 mm"),
        ({"diameter_mm": "9000"}, "diameter_mm", "not another unit"),
        ({"straight_mm": "-1"}, "straight_mm", "0 to 5000 mm"),
        ({"other_mm": "0"}, "other_mm", "more than 0 mm"),
        ({"first_end": "dished"}, "first_end_mm", "Say how far this end stands out"),
        ({"first_end": "dished", "first_end_mm": "300"}, "first_end_mm", "at most 175 mm"),
        ({"first_end": "flat", "second_end": "flat", "straight_mm": "0"}, "straight_mm", "more than 0 mm"),
        ({"thickness_mm": "19", "diameter_mm": "30", "measured": "outside"}, "thickness_mm", "half of it"),
        ({"wanted_l": "60", "stretch": "other_mm"}, "stretch", "no second axis"),
        ({"wanted_l": "3"}, "wanted_l", "not reached by changing the"),
        ({"pickup_z_mm": "400"}, "pickup_z_mm", "Put its mouth inside"),
        ({"surge_g": "50"}, "surge_g", "50 g is outside 0 to 5 g"),
        (POT | {"pot_length_mm": "500"}, "pot_depth_mm", "does not fit in its wall"),
        (POT | {"pot_length_mm": "-50"}, "pot_length_mm", "Pot, length: must be more than 0 mm"),
        (POT | {"pot_width_mm": "0"}, "pot_width_mm", "Pot, width: must be more than 0 mm"),
        ({"diameter_mm": "nan"}, "diameter_mm", "is not a number"),
        ({"diameter_mm": "1e300"}, "diameter_mm", "is not a number"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_and_nothing_kept(as_fitter, fuel_job, typed, change, field, words):
    answer = as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "drum"]), typed | change)
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_a_refusal_comes_back_by_field(typed):
    with pytest.raises(ValidationError) as refused:
        worked_out(typed | {"thickness_mm": "30"})
    assert "plate, not sheet" in str(refused.value.message_dict["thickness_mm"])

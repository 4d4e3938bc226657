"""The side-profile sheet: typed, worked out, kept, printed, and refused by field."""

import math
from typing import Any

import pytest
from django.urls import reverse

from engineering.models import CalcSheet
from engineering.sheets import KINDS
from engineering.sheets.profile_form import ProfileForm


@pytest.fixture
def typed() -> dict[str, str]:
    """The wedge of 65.28 L inside, over a pot of 200 × 200 × 50 mm: 67.28 L."""
    points = [(0, 0, 0), (420, 0, 0), (260, 240, 0), (0, 240, 0)]
    rows = {
        f"profile-{number}-{key}": str(value)
        for number, point in enumerate(points)
        for key, value in zip(("x_mm", "z_mm", "bend_mm"), point, strict=True)
    }
    return {
        "title": "Wedge tank", **rows, "width_mm": "800", "measured": "inside", "thickness_mm": "2",
        "metal": "aluminium_5083", "wanted_l": "", "stretch": "width_mm", "pot_x_mm": "60", "pot_y_mm": "300",
        "pot_length_mm": "200", "pot_width_mm": "200", "pot_depth_mm": "50", "liquid": "petrol",
        "foam": "none",
        "foam_percent": "100", "pickup_x_mm": "160", "pickup_y_mm": "400", "pickup_z_mm": "-40",
        "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "stick_x_mm": "", "stick_y_mm": "",
        "dip_step_mm": "20", "nose_up_percent": "5", "left_up_percent": "0", "sender": "240_to_33",
        "sender_lowest_mm": "10", "sender_highest_mm": "280", "sender_points": "5", "surge_g": "0.5",
        "pump_l_h": "120", "return_l_h": "30", "bend_s": "20",
    }  # fmt: skip


def worked_out(typed: dict[str, str]) -> tuple[dict[str, Any], dict[str, Any]]:
    form = ProfileForm(typed)
    assert form.is_valid(), form.errors
    return form.inputs(), KINDS["profile"].work_out(form.inputs())


def test_a_wedge_with_a_pot_by_hand(typed):
    _, results = worked_out(typed)
    assert results["gross_l"] == pytest.approx(67.28)
    assert results["filled_l"] == pytest.approx(0.95 * 67.28)
    # on the slope of 5 % nose up liquid lies nearer the pickup's side of the pot by 10 mm of slope at most
    assert results["rest_l"] == pytest.approx(0.4, rel=1e-6)
    # metal of cut_cases.json's wedge at 2 mm and the walls of the pot below the floors
    assert results["empty_kg"] == pytest.approx((2.283740418 + (204 * 204 - 200 * 200) * 50e-6) * 2.660)
    assert results["dip_chart"][-1]["litres"] == pytest.approx(67.28)
    assert results["on_slope"] is not None
    assert results["sender"]["rows"][0]["reading"] == pytest.approx(240)
    assert results["pot"]["level_l"] == pytest.approx(2.0 - 0.4)


def test_the_pot_at_half_a_g_by_hand(typed):
    """Half a g slopes the pool by 100 mm over the pot of 200, twice its depth: along the car stay
    half of 100 × 50 × 200 mm³, 0.5 L; the pickup in the middle of the pot then stands dry."""
    _, results = worked_out(typed)
    assert results["pot"]["worst_l"] == pytest.approx(0, abs=1e-9)
    shown = KINDS["profile"].show(*worked_out(typed))
    assert shown["pot"]["verdict"] == "It does not hold the pump through a bend of 20 s."


def test_a_wanted_capacity_sets_the_width(typed):
    """Without a pot the wedge takes 0.0816 L per mm of width, 95 % of it to be filled in."""
    for name in ("pot_x_mm", "pot_y_mm", "pot_length_mm", "pot_width_mm", "pot_depth_mm"):
        typed[name] = ""
    inputs, results = worked_out({**typed, "pickup_z_mm": "10", "wanted_l": "50", "sender": "none"})
    assert results["filled_l"] == pytest.approx(50, abs=1e-5)
    assert results["stretched_mm"] == pytest.approx(50 / 0.95 / 0.0816, abs=1e-3)
    shown = KINDS["profile"].show(inputs, results)
    assert shown["stretched"] == "To take 50 L the width becomes 645.0 mm, measured inside."
    assert shown["pot"] is None
    assert shown["sender"] is None


def test_brimmed_on_a_slope_by_hand(typed):
    """One vent in the middle of the roof's rear edge, 260 mm long: nose up by 5 % the roof's front stands
    13 mm higher, and a wedge of air of half 260 × 13 × 800 mm³ stays, less what the sloping front takes.

    The surface falls from the front edge by 5 % along the roof and meets the front where
    240 − z = 0.05 · x there, with x = 420 − z · 2/3: x = 268.97, z = 226.55.
    """
    typed |= {"vents-0-x_mm": "0", "vents-0-y_mm": "400", "vents-0-z_mm": "240", "vent_slope_percent": "5"}
    _, results = worked_out(typed)
    ways = {way["words"]: way for way in results["brimming"]}
    assert ways["level"]["trapped_l"] == pytest.approx(0, abs=1e-6)
    x = (420 - 160) / (1 - 0.05 * 2 / 3)
    corners = [(0, 240), (x, 240 - 0.05 * x), (260, 240)]
    area = (
        abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)))
        / 2
    )
    assert ways["nose up"]["trapped_l"] == pytest.approx(area * 800 / 1e6, rel=1e-6)
    assert ways["nose down"]["trapped_l"] == pytest.approx(0, abs=1e-6)
    # across the car half of the width rises over the vent: a wedge of 400 × 20 mm over the roof's 260 mm
    assert ways["left side up"]["trapped_l"] == pytest.approx(ways["right side up"]["trapped_l"])
    assert ways["nose up"]["litres"] == pytest.approx(67.28 - area * 800 / 1e6)


def test_it_is_kept_and_gives_the_part_its_figures(as_fitter, fuel_job, typed):
    answer = as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "profile"]), typed, follow=True)
    sheet = CalcSheet.objects.get()
    text = answer.content.decode()
    for words in (
        "63.52 L usable", "13.97 imperial gallons", "Surge at 0.5 g", "Without the pot it would be",
        "litres on the slope", "nose up 5 %", "Never weld, cut, grind or drill", "Dash shows", "White, Fluid",
    ):  # fmt: skip
        assert words in text, words
    known = KINDS["profile"].facts(sheet.inputs, sheet.results)
    # the mitre of the front corner, 56.3° inside, stands out by 2 mm over the tangent of half of that
    length = 420 + 2 + 2 / math.tan(math.atan(240 / 160) / 2)
    assert (known.length_mm, known.width_mm, known.height_mm) == pytest.approx((length, 804, 294))


def test_its_table_has_the_slope_and_the_sender(typed):
    lines = KINDS["profile"].table(*worked_out(typed))
    assert lines[0][-1] == "litres, nose up 5 %"
    assert ["dash shows %", "depth mm", "sender Ω", "litres"] in lines
    assert lines[-1][1:] == ["280.0", "33.0", f"{worked_out(typed)[1]['sender']['rows'][-1]['litres']:.2f}"]


def test_it_prints(as_fitter, fuel_job, typed):
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "profile"]), typed)
    sheet = CalcSheet.objects.get()
    answer = as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk]))
    assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"width_mm": "0"}, "width_mm", "more than 0 mm"),
        ({"thickness_mm": "25"}, "thickness_mm", "plate, not sheet"),
        ({"profile-1-x_mm": "260", "profile-1-z_mm": "240", "profile-2-x_mm": "420", "profile-2-z_mm": "0"},
         "profile", "crosses itself"),
        ({"pot_width_mm": "900"}, "pot_depth_mm", "does not fit in its wall"),
        ({"pot_depth_mm": ""}, "pot_depth_mm", "all five figures of the pot, or none"),
        ({"pickup_z_mm": "300"}, "pickup_z_mm", "Put its mouth inside"),
        ({"pickup_x_mm": "500"}, "pickup_z_mm", "there is no tank"),
        ({"stick_x_mm": "100"}, "stick_y_mm", "both places of the stick"),
        ({"surge_g": "50"}, "surge_g", "50 g is outside 0 to 5 g"),
        ({"return_l_h": "300"}, "return_l_h", "more than the 120 L/h"),
        ({"sender_highest_mm": "400"}, "sender_highest_mm", "outside the tank there"),
        ({"sender_points": "50"}, "sender_points", "take 2 to 32"),
        ({"nose_up_percent": "300"}, "nose_up_percent", "outside -60 to 60°"),
        ({"wanted_l": "5000"}, "wanted_l", "at most 2000 L"),
        ({"profile-0-x_mm": "nought"}, "profile", "Line 1"),
        ({"vents-0-x_mm": "900", "vents-0-y_mm": "1", "vents-0-z_mm": "240"}, "vents", "Line 1: this vent"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_and_nothing_kept(as_fitter, fuel_job, typed, change, field, words):
    answer = as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "profile"]), {**typed, **change})
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_a_sheet_kept_with_the_first_drawing_still_shows_and_prints(as_fitter, fuel_job, typed):
    """As sheets were stored at first: the outline of the profile, not outlines of three views."""
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "profile"]), typed)
    sheet = CalcSheet.objects.get()
    sheet.inputs["foam_percent"] = 100.0
    sheet.results["drawing"] = {
        "outer": [[-2, -2], [423.7, -2], [261.1, 242], [-2, 242]],
        "inner": [[0, 0], [420, 0], [260, 240], [0, 240]],
        "right_mm": -2, "left_mm": 802, "sheet_mm": 2, "level_mm": 228.0,
        "pots": [[58, 262, 298, 502, -52, 0.0]], "baffles": [], "box": [],
    }  # fmt: skip
    for name in ("on_slope", "without_pot_on_slope"):
        del sheet.results["surge"][name]
    del sheet.results["box"]
    sheet.save()
    text = as_fitter.get(sheet.get_absolute_url()).content.decode()
    assert "It is 426 long, 804 wide and 294 mm high over all" in text
    assert "Filled with foam" not in text
    drawn = KINDS["profile"].show(sheet.inputs, sheet.results)["views"]
    assert drawn.outline.count("M") == 5
    assert as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk])).content.startswith(b"%PDF")


def test_the_print_says_what_a_fabricator_cuts(typed):
    """Alloy, condition and thickness, sizes, corners before bending with their folds, roof and blanks."""
    typed |= {"condition": "H111", "profile-1-bend_mm": "12", "profile-2-bend_mm": "12"}
    inputs, results = worked_out(typed)
    shown = KINDS["profile"].show(inputs, results)
    lines = dict(shown["sheet"]) | dict(shown["making"])
    assert lines["Sheet"] == "Aluminium 5083, condition H111, 2 mm"
    assert lines["Roof, corner to corner"] == "260.0 mm, from 3 to 4"
    assert lines["Wrap, piece 1"].endswith("× 802.0 mm, corners 1–2–3–4")
    assert lines["Wrap, piece 2"] == "242.0 × 802.0 mm, corners 4–1"
    second = shown["corners"][1]
    # the front stands 240 up over 160 back: it turns by 180° − atan(240/160)
    assert second["angle"] == f"{180 - math.degrees(math.atan(240 / 160)):.1f}"
    assert (second["x"], second["z"], second["bend"], second["inner"]) == ("420.0", "0.0", "12.0", "12.0")
    assert shown["corners"][0]["bend"] == "weld"
    assert any("DIN 6935" in source for source in results["notes"]["sources"])


def test_foam_may_have_the_figures_of_its_data_sheet(typed):
    """4 % displaced and 3 % held back of the 67.28 L inside."""
    own = {"foam": "type_iii", "foam_displaced_percent": "4", "foam_retained_percent": "3"}
    _, results = worked_out(typed | own)
    assert results["foam_displaced_l"] == pytest.approx(0.04 * 67.28)
    assert results["foam_retained_l"] == pytest.approx(0.03 * (67.28 - results["rest_l"] / 0.96))
    assert any("as typed" in source for source in results["notes"]["sources"])
    _, of_type = worked_out(typed | {"foam": "type_iii"})
    assert any("MIL-DTL-83054C" in source for source in of_type["notes"]["sources"])


@pytest.mark.parametrize("name", ["foam_displaced_percent", "foam_retained_percent"])
@pytest.mark.parametrize("percent", ["40", "-1"])
def test_foam_that_cannot_be_meant_is_refused(as_fitter, fuel_job, typed, name, percent):
    new = reverse("calc-sheet-new", args=[fuel_job.pk, "profile"])
    answer = as_fitter.post(new, typed | {"foam": "type_i", name: percent})
    assert "outside 0 to 15 %" in str(answer.context["form"].errors[name])
    assert not CalcSheet.objects.exists()

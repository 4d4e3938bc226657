"""Recesses, joined bodies and filler necks in the tables of a tank sheet, worked by hand."""

from __future__ import annotations

import math

import pytest
from django.urls import reverse

from engineering.models import CalcSheet
from engineering.sheets import KINDS
from engineering.sheets.drum_form import DrumForm
from tests.engineering.tanks_typed import typed_box, worked_out


def line(name: str, number: int, **cells: object) -> dict[str, str]:
    return {f"{name}-{number}-{key}": str(cell) for key, cell in cells.items()}


def body(number: int, act: str, shape: str, way: str, at: tuple, size: tuple) -> dict[str, str]:
    places = zip(("x_mm", "y_mm", "z_mm", "length_mm", "width_mm", "height_mm"), (*at, *size), strict=True)
    return line("fitted", number, act=act, shape=shape, way=way, **dict(places))


def neck(**cells: object) -> dict[str, str]:
    return line("necks", 0, **cells)


@pytest.fixture
def typed() -> dict[str, str]:
    """Outside 604 × 404 × 204 mm of 2 mm sheet: 48 L."""
    return typed_box(measured="outside", size_mm=(604, 404, 204), pickup_mm=(175, 200, 2))


RECESS = body(0, "cut", "box", "", (200, 100, 152), (200, 200, 52))
TUNNEL = body(0, "Cut", "Cylinder", "across", (250, 0, 50), (100, 404, 100))
NOSE = body(0, "join", "box", "", (604, 100, 50), (200, 200, 100))
SUMP = body(0, "join", "wedge", "front top", (100, 102, -60), (300, 200, 60))


@pytest.mark.parametrize(
    ("more", "inside_l", "outside_l"),
    [
        (RECESS, 48 - 204 * 204 * 52 / 1e6, -200 * 200 * 52 / 1e6),
        (TUNNEL, 48 - math.pi * 52**2 * 400 / 1e6, -math.pi * 50**2 * 404 / 1e6),
        (NOSE, 48 + 200 * 196 * 96 / 1e6, 4.0),
        (
            neck(x_mm=302, y_mm=202, z_mm="", diameter_mm=54, length_mm=80),
            48 + math.pi * 25**2 * 82 / 1e6,
            math.pi * 27**2 * 80 / 1e6,
        ),
    ],
)
def test_what_it_holds_and_weighs(typed, more, inside_l, outside_l):
    """Outside dimensions: a recess costs its lining too, a neck reaches down through the sheet."""
    _, results = worked_out(typed | more)
    assert results["gross_l"] == pytest.approx(inside_l, rel=1e-6)
    metal_l = 604 * 404 * 204 / 1e6 + outside_l - inside_l
    assert results["empty_kg"] == pytest.approx(metal_l * 7.85, rel=1e-5)
    # area by thickness is the metal, but for edges
    assert results["sheet_m2"] * 2 == pytest.approx(metal_l, rel=0.02)


def test_a_sump_under_the_floor_drains_to_its_deep_end(typed):
    """Half of 300 × 200 × 60 mm, deep at its rear. Inside it is that triangle moved inwards by 2 mm, and 4 mm
    more over its flat face, where it opens through both sheets."""
    deep = {"pickup_x_mm": "108", "pickup_y_mm": "202", "pickup_z_mm": "-50"}
    _, results = worked_out(typed | SUMP | deep)
    r = (300 + 60 - math.hypot(300, 60)) / 2
    left = 1 - 2 / r
    sump_l = (left**2 * 300 * 60 / 2 + 4 * left * 300) * 196 / 1e6
    assert results["gross_l"] == pytest.approx(48 + sump_l, rel=1e-6)
    assert results["rest_l"] < 0.1
    assert results["outside_mm"][2] == pytest.approx(264)


def test_a_notch_and_a_nose_show_in_the_drawing(typed):
    """The side view follows a notch over the whole width; a recess inside the outline is a broken line."""
    notch = body(0, "cut", "box", "", (504, 0, 154), (100, 404, 50))
    _, results = worked_out(typed | notch)
    assert len(results["drawing"]["side"][0]) == 6
    inputs, results = worked_out(typed | RECESS)
    assert KINDS["profile"].show(inputs, results)["views"].hidden.count("M") == 3
    _, results = worked_out(typed | NOSE)
    assert results["drawing"]["high_mm"] == pytest.approx([804, 404, 204])


def test_stretching_keeps_what_is_fitted(typed):
    """To 60 L with the nose on: the width grows, the nose stays."""
    _, results = worked_out(typed | NOSE | {"wanted_l": "60"})
    assert results["filled_l"] == pytest.approx(60, abs=1e-5)
    nose_l = 200 * 196 * 96 / 1e6
    assert (results["stretched_mm"] - 4) * 600 * 200 / 1e6 + nose_l == pytest.approx(60 / 0.95, rel=1e-6)


def test_a_neck_on_a_round_tank_leans():
    typed = {
        "title": "Round", "lie": "crosswise", "diameter_mm": "350", "straight_mm": "700", "first_end": "flat",
        "second_end": "flat", "measured": "inside", "thickness_mm": "2", "metal": "aluminium_5083",
        "stretch": "straight_mm", "liquid": "petrol", "foam": "none", "pickup_x_mm": "175",
        "pickup_y_mm": "350", "pickup_z_mm": "5", "expansion_percent": "5", "fill_c": "15",
        "hottest_c": "50", "dip_step_mm": "20", "sender": "none", "surge_g": "0.5",
        **neck(x_mm=175, y_mm=350, z_mm="", diameter_mm=50, length_mm=100, lean_deg=30, towards="left"),
    }  # fmt: skip
    form = DrumForm(typed)
    assert form.is_valid(), form.errors
    results = KINDS["drum"].work_out(form.inputs())
    bare = math.pi * 175**2 * 700 / 1e6
    bore = math.pi * 25**2
    # the crown falls away under it by no more than r²/2R over its width
    least, most = 100.0, 100 + 25**2 / (2 * 175)
    assert bore * least / 1e6 < results["gross_l"] - bare < bore * most / 1e6


def test_it_is_kept_and_printed_with_what_is_fitted(as_fitter, fuel_job, typed):
    more = NOSE | body(1, "cut", "cylinder", "upright", (300, 150, 154), (80, 80, 50))
    spout = neck(x_mm=100, y_mm=202, z_mm="", diameter_mm=54, length_mm=80, lean_deg=20, towards="left")
    new = reverse("calc-sheet-new", args=[fuel_job.pk, "profile"])
    text = as_fitter.post(new, typed | more | spout, follow=True).content.decode()
    for words in (
        "Joined: box, 200 × 200 × 100 mm; rear edge at 604, 100 mm from the right, lower edge at 50 mm.",
        "Cut out: cylinder, upright, 80 × 80 × 50 mm",
        "Filler neck ⌀ 54, 80 mm along its axis, leaning 20° to the left; foot at 100, 202 mm from the "
        "right, on the roof.",
    ):
        assert words in text
    sheet = CalcSheet.objects.get()
    assert as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk])).content.startswith(b"%PDF")
    # and the form of its next revision carries the lines
    form = as_fitter.get(reverse("calc-sheet-revise", args=[sheet.pk])).content.decode()
    assert 'name="fitted-1-shape"' in form
    assert 'value="cylinder"' in form


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        (body(0, "glue", "box", "", (0, 0, 0), (1, 1, 1)), "fitted", "Line 1: write “join” or “cut”"),
        (body(0, "cut", "ball", "", (0, 0, 0), (1, 1, 1)), "fitted", "write “box”, “wedge” or “cylinder”"),
        (body(0, "cut", "wedge", "up", (0, 0, 0), (9, 9, 9)), "fitted", "Line 1: a wedge runs out"),
        (body(0, "cut", "cylinder", "", (0, 0, 0), (9, 9, 9)), "fitted", "lies along or across"),
        (body(0, "cut", "cylinder", "along", (0, 0, 0), (9, 8, 9)), "fitted", "not 8 and 9 mm"),
        (body(0, "cut", "box", "", (200, 100, 50), (99, 99, 99)), "fitted", "opens through no wall"),
        (body(0, "join", "box", "", (900, 100, 50), (99, 99, 99)), "fitted", "does not touch the tank"),
        (body(0, "cut", "box", "", (300, 0, 0), (50, 404, 204)), "fitted", "separate rooms"),
        (body(0, "cut", "box", "", (0, 0, 0), (-50, 404, 204)), "fitted", "more than 0 mm, not -50 mm"),
        (body(0, "cut", "box", "", (0, 0, 0), ("nan", 404, 204)), "fitted", "is not a number"),
        (RECESS | body(1, "cut", "box", "", (0, 0, 0), ("1e999", 4, 4)), "fitted", "Line 2"),
        (neck(x_mm=302, y_mm=202, z_mm="", diameter_mm=450, length_mm=80), "necks", "does not fit in its"),
        (neck(x_mm=902, y_mm=202, z_mm="", diameter_mm=50, length_mm=80), "necks", "there is no roof"),
        (neck(x_mm=302, y_mm=202, z_mm=400, diameter_mm=50, length_mm=80), "necks", "foot on the tank"),
        (neck(x_mm=302, y_mm=202, z_mm="", diameter_mm=50, length_mm=-1), "necks", "more than 0 mm"),
        (neck(x_mm=302, y_mm=202, z_mm="", diameter_mm=50, length_mm=80, towards="up"), "necks", "leans to"),
        (neck(x_mm=302, y_mm=202, z_mm="", diameter_mm=50, length_mm=80, lean_deg=170), "necks", "0 to 120°"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_kept(as_fitter, fuel_job, typed, change, field, words):
    answer = as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "profile"]), typed | change)
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()

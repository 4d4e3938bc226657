"""A side profile started from a ready-made shape or a drawing: its points are filled in."""

from __future__ import annotations

import io
from typing import Any

import ezdxf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet

WEDGE = [(0, 0), (420, 0), (260, 240), (0, 240)]


@pytest.fixture
def typed() -> dict[str, str]:
    """Inside a box of 300 × 300 mm, 500 mm wide."""
    rows = {
        f"profile-{number}-{key}": str(value)
        for number, point in enumerate([(0, 0), (300, 0), (300, 300), (0, 300)])
        for key, value in zip(("x_mm", "z_mm"), point, strict=True)
    }
    return {
        "title": "Wedge tank", **rows, "start": "typed", "width_mm": "500", "measured": "inside",
        "thickness_mm": "2", "metal": "aluminium_5083", "stretch": "width_mm", "liquid": "petrol",
        "foam": "none", "pickup_x_mm": "160", "pickup_y_mm": "250", "pickup_z_mm": "105",
        "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "dip_step_mm": "20", "sender": "none",
        "surge_g": "0.5",
    }  # fmt: skip


def dxf(name: str = "side.dxf") -> SimpleUploadedFile:
    document = ezdxf.new()
    document.modelspace().add_lwpolyline([(x / 10, z / 10) for x, z in WEDGE], close=True)
    text = io.StringIO()
    document.write(text)
    return SimpleUploadedFile(name, text.getvalue().encode())


def post(client: Client, job: Any, typed: dict[str, Any], act: str = "try") -> Any:
    return client.post(reverse(f"calc-sheet-{act}", args=[job.pk, "profile"]), typed)


@pytest.mark.parametrize(
    ("shape", "sizes", "area_mm2"),
    [
        ("box", {"length": 600, "height": 250}, 600 * 250),
        ("wedge", {"length": 420, "roof": 260, "height": 240}, (420 + 260) / 2 * 240),
        ("l", {"length": 600, "height": 300, "foot": 120, "leg": 250}, 600 * 120 + 250 * 180),
        ("step", {"length": 600, "height": 300, "step_x": 200, "step_z": 100}, 600 * 300 - 200 * 100),
    ],
)
def test_a_shape_fills_in_its_points(
    as_fitter: Client,
    fuel_job: Any,
    typed: dict[str, str],
    shape: str,
    sizes: dict[str, int],
    area_mm2: float,
) -> None:
    """Areas by hand, from rectangles and a trapezium; 500 mm wide."""
    start = {f"start_{name}_mm": str(size) for name, size in sizes.items()}
    answer = post(as_fitter, fuel_job, typed | {"start": shape} | start)
    text = answer.content.decode()
    assert f"{area_mm2 * 500 / 1e6:.2f}" in text
    assert 'value="typed" selected' in text
    far = sizes["length"]
    assert f'name="profile-1-x_mm" value="{far if shape != "step" else 200}"' in text
    assert not CalcSheet.objects.exists()


def test_a_drawing_is_read_in_the_unit_that_is_said(
    as_fitter: Client, fuel_job: Any, typed: dict[str, Any]
) -> None:
    post(as_fitter, fuel_job, typed | {"drawing": dxf(), "drawing_unit": "cm"}, "new")
    sheet = CalcSheet.objects.get()
    assert sheet.results["gross_l"] == pytest.approx(81_600 * 500 / 1e6)
    assert {(row["x_mm"], row["z_mm"]) for row in sheet.inputs["profile"]} == set(WEDGE)
    assert not any(name.startswith(("start", "drawing")) for name in sheet.inputs)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"start": "wedge", "start_length_mm": "400"}, "start_roof_mm", "To start from a wedge"),
        (
            {"start": "l", "start_length_mm": "400", "start_height_mm": "300", "start_foot_mm": "300",
             "start_leg_mm": "100"},
            "start_foot_mm", "must be less than the height",
        ),
        ({"start": "box", "start_length_mm": "-5", "start_height_mm": "3"}, "start_length_mm", "more than 0"),
        ({"start": "ball"}, "start", "ball is not one of the available choices"),
    ],
)  # fmt: skip
def test_a_shape_that_cannot_be_is_refused_by_its_field(
    as_fitter: Client, fuel_job: Any, typed: dict[str, str], changes: dict[str, str], field: str, words: str
) -> None:
    answer = post(as_fitter, fuel_job, typed | changes, "new")
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(
    ("file", "unit", "field", "words"),
    [
        (lambda: dxf(), "", "drawing_unit", "Say in which unit"),
        (lambda: dxf("side.pdf"), "mm", "drawing", "is no DXF drawing"),
        (lambda: SimpleUploadedFile("side.dxf", b"no drawing at all"), "mm", "drawing", "DXF"),
        (lambda: dxf(), "m", "drawing_unit", "unit"),
    ],
)
def test_a_drawing_that_cannot_be_read_is_refused(
    as_fitter: Client, fuel_job: Any, typed: dict[str, Any], file: Any, unit: str, field: str, words: str
) -> None:
    answer = post(as_fitter, fuel_job, typed | {"drawing": file(), "drawing_unit": unit}, "new")
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def gaping_dxf() -> SimpleUploadedFile:
    """Four lines, the last 0.3 mm short, in a drawing that says inches, with a word beside it."""
    document = ezdxf.new(units=1)
    space = document.modelspace()
    for number, start in enumerate(WEDGE):
        end = WEDGE[(number + 1) % 4]
        space.add_line(start, (end[0], end[1] + 0.3) if number == 3 else end)
    space.add_text("side")
    text = io.StringIO()
    document.write(text)
    return SimpleUploadedFile("side.dxf", text.getvalue().encode())


def test_what_was_found_in_a_drawing_is_told_and_kept(as_fitter: Client, fuel_job: Any, typed: Any) -> None:
    told = (
        "4 corners from “side.dxf”, 420.0 long and 240.0 mm high.",
        "The drawing says that it is in inches; taken as millimetres, as you said.",
        "Left out, being no outline: TEXT.",
        "Gaps up to 0.30 mm between lines were closed.",
    )
    answer = post(as_fitter, fuel_job, typed | {"drawing": gaping_dxf(), "drawing_unit": "mm"})
    for words in told:
        assert words in answer.content.decode(), words
    # the form that came back carries it, and so does the sheet that is kept from there
    form = answer.context["form"]
    carried = {name: form.data[name] for name in form.data if name.startswith(("profile", "found"))}
    kept = {key: value for key, value in typed.items() if not key.startswith("profile")} | carried
    post(as_fitter, fuel_job, kept, "new")
    sheet = CalcSheet.objects.get()
    text = as_fitter.get(sheet.get_absolute_url()).content.decode()
    for words in told:
        assert words in text, words
    assert "[&quot;4 corners" not in text


def test_what_was_found_goes_when_the_points_come_from_a_shape(
    as_fitter: Client, fuel_job: Any, typed: Any
) -> None:
    box = {"start": "box", "start_length_mm": "420", "start_height_mm": "240", "found": '["from a drawing"]'}
    post(as_fitter, fuel_job, typed | box, "new")
    assert "found" not in CalcSheet.objects.get().inputs


@pytest.mark.parametrize("forged", ["{", '{"a": 1}', "7"])
def test_a_finding_that_we_did_not_write_is_left_out(
    as_fitter: Client, fuel_job: Any, typed: Any, forged: str
) -> None:
    post(as_fitter, fuel_job, typed | {"found": forged}, "new")
    assert "found" not in CalcSheet.objects.get().inputs

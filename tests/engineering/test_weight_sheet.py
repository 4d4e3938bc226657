"""The weight sheet: typed, worked out, kept, printed, refused."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Weigh the car")


def rows(name: str, *lines: tuple[object, ...]) -> dict[str, str]:
    """As the browser sends a table."""
    columns = {
        "items": ("name", "mass_kg", "x_mm", "y_mm", "z_mm"),
        "changing": ("name", "least_kg", "most_kg", "x_mm", "y_mm", "z_mm"),
        "instead": ("name", "mass_kg", "x_mm", "y_mm", "z_mm"),
    }[name]
    return {
        f"{name}-{number}-{column}": str(cell)
        for number, line in enumerate(lines)
        for column, cell in zip(columns, line, strict=True)
    }


@pytest.fixture
def typed() -> dict[str, str]:
    """A car of 900 kg and 60 L of petrol at 745 kg/m³, half a metre behind the rear axle."""
    return {
        "title": "As built",
        "wheelbase_mm": "2400",
        "track_front_mm": "1300",
        "track_rear_mm": "1300",
        "weighed": "least",
        **rows("items", ("car", 900, 1100, 0, 500)),
        **rows("changing", ("fuel", 0, 44.7, 2900, 0, 450)),
    }


def new(job: Any, act: str = "new") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, "weight"])


def test_full_and_empty_stand_side_by_side(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """Law of the lever, worked by hand: 44.7 kg at 2900 of 2400 mm takes 9.31 kg off the front axle."""
    answer = as_fitter.post(new(job), typed, follow=True)
    sheet = CalcSheet.objects.get()
    text = answer.content.decode()
    assert (sheet.kind, sheet.revision) == ("weight", 1)
    lines = {words: (least, most, change) for words, least, most, change in answer.context["shown"]["rows"]}
    assert lines["Whole car, kg"] == ("900.0", "944.7", "+44.7")
    assert lines["Front axle, kg"] == ("487.5", "478.2", "-9.3")
    assert lines["Rear axle, kg"] == ("412.5", "466.5", "+54.0")
    for words in ("944.7 kg", "can fall", "This sheet does not show compliance", "four equal springs"):
        assert words in text


def test_another_choice_stands_beside_the_list(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    other = rows("instead", ("FUEL", 44.7, 1200, 0, 400), ("spare wheel", 15, 3000, 0, 500))
    answer = as_fitter.post(new(job, "try"), typed | other)
    lines = {words: (before, after) for words, before, after, _ in answer.context["shown"]["instead"]}
    assert lines["Whole car, kg"] == ("944.7", "959.7")
    # fuel over the middle of the wheelbase: half on each axle; the wheel by the lever
    front = 900 * (1 - 1100 / 2400) + 44.7 / 2 + 15 * (1 - 3000 / 2400)
    assert lines["Front axle, kg"][1] == f"{front:.1f}"
    assert not CalcSheet.objects.exists()


def test_scales_say_what_the_list_forgot(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    scales = {"front_left_kg": "240", "front_right_kg": "240", "rear_left_kg": "230", "rear_right_kg": "230"}
    answer = as_fitter.post(new(job, "try"), typed | scales)
    assert answer.context["shown"]["scales"][0] == (
        "40.0 kg is not on the list; it would sit 2850 mm behind the front axle and 0 mm to the right."
    )


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"wheelbase_mm": "2.4"}, "wheelbase_mm", "Check the unit"),
        ({"items-0-mass_kg": "-5"}, "items", "Line 1: car: -5 kg is not a mass"),
        ({"items-0-x_mm": "110000"}, "items", "Line 1: car, behind the front axle"),
        ({"changing-0-most_kg": "9000"}, "changing", "Line 1: fuel: 9000 kg is more than a car"),
        ({"changing-0-least_kg": "50"}, "changing", "the most is less than the least"),
        ({"changing-0-name": "Car"}, "changing", "stands on line 1 too"),
        ({"front_left_kg": "240"}, "rear_right_kg", "all four scales, or none"),
        (
            {f"{end}_{side}_kg": "0" for end in ("front", "rear") for side in ("left", "right")},
            "__all__",
            "All four scales show 0",
        ),
    ],
)
def test_what_cannot_be_meant_is_named_and_nothing_is_kept(
    as_fitter: Client, job: Any, typed: dict[str, str], changes: dict[str, str], field: str, words: str
) -> None:
    answer = as_fitter.post(new(job), typed | changes)
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_a_revision_starts_from_what_was_typed(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    as_fitter.post(new(job), typed)
    sheet = CalcSheet.objects.get()
    page = as_fitter.get(reverse("calc-sheet-revise", args=[sheet.pk])).content.decode()
    assert 'name="items-0-mass_kg" value="900"' in page
    as_fitter.post(reverse("calc-sheet-revise", args=[sheet.pk]), typed | {"items-0-mass_kg": "880"})
    assert CalcSheet.objects.get(revision=2).results["loaded"]["before"]["mass_kg"] == 880


def test_it_is_printed_with_its_list(
    as_fitter: Client, job: Any, typed: dict[str, str], settings: Any
) -> None:
    as_fitter.post(new(job), typed)
    answer = as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk]))
    assert answer["Content-Type"] == "application/pdf"

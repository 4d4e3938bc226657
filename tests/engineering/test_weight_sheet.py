"""The weight sheet: typed, worked out, kept, printed, refused."""

from __future__ import annotations

import csv
import io
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
        "instead": ("choice", "name", "mass_kg", "x_mm", "y_mm", "z_mm"),
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
    other = rows("instead", ("", "FUEL", 44.7, 1200, 0, 400), ("", "spare wheel", 15, 3000, 0, 500))
    answer = as_fitter.post(new(job, "try"), typed | other)
    beside = answer.context["shown"]["beside"]
    assert beside["names"] == ["The other choice"]
    lines = {words: (listed, *cells[0]) for words, listed, cells in beside["rows"]}
    assert lines["Whole car, kg"] == ("944.7", "959.7", "+15.0")
    # fuel over the middle of the wheelbase: half on each axle; the wheel by the lever
    front = 900 * (1 - 1100 / 2400) + 44.7 / 2 + 15 * (1 - 3000 / 2400)
    assert lines["Front axle, kg"][1] == f"{front:.1f}"
    assert not CalcSheet.objects.exists()


def test_two_choices_stand_side_by_side_and_say_what_they_do(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    """By the lever: 44.7 kg moved 1700 mm forwards in 944.7 kg is 80.4 mm; without fuel the car is back."""
    other = rows(
        "instead", ("Tank before the axle", "fuel", "", 1200, "", ""), ("no fuel", "Fuel", 0, "", "", "")
    )
    answer = as_fitter.post(new(job), typed | other, follow=True)
    shown = answer.context["shown"]
    moved, without = shown["choices"]
    assert moved["lines"] == ["fuel: 1200 mm behind the front axle"]
    assert moved["moves"] == (
        "The centre of gravity moves 80 mm forward; front axle +31.7 kg, rear axle -31.7 kg."
    )
    assert (without["name"], without["lines"]) == ("no fuel", ["Fuel: taken off"])
    axle = next(cells for words, _, cells in shown["beside"]["rows"] if words == "Rear axle, kg")
    assert [change for _, change in axle] == [f"{-44.7 * 1700 / 2400:+.1f}", f"{-44.7 * 2900 / 2400:+.1f}"]
    text = answer.content.decode()
    assert "Tank before the axle" in text
    revise = as_fitter.get(reverse("calc-sheet-revise", args=[CalcSheet.objects.get().pk])).content.decode()
    assert 'name="instead-0-mass_kg" value=""' in revise  # what was blank stays so
    assert 'name="instead-1-mass_kg" value="0"' in revise


def test_the_list_and_the_loads_go_to_a_spreadsheet(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    as_fitter.post(new(job), typed | rows("instead", ("no fuel", "fuel", 0, "", "", "")))
    answer = as_fitter.get(reverse("calc-sheet-table", args=[CalcSheet.objects.get().pk]))
    lines = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert lines[1] == ["car", "900.0", "1100", "0", "500"]
    assert lines[2] == ["fuel", "0.0 to 44.7", "2900", "0", "450"]
    assert lines[4] == ["", "least", "most", "no fuel"]
    assert lines[6] == ["Front axle, kg", "487.5", "478.2", "487.5"]


def test_each_item_says_how_far_moving_it_shifts_the_car(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    """100 mm of 44.7 kg: 4.73 mm in 944.7 kg, and 1.86 kg over a wheelbase of 2400 mm."""
    answer = as_fitter.post(new(job), typed, follow=True)
    fuel = answer.context["shown"]["list"][-1]
    assert (fuel["name"], fuel["shift"], fuel["axle"]) == ("fuel", "4.7", "1.86")
    assert "what moving an item by 100 mm does" in answer.content.decode()


def test_a_sheet_from_before_the_choices_had_names_is_shown_as_it_was(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    as_fitter.post(new(job), typed)
    sheet = CalcSheet.objects.get()
    loaded = sheet.results["loaded"]
    del sheet.results["levers"]
    sheet.results["instead"] = {"before": loaded["after"], "after": loaded["before"]}
    sheet.inputs["instead"] = [{"name": "fuel", "mass_kg": 0.0, "x_mm": 2900.0, "y_mm": 0.0, "z_mm": 450.0}]
    sheet.save()
    answer = as_fitter.get(sheet.get_absolute_url())
    assert answer.context["shown"]["beside"]["rows"][0] == ("Whole car, kg", "944.7", [("900.0", "-44.7")])


def test_the_height_comes_from_lifting_the_rear(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """A rigid car turned by hand: 900 kg, centre 1100 mm behind and 500 mm up, axles at 300 mm, lifted 600 of
    2400 mm: cos θ = √0.9375, the rear carries 900 · (1100 cos θ − 200 sin θ) / (2400 cos θ) = 393.1 kg."""
    rear = 900 * (1100 - 200 * 0.25 / 0.9375**0.5) / 2400
    lifted = {
        "front_left_kg": "243.75", "front_right_kg": "243.75", "rear_left_kg": "206.25",
        "rear_right_kg": "206.25", "front_lifted_kg": f"{900 - rear:.4f}", "lift_mm": "600",
        "wheel_radius_mm": "300",
    }  # fmt: skip
    shown = as_fitter.post(new(job, "try"), typed | lifted).context["shown"]
    assert "500 mm above the ground, by the list 500 mm" in shown["scales"][-1]


def test_scales_in_pounds_are_suspected(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    pounds = {"front_left_kg": "537", "front_right_kg": "537", "rear_left_kg": "455", "rear_right_kg": "455"}
    shown = as_fitter.post(new(job, "try"), typed | pounds).context["shown"]
    assert "2.20 times the list: are they set to pounds?" in shown["scales"][-1]


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
        ({"wheelbase_mm": "0"}, "wheelbase_mm", "0 mm is outside 1000 to 6000 mm"),
        ({"track_rear_mm": "nan"}, "track_rear_mm", "“nan” is not a number in mm"),
        ({"items-0-z_mm": "inf"}, "items", "Line 1: Above ground: “inf” is not a number"),
        ({"front_left_kg": "-240"}, "rear_right_kg", "all four scales, or none"),
        (rows("instead", ("A", "heater", "", 500, 0, 800)), "instead", "Line 1: “heater” is not on the list"),
        (
            rows("instead", ("A", "car", 880, "", "", ""), ("a", "Car", 870, "", "", "")),
            "instead",
            "Line 2: “Car” stands twice",
        ),
        (
            rows("instead", ("B", "fuel", "", 90000, "", "")),
            "instead",
            "B: fuel, behind the front axle: 90000",
        ),
        (rows("instead", ("B", "fuel", -4, "", "", "")), "instead", "B: fuel: -4 kg is not a mass"),
        (
            rows("instead", *((letter, "car", 880, "", "", "") for letter in "ABCDE")),
            "instead",
            "5 choices are more than stand side by side",
        ),
        ({"lift_mm": "600"}, "front_lifted_kg", "all three figures of the lifted car"),
        (
            {"lift_mm": "600", "front_lifted_kg": "500", "wheel_radius_mm": "300"},
            "front_lifted_kg",
            "the four scales of the level car too",
        ),
        (
            {"lift_mm": "20", "front_lifted_kg": "500", "wheel_radius_mm": "300"}
            | {f"{end}_{side}_kg": "225" for end in ("front", "rear") for side in ("left", "right")},
            "lift_mm",
            "too little tells nothing",
        ),
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

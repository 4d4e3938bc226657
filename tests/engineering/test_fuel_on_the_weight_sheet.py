"""Fuel on the weight sheet by the kept sheet of its tank: a box and a wedge worked by hand."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.kept_tanks import kept_tank
from engineering.models import CalcSheet

KG_PER_L = 0.745  # petrol, as on the tank sheet


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Weigh the car")


def points(*corners: tuple[float, float]) -> dict[str, str]:
    """A side profile without bends, as the browser sends it."""
    return {
        f"profile-{number}-{key}": str(value)
        for number, (x, z) in enumerate(corners)
        for key, value in (("x_mm", x), ("z_mm", z), ("bend_mm", 0))
    }


BOX = points((0, 0), (600, 0), (600, 200), (0, 200))


def keep_tank(client: Client, job: Any, **changes: str) -> CalcSheet:
    """Inside 600 × 400 × 200 mm: 48 L, of which 45.6 L may be filled in."""
    typed = {
        "title": "Main tank", "width_mm": "400", "measured": "inside", "thickness_mm": "2",
        "metal": "mild_steel", "stretch": "width_mm", "liquid": "petrol", "foam": "none",
        "foam_percent": "100", "pickup_x_mm": "100", "pickup_y_mm": "200", "pickup_z_mm": "5",
        "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "dip_step_mm": "50", "sender": "none",
        "surge_g": "0.5",
    }  # fmt: skip
    shape = {} if any(name.startswith("profile-") for name in changes) else BOX
    answer = client.post(reverse("calc-sheet-new", args=[job.pk, "profile"]), typed | shape | changes)
    assert answer.status_code == 302, answer.context["form"].errors
    return CalcSheet.objects.get(kind="profile", title=changes.get("title", "Main tank"))


def car(tank: CalcSheet, **changes: str) -> dict[str, str]:
    """900 kg, and the tank with its lower right rear edge 3000 mm behind the front axle, 200 mm right."""
    return {
        "title": "As built", "wheelbase_mm": "2400", "track_front_mm": "1300", "track_rear_mm": "1300",
        "weighed": "least", "items-0-name": "car", "items-0-mass_kg": "900", "items-0-x_mm": "1100",
        "items-0-y_mm": "0", "items-0-z_mm": "500", "fuel_sheet": str(tank.pk), "fuel_x_mm": "3000",
        "fuel_y_mm": "200", "fuel_z_mm": "300", "fuel_least_l": "0", "fuel_most_l": "48", **changes,
    }  # fmt: skip


def address(job: Any, act: str = "new") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, "weight"])


def test_a_box_by_hand(as_fitter: Client, job: Any) -> None:
    """Its liquid lies 300 mm before the tank's rear edge and 200 mm left of its right side: 2700 mm behind
    the axle, in the middle of the car; at half the depth of the liquid over the floor at 300 mm."""
    tank = keep_tank(as_fitter, job)
    answer = as_fitter.post(address(job), car(tank), follow=True)
    sheet = CalcSheet.objects.get(kind="weight")
    rows = sheet.results["fuel"]
    assert [row["litres"] for row in rows] == pytest.approx([48 - 4.8 * step for step in range(11)])
    for row in rows[:-1]:
        mass = row["litres"] * KG_PER_L
        assert row["item"]["mass_kg"] == pytest.approx(mass)
        assert row["item"]["x_mm"] == pytest.approx(2700, abs=1e-6)
        assert row["item"]["y_mm"] == pytest.approx(0, abs=1e-6)
        assert row["item"]["z_mm"] == pytest.approx(300 + row["litres"] / 48 * 100, abs=1e-6)
        rear = (900 * 1100 + mass * 2700) / 2400
        assert row["corners"]["rear_left"] + row["corners"]["rear_right"] == pytest.approx(rear)
        assert row["z_mm"] == pytest.approx((900 * 500 + mass * row["item"]["z_mm"]) / (900 + mass), abs=1e-6)
    assert sheet.results["loaded"]["before"]["mass_kg"] == pytest.approx(900)
    assert sheet.results["loaded"]["after"]["mass_kg"] == pytest.approx(900 + 48 * KG_PER_L)
    assert "Main tank, revision 1" in answer.content.decode()


def test_a_wedge_moves_its_centre_as_it_empties(as_fitter: Client, job: Any) -> None:
    """A triangle standing on its edge along x = 0: its centroid lies a third of its sides from the upright.

    Full: x = 200 of 600 mm, z = 400/3 of 200 mm. At a quarter of the litres it is the same triangle at half
    size: x = 100, z = 200/3."""
    wedge = points((0, 0), (600, 200), (0, 200))
    tank = keep_tank(as_fitter, job, **wedge, pickup_x_mm="30", pickup_z_mm="30")
    as_fitter.post(address(job), car(tank, fuel_least_l="6", fuel_most_l="24"))
    rows = CalcSheet.objects.get(kind="weight").results["fuel"]
    full, quarter = rows[0]["item"], rows[-1]["item"]
    assert (full["x_mm"], full["z_mm"]) == pytest.approx((3000 - 200, 300 + 400 / 3), abs=1e-4)
    assert (quarter["x_mm"], quarter["z_mm"]) == pytest.approx((3000 - 100, 300 + 200 / 3), abs=1e-4)


def test_a_stretched_tank_is_weighed_as_it_is_made(as_fitter: Client, job: Any) -> None:
    """Wanted 91.2 L doubles the width to 800 mm: the middle of the liquid lies 400 mm left of the side."""
    tank = keep_tank(as_fitter, job, wanted_l="91.2")
    as_fitter.post(address(job), car(tank, fuel_most_l=""))
    full = CalcSheet.objects.get(kind="weight").results["fuel"][0]
    assert full["litres"] == pytest.approx(91.2, abs=1e-4)
    assert full["item"]["y_mm"] == pytest.approx(200 - 400, abs=1e-3)


@pytest.mark.parametrize("stretch", ["width_mm", "length_mm", "height_mm"])
def test_a_stretched_tank_with_a_pot_is_built_again_alike(as_fitter: Client, job: Any, stretch: str) -> None:
    """Its full liquid weighs and lies as the tank's own sheet has it."""
    pot = {"pot_x_mm": "100", "pot_y_mm": "100", "pot_length_mm": "150", "pot_width_mm": "150"}
    rising = points((0, 0), (600, 60), (600, 260), (0, 200))
    typed = pot | rising | {"pot_depth_mm": "50", "wanted_l": "60", "stretch": stretch, "pickup_z_mm": "60"}
    tank = keep_tank(as_fitter, job, **typed)
    as_fitter.post(address(job), car(tank, fuel_most_l=""))
    full = CalcSheet.objects.get(kind="weight").results["fuel"][0]["item"]
    x, y, z = tank.results["liquid_centre_mm"]
    assert full["mass_kg"] == pytest.approx(tank.results["liquid_kg"])
    assert (full["x_mm"], full["y_mm"], full["z_mm"]) == pytest.approx((3000 - x, 200 - y, 300 + z), abs=1e-3)


def test_the_sheet_keeps_to_the_revision_that_it_used(as_fitter: Client, job: Any) -> None:
    tank = keep_tank(as_fitter, job)
    as_fitter.post(address(job), car(tank))
    revise = reverse("calc-sheet-revise", args=[tank.pk])
    typed = {name: str(value) for name, value in tank.inputs.items() if name != "profile"}
    as_fitter.post(revise, typed | BOX | {"title": "Main tank", "width_mm": "500"})
    assert CalcSheet.objects.get(kind="profile", revision=2)
    weighed = CalcSheet.objects.get(kind="weight")
    assert weighed.inputs["fuel_sheet"] == {"sheet": tank.pk, "title": "Main tank", "revision": 1}
    warned = as_fitter.get(weighed.get_absolute_url()).content.decode()
    assert "Main tank has changed since." in warned
    assert "revision 2</a> is the newest. Revise this sheet with it." in warned
    page = as_fitter.get(reverse("calc-sheet-revise", args=[weighed.pk])).content.decode()
    assert f'<option value="{tank.pk}" selected>Main tank, revision 1</option>' in page
    assert "Main tank, revision 2</option>" in page
    as_fitter.post(reverse("calc-sheet-revise", args=[weighed.pk]), car(tank, fuel_most_l="24"))
    assert CalcSheet.objects.get(kind="weight", revision=2).inputs["fuel_sheet"] == kept_tank(tank)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"fuel_most_l": "60"}, "fuel_most_l", "does not go in; the brim is at 48.00 L"),
        ({"fuel_least_l": "-1"}, "fuel_least_l", "less than nothing"),
        ({"fuel_least_l": "48"}, "fuel_least_l", "not less than the most"),
        ({"fuel_x_mm": ""}, "fuel_x_mm", "Say where in the car the tank is"),
        ({"fuel_x_mm": "30000"}, "fuel_sheet", "Main tank, behind the front axle"),
        ({"fuel_sheet": "999999"}, "fuel_sheet", "999999 is not one of the available choices"),
        ({"items-0-name": "main tank"}, "fuel_sheet", "stands on line 1 too"),
    ],
)
def test_fuel_that_cannot_be_meant_is_named_and_nothing_is_kept(
    as_fitter: Client, job: Any, changes: dict[str, str], field: str, words: str
) -> None:
    answer = as_fitter.post(address(job), car(keep_tank(as_fitter, job), **changes))
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.filter(kind="weight").exists()


def test_the_tank_of_another_car_is_not_offered(as_fitter: Client, job: Any, make_job: Any) -> None:
    tank = keep_tank(as_fitter, job)
    other = make_job(
        type(job.car).objects.create(name="Dunlin", description="1964 saloon", place="bay 3"),
        "Weigh the other car",
    )
    assert "Main tank, revision 1" not in as_fitter.get(address(other)).content.decode()
    answer = as_fitter.post(address(other), car(tank))
    assert "fuel_sheet" in answer.context["form"].errors


def test_a_specific_gravity_typed_on_the_tank_sheet_is_the_one_weighed(as_fitter: Client, job: Any) -> None:
    """48 L of a fuel of 0.8 kg/L, by hand."""
    tank = keep_tank(as_fitter, job, specific_gravity="0.8")
    as_fitter.post(address(job), car(tank))
    rows = CalcSheet.objects.get(kind="weight").results["fuel"]
    assert rows[0]["item"]["mass_kg"] == pytest.approx(48 * 0.8)

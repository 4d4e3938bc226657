"""A kept wire list on the weight sheet of its car, and its mass as a fact of a part."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engineering.loom.wires import WIRES
from engineering.models import CalcSheet
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Weigh the car")


@pytest.fixture
def loom(job: Any, fitter: Any) -> CalcSheet:
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    return calc_sheet_save(
        job=job, kind="loom", title="Main loom", inputs=inputs, by=fitter, at=timezone.now()
    )


def by_hand_kg(loom: CalcSheet) -> float:
    """Copper 8.89 g/cm³ over the nominal area, insulation 1.35 over the ring, at the cut lengths."""
    sizes = {wire.name: wire for series in WIRES.values() for wire in series}
    total_g = 0.0
    for row in loom.results["cut"]:
        wire, metres = sizes[row["size"]], row["cut_mm"] / 1000
        ring_mm2 = 3.141592653589793 / 4 * (wire.outer_mm**2 - wire.copper_mm**2)
        total_g += metres * (8.89 * wire.area_mm2 + 1.35 * ring_mm2)
    return total_g / 1000


def car(loom: CalcSheet | None, **changes: str) -> dict[str, str]:
    """900 kg at 1100 mm, and the loom 1500 mm behind the front axle."""
    return {
        "title": "As built", "wheelbase_mm": "2400", "track_front_mm": "1300", "track_rear_mm": "1300",
        "weighed": "least", "items-0-name": "car", "items-0-mass_kg": "900", "items-0-x_mm": "1100",
        "items-0-y_mm": "0", "items-0-z_mm": "500", "loom_sheet": str(loom.pk) if loom else "",
        "loom_x_mm": "1500", "loom_y_mm": "0", "loom_z_mm": "450", **changes,
    }  # fmt: skip


def new(job: Any) -> str:
    return reverse("calc-sheet-new", args=[job.pk, "weight"])


def test_the_loom_counts_with_its_copper_and_insulation(as_fitter: Client, job: Any, loom: CalcSheet) -> None:
    answer = as_fitter.post(new(job), car(loom), follow=True)
    sheet = CalcSheet.objects.get(kind="weight")
    after, kg = sheet.results["loaded"]["after"], by_hand_kg(loom)
    assert 5 < kg < 20
    assert after["mass_kg"] == pytest.approx(900 + kg)
    assert after["x_mm"] == pytest.approx((900 * 1100 + kg * 1500) / (900 + kg))
    page = answer.content.decode()
    assert f"Main loom, revision 1</a>: {kg:.2f} kg" in page
    assert any(line["name"].startswith("Main loom") for line in answer.context["shown"]["list"])


def test_a_car_without_a_loom_sheet_is_as_before(as_fitter: Client, job: Any, loom: CalcSheet) -> None:
    as_fitter.post(new(job), car(None))
    sheet = CalcSheet.objects.get(kind="weight")
    assert sheet.results["loaded"]["after"]["mass_kg"] == 900
    assert "loom_x_mm" not in sheet.inputs
    assert "loom" not in sheet.results


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"loom_x_mm": ""}, "loom_x_mm", "Say where in the car"),
        ({"loom_sheet": "999999"}, "loom_sheet", "valid choice"),
        ({"loom_x_mm": "90000"}, "loom_sheet", "90000"),
    ],
)
def test_what_cannot_be_meant_is_told_beside_its_field(
    as_fitter: Client, job: Any, loom: CalcSheet, changes: dict[str, str], field: str, words: str
) -> None:
    answer = as_fitter.post(new(job), car(loom, **changes))
    assert words in " ".join(answer.context["form"].errors[field])
    assert not CalcSheet.objects.filter(kind="weight").exists()


def test_looms_of_other_cars_are_not_offered(
    as_fitter: Client, loom: CalcSheet, skua: Any, make_job: Any
) -> None:
    other = make_job(skua, "Weigh the other")
    page = as_fitter.get(new(other)).content.decode()
    assert "Main loom, revision 1" not in page


def test_its_mass_goes_into_its_part(as_manager: Client, loom: CalcSheet, tern: Any, make_part: Any) -> None:
    part = make_part(tern, "Main loom, made")
    as_manager.post(reverse("calc-sheet-part", args=[loom.pk]), {"part": str(part.pk)})
    as_manager.post(reverse("sheet-take-over", args=[loom.pk]))
    part.refresh_from_db()
    assert part.mass_kg == Decimal(str(by_hand_kg(loom))).quantize(Decimal("0.001"))

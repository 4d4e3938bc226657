"""Every sheet about fuel carries its cautions with their source, on the page and on paper."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from builds.demo.sheets import FILLING, FUEL_TANK, LINES, OIL_TANK, WEIGHT, oil_tank_file
from engineering.models import CalcSheet

HOT_WORK = ("Never weld, cut, grind or drill a tank that has held fuel", "INDG314")
VAPOUR = ("Petrol vapour burns", "HSG146")
RULES = (
    "This sheet does not show compliance. Check with a competent person",
    "UNECE Regulation 34",
    "Construction and Use Regulations 1986, regulation 39",
)
MADE = ("competent welder", "ISO 9606", "Test for leaks with water", "0.3 bar on a panel")
"""Of sheets from which a tank is made: who welds it, and a pressure test only with what it can do."""

DRUM = {name: value for name, value in FUEL_TANK.items() if not name.startswith(("profile", "pot", "vents"))}
DRUM |= {
    "lie": "crosswise", "diameter_mm": "300", "straight_mm": "700", "first_end": "flat",
    "second_end": "flat", "wanted_l": "", "stretch": "straight_mm", "pickup_x_mm": "150",
    "pickup_y_mm": "350", "pickup_z_mm": "10", "stick_x_mm": "150", "stick_y_mm": "350",
    "sender": "none",
}  # fmt: skip
MESH = OIL_TANK | {"liquid": "petrol", "expansion_percent": "5", "hottest_c": "50"}


@pytest.fixture
def keep(as_fitter: Client, fuel_job: Any) -> Callable[..., CalcSheet]:
    def kept(kind: str, typed: dict[str, Any]) -> CalcSheet:
        answer = as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, kind]), typed)
        assert answer.status_code == 302, answer.context["form"].errors
        return CalcSheet.objects.get(kind=kind)

    return kept


def page_and_paper(client: Client, sheet: CalcSheet) -> list[str]:
    page = client.get(sheet.get_absolute_url()).content.decode()
    pdf = client.get(reverse("calc-sheet-print", args=[sheet.pk])).content
    paper = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return [" ".join(text.split()) for text in (page, paper)]


@pytest.mark.parametrize("kind", ["tank", "profile", "drum", "mesh"])
def test_a_fuel_tank_is_cautioned_about_on_page_and_paper(
    as_fitter: Client, keep: Any, typed_tank: dict[str, str], kind: str
) -> None:
    typed = {"tank": typed_tank, "profile": FUEL_TANK, "drum": DRUM, "mesh": MESH}[kind]
    files = {"file": oil_tank_file()} if kind == "mesh" else {}
    for text in page_and_paper(as_fitter, keep(kind, typed | files)):
        for words in (*HOT_WORK, *VAPOUR, *RULES, *MADE):
            assert words in text, words


def test_filling_and_fuel_lines_are_cautioned_about_too(as_fitter: Client, keep: Any) -> None:
    for sheet in (keep("filling", FILLING | {"tank_l": "76"}), keep("lines", LINES)):
        for text in page_and_paper(as_fitter, sheet):
            for words in (*HOT_WORK, *VAPOUR, *RULES):
                assert words in text, words


def test_a_car_weighed_with_fuel_in_it_is_cautioned_about(as_fitter: Client, keep: Any) -> None:
    tank = keep("profile", FUEL_TANK)
    for text in page_and_paper(as_fitter, keep("weight", WEIGHT | {"fuel_sheet": str(tank.pk)})):
        for words in (*HOT_WORK, *VAPOUR, *RULES, "battery off", "can fall"):
            assert words in text, words


def test_an_oil_tank_is_not_about_petrol_but_about_hot_work(as_fitter: Client, keep: Any) -> None:
    for text in page_and_paper(as_fitter, keep("mesh", OIL_TANK | {"file": oil_tank_file()})):
        assert "Petrol vapour" not in text
        for words in HOT_WORK:
            assert words in text

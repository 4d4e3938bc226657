"""The demo's tank sheets: a fuel tank from a wanted capacity to the axles; an oil tank from a file."""

from __future__ import annotations

import math
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.management import call_command
from django.urls import reverse

from builds.demo.sheets import TANK_TITLE
from builds.models import Person
from engineering.models import CalcSheet


@pytest.fixture
def demo(db: Any) -> None:
    call_command("load_demo")


def sheet(kind: str, car: str) -> CalcSheet:
    sheets = CalcSheet.objects.select_related("part", "job__car").filter(kind=kind, job__car__name=car)
    return sheets.latest("revision")


def test_the_fuel_tank_is_made_from_what_it_has_to_hold(demo: None, client: Any) -> None:
    tank = sheet("profile", "Gannet")
    assert (tank.title, tank.part.name) == (TANK_TITLE, "Fuel tank")
    assert tank.results["filled_l"] == pytest.approx(72, abs=1e-4)
    assert tank.results["pot"]["seconds"] > 8  # the bend that was asked for
    assert len(tank.results["sender"]["rows"]) == 7
    assert tank.results["brimming"][0]["words"] == "level"
    # filling: 45 L/min through 16 mm, by hand
    assert sheet("filling", "Gannet").results["filling"]["air"]["velocity_m_s"] == pytest.approx(
        45 / 60000 / (math.pi / 4 * 0.016**2), rel=1e-6
    )
    # weight: the fuel that the sheet fills in, at the density of petrol
    weight = sheet("weight", "Gannet")
    assert weight.inputs["fuel_sheet"]["sheet"] == tank.pk
    assert weight.results["fuel"][0]["item"]["mass_kg"] == pytest.approx(72 * 0.745, rel=1e-5)
    # filling: vents in both rear corners trap less than either of them alone
    brimming = sheet("filling", "Gannet").results["brimming"]
    assert brimming["brim_l"] == pytest.approx(tank.results["brim_l"])
    both, *alone = ([way["trapped_l"] for way in ways] for ways in (brimming["ways"], *brimming["alone"]))
    assert 0 < max(both) < min(max(trapped) for trapped in alone)
    # lines: 118 kW at 310 g/kWh and 745 kg/m³, a fifth on top
    lines = sheet("lines", "Gannet")
    assert lines.results["pump"]["needed_l_h"] == pytest.approx(118 * 0.310 / 0.745 * 1.2)
    # the oil tank: π/4 · 190² · 400 mm³, kept within the drawing's facets
    oil = sheet("mesh", "Skua")
    assert oil.part.name == "Oil tank"
    assert oil.results["gross_l"] == pytest.approx(math.pi / 4 * 0.19**2 * 400, rel=1e-3)
    client.force_login(Person.objects.get(name="Tomas Kell"))
    for one in (tank, sheet("filling", "Gannet"), lines, weight, oil):
        page = client.get(reverse("calc-sheet", args=[one.pk]))
        assert page.status_code == 200
        assert one.title in page.content.decode()


def test_the_maker_works_to_an_older_revision_of_the_tank(demo: None, client: Any) -> None:
    """It went out before the pot was made deeper, so everybody who looks is told whom to ring."""
    tank = sheet("profile", "Gannet")
    assert tank.revision == 2
    client.force_login(Person.objects.get(name="Maud Ellery"))
    page = client.get(tank.get_absolute_url()).content.decode()
    assert "An older revision is out." in page
    assert "Harrow Lane Fabrications has Fuel tank since" in page
    assert tank.part.mass_kg == Decimal(str(round(tank.results["empty_kg"], 3)))  # taken over into the part


def test_they_were_kept_before_today(demo: None) -> None:
    assert all(kept.made_at.date() < date.today() for kept in CalcSheet.objects.all())

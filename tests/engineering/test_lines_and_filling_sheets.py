"""Pipes and pump, and filling and breathing, as sheets: worked out, kept, refused."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet

LINE = ("name", "duty", "bore_mm", "length_m", "loss_k", "rise_m")


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Pipe the fuel system")


def lines(*rows: tuple[object, ...]) -> dict[str, str]:
    return {
        f"lines-{number}-{column}": str(cell)
        for number, row in enumerate(rows)
        for column, cell in zip(LINE, row, strict=True)
    }


@pytest.fixture
def typed_lines() -> dict[str, str]:
    """150 kW at 304 g/kWh: 45.6 kg/h, 61.2 L/h of petrol at 745 kg/m³."""
    return {
        "title": "Fuel lines",
        "fluid": "petrol",
        "power_kw": "150",
        "consumption_g_kwh": "304",
        "rail_kpa": "300",
        "margin_percent": "20",
        **lines(("To the rail", "feed", 7.9, 4, 0, 0), ("Back", "Return", 6.35, 4, 0, 0)),
    }


@pytest.fixture
def typed_filling() -> dict[str, str]:
    return {
        "title": "Main filler",
        "litres_per_min": "45",
        "nozzle_over_brim_mm": "150",
        "liquid_kg_m3": "745",
        "bore_mm": "14.3",
        "length_m": "2",
        "fittings_k": "3",
        "vents": "1",
        "outlet_over_nozzle_mm": "50",
        "tank_l": "60",
        "consumption_l_h": "61.2",
        "warming_c_h": "10",
        "air_c": "20",
    }


def address(job: Any, kind: str, act: str = "new") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, kind])


def test_pump_and_lines_are_worked_out_and_kept(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    answer = as_fitter.post(address(job, "lines"), typed_lines, follow=True)
    shown = answer.context["shown"]
    assert shown["burnt"] == "45.6 kg/h, 61.2 L/h"
    assert shown["needed"] == "73"  # 61.2 with a fifth on top
    assert [line["duty"] for line in shown["lines"]] == ["pressure", "return"]
    assert float(shown["pressure"]) > 300
    text = answer.content.decode()
    for words in ("Crane TP-410", "Relieve the pressure", "This sheet does not show compliance"):
        assert words in text
    assert CalcSheet.objects.get().kind == "lines"


def test_a_suction_line_that_is_too_thin_says_what_would_do(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    """20 L/min and at most 1.5 m/s: a hydraulics maker prints 17 mm."""
    thin = (
        typed_lines | lines(("Pickup", "suction", 10, 1, 0.5, 0.2)) | {"power_kw": "1470", "lines-1-name": ""}
    )
    thin |= {"consumption_g_kwh": "608.16", "margin_percent": "0"}  # 20.0 L/min
    thin = {key: value for key, value in thin.items() if not key.startswith("lines-1")}
    answer = as_fitter.post(address(job, "lines", "try"), thin)
    (line,) = answer.context["shown"]["lines"]
    assert line["remark"].startswith("faster than usual in a suction line: 16.8 mm or more")


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"power_kw": "0"}, "power_kw", "outside 1 to 1500 kW"),
        ({"lines-0-bore_mm": "0"}, "lines", "Line 1: Bore: 0 mm is outside"),
        ({"lines-1-duty": "vent"}, "lines", "neither suction, feed nor return"),
        ({"lines-1-length_m": "4 ft"}, "lines", "Line 2: Length: “4 ft” is not a number in m"),
    ],
)
def test_lines_that_cannot_be_are_named(
    as_fitter: Client, job: Any, typed_lines: dict[str, str], changes: dict[str, str], field: str, words: str
) -> None:
    answer = as_fitter.post(address(job, "lines"), typed_lines | changes)
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_a_generous_vent_fills_and_other_bores_stand_beside_it(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    answer = as_fitter.post(address(job, "filling"), typed_filling, follow=True)
    shown = answer.context["shown"]
    assert shown["verdict"] == "fills without clicking off"
    assert shown["breath_in"] == "1.02"  # 61.2 L/h
    verdicts = [row["verdict"] for row in shown["bores"]]
    assert verdicts == sorted(verdicts)  # once a bore is wide enough, so are the wider ones
    assert "roll-over valve" in answer.content.decode()


def test_a_thin_vent_clicks_off_and_a_low_outlet_is_said(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    thin = typed_filling | {"bore_mm": "8", "nozzle_over_brim_mm": "120", "outlet_over_nozzle_mm": "-20"}
    shown = as_fitter.post(address(job, "filling", "try"), thin).context["shown"]
    assert shown["verdict"] == "clicks off before the tank is full"
    assert any("below the nozzle" in remark for remark in shown["remarks"])


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"bore_mm": "-3"}, "bore_mm", "outside 1 to 150 mm"),
        ({"bore_mm": "2"}, "bore_mm", "Give it a wider bore"),
        ({"fittings_k": "-1"}, "fittings_k", "outside 0 to 500"),
        ({"tank_l": "-60"}, "tank_l", "outside 0 to 2000 L"),
        ({"liquid_kg_m3": "80000"}, "liquid_kg_m3", "outside 600 to 1300"),
        ({"vents": "1.5"}, "vents", "not a whole number"),
    ],
)
def test_a_filler_that_cannot_be_is_named(
    as_fitter: Client,
    job: Any,
    typed_filling: dict[str, str],
    changes: dict[str, str],
    field: str,
    words: str,
) -> None:
    answer = as_fitter.post(address(job, "filling"), typed_filling | changes)
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(("kind", "typed"), [("lines", "typed_lines"), ("filling", "typed_filling")])
def test_both_are_printed(
    as_fitter: Client, job: Any, kind: str, typed: str, request: pytest.FixtureRequest
) -> None:
    as_fitter.post(address(job, kind), request.getfixturevalue(typed))
    answer = as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk]))
    assert answer["Content-Type"] == "application/pdf"

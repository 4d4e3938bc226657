"""Pipes and pump, and filling and breathing, as sheets: worked out, kept, refused."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet

LINE = ("name", "duty", "bore_mm", "length_m", "loss_k", "rise_m", "dash")


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Pipe the fuel system")


def lines(*rows: tuple[object, ...]) -> dict[str, str]:
    return {
        f"lines-{number}-{column}": str(cell)
        for number, row in enumerate(rows)
        for column, cell in zip(LINE, row, strict=False)
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


def test_a_dash_size_is_read_and_the_smallest_usual_sizes_are_said(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    """73.4 L/h at most 3 m/s need 2.9 mm: 4 mm, or -4 with its bore of 4.57 mm."""
    dashed = typed_lines | lines(("To the rail", "feed", "", 4, 0, 0, "-6"))
    answer = as_fitter.post(address(job, "lines"), dashed, follow=True)
    feed = answer.context["shown"]["lines"][0]
    assert (feed["size"], feed["least"]) == ("-6 (7.7 mm) × 4 m", "4 mm or -4")
    flow = 61.2 * 1.2 / 3.6e6
    assert float(feed["velocity"]) == pytest.approx(flow / (math.pi / 4 * 0.007747**2), abs=0.006)
    sheet = CalcSheet.objects.get()
    page = as_fitter.get(reverse("calc-sheet-revise", args=[sheet.pk])).content.decode()
    assert 'name="lines-0-dash" value="-6"' in page
    assert 'name="lines-0-bore_mm" value=""' in page


def test_the_pump_on_the_bench_is_held_against_what_is_needed(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    """130 L/h flow in all lines; 61.2 of them are burnt, the rest goes back."""
    large = as_fitter.post(address(job, "lines", "try"), typed_lines | {"delivers_l_h": "130"})
    shown = large.context["shown"]
    assert shown["verdict"] == "The pump is large enough: 130 L/h, where 73 L/h are needed."
    assert "130 L/h at idle, 69 L/h at full power" in shown["heads"][0]
    speed = 130 / 3.6e6 / (math.pi / 4 * 0.0079**2)
    assert float(shown["lines"][0]["velocity"]) == pytest.approx(speed, abs=0.006)
    small = as_fitter.post(address(job, "lines", "try"), typed_lines | {"delivers_l_h": "60"})
    assert small.context["shown"]["verdict"].startswith("The pump is too small: it delivers 60 L/h of the 73")


def test_the_head_of_the_pickup_is_said(as_fitter: Client, job: Any, typed_lines: dict[str, str]) -> None:
    """A bore so wide that only height counts: 0.4 m of petrol at 745 kg/m³ are 2.92 kPa."""
    lifted = typed_lines | lines(("To the rail", "feed", 7.9, 4), ("Pickup", "suction", 40, 0.5, 0, 0.4))
    shown = as_fitter.post(address(job, "lines", "try"), lifted).context["shown"]
    assert f"{745 * 9.80665 * 0.4 / 1000:.1f} kPa below that in the tank" in shown["heads"][0]
    assert "41 kPa are missing" in shown["heads"][0]
    flooded = lifted | {"lines-1-rise_m": "-0.2"}
    shown = as_fitter.post(address(job, "lines", "try"), flooded).context["shown"]
    assert shown["heads"][0].startswith("The pump is flooded: fuel stands 1.5 kPa")


def test_the_scheme_names_each_line_with_what_it_loses(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    answer = as_fitter.post(address(job, "lines", "try"), typed_lines)
    shown = answer.context["shown"]
    said = [text.words for text in shown["scheme"].texts]
    for line in shown["lines"]:
        assert f"{line['name']}: {line['size']}, {line['drop']} kPa" in said
    assert f"{shown['pressure']} kPa" in said
    assert 'role="img"' in answer.content.decode()


def test_oil_and_coolant_take_a_flow_and_no_engine(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    water = typed_lines | {"fluid": "water", "power_kw": "", "flow_l_h": "3000", "rail_kpa": "50"}
    answer = as_fitter.post(address(job, "lines"), water, follow=True)
    shown = answer.context["shown"]
    assert (shown["needed"], shown["burnt"]) == ("3000", "")
    text = answer.content.decode()
    assert "hot coolant scald" in text
    assert "Petrol vapour" not in text


def test_a_sheet_of_lines_from_before_is_shown_as_it_was(
    as_fitter: Client, job: Any, typed_lines: dict[str, str]
) -> None:
    as_fitter.post(address(job, "lines"), typed_lines)
    sheet = CalcSheet.objects.get()
    for name in ("suction_kpa", "return_kpa", "carried_l_h"):
        del sheet.results["pump"][name]
    for row, line in zip(sheet.inputs["lines"], sheet.results["lines"], strict=True):
        del row["dash"], line["bore_mm"], line["next_mm"], line["next_dash"]
    sheet.save()
    assert as_fitter.get(sheet.get_absolute_url()).context["shown"]["lines"][0]["size"] == "7.9 mm × 4 m"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"power_kw": ""}, "power_kw", "give it, or a flow that is not"),
        ({"power_kw": "inf"}, "power_kw", "“inf” is not a number"),
        ({"flow_l_h": "0"}, "flow_l_h", "0 L/h is outside"),
        ({"delivers_l_h": "0"}, "delivers_l_h", "0 L/h is outside"),
        ({"lines-0-dash": "-7", "lines-0-bore_mm": ""}, "lines", "Line 1: Dash size: -7 is not one of"),
        ({"lines-0-dash": "six", "lines-0-bore_mm": ""}, "lines", "“six” is not a dash size"),
        ({"lines-0-dash": "-6"}, "lines", "Line 1: give a bore in mm or a dash size, one of the two"),
        ({"lines-0-bore_mm": ""}, "lines", "Line 1: give a bore in mm or a dash size, one of the two"),
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
    assert shown["breathing"][0].startswith("1.02 L/min of air come in")  # 61.2 L/h
    verdicts = [row["verdict"] for row in shown["bores"]]
    assert verdicts == sorted(verdicts)  # once a bore is wide enough, so are the wider ones
    assert "roll-over valve" in answer.content.decode()


def test_a_thin_vent_clicks_off_and_a_low_outlet_is_said(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    thin = typed_filling | {"bore_mm": "8", "nozzle_over_brim_mm": "120", "outlet_over_nozzle_mm": "-20"}
    shown = as_fitter.post(address(job, "filling", "try"), thin).context["shown"]
    assert shown["verdict"] == "clicks off before the tank is full"
    assert "20 mm below the nozzle" in shown["outlet"]


def test_the_neck_is_drawn_to_scale(as_fitter: Client, job: Any, typed_filling: dict[str, str]) -> None:
    """Nozzle 150 mm, vent's outlet 200 mm over the brim: the tallest takes 200 units, so a unit is a mm."""
    answer = as_fitter.post(address(job, "filling", "try"), typed_filling)
    neck = answer.context["shown"]["neck"]
    assert f"V{262 - 150:.1f}h22.0" in neck.spout
    assert f"V{262 - 200:.1f}h-30v14" in neck.vent
    assert "nozzle’s mouth 150 mm" in answer.content.decode()


def test_the_fastest_filling_is_said_for_each_bore(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    """Where it fills at 45 L/min the fastest filling is more than that, and less where it clicks off."""
    shown = as_fitter.post(address(job, "filling", "try"), typed_filling).context["shown"]
    for row in shown["bores"]:
        most = 240.0 if row["most"] == "any" else float(row["most"])
        assert (most > 45) == (row["verdict"] == "fills")


def test_narrow_fittings_and_a_valve_raise_the_pressure(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    """A valve that loses 200 Pa at 45 L/min adds just that; two barbs of half the bore add 15 heads each."""
    fitted = typed_filling | {"valve_pa": "200", "valve_l_min": "45"}
    barbs = typed_filling | {"narrowest_mm": "7.15", "narrow_places": "2"}
    bare, valve, narrow = (
        float(as_fitter.post(address(job, "filling", "try"), typed).context["shown"]["pressure"])
        for typed in (typed_filling, fitted, barbs)
    )
    speed = 45 / 60_000 / (math.pi / 4 * 0.0143**2)
    assert valve - bare == pytest.approx(200, abs=1)
    assert narrow - bare == pytest.approx(2 * 15 * 1.204 * speed**2 / 2, abs=1)


def test_the_breather_says_what_it_takes(as_fitter: Client, job: Any, typed_filling: dict[str, str]) -> None:
    """1.02 L/min through 4 mm × 1 m is laminar: Hagen and Poiseuille, 128 μ L Q / (π d⁴), 49 Pa, with 1.5
    heads at its ends, 1.7 Pa; the valve, 100 Pa at twice the flow, adds a quarter."""
    breather = typed_filling | {"breather_bore_mm": "4", "breather_length_m": "1"}
    breather |= {"breather_valve_pa": "100", "breather_valve_l_min": "2.04"}
    lines = as_fitter.post(address(job, "filling", "try"), breather).context["shown"]["breathing"]
    flow = 1.02 / 60_000
    wall = 128 * 0.0181e-3 * flow / (math.pi * 0.004**4)
    ends = 1.5 * 1.204 / 2 * (flow / (math.pi / 4 * 0.004**2)) ** 2
    assert f"takes {wall + ends + 25:.0f} Pa of suction" in lines[1]


def box_tank(client: Client, job: Any, **changes: str) -> CalcSheet:
    """Inside 600 × 400 × 200 mm, 48 L, by its side profile."""
    corners = ((0, 0), (600, 0), (600, 200), (0, 200))
    typed = {
        f"profile-{number}-{key}": str(value)
        for number, (x, z) in enumerate(corners)
        for key, value in (("x_mm", x), ("z_mm", z), ("bend_mm", 0))
    } | {
        "title": "Box tank", "start": "typed", "width_mm": "400", "measured": "inside", "thickness_mm": "2",
        "metal": "mild_steel", "stretch": "width_mm", "liquid": "petrol", "foam": "none",
        "foam_percent": "100", "pickup_x_mm": "100", "pickup_y_mm": "200", "pickup_z_mm": "5",
        "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "dip_step_mm": "50", "sender": "none",
        "surge_g": "0.5", **changes,
    }  # fmt: skip
    answer = client.post(reverse("calc-sheet-new", args=[job.pk, "profile"]), typed)
    assert answer.status_code == 302, answer.context["form"].errors
    return CalcSheet.objects.get(kind="profile")


def mouths(*places: tuple[float, float, float]) -> dict[str, str]:
    return {
        f"vent_mouths-{number}-{key}": str(value)
        for number, place in enumerate(places)
        for key, value in zip(("x_mm", "y_mm", "z_mm"), place, strict=True)
    }


def test_how_full_it_can_be_brimmed_on_a_slope_is_answered(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    """By hand. One vent in the middle of the rear edge of the roof, nose up 5 %: a wedge of 600 mm by 30 mm
    over 400 mm stays, 3.6 L. With one in the middle of the front edge as well the worst is left or right side
    up: a wedge of 200 mm by 10 mm over 600 mm, 0.6 L."""
    tank = box_tank(as_fitter, job)
    of_tank = typed_filling | {"tank_l": "", "tank_sheet": str(tank.pk)}
    one = as_fitter.post(address(job, "filling", "try"), of_tank | mouths((0, 200, 200)))
    brimming = one.context["shown"]["brimming"]
    assert brimming["answer"] == (
        "On a slope of 5 % at its worst, nose up, 44.4 of 48.0 L go in; 3.6 L of air stay."
    )
    assert brimming["alone"] == []
    both = as_fitter.post(
        address(job, "filling"), of_tank | mouths((0, 200, 200), (600, 200, 200)), follow=True
    )
    brimming = both.context["shown"]["brimming"]
    assert "left side up, 47.4 of 48.0 L go in; 0.6 L" in brimming["answer"]
    assert brimming["alone"][1] == "With vent 2 alone: 44.4 L at its worst, nose down, and 3.6 L of air."
    assert "Box tank, revision 1" in both.content.decode()
    kept = CalcSheet.objects.get(kind="filling")
    assert kept.results["breathing"]["out_l_min"] == pytest.approx(48 * 10 / 293.15 / 60)


def test_the_tanks_own_vents_count_where_none_are_typed(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    own = {f"vents-0-{key}": value for key, value in (("x_mm", "600"), ("y_mm", "200"), ("z_mm", "200"))}
    tank = box_tank(as_fitter, job, vent_slope_percent="5", **own)
    of_tank = typed_filling | {"tank_sheet": str(tank.pk), "slope_percent": "10"}
    brimming = as_fitter.post(address(job, "filling", "try"), of_tank).context["shown"]["brimming"]
    assert "slope of 10 % at its worst, nose down, 40.8 of 48.0 L" in brimming["answer"]


def test_a_filling_sheet_from_before_is_shown_as_it_was(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    as_fitter.post(address(job, "filling"), typed_filling)
    sheet = CalcSheet.objects.get()
    del sheet.results["most_l_min"], sheet.results["brimming"]
    for row in sheet.results["bores"]:
        del row["most_l_min"]
    sheet.save()
    assert as_fitter.get(sheet.get_absolute_url()).status_code == 200


def test_vents_outside_the_tank_or_none_are_named(
    as_fitter: Client, job: Any, typed_filling: dict[str, str]
) -> None:
    tank = box_tank(as_fitter, job)
    of_tank = typed_filling | {"tank_sheet": str(tank.pk)}
    for changes, field, words in (
        ({}, "vent_mouths", "has no vents on its own sheet"),
        (mouths((700, 200, 200)), "vent_mouths", "Line 1: this vent is outside the tank"),
        (mouths((0, 200, 200)) | {"slope_percent": "5000"}, "slope_percent", "slope"),
        ({"tank_sheet": "999999"}, "tank_sheet", "not one of the available choices"),
    ):
        answer = as_fitter.post(address(job, "filling"), of_tank | changes)
        assert words in str(answer.context["form"].errors[field]), (changes, answer.context["form"].errors)
    assert not CalcSheet.objects.filter(kind="filling").exists()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"bore_mm": "-3"}, "bore_mm", "outside 1 to 150 mm"),
        ({"bore_mm": "2"}, "bore_mm", "Give it a wider bore"),
        ({"bore_mm": "0"}, "bore_mm", "outside 1 to 150 mm"),
        ({"litres_per_min": "0"}, "litres_per_min", "outside 0.5 to 240 L/min"),
        ({"litres_per_min": "inf"}, "litres_per_min", "“inf” is not a number"),
        ({"tank_l": ""}, "tank_l", "give it in L, or choose the sheet of the tank"),
        ({"narrowest_mm": "20"}, "narrowest_mm", "wider than the line"),
        ({"valve_pa": "200"}, "valve_l_min", "A valve needs both"),
        ({"breather_bore_mm": "6"}, "breather_length_m", "its bore and its length"),
        (
            {"breather_bore_mm": "0", "breather_length_m": "1"},
            "breather_bore_mm",
            "outside 1 to 150 mm",
        ),
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

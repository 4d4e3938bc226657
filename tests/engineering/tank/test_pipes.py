"""Pipes and pumps against examples printed in Crane TP-410 and by makers, and against the law itself."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank import TankInputError
from engineering.tank.pipes import (
    FLUIDS,
    G_PER_KWH_PER_LB_PER_HPH,
    Duty,
    Fluid,
    Line,
    dash_mm,
    flow_through,
    least_bore_mm,
    next_sizes,
    pump_duty,
    tube_bore_mm,
)

L_H_PER_US_GAL_S = 3.785411784 * 3600
KPA_PER_PSI = 6.894757293168


def test_water_in_a_smooth_pipe() -> None:
    """Crane TP-410 (metric), example 7.1, as set out in the documentation of `fluids`: Re 100 600, f 0.0179.

    Crane reads both from tables and charts: three figures.
    """
    water = Fluid("water at 30 °C", 995.65, 0.7977, "as in the example")
    found = flow_through(Line(Duty.PRESSURE, 52.48, 1, roughness_mm=0), 200 * 60, water)
    assert found.reynolds == pytest.approx(100_600, rel=0.005)
    assert found.friction == pytest.approx(0.0179, abs=0.0001)


def test_fuel_oil_through_a_hundred_feet() -> None:
    """Crane TP-410, example 7.13: 9.65 psi, f 0.0230, in 2 in schedule 40. Crane reads f from a chart; with
    Colebrook's f of 0.0227 the same sum gives 65.8 kPa."""
    oil = Fluid("fuel oil", 815, 2.7 * 0.815, "2.7 cSt, specific gravity 0.815")
    line = Line(Duty.PRESSURE, 52.5018, 30.48, roughness_mm=0.0018 * 25.4)
    found = flow_through(line, 2 * L_H_PER_US_GAL_S, oil)
    assert found.velocity_m_s == pytest.approx(3.500, abs=0.005)
    assert found.friction == pytest.approx(0.0230, abs=0.0004)
    assert found.drop_kpa == pytest.approx(9.65 * KPA_PER_PSI, rel=0.015)
    assert found.drop_kpa / found.friction * 0.0230 == pytest.approx(9.65 * KPA_PER_PSI, rel=0.003)


@pytest.mark.parametrize(
    ("velocity_m_s", "published_mm"),
    [(0.5, 29), (1.5, 17), (2, 15), (4, 10), (3, 12), (10, 7)],  # whole millimetres, as the maker prints them
)
def test_bores_for_twenty_litres_a_minute_as_a_maker_prints_them(
    velocity_m_s: float, published_mm: float
) -> None:
    assert least_bore_mm(20 * 60, velocity_m_s) == pytest.approx(published_mm, abs=0.55)


def test_dash_sizes_are_sixteenths_of_an_inch() -> None:
    """The trade's own definition, as printed by a supplier of hose ends."""
    sizes = {4: 6.35, 6: 9.525, 8: 12.70, 10: 15.875, 12: 19.05, 16: 25.4, 20: 31.75}
    assert {dash: dash_mm(dash) for dash in sizes} == pytest.approx(sizes)
    with pytest.raises(TankInputError, match="-7 is not one of"):
        dash_mm(7)


def test_the_bore_of_a_tube_of_a_dash_size() -> None:
    """Inside diameters of tube with a wall of 0.035 in as makers of tube fittings print them (from memory):
    1/4 in 0.180, 3/8 in 0.305, 1/2 in 0.430 in."""
    for dash, inch in ((4, 0.180), (6, 0.305), (8, 0.430)):
        assert tube_bore_mm(dash) == pytest.approx(inch * 25.4)


def test_the_smallest_sizes_that_do() -> None:
    """20 L/min in a suction line at 1.5 m/s: a maker prints 17 mm: 19 mm, and -12 with its 17.3 mm."""
    assert next_sizes(least_bore_mm(20 * 60, 1.5)) == (19.0, 12)
    assert next_sizes(200) == (None, None)
    for bad in (0.0, -3.0, math.nan, math.inf):
        with pytest.raises(TankInputError, match="greater than 0"):
            next_sizes(bad)


@given(bore=st.floats(3, 40), length=st.floats(0.1, 10), flow=st.floats(1, 30))
def test_slow_flow_loses_what_hagen_and_poiseuille_say(bore: float, length: float, flow: float) -> None:
    """Δp = 128 μ L Q / (π d⁴), exact for laminar flow (any textbook of fluid mechanics)."""
    thick = Fluid("thick oil", 880, 100, "test")
    found = flow_through(Line(Duty.SUCTION, bore, length), flow, thick)
    assert found.reynolds < 2000
    expected = 128 * 0.1 * length * flow / 3.6e6 / (math.pi * (bore / 1000) ** 4) / 1000
    assert found.friction_kpa == pytest.approx(expected, rel=1e-9)


@given(flow=st.floats(10, 2000), bore=st.floats(5, 30))
def test_a_wider_bore_never_loses_more(flow: float, bore: float) -> None:
    line = Line(Duty.PRESSURE, bore, 4, loss_k=3)
    wider = replace(line, bore_mm=bore * 1.1)
    before, after = (flow_through(each, flow, FLUIDS["petrol"]) for each in (line, wider))
    if before.reynolds <= 2000 or after.reynolds > 4000:  # between, friction jumps as it does in nature
        assert after.drop_kpa < before.drop_kpa


def test_a_rise_costs_its_head_of_liquid() -> None:
    """A metre of water at 998.2 kg/m³ and standard gravity: 9.789 kPa."""
    flat, rising = (Line(Duty.PRESSURE, 10, 2, rise_m=rise) for rise in (0, 1))
    found = [flow_through(line, 100, FLUIDS["water"]).drop_kpa for line in (flat, rising)]
    assert found[1] - found[0] == pytest.approx(9.789, abs=0.001)


def test_fittings_lose_their_velocity_heads() -> None:
    line = Line(Duty.PRESSURE, 8, 0, loss_k=2)
    found = flow_through(line, 200, FLUIDS["petrol"])
    assert found.drop_kpa == pytest.approx(2 * 745 * found.velocity_m_s**2 / 2 / 1000)


def test_a_doubtful_regime_and_a_fast_line_are_said() -> None:
    doubtful = flow_through(Line(Duty.RETURN, 20, 1), 150, FLUIDS["petrol"])
    assert 2000 < doubtful.reynolds < 4000
    assert doubtful.is_between
    fast = flow_through(Line(Duty.SUCTION, 8, 1), 300, FLUIDS["petrol"])
    assert fast.is_too_fast
    assert not flow_through(Line(Duty.SUCTION, 8, 1), 200, FLUIDS["petrol"]).is_too_fast


@pytest.mark.parametrize(
    ("hp", "lb_per_hp_h", "published_lb_h"),
    [(200, 0.50, 100), (200, 0.50, 4 * 31.25 * 0.8)],  # two makers of engine electronics
)
def test_what_an_engine_burns_as_makers_print_it(
    hp: float, lb_per_hp_h: float, published_lb_h: float
) -> None:
    duty = pump_duty(
        power_kw=hp * 0.74569987158,
        consumption_g_kwh=lb_per_hp_h * G_PER_KWH_PER_LB_PER_HPH,
        rail_kpa=300,
        margin_percent=0,
        fluid=FLUIDS["petrol"],
    )
    assert duty.engine_kg_h / 0.45359237 == pytest.approx(published_lb_h, rel=1e-6)


def test_three_hundred_horsepower_from_twenty_four_gallons_an_hour() -> None:
    """A builder's worked example: 300 hp on 24 US gal/h at 5.92 lb/gal is 142 lb/h, 0.474 lb/(hp·h)."""
    fuel = Fluid("petrol", 5.92 * 0.45359237 / 3.785411784 * 1000, 0.55, "as in the example")
    duty = pump_duty(
        power_kw=300 * 0.74569987158,
        consumption_g_kwh=0.4736 * G_PER_KWH_PER_LB_PER_HPH,
        rail_kpa=0,
        margin_percent=0,
        fluid=fuel,
    )
    assert duty.engine_l_h / 3.785411784 == pytest.approx(24, abs=0.01)


def test_the_pump_must_raise_the_rail_and_the_line() -> None:
    feed = Line(Duty.PRESSURE, 7.9, 4, loss_k=2, rise_m=0.3)
    figures = {"power_kw": 150, "consumption_g_kwh": 304, "rail_kpa": 300, "margin_percent": 20}
    duty = pump_duty(**figures, fluid=FLUIDS["petrol"], feed=feed)
    drop = flow_through(feed, duty.needed_l_h, FLUIDS["petrol"]).drop_kpa
    assert duty.pressure_kpa == pytest.approx(300 + drop)
    assert drop > 2


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"bore_mm": 0}, "bore_mm"),
        ({"bore_mm": -8}, "bore_mm"),
        ({"length_m": -1}, "length_m"),
        ({"length_m": 4000}, "length_m"),
        ({"loss_k": -1}, "loss_k"),
        ({"rise_m": 300}, "rise_m"),
        ({"roughness_mm": 5}, "roughness_mm"),
    ],
)
def test_a_line_that_cannot_be_is_refused_by_name(changes: dict[str, float], field: str) -> None:
    with pytest.raises(TankInputError) as refused:
        flow_through(replace(Line(Duty.RETURN, 8, 4), **changes), 100, FLUIDS["petrol"])
    assert refused.value.field == field


@pytest.mark.parametrize("flow", [0, -5, float("nan"), float("inf"), 1e9])
def test_a_flow_that_cannot_be_is_refused(flow: float) -> None:
    with pytest.raises(TankInputError, match="Flow"):
        flow_through(Line(Duty.RETURN, 8, 4), flow, FLUIDS["petrol"])
    with pytest.raises(TankInputError):
        least_bore_mm(math.nan, 1)

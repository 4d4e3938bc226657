"""The air that must leave, and the air that stays: against published rules and shapes solved by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.tank import TankInputError
from engineering.tank.attitude import Attitude
from engineering.tank.filling import breathing_l_min, brimmed, fill, most_l_min
from engineering.tank.pipes import Duty, Line, flow_through
from engineering.tank.solid import solid_box
from engineering.tank.vents import AIR, ValvePoint, Vent, air_through, narrow_k

PA_PER_PSI = 6894.757293168
PETROL = 745.0


def test_the_hose_that_a_coast_guard_finds_enough_is_far_within_its_rule() -> None:
    """USCG Boatbuilder's Handbook on 33 CFR 183.520: a 9/16 in vent with fittings of 7/16 in is 'generally
    found' enough for marina pumps of up to 12 US gal/min, and a tank may see at most 80 % of its label
    pressure, 2.4 of 3 psi. Length and loss coefficients are ours."""
    at_fittings = (9 / 7) ** 4 * 1.5 * 2  # two fittings, their loss taken over to the velocity in the hose
    found = fill(Vent(9 / 16 * 25.4, 2, at_fittings), 12 * 3.785411784, 150, PETROL)
    assert found.back_pressure_pa < 2.4 * PA_PER_PSI / 10
    assert not found.clicks_off


def test_air_through_a_sharp_hole_of_no_length() -> None:
    """Δp = ρ/2 (Q/A)² ΣK, Bernoulli with losses: the air alone, without a wall to rub on."""
    found = fill(Vent(10, 0, 2.0), 40, 150, PETROL)
    speed = 40 / 60_000 / (math.pi / 4 * 0.010**2)
    assert found.air.velocity_m_s == pytest.approx(speed)
    assert found.back_pressure_pa == pytest.approx(1.204 / 2 * speed**2 * 3.5)
    assert found.lift_mm == pytest.approx(found.back_pressure_pa / (PETROL * 9.80665) * 1000)


def test_air_in_a_pipe_as_crane_prints_it() -> None:
    """Crane TP-410, example 7.16: air at 65 psig and 115 °F through 75 ft of 1 in schedule 40, 100 scfm:
    2.61 psi, 3367 to 3484 ft/min. Crane reads tables; solved as a gas of one density the same line gives
    2.7 psi, 4 % more."""
    from engineering.tank.pipes import Fluid

    standard, absolute_pa = 1.225, (65 + 14.696) * PA_PER_PSI
    density = absolute_pa / (287.05 * (273.15 + (115 - 32) / 1.8))
    flow_l_h = 100 * 28.316846592 * 60 * standard / density
    line = Line(Duty.PRESSURE, 26.6446, 75 * 0.3048, roughness_mm=0.0457)
    found = flow_through(line, flow_l_h, Fluid("air", density, 0.0193, "Sutherland at 46 °C"))
    assert found.velocity_m_s / 0.3048 * 60 == pytest.approx(3367, rel=0.015)
    assert found.drop_kpa * 1000 / PA_PER_PSI == pytest.approx(2.61, rel=0.05)


@pytest.mark.parametrize("share", [0.3, 0.5, 7 / 9, 1.0])
def test_a_narrow_fitting_loses_what_crane_writes(share: float) -> None:
    """Crane TP-410, page A-26 (from memory), on the larger pipe: contraction 0.5 (1 − β²) / β⁴, enlargement
    (1 − β²)² / β⁴."""
    by_hand = (0.5 * (1 - share**2) + (1 - share**2) ** 2) / share**4
    assert narrow_k(16 * share, 16) == pytest.approx(by_hand, abs=1e-9)


def test_an_enlargement_loses_the_borda_carnot_head() -> None:
    """Borda and Carnot, any textbook of hydraulics: (v1 − v2)² / 2g; with the contraction left out."""
    slow = 45 / 60_000 / (math.pi / 4 * 0.016**2)
    fast = slow * 4
    contraction = 0.5 * (1 - 0.25) * fast**2
    with_place, without = (
        air_through(Vent(16, 1, narrowest_mm=place), 45).drop_kpa * 1000 for place in (8, None)
    )
    assert with_place - without == pytest.approx(AIR.density_kg_m3 / 2 * ((fast - slow) ** 2 + contraction))


def test_the_coast_guards_fittings_as_narrow_places() -> None:
    """The same hose and fittings as above, the fittings by their bore: still far within the rule."""
    hose = Vent(9 / 16 * 25.4, 2, narrowest_mm=7 / 16 * 25.4, narrow_places=2)
    assert 60 < fill(hose, 12 * 3.785411784, 150, PETROL).back_pressure_pa < 2.4 * PA_PER_PSI / 50


def test_a_valve_loses_what_its_maker_says_at_that_flow_whatever_the_bore() -> None:
    for bore in (8, 12, 20):
        bare, fitted = (
            air_through(Vent(bore, 0, valve=valve), 30).drop_kpa for valve in (None, ValvePoint(250, 30))
        )
        assert 1000 * (fitted - bare) == pytest.approx(250)


def test_the_fastest_filling_is_where_the_lift_reaches_the_nozzle() -> None:
    """A line of no length, by hand: √(2 ρ_l g h / (ρ ΣK)) through the bore."""
    speed = math.sqrt(2 * PETROL * 9.80665 * 0.1 / (1.204 * 3.5))
    by_hand = speed * math.pi / 4 * 0.010**2 * 60_000
    assert most_l_min(Vent(10, 0, 2.0), 100, PETROL) == pytest.approx(by_hand, abs=0.02)
    assert most_l_min(Vent(40, 1), 100, PETROL) == 240
    assert most_l_min(Vent(10, 1), 0, PETROL) == 0


def test_a_thin_vent_clicks_the_nozzle_off_and_a_wide_one_does_not() -> None:
    assert fill(Vent(6, 1.5, 2), 45, 150, PETROL).clicks_off
    assert not fill(Vent(16, 1.5, 2), 45, 150, PETROL).clicks_off


def test_two_lines_share_the_air() -> None:
    one, two = (fill(Vent(10, 1, 1), 40, 150, PETROL, vents=number) for number in (1, 2))
    assert two.air.velocity_m_s == pytest.approx(one.air.velocity_m_s / 2)
    assert two.back_pressure_pa < one.back_pressure_pa / 2


def test_a_vent_that_ends_below_the_nozzle_is_said() -> None:
    assert fill(Vent(16, 1, 1, outlet_over_nozzle_mm=-20), 45, 150, PETROL).spills_at_vent
    assert not fill(Vent(16, 1, 1, outlet_over_nozzle_mm=50), 45, 150, PETROL).spills_at_vent


BOX = solid_box((0, 0, 0), (600, 400, 200))


def test_a_vent_at_the_low_end_traps_a_wedge() -> None:
    """Nose up 5 %, vent at the back of the roof: the wedge over the level through it, by hand
    600 × (600 × 0.05) / 2 × 400 mm³ = 3.6 L."""
    found = brimmed(BOX, [(0, 200, 200)], Attitude.on_slope(5))
    assert found.trapped_l == pytest.approx(3.6, rel=1e-6)
    assert found.brimmed_l == pytest.approx(48 - 3.6, rel=1e-6)


def test_a_vent_in_the_high_corner_traps_nothing_and_four_corners_never_do() -> None:
    assert brimmed(BOX, [(600, 200, 200)], Attitude.on_slope(5)).trapped_l == pytest.approx(0, abs=1e-9)
    corners = [(x, y, 200.0) for x in (0.0, 600.0) for y in (0.0, 400.0)]
    for slopes in ((5, 0), (-5, 0), (0, 5), (0, -5), (4, -3)):
        assert brimmed(BOX, corners, Attitude.on_slope(*slopes)).trapped_l == pytest.approx(0, abs=1e-6)


def test_in_the_middle_of_the_roof_half_the_wedge_is_trapped_on_either_slope() -> None:
    """By hand: a triangle of 300 mm by 15 mm over 400 mm, 0.9 L."""
    for percent in (5, -5):
        found = brimmed(BOX, [(300, 200, 200)], Attitude.on_slope(percent))
        assert found.trapped_l == pytest.approx(0.9, rel=1e-6)


@given(
    st.floats(-20, 20),
    st.floats(-20, 20),
    st.lists(st.tuples(st.floats(0, 600), st.floats(0, 400)), min_size=1, max_size=4),
)
def test_another_vent_never_traps_more(nose: float, left: float, places: list[tuple[float, float]]) -> None:
    vents = [(x, y, 200.0) for x, y in places]
    attitude = Attitude.on_slope(nose, left)
    fewer, more = (
        brimmed(BOX, some, attitude).trapped_l for some in (vents, [*vents, (300.0, 200.0, 200.0)])
    )
    assert more <= fewer + 1e-9
    assert -1e-9 <= more <= 48


def test_a_breather_takes_in_what_the_engine_burns_and_lets_out_what_the_sun_expands() -> None:
    """Gay-Lussac, integrated by numpy over an hour in small steps, against the rate at its beginning."""
    into, out = breathing_l_min(61.2, 60, 10, 20)
    assert into == pytest.approx(61.2 / 60)
    kelvin = np.linspace(293.15, 293.15 + 10 / 60, 1001)  # one minute
    grown = 60 * (kelvin[-1] / kelvin[0] - 1)
    assert out == pytest.approx(grown, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: fill(Vent(16, 1), 0, 150, PETROL), "litres_per_min"),
        (lambda: fill(Vent(16, 1), 4500, 150, PETROL), "litres_per_min"),
        (lambda: fill(Vent(16, 1), 45, -10, PETROL), "nozzle_over_brim_mm"),
        (lambda: fill(Vent(16, 1), 45, 150, 0.745), "liquid_kg_m3"),
        (lambda: fill(Vent(0, 1), 45, 150, PETROL), "bore_mm"),
        (lambda: fill(Vent(2, 3), 45, 150, PETROL), "bore_mm"),
        (lambda: fill(Vent(16, 1), 45, 150, PETROL, vents=0), "vents"),
        (lambda: fill(Vent(16, 1, narrowest_mm=20), 45, 150, PETROL), "narrowest_mm"),
        (lambda: fill(Vent(16, 1, narrowest_mm=0), 45, 150, PETROL), "narrowest_mm"),
        (lambda: fill(Vent(16, 1, narrowest_mm=8, narrow_places=0), 45, 150, PETROL), "narrow_places"),
        (lambda: fill(Vent(16, 1, valve=ValvePoint(-1, 30)), 45, 150, PETROL), "valve_pa"),
        (lambda: fill(Vent(16, 1, valve=ValvePoint(100, 0)), 45, 150, PETROL), "valve_l_min"),
        (lambda: fill(Vent(16, math.nan), 45, 150, PETROL), "length_m"),
        (lambda: brimmed(BOX, [], Attitude()), "vents"),
        (lambda: brimmed(BOX, [(math.nan, 0, 0)], Attitude()), "vents"),
        (lambda: breathing_l_min(-1, 60, 10, 20), "consumption_l_h"),
        (lambda: breathing_l_min(60, 60, 10, 900), "air_c"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, field: str) -> None:
    with pytest.raises(TankInputError) as refused:
        call()
    assert refused.value.field == field


def test_air_has_its_published_density() -> None:
    """Ideal gas at 20 °C and 1 atm with the molar mass of dry air, 28.9647 g/mol (ISO 2533): 1.204 kg/m³."""
    assert AIR.density_kg_m3 == pytest.approx(101_325 * 0.0289647 / (8.314462618 * 293.15), abs=0.0005)

"""What a wire carries, against published ratings, codes and a published heat-balance case."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.loom import WIRES, Series, Wire
from engineering.loom.thermal import (
    EMISSIVITY,
    capacity_a,
    nusselt_horizontal_cylinder,
    radiation_w_per_m2,
    running_c,
)

METRIC = {wire.area_mm2: wire for wire in WIRES[Series.METRIC]}


def test_churchill_and_chu_as_a_textbook_works_it():
    """Incropera's example: Pr 0.69 and Gr 2.63e9 give Nu 139.13."""
    assert nusselt_horizontal_cylinder(0.69, 0.69 * 2.63e9) == pytest.approx(139.13, abs=0.01)


def test_a_wire_that_only_radiates():
    """ECSS-Q-ST-30-11C Rev.2 Annex C: 24 AWG, 105 mΩ/m, Ø 0.8 mm, ε 0.75, 70 → 150 °C: 3.4 A.

    The printed diameter alone, rounded to 0.1 mm, is worth 6 % in area and so 3 % in current.
    """
    w_per_m = math.pi * 0.8e-3 * radiation_w_per_m2(150, 70) * 0.75 / EMISSIVITY
    assert math.sqrt(w_per_m / (0.105 * (1 + 0.00396 * 130))) == pytest.approx(3.4, rel=0.03)


@pytest.mark.parametrize(
    ("area_mm2", "amperes"),
    [(0.5, 11), (0.75, 14), (1, 16.5), (1.5, 21), (2, 25), (2.5, 29), (3, 33), (4, 39)],
)
def test_trade_ratings_of_thin_wall_cable(area_mm2, amperes):
    """A UK merchant's ratings of ISO 6722 class B cable: a conductor at 70 °C in air at 30 °C, within 3 %."""
    assert capacity_a(METRIC[area_mm2], 70, 30) == pytest.approx(amperes, rel=0.03)


VDE = {  # mm²: amperes at 30 °C and at 50 °C
    1: (19, 13.5), 1.5: (24, 17), 2.5: (32, 22.7), 4: (42, 29.8), 6: (54, 38.3), 10: (73, 51.8),
    16: (98, 69.6), 25: (129, 91.6), 35: (158, 112), 50: (198, 140), 70: (245, 174),
    95: (292, 207), 120: (344, 244),
}  # fmt: skip


@pytest.mark.parametrize("area_mm2", VDE)
def test_never_much_above_the_german_vehicle_table(area_mm2):
    """DIN VDE 0298-4, one PVC core at 70 °C. Above 10 mm² the balance is brought down to its first column."""
    at_30, at_50 = VDE[area_mm2]
    assert capacity_a(METRIC[area_mm2], 70, 30) <= 1.03 * at_30
    assert capacity_a(METRIC[area_mm2], 70, 50) <= 1.03 * at_50
    if area_mm2 > 10:
        assert capacity_a(METRIC[area_mm2], 70, 50) == pytest.approx(at_50, rel=0.03)


@pytest.mark.parametrize(
    ("together", "factor"),
    [
        (2, 0.80),
        (3, 0.70),
        (4, 0.65),
        (5, 0.60),
        (6, 0.57),
        (7, 0.54),
        (8, 0.52),
        (9, 0.50),
        (10, 0.48),
        (12, 0.45),
        (16, 0.41),
        (20, 0.38),
    ],
)
def test_bunches_carry_what_the_wiring_regulations_allow(together, factor):
    """BS 7671 Table 4C1, bunched (12 to 20 from memory). It counts circuits, we wires: a check of shape."""
    wire = METRIC[1.5]
    share = capacity_a(wire, 70, 30, together) / capacity_a(wire, 70, 30)
    assert share == pytest.approx(factor, abs=0.01)
    assert share <= factor + 1e-9


@pytest.mark.parametrize("wire", WIRES[Series.AWG], ids=lambda wire: wire.name)
def test_the_boating_rules_factor_for_engine_spaces(wire):
    """ABYC E-11: 105 °C wire carries 0.85 of its 30 °C rating in an engine space at 50 °C."""
    assert capacity_a(wire, 105, 50) / capacity_a(wire, 105, 30) == pytest.approx(0.85, abs=0.01)


@pytest.mark.parametrize(
    ("name", "amperes"),
    [
        ("18 AWG", 20),
        ("16 AWG", 25),
        ("14 AWG", 35),
        ("12 AWG", 45),
        ("10 AWG", 60),
        ("8 AWG", 80),
        ("6 AWG", 120),
        ("4 AWG", 160),
        ("2 AWG", 210),
        ("1/0 AWG", 285),
        ("2/0 AWG", 330),
    ],
)
def test_the_boating_rules_table_at_the_temperature_this_sheet_sizes_for(name, amperes):
    """33 CFR 183.425 Table 5, 105 °C column: with our 10 °C in hand we stay at or below it."""
    wire = next(wire for wire in WIRES[Series.AWG] if wire.name == name)
    assert capacity_a(wire, 95, 30) <= 1.03 * amperes


EVERY_WIRE = st.sampled_from([*WIRES[Series.METRIC], *WIRES[Series.AWG]])


@given(EVERY_WIRE, st.floats(40, 160), st.floats(-20, 120), st.integers(1, 40))
def test_capacity_and_running_temperature_are_two_sides_of_one_law(
    wire: Wire, conductor_c: float, ambient_c: float, together: int
) -> None:
    amperes = capacity_a(wire, conductor_c, ambient_c, together)
    if conductor_c <= ambient_c:
        assert amperes == 0
    else:
        assert running_c(wire, amperes, ambient_c, together) == pytest.approx(conductor_c, abs=1e-4)


def test_a_wire_that_would_burn_has_no_running_temperature():
    assert running_c(METRIC[0.5], 500, 20) == math.inf

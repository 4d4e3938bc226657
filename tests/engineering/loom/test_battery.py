"""Starter cable, battery and alternator, against manuals, an engine maker's table and a textbook."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.loom import INSULATIONS, WIRES, LoomInputError, NoWireError, Series
from engineering.loom.battery import StarterInputs, after_cranking_c, size_starter_cable
from engineering.loom.budget import Plant, Situation, balances, parked_days, reserve_ah, watts_to_amperes
from engineering.loom.protection import adiabatic_k
from tests.engineering.loom.looms import small_loom

STARTER = StarterInputs(12, 200, 10, 1.5, 1.5, 0.05, 40, INSULATIONS["b"], cold_a=500)


def test_by_hand():
    """200 A over 1.5 m of 16 mm² (1.16 mΩ/m): 0.348 V at 20 °C, 0.39 V warm; 10 mm² (1.82) over 0.5 V."""
    cable = size_starter_cable(STARTER)
    assert cable.plus.wire.name == "16 mm²"
    warm = 1 + 0.00393 * (cable.plus.after_c - 20)
    assert cable.plus.drop_v == pytest.approx(200 * 0.00116 * 1.5 * warm)
    assert cable.plus.why.startswith("10 mm² would lose 0.6")
    assert cable.plus.why.endswith("limit 0.50 V.")
    assert cable.back.drop_v == pytest.approx(
        0.05 + 200 * 0.000743 * 1.5 * (1 + 0.00393 * (cable.back.after_c - 20))
    )


def test_what_is_left_at_the_starter():
    """EN 50342-1, from memory: 7.5 V at the rated cold current; 12.6 V at rest, straight between."""
    cable = size_starter_cable(STARTER)
    assert cable.battery_v == pytest.approx(12.6 - 5.1 * 200 / 500)
    assert cable.at_starter_v == pytest.approx(cable.battery_v - cable.plus.drop_v - cable.back.drop_v)
    weak = size_starter_cable(replace(STARTER, cold_a=210))
    assert "reach the starter" in weak.remarks[0]
    assert size_starter_cable(replace(STARTER, cold_a=None)).at_starter_v is None


def test_an_engine_makers_table_of_battery_cables():
    """A small marine diesel's installation manual: loop up to 1.3 m 25 mm², 1.8 35, 2.6 50, 3.7 70, 4.8 95.

    Its rule is a constant drop: with the drop at which 25 mm² just passes 1.3 m, we reproduce all five.
    """
    table = {1.3: 25, 1.8: 35, 2.6: 50, 3.7: 70, 4.8: 95}
    drop_v = 250 * 0.000743 * 1.3 * 1.06
    for metres, area_mm2 in table.items():
        given_inputs = replace(
            STARTER, cranking_a=250, cranking_s=0.5, ambient_c=20, plus_m=metres, plus_limit_v=drop_v
        )
        assert size_starter_cable(given_inputs).plus.wire.area_mm2 == area_mm2


def test_the_same_law_as_the_wiring_regulations_k():
    """BS 7671 Table 43.1: k 115 takes a PVC conductor from 70 to 160 °C."""
    assert after_cranking_c(115, 1, 1, 70) == pytest.approx(160, abs=0.5)
    assert after_cranking_c(adiabatic_k(40, 100) * 16, 1, 16, 40) == pytest.approx(100)


def test_long_cranking_is_set_by_heat():
    hot = size_starter_cable(replace(STARTER, cranking_a=400, cranking_s=60, plus_m=0.3))
    assert "its insulation bears 100 °C" in hot.plus.why
    assert hot.plus.after_c <= 100


@settings(max_examples=80, deadline=None)
@given(st.floats(50, 600), st.floats(1, 20), st.floats(0.3, 4), st.floats(-20, 70), st.sampled_from(Series))
def test_a_harder_start_never_gets_a_thinner_cable(amperes, seconds, metres, ambient_c, series):
    base = replace(STARTER, cranking_a=amperes, cranking_s=seconds, plus_m=metres, ambient_c=ambient_c,
                   cold_a=None, series=series)  # fmt: skip

    def place(given_inputs):
        try:
            return WIRES[series].index(size_starter_cable(given_inputs).plus.wire)
        except NoWireError:
            return len(WIRES[series])

    for harder in (
        {"cranking_a": amperes * 1.3},
        {"cranking_s": seconds * 1.5},
        {"plus_m": metres * 1.3},
        {"ambient_c": ambient_c + 15},
        {"plus_limit_v": 0.3},
    ):
        assert place(replace(base, **harder)) >= place(base)


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("system_v", 230, "not 12, 24 or 48 V"),
        ("cranking_a", 0, "more than 0 A"),
        ("cranking_a", 9000, "more than 1500 A"),
        ("plus_m", -1, "not -1 m"),
        ("return_m", 900, "more than 20 m"),
        ("ambient_c", 120, "not between"),
        ("cold_a", 100, "less than the 200 A"),
        ("plus_limit_v", 0, "more than 0 V"),
    ],
)
def test_figures_that_cannot_be_meant(field, value, words):
    with pytest.raises(LoomInputError) as refusal:
        size_starter_cable(replace(STARTER, **{field: value}))
    assert refusal.value.field == field
    assert words in refusal.value.message


def test_no_cable_is_a_refusal():
    with pytest.raises(NoWireError, match=r"even 120 mm² would lose"):
        size_starter_cable(replace(STARTER, cranking_a=1500, plus_m=15, cold_a=None))


PLANT = Plant(alternator_a=55, battery_ah=60)


def test_a_load_budget_by_hand():
    """Lamps 9.2 A, pump 7 A all the time and half the time; a 55 A alternator gives half of it at idle."""
    night, parked = balances(
        small_loom(),
        PLANT,
        (
            Situation("Idle at night in rain", {"Left lamp": 1, "Right lamp": 1, "Pump": 1}, 0.2),
            Situation("Cruise", {"Pump": 0.5}, 1.0),
        ),
    )
    assert (night.drawn_a, night.given_a) == (pytest.approx(16.2), pytest.approx(11))
    assert night.charge_a == pytest.approx(-5.2)
    assert night.lasts_h == pytest.approx(60 * 0.5 / 5.2)
    assert night.largest[0] == ("Pump", 7.0)
    assert (parked.charge_a, parked.lasts_h) == (pytest.approx(51.5), None)


def test_days_parked_and_reserve_capacity():
    """0.05 A: the most that the trade accepts. Reserve capacity counts minutes at 25 A by its definition."""
    assert parked_days(PLANT) == pytest.approx(60 * 0.5 / 0.05 / 24)
    assert parked_days(replace(PLANT, drain_a=0)) == float("inf")
    assert reserve_ah(96) == pytest.approx(40)


def test_an_amplifier_in_a_magazine():
    """A US magazine of 2008: 500 W at 13.8 V draw 36.2 A."""
    assert watts_to_amperes(500, 13.8) == pytest.approx(36.2, abs=0.05)


@pytest.mark.parametrize(
    ("plant", "situation", "words"),
    [
        (replace(PLANT, battery_ah=0), Situation("Day", {}, 1), "the capacity must be more than 0"),
        (PLANT, Situation("Day", {"Radio": 1}, 1), "no component “Radio”"),
        (PLANT, Situation("Day", {"Pump": 2}, 1), "the share of Pump must be 0 to 1"),
        (PLANT, Situation("Day", {"Pump": 1}, -1), "the share of the alternator must be 0 to 1"),
    ],
)
def test_budgets_that_cannot_be_meant(plant, situation, words):
    with pytest.raises(LoomInputError, match=words):
        balances(small_loom(), plant, (situation,))

"""One circuit: the wire, the fuse, the reason, and every refusal."""

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.loom import (
    INSULATIONS,
    LOADS,
    WIRES,
    CircuitInputs,
    LoomError,
    LoomInputError,
    NoFuseError,
    NoWireError,
    Return,
    Rule,
    Series,
    size_circuit,
)


@pytest.fixture
def headlamps() -> CircuitInputs:
    """A pair of 55 W lamps: 9.2 A at 12 V, 4 m of feed, return through the body."""
    return CircuitInputs(
        system_v=12,
        load=LOADS["lamp"],
        current_a=9.2,
        length_m=4.0,
        return_path=Return.BODY,
        body_allowance_v=0.1,
        drop_limit_percent=3,
        drop_limit_v=None,
        ambient_c=60,
        insulation=INSULATIONS["b"],
        other_wires=0,
        least_area_mm2=0.5,
    )


def test_headlamps_by_hand(headlamps):
    """9.2 A over 4 m of 4 mm² (4.71 mΩ/m): 0.173 V at 20 °C, 0.20 V warm; 3 mm² (6.15 mΩ/m) passes 0.26 V."""
    result = size_circuit(headlamps)
    assert result.chosen.wire.name == "4 mm²"
    assert str(result.fuse) == "15 A blade"
    assert result.governed_by is Rule.DROP
    warm = 1 + 0.00393 * (result.chosen.running_c - 20)
    assert 60 < result.chosen.running_c < 70
    assert result.chosen.drop_v == pytest.approx(9.2 * 0.00471 * 4 * warm + 0.1)
    assert result.smaller is not None
    assert result.smaller.wire.name == "3 mm²"
    assert result.smaller.drop_v > 0.36
    assert result.why.startswith("The voltage drop sets the size: 3 mm² would drop 3.")
    assert result.why.endswith("limit 3 % (0.36 V).")


def test_a_return_wire_counts_both_ways(headlamps):
    by_wire = size_circuit(dataclasses.replace(headlamps, return_path=Return.WIRE, drop_limit_percent=10))
    chosen = by_wire.chosen
    warm = 1 + 0.00393 * (chosen.running_c - 20)
    assert chosen.drop_v == pytest.approx(9.2 * chosen.wire.milliohm_per_m / 1000 * 8 * warm)


def test_volts_and_per_cent_mean_the_same(headlamps):
    in_volts = dataclasses.replace(headlamps, drop_limit_percent=None, drop_limit_v=0.36)
    assert size_circuit(in_volts) == size_circuit(headlamps)


def test_a_short_run_is_set_by_the_fuse(headlamps):
    short = size_circuit(dataclasses.replace(headlamps, length_m=0.5))
    assert short.governed_by is Rule.PROTECTION
    assert "bears a fuse of" in short.why
    assert short.chosen.bears_fuse_a >= short.fuse.rating_a


def test_a_wire_thick_from_heat_alone_is_offered_better_insulation(headlamps):
    """A heater in a full bunch in a hot place: cross-linked insulation bears what PVC cannot."""
    hot = dataclasses.replace(
        headlamps, length_m=0.5, ambient_c=75, other_wires=7, insulation=INSULATIONS["b"]
    )
    result = size_circuit(hot)
    assert result.governed_by is Rule.PROTECTION
    better = size_circuit(dataclasses.replace(hot, insulation=INSULATIONS["c"])).chosen.wire
    assert better.area_mm2 < result.chosen.wire.area_mm2
    assert result.advice == f"Insulation of Class C, 125 °C (cross-linked) would do with {better.name}."
    assert size_circuit(headlamps).advice == ""


def test_a_thin_circuit_is_set_by_handling(headlamps):
    thin = size_circuit(dataclasses.replace(headlamps, current_a=0.2, least_area_mm2=0.75))
    assert thin.governed_by is Rule.MECHANICAL
    assert thin.chosen.wire.name == "0.75 mm²"
    assert "0.5 mm² is thinner than the 0.75 mm² allowed here" in thin.why


def test_the_thinnest_size_says_so(headlamps):
    thin = size_circuit(dataclasses.replace(headlamps, current_a=0.2, least_area_mm2=0.35))
    assert thin.governed_by is None
    assert thin.smaller is None
    assert thin.why == "0.35 mm² is the thinnest size of the series, and it passes every rule."


@pytest.mark.parametrize(("load", "fuse_a"), [("resistive", 15), ("lamp", 15), ("motor", 20)])
def test_the_fuse_is_larger_where_the_load_starts_hard(headlamps, load, fuse_a):
    """9.2 A × 4/3 = 12.3, × 1.5 = 13.8, × 2 = 18.4: the next standard ratings."""
    assert size_circuit(dataclasses.replace(headlamps, load=LOADS[load])).fuse.rating_a == fuse_a


def test_a_fuse_is_loaded_to_three_quarters_at_most(headlamps):
    """The continuous-load rule of fuse makers' guides (70 to 80 % of the rating; 75 % here)."""
    full = dataclasses.replace(headlamps, load=LOADS["resistive"], current_a=15.0)
    assert size_circuit(full).fuse.rating_a == 20
    assert size_circuit(dataclasses.replace(full, current_a=15.01)).fuse.rating_a == 25


def test_gauge_sizes_are_an_option(headlamps):
    """12 AWG, at least 5833 cmil: 5.95 mΩ/m, so 0.219 V at 20 °C and 0.257 V warm; 0.26 V may be lost."""
    result = size_circuit(dataclasses.replace(headlamps, series=Series.AWG))
    assert result.chosen.wire.name == "12 AWG"
    assert result.chosen.drop_v == pytest.approx(0.357, abs=0.001)


def test_a_long_thin_circuit_must_still_blow_its_fuse(headlamps):
    """0.4 A over 50 m on a wide limit: the short at the far end has to draw twice the 1 A fuse."""
    long_run = dataclasses.replace(headlamps, current_a=0.4, length_m=50, drop_limit_percent=15,
                                   least_area_mm2=0.35)  # fmt: skip
    result = size_circuit(long_run)
    assert result.chosen.short_a >= 2 * result.fuse.rating_a


REFUSALS = [
    ("system_v", {"system_v": 230}, "not 12, 24 or 48 V"),
    ("current_a", {"current_a": 0}, "must be 0.01 A or more"),
    ("current_a", {"current_a": -3}, "not -3 A"),
    ("current_a", {"current_a": math.nan}, "give a number"),
    ("current_a", {"current_a": 900, "load": LOADS["motor"]}, "900 A is more than 100 A"),
    ("length_m", {"length_m": 0}, "more than 0 m"),
    ("length_m", {"length_m": -1}, "not -1 m"),
    ("length_m", {"length_m": 4000}, "longer than any car"),
    ("ambient_c", {"ambient_c": 90}, "leaves insulation of 100 °C no room"),
    ("ambient_c", {"ambient_c": 400}, "leaves insulation of 100 °C no room"),
    ("ambient_c", {"ambient_c": -60}, "below -40 °C"),
    ("other_wires", {"other_wires": -1}, "fewer than 0"),
    ("other_wires", {"other_wires": 40}, "more than 40"),
    ("drop_limit_percent", {"drop_limit_percent": None}, "in per cent or in volts"),
    ("drop_limit_v", {"drop_limit_v": 0.36}, "not both"),
    ("drop_limit_percent", {"drop_limit_percent": 0}, "give 0.5 to 15 %"),
    ("drop_limit_percent", {"drop_limit_percent": 40}, "give 0.5 to 15 %"),
    ("drop_limit_v", {"drop_limit_percent": None, "drop_limit_v": 5}, "give 0.5 to 15 % (0.06 to 1.8 V)"),
    ("body_allowance_v", {"body_allowance_v": -0.1}, "not be below 0 V"),
    ("body_allowance_v", {"body_allowance_v": 0.36}, "leaves nothing"),
    ("least_area_mm2", {"least_area_mm2": 0}, "more than 0 mm²"),
]


@pytest.mark.parametrize(("field", "change", "words"), REFUSALS)
def test_a_figure_that_cannot_be_meant_is_refused_in_words(headlamps, field, change, words):
    with pytest.raises(LoomInputError) as refusal:
        size_circuit(dataclasses.replace(headlamps, **change))
    assert refusal.value.field == field
    assert words in refusal.value.message
    assert isinstance(refusal.value, LoomError)


def test_no_wire_is_a_refusal_with_the_way_out(headlamps):
    hopeless = dataclasses.replace(headlamps, current_a=50, length_m=50, drop_limit_percent=1)
    with pytest.raises(NoWireError) as refusal:
        size_circuit(hopeless)
    assert refusal.value.field == "length_m"
    assert "even 120 mm² would drop" in refusal.value.message
    assert "Shorten the run" in refusal.value.message


def test_a_minimum_beyond_the_series_is_a_refusal(headlamps):
    with pytest.raises(NoWireError) as refusal:
        size_circuit(dataclasses.replace(headlamps, least_area_mm2=300))
    assert refusal.value.field == "least_area_mm2"


def test_a_load_beyond_every_fuse_is_a_refusal(headlamps):
    greedy = dataclasses.replace(LOADS["motor"], most_a=500)
    with pytest.raises(NoFuseError, match="largest standard one is 200 A"):
        size_circuit(dataclasses.replace(headlamps, load=greedy, current_a=150, drop_limit_percent=15))


CIRCUITS = st.builds(
    CircuitInputs,
    system_v=st.sampled_from([12, 24, 48]),
    load=st.sampled_from(list(LOADS.values())),
    current_a=st.floats(0.05, 60),
    length_m=st.floats(0.2, 15),
    return_path=st.sampled_from(Return),
    body_allowance_v=st.just(0.02),
    drop_limit_percent=st.floats(1, 12),
    drop_limit_v=st.none(),
    ambient_c=st.floats(-20, 70),
    insulation=st.sampled_from(list(INSULATIONS.values())),
    other_wires=st.integers(0, 12),
    least_area_mm2=st.sampled_from([0.35, 0.5, 1.0]),
    series=st.sampled_from(Series),
)


def _position(circuit: CircuitInputs) -> float:
    """Place of the chosen wire in its series; beyond the end where none passes."""
    try:
        return WIRES[circuit.series].index(size_circuit(circuit).chosen.wire)
    except (NoWireError, NoFuseError):
        return math.inf


HARDER = [
    lambda circuit: {"current_a": min(circuit.current_a * 1.4, circuit.load.most_a)},
    lambda circuit: {"length_m": circuit.length_m * 1.5},
    lambda circuit: {"ambient_c": min(circuit.ambient_c + 15, circuit.insulation.limit_c - 1)},
    lambda circuit: {"drop_limit_percent": max(circuit.drop_limit_percent * 0.7, 0.5)},
    lambda circuit: {"other_wires": circuit.other_wires + 3},
    lambda circuit: {"least_area_mm2": circuit.least_area_mm2 * 2},
]


@settings(max_examples=60, deadline=None)
@given(CIRCUITS, st.sampled_from(HARDER))
def test_a_harder_circuit_never_gets_a_thinner_wire(circuit, harder):
    assert _position(dataclasses.replace(circuit, **harder(circuit))) >= _position(circuit)


@settings(max_examples=60, deadline=None)
@given(CIRCUITS)
def test_no_result_without_protection_or_over_its_limits(circuit):
    try:
        result = size_circuit(circuit)
    except (NoWireError, NoFuseError):
        return
    chosen, fuse_a = result.chosen, result.fuse.rating_a
    assert circuit.current_a * circuit.load.fuse_factor <= fuse_a <= chosen.bears_fuse_a <= chosen.capacity_a
    assert chosen.short_a >= 2 * fuse_a
    assert chosen.drop_v <= circuit.allowed_v
    assert chosen.running_c <= circuit.insulation.limit_c
    assert chosen.wire.area_mm2 >= circuit.least_area_mm2
    assert result.smaller is None or result.smaller.failures
    assert (result.governed_by is None) == (result.smaller is None)

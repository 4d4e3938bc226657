"""Every wire of a loom: by hand, against the circuit sheet, and what holds for every loom."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.loom import (
    INSULATIONS,
    LOADS,
    WIRES,
    CircuitInputs,
    NoFuseError,
    NoWireError,
    Return,
    Rule,
    Series,
    size_circuit,
)
from engineering.loom.faults import FaultKind, FaultyListError
from engineering.loom.sizing import size_loom
from engineering.loom.wire_list import DeviceKind, Nature, Pin, Run, Supply, WireLine
from tests.engineering.loom.looms import (
    connector,
    single_circuit,
    small_loom,
    tree_loom,
    with_cavity,
    with_component,
    with_device,
    with_run,
    with_wire,
)


def sizes(loom):
    return {label: wire.size.name for label, wire in size_loom(loom).wires.items()}


def test_headlamps_by_hand():
    """As on the circuit sheet: 9.2 A over 4 m of 4 mm² (4.71 mΩ/m) lose 0.20 V warm, the body 0.1 V."""
    result = size_loom(single_circuit())
    wire = result.wires["W1"]
    assert (wire.size.name, wire.rule, wire.device, wire.rating_a) == ("4 mm²", Rule.DROP, "F1", 15)
    warm = 1 + 0.00393 * (wire.running_c - 20)
    assert 60 < wire.running_c < 70
    assert wire.drop_v == pytest.approx(9.2 * 0.00471 * 4 * warm, rel=1e-6)
    assert wire.loss_w == pytest.approx(wire.drop_v * 9.2)
    assert result.loads["Lamp"].at_load_v == pytest.approx(12 - wire.drop_v - 0.1)
    assert result.loads["Lamp"].drop_percent == pytest.approx(100 * (wire.drop_v + 0.1) / 12)
    assert wire.why.startswith("The voltage drop sets the size: 3 mm² would drop 3.")
    assert wire.why.endswith("limit 3 % (0.36 V).")
    assert wire.hottest == "R1"
    assert result.faults == ()


CIRCUITS = st.tuples(
    st.sampled_from(["resistive", "lamp", "motor"]),
    st.floats(0.2, 50),
    st.floats(0.3, 8),
    st.sampled_from(["critical", "other"]),
    st.floats(-10, 75),
    st.sampled_from(["b", "c"]),
    st.sampled_from(Series),
)


@settings(max_examples=60, deadline=None)
@given(CIRCUITS)
def test_one_circuit_is_sized_as_on_the_circuit_sheet(circuit):
    """Two ways to one size; only the let-through of a short, which the sheet leaves out, may ask for more."""
    load, amperes, length_m, drop, ambient_c, insulation, series = circuit
    loom = replace(
        single_circuit(steady_a=amperes, nature=Nature(load), drop=drop), series=series, body_v=0.05
    )
    loom = with_wire(with_run(loom, "R1", length_mm=1000 * length_m, measured_c=ambient_c), "W1",
                     insulation=insulation)  # fmt: skip
    percent = {"critical": 3.0, "other": 10.0}[drop]
    given_inputs = CircuitInputs(12, LOADS[load], amperes, length_m, Return.BODY, 0.05, percent, None,
                                 ambient_c, INSULATIONS[insulation], 0, 0.5, series)  # fmt: skip
    result = size_loom(loom)
    try:
        sheet = size_circuit(given_inputs)
    except (NoWireError, NoFuseError):
        assert not result.wires
        return
    assert result.devices["F1"].rating_a == sheet.fuse.rating_a
    wire = result.wires["W1"]
    if wire.size != sheet.chosen.wire:
        assert wire.size.area_mm2 > sheet.chosen.wire.area_mm2
        assert "a short would spoil the insulation" in wire.why or "a short at the far end" in wire.why
    else:
        assert wire.running_c == pytest.approx(sheet.chosen.running_c, abs=1e-3)
        assert wire.capacity_a == pytest.approx(sheet.chosen.capacity_a, rel=1e-6)
        assert wire.bears_a == pytest.approx(sheet.chosen.bears_fuse_a, rel=1e-6)
        assert wire.drop_v + 0.05 == pytest.approx(sheet.chosen.drop_v, rel=1e-5)


def test_a_path_of_several_wires_shares_its_drop():
    """By shares alone, and with the drop that rounding up leaves over taken up."""
    shared = size_loom(replace(small_loom(), trim=False))
    assert {label: wire.size.name for label, wire in shared.wires.items()} == {
        "W1": "4 mm²",
        "W2": "3 mm²",
        "W3": "3 mm²",
        "W4": "2 mm²",
        "W5": "2 mm²",
        "W6": "1.5 mm²",
        "W7": "1 mm²",
    }
    assert "3 mm², the rest of the circuit in proportion, would drop 3." in shared.wires["W1"].why
    assert shared.wires["W4"].as_it_stands.name == "1.5 mm²"
    assert sizes(small_loom()) == {
        "W1": "3 mm²",
        "W2": "3 mm²",
        "W3": "3 mm²",
        "W4": "1.5 mm²",
        "W5": "1.5 mm²",
        "W6": "1.5 mm²",
        "W7": "1 mm²",
    }
    result = size_loom(small_loom())
    left = result.loads["Left lamp"]
    feed_v = sum(result.wires[label].drop_v for label in ("W1", "W2", "W3", "W4"))
    assert left.drop_v == pytest.approx(0.1 + feed_v)
    assert left.drop_v <= left.limit_v
    assert result.wires["W3"].why == (
        "The voltage drop sets the size: 2.5 mm², the other wire of its circuit one size down too, would "
        "drop 3.2 % (0.38 V) there and back to Left lamp, limit 3 % (0.36 V)."
    )


def test_least_copper_is_shared_out_by_the_root_of_the_current():
    """Minimise ΣA·L for ΣI·ρ·L/A = V by Lagrange: A in proportion to √I. Against a search over two wires."""
    currents, lengths, volts, rho = (16.0, 4.0), (2.0, 3.0), 0.3, 1 / 58
    total = sum(length * math.sqrt(current) for current, length in zip(currents, lengths, strict=True))
    ours = [rho * math.sqrt(current) * total / volts for current in currents]
    copper = sum(area * length for area, length in zip(ours, lengths, strict=True))

    def other(first):
        left = volts - currents[0] * rho * lengths[0] / first
        return first * lengths[0] + (currents[1] * rho * lengths[1] / left) * lengths[1]

    least = min(other(ours[0] * step / 1000) for step in range(600, 3000))
    assert copper == pytest.approx(least, rel=1e-4)


def test_a_short_thick_fuse_is_set_by_the_fuse():
    result = size_loom(with_run(with_device(single_circuit(), "F1", rating_a=20), "R1", length_mm=400))
    assert result.wires["W1"].rule is Rule.PROTECTION
    assert "F1 may pass 20 A" in result.wires["W1"].why
    assert result.wires["W1"].bears_a >= 20


def test_handling_sets_the_size_where_nothing_else_does():
    result = size_loom(with_wire(single_circuit(steady_a=0.2), "W1", least_mm2=0.75))
    assert (result.wires["W1"].size.name, result.wires["W1"].rule) == ("0.75 mm²", Rule.MECHANICAL)
    assert "0.5 mm² is thinner than the 0.75 mm² allowed here" in result.wires["W1"].why


def test_an_intermittent_load_needs_less_for_its_heat_but_not_for_its_drop():
    """A window motor, 3 s at a time: heated by less, but its voltage drops as much."""
    loom = with_device(single_circuit(steady_a=20, nature=Nature.STEADY, drop="other"), "F1",
                       kind=DeviceKind.ELECTRONIC)  # fmt: skip
    short = with_component(loom, "Lamp", duty=0.1, on_s=3)
    steady, brief = size_loom(loom).wires["W1"], size_loom(short).wires["W1"]
    assert brief.running_c < steady.running_c
    assert brief.current_a == steady.current_a == 20


def test_a_wire_among_others_carries_less():
    """W6 shares R1 with W2: 0.80 of what it carries alone, BS 7671 for two."""
    loom = with_wire(small_loom(), "W6", least_mm2=2.5)
    apart = replace(loom, runs=(*loom.runs, Run("R9", "J1", "J4", 900)))
    together, single = size_loom(loom).wires["W6"], size_loom(apart).wires["W6"]
    assert together.size == single.size
    assert together.capacity_a == pytest.approx(0.8 * single.capacity_a, rel=1e-6)


def test_a_given_size_stays_and_says_what_it_does_not_pass():
    result = size_loom(with_wire(small_loom(), "W6", given_mm2=0.5))
    assert result.wires["W6"].size.name == "0.5 mm²"
    assert result.wires["W6"].why == "0.5 mm² is given, not worked out."
    assert [fault.field for fault in result.faults] == ["given_mm2"]
    assert "its given size does not pass: 0.5 mm² bears" in result.faults[0].message


def test_a_contact_too_small_for_the_conductor_is_named():
    result = size_loom(with_cavity(small_loom(), "SW", "56", largest_mm2=2.5))
    (fault,) = result.faults
    assert (fault.kind, fault.thing) == (FaultKind.CONTACT, "SW/56")
    assert "wire W3 is 3 mm², and the contact takes 2.5 mm²" in fault.message


def test_a_fuse_smaller_than_its_load_leaves_its_wires_without_a_size():
    result = size_loom(with_device(small_loom(), "F1", rating_a=10))
    assert set(result.wires) == {"W6", "W7"}
    (fault,) = result.faults
    assert (fault.kind, set(fault.wires)) == (FaultKind.DEVICE, {"W1", "W2", "W3", "W4", "W5"})
    assert "a fuse of 10 A is smaller than its load" in fault.message


def test_a_lead_too_long_before_its_first_fuse_is_refused():
    result = size_loom(with_wire(small_loom(), "W1", loop_mm=150))
    assert "W1" not in result.wires
    assert "Wire W1: 250 mm from BAT+ to its first fuse. Put a fuse within 200 mm" in result.faults[0].message


def test_a_place_as_hot_as_the_insulation_is_refused():
    """W4 and W5 lie at the joint where the hot run ends."""
    hot = with_run(small_loom(), "R2", measured_c=95)
    result = size_loom(hot)
    assert set(result.wires) == {"W1", "W2", "W6", "W7"}
    assert [(f.kind, f.thing, f.field) for f in result.faults] == [
        (FaultKind.HEAT, label, "insulation") for label in ("W3", "W4", "W5")
    ]
    assert "95 °C in R2 leaves insulation of 100 °C no room" in result.faults[0].message
    assert "W3" in size_loom(with_wire(hot, "W3", insulation="c")).wires


def test_no_conductor_is_a_fault_with_the_way_out():
    result = size_loom(with_run(single_circuit(steady_a=50), "R1", length_mm=49000))
    assert result.wires == {}
    assert "no conductor passes; even 120 mm² would drop" in result.faults[-1].message
    assert "Shorten the run" in result.faults[-1].message


def test_a_list_with_figures_that_cannot_be_meant_is_not_sized():
    with pytest.raises(FaultyListError) as refusal:
        size_loom(with_component(with_run(small_loom(), "R1", length_mm=-1), "Pump", steady_a=900))
    assert [fault.thing for fault in refusal.value.faults] == ["Run R1", "Pump"]


def test_signals_are_sized_by_handling_alone():
    loom = small_loom()
    sensed = replace(
        loom,
        connectors=(*loom.connectors, connector("TS", "J3", "2"), connector("EC", "J1", "7")),
        wires=(*loom.wires, WireLine("W11", Pin("TS", "2"), Pin("EC", "7"), signal=True, least_mm2=0.35)),
    )
    wire = size_loom(sensed).wires["W11"]
    assert (wire.size.name, wire.device, wire.rating_a) == ("0.35 mm²", "", 0)
    assert size_loom(sensed).faults == ()


def test_starter_cables_take_the_size_of_the_battery_sheet():
    loom = small_loom()
    start = replace(
        loom,
        connectors=(*loom.connectors, connector("ST", "J3", "30")),
        wires=(*loom.wires, WireLine("W30", Pin("BAT+"), Pin("ST", "30"))),
    )
    starter = replace(
        loom.components[0], name="Starter", feed=Pin("ST", "30"), steady_a=250, nature=Nature.STARTER
    )
    start = replace(start, components=(*start.components, starter))
    refused = size_loom(start)
    assert "W30" not in refused.wires
    assert "Size it by the battery sheet" in refused.faults[0].message
    given_size = size_loom(with_wire(start, "W30", given_mm2=50))
    assert (given_size.wires["W30"].size.name, given_size.wires["W30"].device) == ("50 mm²", "")


def test_a_supply_that_limits_itself_protects_its_wires():
    loom = small_loom()
    sensor = replace(loom.components[0], name="Sensor", feed=Pin("TS", "1"), steady_a=0.02)
    fed = replace(
        loom,
        supplies=(*loom.supplies, Supply("ECU 5V", "J1", limited_a=0.5)),
        connectors=(*loom.connectors, connector("TS", "J3", "1")),
        components=(*loom.components, sensor),
        wires=(*loom.wires, WireLine("W10", Pin("ECU 5V"), Pin("TS", "1"))),
    )
    wire = size_loom(fed).wires["W10"]
    assert (wire.device, wire.rating_a, wire.size.name) == ("ECU 5V", 0.5, "0.5 mm²")


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 9), st.sampled_from(Series))
def test_no_result_without_protection_or_over_its_limits(seed, branches, loads, series):
    result = size_loom(tree_loom(branches, random.Random(seed), loads, series=series))
    told = {label for fault in result.faults for label in fault.wires}
    assert told.isdisjoint(result.wires)
    assert told | set(result.wires) == {wire.label for wire in result.loom.wires}
    for wire in result.wires.values():
        assert wire.device
        assert wire.rating_a > 0
        assert wire.bears_a >= wire.rating_a * (1 - 1e-9)
        assert wire.capacity_a >= wire.current_a * (1 - 1e-9)
        assert wire.running_c <= wire.wire.insulated.limit_c + 1e-6
        assert wire.size.area_mm2 >= 0.5 * (1 - 1e-3)
    for load in result.loads.values():
        assert load.drop_v <= load.limit_v * (1 + 1e-9)
    for name, rated in result.devices.items():
        behind = [load for load in result.loom.components if name in result.circuits.paths[load.name].devices]
        assert sum(load.steady_a for load in behind) * 4 / 3 <= rated.rating_a * (1 + 1e-9)


HARDER = {
    "more current": lambda loom, pick: with_component(
        loom, (load := pick(loom.components)).name, steady_a=load.steady_a * 1.4
    ),
    "more length": lambda loom, pick: with_run(
        loom, (run := pick(loom.runs)).name, length_mm=run.length_mm * 1.6
    ),
    "hotter": lambda loom, pick: with_run(
        loom, (run := pick(loom.runs)).name, measured_c=min(run.ambient_c + 12, 88)
    ),
    "a tighter limit": lambda loom, pick: with_component(loom, pick(loom.components).name, drop="critical"),
}


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 9), st.sampled_from(sorted(HARDER)))
def test_nothing_harder_ever_thins_a_wire(seed, branches, loads, harder):
    """Of the whole loom, not only of the wire that is changed; in a tree of runs the routes stay."""
    chance = random.Random(seed)
    loom = tree_loom(branches, chance, loads, trim=False)
    before, after = size_loom(loom), size_loom(HARDER[harder](loom, chance.choice))
    told = {label for fault in after.faults for label in fault.wires}
    for label, wire in before.wires.items():
        if label in after.wires:
            assert after.wires[label].size.area_mm2 >= wire.size.area_mm2, (label, harder)
        else:
            assert label in told


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 9))
def test_a_wire_said_to_pass_thinner_as_it_stands_does(seed, branches, loads):
    """With every other wire held at its size, the next size down loses no more than its class may."""
    result = size_loom(tree_loom(branches, random.Random(seed), loads, trim=False))
    held = {label: each.size.area_mm2 for label, each in result.wires.items()}
    spare = [each for each in result.wires.values() if each.as_it_stands is not None]
    for wire in spare[:3]:
        assert wire.rule is Rule.DROP
        tried_mm2 = held | {wire.wire.label: wire.as_it_stands.area_mm2}
        tried = size_loom(replace(result.loom, wires=tuple(
            replace(each, given_mm2=tried_mm2.get(each.label)) for each in result.loom.wires)))  # fmt: skip
        assert not any(fault.thing == wire.wire.label for fault in tried.faults)
        for name in result.circuits.flows[wire.wire.label].loads:
            if name in tried.loads:
                assert tried.loads[name].drop_v <= tried.loads[name].limit_v * (1 + 1e-9)


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 9))
def test_wires_that_drop_governs_lose_too_much_one_size_down(seed, branches, loads):
    """All wires of the same loads that drop governs, one size down together: their path loses too much."""
    result = size_loom(tree_loom(branches, random.Random(seed), loads))
    for name, load in result.loads.items():
        path = result.circuits.paths[name]
        wires = [result.wires[label] for label in (*path.feed, *path.returns)]
        own = [wire for wire in wires if wire.rule is Rule.DROP and wire.why.endswith("V).")
               and f"back to {name}," in wire.why
               and result.circuits.flows[wire.wire.label].loads == (name,)]  # fmt: skip
        more_v = sum(
            wire.drop_v * (wire.smaller.milliohm_per_m / wire.size.milliohm_per_m - 1) for wire in own
        )
        # the rule counts each bundle as warm as steady loads may make it, so it may be some degrees hotter
        assert not own or 1.1 * (load.drop_v + more_v) > load.limit_v


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 9))
def test_taking_up_the_drop_never_thickens_a_wire(seed, branches, loads):
    loom = tree_loom(branches, random.Random(seed), loads)
    trimmed, shared = size_loom(loom), size_loom(replace(loom, trim=False))
    assert trimmed.wires.keys() == shared.wires.keys()
    for label, wire in trimmed.wires.items():
        assert wire.size.area_mm2 <= shared.wires[label].size.area_mm2


@settings(max_examples=80, deadline=None)
@given(CIRCUITS, st.sampled_from(["more current", "more length", "hotter"]))
def test_a_harder_circuit_never_gets_a_thinner_wire_though_drop_is_taken_up(circuit, harder):
    load, amperes, length_m, drop, ambient_c, insulation, series = circuit
    loom = replace(
        single_circuit(steady_a=0.8 * amperes, nature=Nature(load), drop=drop), series=series, body_v=0.05
    )
    loom = with_wire(with_run(loom, "R1", length_mm=1000 * length_m, measured_c=ambient_c), "W1",
                     insulation=insulation)  # fmt: skip
    before, after = size_loom(loom), size_loom(HARDER[harder](loom, lambda things: things[0]))
    if "W1" in after.wires:
        assert after.wires["W1"].size.area_mm2 >= before.wires["W1"].size.area_mm2


def test_given_sizes_that_lose_too_much_are_named():
    result = size_loom(with_wire(single_circuit(), "W1", given_mm2=2.0))
    assert "Lamp: loses 4.2 % (0.51 V) there and back, limit 3 %" in result.faults[0].message


def test_every_size_of_the_series_can_be_given():
    for size in WIRES[Series.AWG]:
        loom = replace(
            with_wire(single_circuit(), "W1", given_mm2=round(size.area_mm2, 2)), series=Series.AWG
        )
        assert size_loom(loom).wires["W1"].size.name == size.name

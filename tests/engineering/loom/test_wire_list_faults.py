"""A wire list that cannot be, or must not be built, is found out by name."""

import math
from dataclasses import replace

import pytest

from engineering.loom.checks import check_list
from engineering.loom.circuits import Side, current_through, follow
from engineering.loom.faults import FaultKind
from engineering.loom.inputs import Return
from engineering.loom.wire_list import (
    Box,
    Component,
    Device,
    DeviceKind,
    Nature,
    Pin,
    Splice,
    Supply,
    WireLine,
)
from tests.engineering.loom.looms import (
    connector,
    small_loom,
    with_cavity,
    with_component,
    with_device,
    with_run,
    with_wire,
)


def only_fault(loom):
    faults = check_list(loom)
    assert len(faults) == 1, [fault.message for fault in faults]
    return faults[0]


def test_a_sound_list_has_no_fault():
    assert check_list(small_loom()) == ()


def test_every_wire_knows_its_place():
    circuits = follow(small_loom())
    assert {label: (flow.side, flow.loads, flow.device) for label, flow in circuits.flows.items()} == {
        "W1": (Side.FEED, ("Left lamp", "Right lamp", "Pump"), ""),
        "W2": (Side.FEED, ("Left lamp", "Right lamp"), "F1"),
        "W3": (Side.FEED, ("Left lamp", "Right lamp"), "F1"),
        "W4": (Side.FEED, ("Left lamp",), "F1"),
        "W5": (Side.FEED, ("Right lamp",), "F1"),
        "W6": (Side.FEED, ("Pump",), "F2"),
        "W7": (Side.RETURN, ("Pump",), ""),
    }
    assert circuits.flows["W1"].devices_at_end == ("F1", "F2")
    assert circuits.paths["Pump"].feed == ("W1", "W6")
    assert circuits.paths["Pump"].returns == ("W7",)
    assert circuits.paths["Right lamp"].feed == ("W1", "W2", "W3", "W5")


def test_what_is_never_on_together_counts_once():
    loom = small_loom()
    assert current_through(loom, ("Left lamp", "Right lamp", "Pump")) == pytest.approx(16.2)
    either = with_component(with_component(loom, "Left lamp", one_of="beam"), "Right lamp", one_of="beam")
    assert current_through(either, ("Left lamp", "Right lamp", "Pump")) == pytest.approx(11.6)


def test_two_wires_with_one_label():
    fault = only_fault(with_wire(small_loom(), "W5", label="W4"))
    assert fault.kind is FaultKind.LABEL
    assert fault.message == "Wire W4: 2 wires have this label. Give each its own."


def test_a_cavity_used_twice():
    fault = only_fault(with_wire(small_loom(), "W5", start=Pin("SW", "56")))
    assert (fault.kind, fault.thing) == (FaultKind.CAVITY, "SW/56")
    assert "wires W3 and W5 share one cavity" in fault.message


@pytest.mark.parametrize(
    ("pin", "words"),
    [
        (Pin("XX"), "there is no “XX”"),
        (Pin("HL", "9"), "connector HL has no cavity “9”"),
        (Pin("HL"), "say which cavity of connector HL"),
    ],
)
def test_a_wire_to_a_place_that_is_not_there(pin, words):
    fault = only_fault(with_wire(small_loom(), "W4", end=pin))
    assert (fault.kind, fault.thing) == (FaultKind.NOWHERE, "W4")
    assert words in fault.message


def test_a_wire_to_a_cavity_that_nothing_uses():
    loom = small_loom()
    loose = replace(
        loom,
        connectors=(*loom.connectors, connector("SP", "J3", "1")),
        wires=(*loom.wires, WireLine("W9", Pin("S1"), Pin("SP", "1"))),
    )
    fault = only_fault(loose)
    assert (fault.kind, fault.thing, fault.wires) == (FaultKind.NOWHERE, "W9", ("W9",))
    assert "nothing is joined to its end at SP/1" in fault.message


def test_a_circuit_without_protection():
    loom = small_loom()
    bare = with_wire(with_component(loom, "Pump", feed=Pin("FB", "in")), "W6", end=Pin("HL", "1"))
    bare = replace(bare, wires=tuple(wire for wire in loom.wires if wire.label != "W6"))
    faults = [fault for fault in check_list(bare) if fault.kind is FaultKind.PROTECTION]
    assert [(fault.thing, fault.wires) for fault in faults] == [("Pump", ("W1",))]
    assert "nothing protects it on the way from BAT+" in faults[0].message


def test_a_ground_path_missing():
    loom = small_loom()
    fault = only_fault(replace(loom, wires=loom.wires[:-1]))
    assert (fault.kind, fault.thing) == (FaultKind.GROUND, "Pump")
    assert "no wire leads from PU/- to a ground" in fault.message


def test_a_body_that_carries_no_current_asks_for_return_wires():
    faults = check_list(replace(small_loom(), returns=Return.WIRE))
    assert [(fault.kind, fault.thing) for fault in faults] == [
        (FaultKind.GROUND, "Left lamp"),
        (FaultKind.GROUND, "Right lamp"),
        (FaultKind.GROUND, "Pump"),
    ]
    assert "this car's body carries no current" in faults[0].message


def test_a_component_that_nothing_feeds():
    loom = small_loom()
    fault = only_fault(replace(loom, wires=tuple(wire for wire in loom.wires if wire.label != "W5")))
    assert (fault.kind, fault.thing) == (FaultKind.FEED, "Right lamp")


def test_circular_splices():
    loom = small_loom()
    ring = replace(
        loom,
        splices=(*loom.splices, Splice("S2", "J3"), Splice("S3", "J3")),
        wires=(
            *loom.wires,
            WireLine("X1", Pin("S1"), Pin("S2")),
            WireLine("X2", Pin("S2"), Pin("S3")),
            WireLine("X3", Pin("S3"), Pin("S1")),
        ),
    )
    fault = only_fault(ring)
    assert fault.kind is FaultKind.RING
    assert set(fault.wires) == {"X1", "X2", "X3"}
    assert "make a ring" in fault.message


def test_two_wires_side_by_side_are_a_ring_too():
    loom = small_loom()
    double = replace(loom, wires=(*loom.wires, WireLine("W3b", Pin("S1"), Pin("SW", "56"))))
    assert any(f.kind is FaultKind.RING and set(f.wires) == {"W3", "W3b"} for f in check_list(double))


def test_a_supply_wired_straight_to_ground():
    loom = small_loom()
    short = replace(loom, wires=(*loom.wires, WireLine("W8", Pin("S1"), Pin("G1"))))
    fault = only_fault(short)
    assert (fault.kind, fault.wires) == (FaultKind.SHORT, ("W8",))


def test_two_supplies_joined():
    loom = small_loom()
    joined = replace(
        loom,
        supplies=(*loom.supplies, Supply("BAT2", "J2")),
        wires=(*loom.wires, WireLine("W8", Pin("BAT2"), Pin("S1"))),
    )
    fault = only_fault(joined)
    assert fault.kind is FaultKind.RING
    assert "joins BAT+ to BAT2" in fault.message


def test_a_contact_that_cannot_take_the_current():
    fault = only_fault(with_cavity(small_loom(), "SW", "56", most_a=8))
    assert (fault.kind, fault.thing) == (FaultKind.CONTACT, "SW/56")
    assert "wire W3 carries 9.2 A, and the contact bears 8 A" in fault.message


def test_a_supply_and_a_box_over_their_total():
    """4.6 + 4.6 + 7 = 16.2 A."""
    loom = replace(small_loom(), supplies=(Supply("BAT+", "J1", most_a=16),))
    assert only_fault(loom).message.startswith("BAT+: its loads draw 16.2 A together, and it gives 16 A")
    loom = replace(small_loom(), boxes=(Box("Fuse box", 9),))
    loom = with_device(loom, "F1", box="Fuse box")
    fault = only_fault(loom)
    assert (fault.kind, fault.thing) == (FaultKind.OVERLOAD, "Fuse box")
    assert "draw 9.2 A together, and it gives 9 A" in fault.message


def test_a_signal_is_no_excuse_on_a_live_wire():
    fault = only_fault(with_wire(small_loom(), "W4", signal=True))
    assert (fault.kind, fault.field) == (FaultKind.PROTECTION, "signal")


def test_a_sensor_on_a_limited_feed_needs_no_fuse():
    loom = small_loom()
    sensor = replace(
        loom,
        supplies=(*loom.supplies, Supply("ECU 5V", "J1", limited_a=0.1)),
        connectors=(*loom.connectors, connector("TS", "J3", "1", "2"), connector("EC", "J1", "7")),
        components=(*loom.components, Component("Sensor", Pin("TS", "1"), None, 0.01)),
        wires=(
            *loom.wires,
            WireLine("W10", Pin("ECU 5V"), Pin("TS", "1")),
            WireLine("W11", Pin("TS", "2"), Pin("EC", "7"), signal=True),
        ),
    )
    assert check_list(sensor) == ()
    assert follow(sensor).flows["W11"].side is Side.SIGNAL


BAD_FIGURES = [
    (lambda loom: with_run(loom, "R1", length_mm=0), "Run R1", "more than 0 mm, not 0 mm"),
    (lambda loom: with_run(loom, "R1", length_mm=-5), "Run R1", "not -5 mm"),
    (lambda loom: with_run(loom, "R1", length_mm=math.nan), "Run R1", "not a number"),
    (lambda loom: with_run(loom, "R1", length_mm=2e6), "Run R1", "more than 50000 mm"),
    (lambda loom: with_run(loom, "R1", measured_c=900), "Run R1", "between -40 and 200"),
    (lambda loom: with_run(loom, "R1", surroundings="moon"), "Run R1", "“moon” are not known"),
    (lambda loom: with_run(loom, "R1", end="J1"), "Run R1", "begins and ends at J1"),
    (lambda loom: with_component(loom, "Pump", steady_a=900), "Pump", "900 A is more than 100 A"),
    (lambda loom: with_component(loom, "Pump", steady_a=0), "Pump", "more than 0 A"),
    (lambda loom: with_component(loom, "Pump", steady_a=math.inf), "Pump", "not a number"),
    (lambda loom: with_component(loom, "Pump", inrush_a=40), "Pump", "in-rush with its time"),
    (lambda loom: with_component(loom, "Pump", inrush_a=4, inrush_s=1), "Pump", "below the 7 A"),
    (lambda loom: with_component(loom, "Pump", duty=1.4), "Pump", "more than 1"),
    (lambda loom: with_component(loom, "Pump", drop="?"), "Pump", "class “?” is not known"),
    (lambda loom: with_device(loom, "F1", rating_a=12), "F1", "the nearest are 10 and 15 A"),
    (lambda loom: with_device(loom, "F1", rating_a=-1), "F1", "more than 0 A"),
    (lambda loom: with_device(loom, "F1", box="?"), "F1", "there is no box"),
    (lambda loom: with_wire(loom, "W4", insulation="z"), "W4", "insulation “z”"),
    (lambda loom: with_wire(loom, "W4", given_mm2=1.7), "W4", "1.7 mm² is no size"),
    (lambda loom: with_wire(loom, "W4", least_mm2=0), "Wire W4", "more than 0 mm²"),
    (lambda loom: with_wire(loom, "W4", via=("J9",)), "W4", "joint “J9”"),
    (lambda loom: with_wire(loom, "W4", avoid=("R9",)), "W4", "no run “R9”"),
    (lambda loom: replace(loom, system_v=230), "System", "230 V is not 12, 24 or 48 V"),
    (lambda loom: with_cavity(loom, "SW", "56", most_a=0), "Connector SW, cavity 56", "more than 0 A"),
]


@pytest.mark.parametrize(("change", "thing", "words"), BAD_FIGURES)
def test_a_figure_that_cannot_be_meant_is_named(change, thing, words):
    fault = only_fault(change(small_loom()))
    assert fault.thing == thing
    assert words in fault.message


def test_all_bad_figures_are_named_at_once():
    loom = with_component(with_run(small_loom(), "R1", length_mm=0), "Pump", steady_a=-1)
    assert [fault.thing for fault in check_list(loom)] == ["Run R1", "Pump"]


def test_an_electronic_output_may_trip_at_any_current():
    assert check_list(with_device(small_loom(), "F2", kind=DeviceKind.ELECTRONIC, rating_a=11.5)) == ()


def test_an_alternator_charges_through_its_own_fuse():
    loom = small_loom()
    charged = replace(
        loom,
        connectors=(*loom.connectors, connector("AL", "J3", "B+"), connector("FB2", "J1", "3")),
        devices=(*loom.devices, Device("F3", Pin("FB", "in"), Pin("FB2", "3"), rating_a=80)),
        components=(*loom.components, Component("Alternator", Pin("AL", "B+"), None, 55, Nature.CHARGER,
                                                drop="charging")),
        wires=(*loom.wires, WireLine("W20", Pin("FB2", "3"), Pin("AL", "B+"))),
    )  # fmt: skip
    assert check_list(charged) == ()
    assert current_through(charged, follow(charged).flows["W1"].loads) == 55

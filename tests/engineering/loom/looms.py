"""A small loom that tests change one thing at a time in, and a large one."""

from dataclasses import replace
from typing import Any

from engineering.loom.wire_list import (
    Cavity,
    Component,
    Connector,
    Device,
    Ground,
    GroundKind,
    Link,
    LoomList,
    Nature,
    Pin,
    Run,
    Splice,
    Supply,
    WireLine,
)


def connector(name: str, joint: str, *cavities: str) -> Connector:
    return Connector(name, joint, tuple(Cavity(cavity, 6.0, 60.0) for cavity in cavities))


def small_loom() -> LoomList:
    """Two headlamps on one fuse behind a switch, joined in a splice, and a pump with a return wire.

    Battery -W1- fuse box F1 -W2- switch -W3- splice S1 -W4/W5- lamps, which return through the body;
    F2 -W6- pump -W7- stud G1. Runs: J1 -R1 (1 m)- J2 -R2 (2 m)- J3, and J2 -R3 (0.5 m)- J4.
    """
    return LoomList(
        system_v=12,
        supplies=(Supply("BAT+", "J1"),),
        grounds=(Ground("G1", "J4", GroundKind.BODY),),
        connectors=(
            connector("FB", "J1", "in", "1", "2"),
            connector("SW", "J2", "30", "56"),
            connector("HL", "J3", "1"),
            connector("HR", "J3", "1"),
            connector("PU", "J4", "+", "-"),
        ),
        splices=(Splice("S1", "J3"),),
        devices=(
            Device("F1", Pin("FB", "in"), Pin("FB", "1"), rating_a=15),
            Device("F2", Pin("FB", "in"), Pin("FB", "2"), rating_a=15),
        ),
        links=(Link("Light switch", Pin("SW", "30"), Pin("SW", "56")),),
        components=(
            Component("Left lamp", Pin("HL", "1"), None, 4.6, Nature.LAMP),
            Component("Right lamp", Pin("HR", "1"), None, 4.6, Nature.LAMP),
            Component("Pump", Pin("PU", "+"), Pin("PU", "-"), 7.0, Nature.MOTOR, drop="other"),
        ),
        wires=(
            WireLine("W1", Pin("BAT+"), Pin("FB", "in"), "30", "N", loop_mm=0),
            WireLine("W2", Pin("FB", "1"), Pin("SW", "30"), "30", "N"),
            WireLine("W3", Pin("SW", "56"), Pin("S1"), "56", "U"),
            WireLine("W4", Pin("S1"), Pin("HL", "1"), "56", "U"),
            WireLine("W5", Pin("S1"), Pin("HR", "1"), "56", "U"),
            WireLine("W6", Pin("FB", "2"), Pin("PU", "+"), "15", "G"),
            WireLine("W7", Pin("PU", "-"), Pin("G1"), "31", "B"),
        ),
        runs=(Run("R1", "J1", "J2", 1000), Run("R2", "J2", "J3", 2000), Run("R3", "J2", "J4", 500)),
        tail_mm=50,
    )


def with_wire(loom: LoomList, label: str, /, **change: Any) -> LoomList:
    return replace(loom, wires=_changed(loom.wires, "label", label, change))


def with_component(loom: LoomList, name: str, /, **change: Any) -> LoomList:
    return replace(loom, components=_changed(loom.components, "name", name, change))


def with_device(loom: LoomList, name: str, /, **change: Any) -> LoomList:
    return replace(loom, devices=_changed(loom.devices, "name", name, change))


def with_run(loom: LoomList, name: str, /, **change: Any) -> LoomList:
    return replace(loom, runs=_changed(loom.runs, "name", name, change))


def with_cavity(loom: LoomList, place: str, name: str, **change: Any) -> LoomList:
    (found,) = (each for each in loom.connectors if each.name == place)
    cavities = _changed(found.cavities, "name", name, change)
    return replace(loom, connectors=_changed(loom.connectors, "name", place, {"cavities": cavities}))


def _changed(things: tuple[Any, ...], key: str, value: str, change: dict[str, Any]) -> tuple[Any, ...]:
    assert any(getattr(thing, key) == value for thing in things), value
    return tuple(replace(each, **change) if getattr(each, key) == value else each for each in things)


def single_circuit(**component: Any) -> LoomList:
    """The circuit sheet's case: a fuse on the battery stud, a wire of 4 m in one run, a lamp on the body."""
    load = {"steady_a": 9.2, "nature": Nature.LAMP} | component
    return LoomList(
        system_v=12,
        supplies=(Supply("BAT+", "J1"),),
        connectors=(connector("FB", "J1", "1"), connector("LA", "J2", "1")),
        devices=(Device("F1", Pin("BAT+"), Pin("FB", "1")),),
        components=(Component("Lamp", Pin("LA", "1"), None, **load),),
        wires=(WireLine("W1", Pin("FB", "1"), Pin("LA", "1")),),
        runs=(Run("R1", "J1", "J2", 4000, measured_c=60),),
        tail_mm=0,
    )


def tree_loom(branches: int, random: Any, loads: int = 6, **more: Any) -> LoomList:
    """A loom whose runs make no ring: a fuse on the stud for each group of loads, some with return wires."""
    runs = [
        Run(f"R{n}", f"J{random.randrange(n)}", f"J{n}", random.choice([150, 400, 800, 1500]),
            random.choice(["cabin", "cabin", "engine", "outside", "conduit"]))
        for n in range(1, branches)
    ]  # fmt: skip
    connectors, devices, components, wires, splices = [], [], [], [], []
    for n in range(loads):
        joint = f"J{random.randrange(1, branches)}"
        connectors += [connector(f"FB{n}", "J0", "1"), connector(f"C{n}", joint, "1", "2", "3")]
        devices.append(Device(f"F{n}", Pin("BAT+"), Pin(f"FB{n}", "1")))
        shared = random.random() < 0.4
        nature = random.choice([Nature.STEADY, Nature.LAMP, Nature.MOTOR])
        returns = Pin(f"C{n}", "3") if random.random() < 0.4 else None
        drop = random.choice(["critical", "other", "lamp"])
        amperes = round(random.choice([0.1, 0.5, 2, 4.6, 8, 12]) * random.uniform(0.8, 1.2), 2)
        components.append(Component(f"K{n}a", Pin(f"C{n}", "1"), returns, amperes, nature, drop=drop))
        if shared:
            splices.append(Splice(f"S{n}", joint))
            components.append(Component(f"K{n}b", Pin(f"C{n}", "2"), None, amperes / 2, nature, drop=drop))
            wires += [
                WireLine(f"W{n}a", Pin(f"FB{n}", "1"), Pin(f"S{n}")),
                WireLine(f"W{n}b", Pin(f"S{n}"), Pin(f"C{n}", "1")),
                WireLine(f"W{n}c", Pin(f"S{n}"), Pin(f"C{n}", "2")),
            ]
        else:
            wires.append(WireLine(f"W{n}a", Pin(f"FB{n}", "1"), Pin(f"C{n}", "1")))
        if returns:
            wires.append(WireLine(f"W{n}r", returns, Pin("G1")))
    return LoomList(
        system_v=12,
        supplies=(Supply("BAT+", "J0"),),
        grounds=(Ground("G1", "J1"),),
        connectors=tuple(connectors),
        devices=tuple(devices),
        components=tuple(components),
        splices=tuple(splices),
        wires=tuple(wires),
        runs=tuple(runs),
        **more,
    )


def large_loom(random: Any, wires: int = 600, runs: int = 150) -> LoomList:
    """A loom of a size that no car has: many fused circuits through a network of runs with some rings.

    Each circuit is a fuse on a stud, a feed to a splice and branches to one to five loads, a third of which
    return by a wire to the nearest stud.
    """
    joints = max(2, round(runs * 0.75))
    measured = [
        Run(f"R{n}", f"J{random.randrange(max(0, n - 12), n)}", f"J{n}", random.randrange(80, 900),
            random.choice(["cabin", "cabin", "cabin", "engine", "outside", "conduit"]))
        for n in range(1, joints)
    ]  # fmt: skip
    while len(measured) < runs:
        one, other = random.sample(range(joints), 2)
        measured.append(Run(f"R{len(measured) + 1}", f"J{one}", f"J{other}", random.randrange(300, 2500)))
    parts: dict[str, list[Any]] = {
        key: [] for key in ("connectors", "devices", "components", "splices", "wires")
    }
    number = 0
    while len(parts["wires"]) < wires:
        _add_circuit(parts, number, joints, random)
        number += 1
    kept = parts["wires"][:wires]
    labels = {wire.label for wire in kept}
    parts["components"] = [c for c in parts["components"] if c.name.replace("K", "B") in labels
                           and (c.returns is None or c.name.replace("K", "X") in labels)]  # fmt: skip
    fed = {component.name.replace("K", "B") for component in parts["components"]}
    parts["wires"] = [wire for wire in kept if wire.label[0] == "A" or wire.label.replace("X", "B") in fed]
    grounds = tuple(Ground(f"G{joint}", f"J{joint}") for joint in range(0, joints, 10))
    return LoomList(
        12,
        runs=tuple(measured),
        supplies=(Supply("BAT+", "J0"),),
        grounds=grounds,
        **{key: tuple(things) for key, things in parts.items()},
    )


def _add_circuit(parts: dict[str, list[Any]], number: int, joints: int, random: Any) -> None:
    joint = random.randrange(joints)
    parts["connectors"].append(connector(f"FB{number}", "J0", "1"))
    parts["devices"].append(Device(f"F{number}", Pin("BAT+"), Pin(f"FB{number}", "1")))
    parts["splices"].append(Splice(f"S{number}", f"J{joint}"))
    parts["wires"].append(WireLine(f"A{number}", Pin(f"FB{number}", "1"), Pin(f"S{number}"), colour="N"))
    nature = random.choice([Nature.STEADY, Nature.LAMP, Nature.MOTOR])
    for load in range(random.randrange(1, 6)):
        name, place = f"{number}-{load}", min(joints - 1, max(0, joint + random.randrange(-6, 7)))
        parts["connectors"].append(connector(f"C{name}", f"J{place}", "1", "2"))
        returns = Pin(f"C{name}", "2") if random.random() < 0.35 else None
        amperes = round(random.choice([0.05, 0.2, 0.5, 1, 2, 4.6]) * random.uniform(0.7, 1.3), 3)
        parts["components"].append(
            Component(f"K{name}", Pin(f"C{name}", "1"), returns, amperes, nature,
                      drop=random.choice(["other", "other", "lamp", "control"]))
        )  # fmt: skip
        parts["wires"].append(WireLine(f"B{name}", Pin(f"S{number}"), Pin(f"C{name}", "1"), colour="U"))
        if returns:
            parts["wires"].append(WireLine(f"X{name}", returns, Pin(f"G{place // 10 * 10}"), colour="B"))

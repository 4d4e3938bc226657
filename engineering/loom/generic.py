"""Circuits of a plain car to start a wire list from: common practice, no source, every figure to be checked.

Currents lie in the range of published lists of typical currents; positions and lengths are those of a small
two-door car and stand only until somebody has measured. Wires are cross-linked: in an engine bay at 85 °C
plain insulation would ask for several times the copper.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

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

RUNS = (
    Run("R1", "battery", "bulkhead", 900, "engine"),
    Run("R2", "bulkhead", "fuse box", 350, "cabin"),
    Run("R3", "fuse box", "column", 450, "cabin"),
    Run("R4", "column", "dash", 500, "cabin"),
    Run("R5", "bulkhead", "engine", 800, "hot"),
    Run("R6", "bulkhead", "nose left", 1300, "engine"),
    Run("R7", "nose left", "nose right", 1200, "outside"),
    Run("R8", "fuse box", "sill", 700, "cabin"),
    Run("R9", "sill", "door left", 500, "cabin"),
    Run("R10", "dash", "door right", 900, "cabin"),
    Run("R11", "sill", "rear left", 2200, "cabin"),
    Run("R12", "rear left", "rear right", 1200, "outside"),
    Run("R13", "rear left", "tank", 500, "outside"),
    Run("R14", "sill", "tunnel", 600, "cabin"),
    Run("R15", "sill", "roof", 1600, "cabin"),
)
"""Runs of the plain car, battery in the engine bay."""

GROUNDS = {"nose": "nose left", "engine": "engine", "dash": "dash", "rear": "rear left"}
"""Body studs and the joints where they sit."""

_GROUND_OF = {
    "battery": "engine", "bulkhead": "engine", "engine": "engine", "nose left": "nose", "nose right": "nose",
    "fuse box": "dash", "column": "dash", "dash": "dash", "door left": "dash", "door right": "dash",
    "sill": "dash", "tunnel": "dash", "roof": "dash", "tank": "rear", "rear left": "rear",
    "rear right": "rear",
}  # fmt: skip


@dataclass(frozen=True)
class GenericLoad:
    """One component of a generic circuit.

    Parameters
    ----------
    name : str
        For people.
    joint : str
        Where on the plain car it sits.
    steady_a : float
        Typical current at 12 V [A].
    drop : str
        Key of its class in `DROPS`.
    one_of : str
        Components with the same name here are never on together.
    duty, on_s : float, float or None
        As of `Component`.
    """

    name: str
    joint: str
    steady_a: float
    drop: str = "other"
    one_of: str = ""
    duty: float = 1.0
    on_s: float | None = None


@dataclass(frozen=True)
class GenericCircuit:
    """A fuse, perhaps a switch or relay, and what it feeds.

    Parameters
    ----------
    name : str
        For people.
    colour : str
        Of its feeds, by BS AU 7; returns are black.
    nature : Nature
        Of all its loads.
    group : str
        Which main fuse feeds it: "lamps", "engine" or "cabin".
    loads : tuple of GenericLoad
        What it feeds.
    switch_at : str
        Joint of the switch or relay; empty where there is none.
    """

    name: str
    colour: str
    nature: Nature
    group: str
    loads: tuple[GenericLoad, ...]
    switch_at: str = ""


def _both(
    name: str, left: str, right: str, amperes: float, drop: str, one_of: str = ""
) -> tuple[GenericLoad, ...]:
    return (
        GenericLoad(f"{name}, left", left, amperes, drop, one_of and f"{one_of} left"),
        GenericLoad(f"{name}, right", right, amperes, drop, one_of and f"{one_of} right"),
    )


_NOSE, _REAR, _DOORS = ("nose left", "nose right"), ("rear left", "rear right"), ("door left", "door right")

_LAMP, _MOTOR, _STEADY = Nature.LAMP, Nature.MOTOR, Nature.STEADY

GENERIC: tuple[GenericCircuit, ...] = (
    GenericCircuit(
        "Dip beam", "UR", _LAMP, "lamps", _both("Dip", *_NOSE, 4.6, "headlamp", "beam"), "column"
    ),
    GenericCircuit(
        "Main beam", "UW", _LAMP, "lamps", _both("Main", *_NOSE, 5.0, "headlamp", "beam"), "column"
    ),
    GenericCircuit(
        "Side lamps, left", "RG", _LAMP, "lamps",
        (GenericLoad("Front side lamp, left", "nose left", 0.42, "small_lamp"),
         GenericLoad("Tail lamp, left", "rear left", 0.42, "small_lamp"),
         GenericLoad("Number plate lamp", "rear left", 0.84, "small_lamp")), "column",
    ),
    GenericCircuit(
        "Side lamps, right", "R", _LAMP, "lamps",
        (GenericLoad("Front side lamp, right", "nose right", 0.42, "small_lamp"),
         GenericLoad("Tail lamp, right", "rear right", 0.42, "small_lamp"),
         GenericLoad("Panel lamps", "dash", 1.0, "small_lamp")), "column",
    ),
    GenericCircuit("Stop lamps", "GP", _LAMP, "lamps", _both("Stop", *_REAR, 1.75, "lamp"), "column"),
    GenericCircuit(
        "Indicators", "LGN", _LAMP, "lamps",
        (*_both("Front indicator", *_NOSE, 1.75, "lamp"), *_both("Rear indicator", *_REAR, 1.75, "lamp")),
        "column",
    ),
    GenericCircuit("Reversing lamps", "GN", _LAMP, "lamps", _both("Reverse", *_REAR, 1.75, "lamp"), "tunnel"),
    GenericCircuit(
        "Rear fog lamp", "RY", _LAMP, "lamps", (GenericLoad("Rear fog", "rear right", 1.75, "lamp"),), "dash"
    ),
    GenericCircuit(
        "Ignition", "W", _STEADY, "engine", (GenericLoad("Coil", "engine", 5.0, "critical"),), "column"
    ),
    GenericCircuit(
        "Engine control", "NR", _STEADY, "engine",
        (GenericLoad("Engine control unit", "dash", 3.0, "critical"),
         GenericLoad("Injectors", "engine", 6.0, "critical")), "fuse box",
    ),
    GenericCircuit(
        "Fuel pump", "NP", _MOTOR, "engine",
        (GenericLoad("Fuel pump motor", "tank", 8.0, "critical"),), "fuse box",
    ),
    GenericCircuit(
        "Radiator fan", "NG", _MOTOR, "engine", (GenericLoad("Fan motor", "nose right", 15.0),), "fuse box"
    ),
    GenericCircuit(
        "Starter control", "WR", _STEADY, "engine",
        (GenericLoad("Starter solenoid", "engine", 8.0, "control", "", 0.05, 5.0),), "column",
    ),
    GenericCircuit(
        "Instruments", "G", _STEADY, "engine",
        (GenericLoad("Gauges", "dash", 0.6, "critical"), GenericLoad("Tell-tales", "dash", 0.8)), "column",
    ),
    GenericCircuit("Horns", "PY", _STEADY, "cabin", _both("Horn", *_NOSE, 4.0, "control"), "column"),
    GenericCircuit("Wipers", "UN", _MOTOR, "cabin", (GenericLoad("Wiper motor", "bulkhead", 5.0),), "column"),
    GenericCircuit(
        "Washer", "LGB", _MOTOR, "cabin",
        (GenericLoad("Washer pump", "nose left", 3.0, "other", "", 0.1, 5.0),), "column",
    ),
    GenericCircuit("Heater blower", "GS", _MOTOR, "cabin", (GenericLoad("Blower", "dash", 10.0),), "dash"),
    GenericCircuit(
        "Heated rear window", "GB", _STEADY, "cabin",
        (GenericLoad("Rear window", "rear right", 14.0),), "dash",
    ),
    GenericCircuit("Windows", "GR", _MOTOR, "cabin", _both("Window motor", *_DOORS, 5.0, "other"), "tunnel"),
    GenericCircuit("Locks", "PR", _MOTOR, "cabin", _both("Lock motor", *_DOORS, 3.0, "other"), "tunnel"),
    GenericCircuit("Radio", "PG", _STEADY, "cabin", (GenericLoad("Radio set", "dash", 4.0, "critical"),)),
    GenericCircuit(
        "Interior lamps", "P", _LAMP, "cabin",
        (GenericLoad("Roof lamp", "roof", 0.84, "small_lamp"),), "door left",
    ),
    GenericCircuit("Socket", "PN", _STEADY, "cabin", (GenericLoad("Socket outlet", "tunnel", 10.0),)),
)  # fmt: skip
"""A plain car's circuits; terminal numbers and colours may be changed."""


@dataclass
class Draft:
    """A list that is being written.

    Parameters
    ----------
    connectors, components, devices, links, splices, wires : list
        What stands in it so far.
    """

    connectors: list[Connector] = field(default_factory=list)
    components: list[Component] = field(default_factory=list)
    devices: list[Device] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    splices: list[Splice] = field(default_factory=list)
    wires: list[WireLine] = field(default_factory=list)


def generic_loom(circuits: tuple[GenericCircuit, ...] = GENERIC) -> LoomList:
    """A list to start from.

    Parameters
    ----------
    circuits : tuple of GenericCircuit
        The circuits that this car has.

    Returns
    -------
    LoomList
        Three main fuses at the battery feed a box with a fuse for each circuit; every load has a return wire
        to the nearest body stud. Fuse ratings are left to be chosen.

    Examples
    --------
    >>> loom = generic_loom()
    >>> len(loom.wires), len(loom.runs)
    (117, 15)
    """
    draft = Draft()
    groups = tuple(dict.fromkeys(circuit.group for circuit in circuits))
    for number, group in enumerate(groups, start=1):
        main_feed(draft, number, group)
    for number, circuit in enumerate(circuits, start=1):
        draft.wires.extend(add_circuit(draft, number, circuit))
    box = Connector(
        "FB",
        "fuse box",
        tuple(
            Cavity(name, None if name in groups else 6.0)
            for name in (*groups, *(str(number) for number in range(1, len(circuits) + 1)))
        ),
    )
    return LoomList(
        system_v=12,
        wires=tuple(draft.wires),
        runs=RUNS,
        connectors=(box, *draft.connectors),
        components=tuple(draft.components),
        supplies=(Supply("BAT+", "battery"),),
        grounds=tuple(Ground(name, joint, GroundKind.BODY) for name, joint in GROUNDS.items()),
        devices=tuple(draft.devices),
        links=tuple(draft.links),
        splices=tuple(draft.splices),
    )


def main_feed(draft: Draft, number: int, group: str, supply: str = "BAT+", joint: str = "battery") -> None:
    """Add a main fuse at the battery and its wire to the fuse box.

    Parameters
    ----------
    draft : Draft
        The list.
    number : int
        Of the fuse.
    group : str
        Cavity of the box that it feeds.
    supply, joint : str
        The battery and where it sits.
    """
    name = f"MF{number}"
    draft.connectors.append(Connector(name, joint, (Cavity("out", terminal="ring"),)))
    draft.devices.append(Device(name, Pin(supply), Pin(name, "out"), ambient_c=65))
    draft.wires.append(
        WireLine(f"M{number}", Pin(name, "out"), Pin("FB", group), f"Feed, {group}", "N", insulation="c")
    )


def add_circuit(draft: Draft, number: int, circuit: GenericCircuit) -> Iterator[WireLine]:
    """Add one circuit; its fuse sits in the box FB.

    Parameters
    ----------
    draft : Draft
        The list.
    number : int
        Of its fuse and of its cavity in the box.
    circuit : GenericCircuit
        The circuit.

    Yields
    ------
    WireLine
        Its wires, numbered 12.1, 12.2 … in the order of the current.
    """
    draft.devices.append(Device(f"F{number}", Pin("FB", circuit.group), Pin("FB", str(number))))
    count = iter(range(1, 100))

    def wire(start: Pin, end: Pin, colour: str) -> WireLine:
        label = f"{number}.{next(count)}"
        return WireLine(label, start, end, circuit.name, colour, insulation="c")

    at = Pin("FB", str(number))
    if circuit.switch_at:
        switch = f"{circuit.name} switch"
        draft.connectors.append(Connector(switch, circuit.switch_at, (Cavity("in", 6.0), Cavity("out", 6.0))))
        draft.links.append(Link(switch, Pin(switch, "in"), Pin(switch, "out")))
        yield wire(at, Pin(switch, "in"), circuit.colour)
        at = Pin(switch, "out")
    if len(circuit.loads) > 1:
        splice = f"S{number}"
        draft.splices.append(Splice(splice, circuit.loads[0].joint))
        yield wire(at, Pin(splice), circuit.colour)
        at = Pin(splice)
    for load in circuit.loads:
        draft.connectors.append(Connector(load.name, load.joint, (Cavity("+", 6.0), Cavity("-", 6.0))))
        draft.components.append(
            Component(
                load.name,
                Pin(load.name, "+"),
                Pin(load.name, "-"),
                load.steady_a,
                circuit.nature,
                duty=load.duty,
                on_s=load.on_s,
                drop=load.drop,
                one_of=load.one_of,
            )
        )
        yield wire(at, Pin(load.name, "+"), circuit.colour)
        yield wire(Pin(load.name, "-"), Pin(_GROUND_OF[load.joint]), "B")

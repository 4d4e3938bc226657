"""The wire list of a car as plain values: what is joined to what, and what flows there."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Protocol

from engineering.loom.inputs import INSULATIONS, Insulation, Return
from engineering.loom.wires import Series


class Named(Protocol):
    """Whatever has a name on the car."""

    @property
    def name(self) -> str:
        """Unique on the car."""


class _Placed(Named, Protocol):
    @property
    def joint(self) -> str: ...


@dataclass(frozen=True, order=True)
class Pin:
    """One place where a wire can end.

    Parameters
    ----------
    place : str
        Name of a connector, splice, ground or supply.
    cavity : str
        Which cavity of the connector; empty for a splice, a ground stud and a supply stud.
    """

    place: str
    cavity: str = ""

    def __str__(self) -> str:
        return f"{self.place}/{self.cavity}" if self.cavity else self.place


@dataclass(frozen=True)
class Cavity:
    """One cavity of a connector with the contact that goes in.

    Parameters
    ----------
    name : str
        As moulded on the connector.
    largest_mm2 : float or None
        Thickest conductor that the contact takes; None where nobody looked it up [mm^2].
    most_a : float or None
        Current that the contact bears by its maker's sheet [A].
    terminal : str
        What to crimp on, in words.
    """

    name: str
    largest_mm2: float | None = None
    most_a: float | None = None
    terminal: str = ""


@dataclass(frozen=True)
class Connector:
    """A connector body and where it sits.

    Parameters
    ----------
    name : str
        Unique on the car.
    joint : str
        Joint of the loom at which its tail leaves.
    cavities : tuple of Cavity
        All its cavities, used or not.
    tail_mm : float or None
        Wire from the joint to the contact, strip length included; None for the list's allowance [mm].
    """

    name: str
    joint: str
    cavities: tuple[Cavity, ...]
    tail_mm: float | None = None


@dataclass(frozen=True)
class Splice:
    """A crimped or soldered join inside the loom.

    Parameters
    ----------
    name : str
        Unique on the car.
    joint : str
        Joint of the loom nearest to it.
    """

    name: str
    joint: str


class GroundKind(StrEnum):
    """Where a ground stud brings the current."""

    BATTERY = "battery minus"
    BODY = "body"
    UNIT = "sensor ground of a control unit"


@dataclass(frozen=True)
class Ground:
    """A stud at which current leaves the loom.

    Parameters
    ----------
    name : str
        Unique on the car.
    joint : str
        Joint of the loom nearest to it.
    kind : GroundKind
        Battery minus, the body, or a control unit's own ground.
    """

    name: str
    joint: str
    kind: GroundKind = GroundKind.BODY


@dataclass(frozen=True)
class Supply:
    """A stud or cavity at which current enters the loom.

    Parameters
    ----------
    name : str
        Unique on the car.
    joint : str
        Joint of the loom nearest to it.
    most_a : float or None
        Steady current that it can give; None for a battery, which has no such limit [A].
    limited_a : float or None
        Where it limits its own current (the sensor feed of a control unit), to how much; such a supply is
        its own protection [A].
    """

    name: str
    joint: str
    most_a: float | None = None
    limited_a: float | None = None


@dataclass(frozen=True)
class Box:
    """A fuse box or a control unit that feeds several devices.

    Parameters
    ----------
    name : str
        Unique on the car.
    most_a : float
        Steady current of all its devices together, by its maker's sheet [A].
    """

    name: str
    most_a: float


class DeviceKind(StrEnum):
    """What breaks the current."""

    FUSE = "fuse"
    ELECTRONIC = "electronic output"


@dataclass(frozen=True)
class Device:
    """A fuse, or an output that switches itself off.

    Parameters
    ----------
    name : str
        Unique on the car.
    fed, out : Pin
        Where the current comes in and where it goes out.
    kind : DeviceKind
        Fuse or electronic output.
    rating_a : float or None
        Rating of the fuse, or current at which the output trips; None to have it chosen [A].
    inrush_a, inrush_s : float
        For an output: what it lets through at first, and for how long [A, s].
    retries : int
        For an output: how often it tries again by itself.
    ambient_c : float
        Hottest surroundings of the device itself [°C].
    box : str
        Name of the box it sits in, if any.
    """

    name: str
    fed: Pin
    out: Pin
    kind: DeviceKind = DeviceKind.FUSE
    rating_a: float | None = None
    inrush_a: float = 0.0
    inrush_s: float = 0.0
    retries: int = 0
    ambient_c: float = 25.0
    box: str = ""


class Nature(StrEnum):
    """What a component does with current. The first three are the loads of the circuit sheet."""

    STEADY = "resistive"
    LAMP = "lamp"
    MOTOR = "motor"
    CHARGER = "charger"
    STARTER = "starter"


@dataclass(frozen=True)
class Drop:
    """How much voltage a class of circuit may lose, there and back.

    Parameters
    ----------
    name : str
        For people.
    percent : float or None
        Most, of the nominal voltage; None where it is given in volts [%].
    volts_at_12 : float or None
        Most at 12 V; in proportion at 24 and 48 V [V].
    source : str
        Where the limit comes from.
    plus_only : bool
        Whether only the way to the component counts, not the way back.
    """

    name: str
    percent: float | None
    volts_at_12: float | None
    source: str
    plus_only: bool = False

    def volts(self, system_v: float) -> float:
        """Most that may be lost [V]."""
        if self.percent is not None:
            return system_v * self.percent / 100
        assert self.volts_at_12 is not None, "a class has one of the two"
        return self.volts_at_12 * system_v / 12


_TRADE = "vehicle trade's list, whole circuit; from memory of an automotive handbook"
DROPS: dict[str, Drop] = {
    "critical": Drop("Lamps, electronics, pumps", 3.0, None, "ABYC E-11, 3 % class"),
    "other": Drop("Everything else", 10.0, None, "ABYC E-11 and ISO 10133, 10 % class"),
    "headlamp": Drop("Headlamps", None, 0.6, _TRADE),
    "lamp": Drop("Lamps over 15 W", None, 0.9, _TRADE),
    "small_lamp": Drop("Lamps under 15 W", None, 0.6, _TRADE),
    "control": Drop("Control, horn", None, 1.5, _TRADE),
    "charging": Drop("Charging, plus side", None, 0.4, "vehicle trade's list, plus side", True),
}
"""Classes of circuit by the name that a list stores."""


@dataclass(frozen=True)
class Component:
    """Something that takes current, or gives it as an alternator does.

    Parameters
    ----------
    name : str
        Unique on the car.
    feed : Pin
        Where the current comes in (of an alternator: where it goes out).
    returns : Pin or None
        Where it leaves; None where the component is bolted to the body and returns through it.
    steady_a : float
        Steady current while it is on [A].
    nature : Nature
        Kind of load.
    inrush_a, inrush_s : float or None
        Current as it is switched on and for how long, where known [A, s].
    duty : float
        Share of the time that it is on, 0 to 1 [-].
    on_s : float or None
        Longest that it stays on at one go; None counts it as on all the time [s].
    drop : str
        Key of its class in `DROPS`.
    one_of : str
        Components with the same name here are never on together (dip and main, slow and fast wipe).
    """

    name: str
    feed: Pin
    returns: Pin | None
    steady_a: float
    nature: Nature = Nature.STEADY
    inrush_a: float | None = None
    inrush_s: float | None = None
    duty: float = 1.0
    on_s: float | None = None
    drop: str = "critical"
    one_of: str = ""


@dataclass(frozen=True)
class Link:
    """A switch, a relay's contacts or a mated pair: passes current from one cavity to another.

    Parameters
    ----------
    name : str
        Unique on the car.
    one, other : Pin
        The two cavities.
    """

    name: str
    one: Pin
    other: Pin


@dataclass(frozen=True)
class WireLine:
    """One line of the wire list.

    Parameters
    ----------
    label : str
        Printed on both ends; unique on the car.
    start, end : Pin
        What it joins.
    circuit : str
        Name of the circuit, or a terminal number.
    colour : str
        Colour code, base first.
    least_mm2 : float or None
        Thinnest conductor that stands handling here; None for the list's own [mm^2].
    insulation : str
        Key of its temperature class in `INSULATIONS`.
    given_mm2 : float or None
        Conductor fixed elsewhere, by the battery sheet or because it is on the car already [mm^2].
    via : tuple of str
        Joints that it has to pass, in any order.
    avoid : tuple of str
        Runs that it must keep out of.
    loop_mm : float or None
        Service loop; None for the list's own [mm].
    signal : bool
        Carries thousandths of an ampere from a source that can give no more.
    """

    label: str
    start: Pin
    end: Pin
    circuit: str = ""
    colour: str = ""
    least_mm2: float | None = None
    insulation: str = "b"
    given_mm2: float | None = None
    via: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    loop_mm: float | None = None
    signal: bool = False

    @property
    def insulated(self) -> Insulation:
        """Its temperature class."""
        return INSULATIONS[self.insulation]


@dataclass(frozen=True)
class Surroundings:
    """Where a run lies.

    Parameters
    ----------
    name : str
        For people.
    ambient_c : float
        Hottest air there where nobody has measured it [°C].
    source : str
        Where the figure comes from.
    """

    name: str
    ambient_c: float
    source: str


SURROUNDINGS: dict[str, Surroundings] = {
    "cabin": Surroundings("Cabin", 50, "common practice, no source"),
    "dash": Surroundings("Behind a sun-soaked dash", 85, "ISO 16750-4, from memory"),
    "engine": Surroundings("Engine bay", 85, "common practice, no source"),
    "hot": Surroundings("Engine bay near heat", 105, "ISO 16750-4, from memory"),
    "outside": Surroundings("Outside, under the floor", 50, "common practice, no source"),
    "conduit": Surroundings("In a conduit or closed sleeve", 60, "common practice, no source"),
}
"""Surroundings of a run by the name that a list stores."""


@dataclass(frozen=True)
class Run:
    """A measured stretch of the loom between two joints.

    Parameters
    ----------
    name : str
        Unique on the car.
    start, end : str
        Names of its joints.
    length_mm : float
        By the tape [mm].
    surroundings : str
        Key in `SURROUNDINGS`.
    measured_c : float or None
        Hottest air there where it is known better [°C].
    """

    name: str
    start: str
    end: str
    length_mm: float
    surroundings: str = "cabin"
    measured_c: float | None = None

    @property
    def ambient_c(self) -> float:
        """Hottest air along it [°C]."""
        if self.measured_c is not None:
            return self.measured_c
        return SURROUNDINGS[self.surroundings].ambient_c


@dataclass(frozen=True)
class LoomList:
    """Everything that a loom is worked out from.

    Parameters
    ----------
    system_v : int
        Nominal voltage: 12, 24 or 48 [V].
    wires : tuple of WireLine
        The wires, in the order of the list.
    runs : tuple of Run
        The measured stretches; their ends are the joints.
    connectors : tuple of Connector
        Connectors with their cavities.
    components : tuple of Component
        What takes or gives current.
    supplies : tuple of Supply
        Where current enters; the first is the battery.
    grounds : tuple of Ground
        Where it leaves.
    devices : tuple of Device
        What protects.
    links : tuple of Link
        Switches, relay contacts, mated pairs.
    splices : tuple of Splice
        Joins inside the loom.
    boxes : tuple of Box
        Fuse boxes and control units with a limit of their own.
    series : Series
        Metric sizes or gauge numbers.
    returns : Return
        Whether this car's body may carry current back.
    body_v : float
        What the body and its joints may lose; counts only for what returns through it [V].
    least_mm2 : float
        Thinnest conductor of the loom for handling [mm^2].
    tail_mm, loop_mm : float
        Allowance at each end and service loop of each wire, unless said otherwise [mm].
    trim : bool
        Whether drop that is left over after rounding up is taken up by thinner wires.
    """

    system_v: int
    wires: tuple[WireLine, ...]
    runs: tuple[Run, ...]
    connectors: tuple[Connector, ...] = ()
    components: tuple[Component, ...] = ()
    supplies: tuple[Supply, ...] = ()
    grounds: tuple[Ground, ...] = ()
    devices: tuple[Device, ...] = ()
    links: tuple[Link, ...] = ()
    splices: tuple[Splice, ...] = ()
    boxes: tuple[Box, ...] = ()
    series: Series = Series.METRIC
    returns: Return = Return.BODY
    body_v: float = 0.1
    least_mm2: float = 0.5
    tail_mm: float = 100.0
    loop_mm: float = 0.0
    trim: bool = True

    @cached_property
    def joint_of(self) -> dict[str, str]:
        """Joint of every connector, splice, ground and supply, by its name."""
        placed: tuple[_Placed, ...] = (*self.connectors, *self.splices, *self.grounds, *self.supplies)
        return {thing.name: thing.joint for thing in placed}

    @cached_property
    def by_name(self) -> dict[str, Component]:
        """Every component by its name."""
        return {component.name: component for component in self.components}

    @cached_property
    def tails_mm(self) -> dict[str, float | None]:
        """Tail of every connector by its name; None where it takes the list's allowance [mm]."""
        return {connector.name: connector.tail_mm for connector in self.connectors}

    @cached_property
    def joints(self) -> frozenset[str]:
        """Names of all joints: the ends of the runs, and where something sits."""
        ends = {joint for run in self.runs for joint in (run.start, run.end)}
        return frozenset(ends | set(self.joint_of.values()))

    @cached_property
    def contacts(self) -> dict[Pin, Cavity]:
        """Every cavity by its pin."""
        return {
            Pin(connector.name, cavity.name): cavity
            for connector in self.connectors
            for cavity in connector.cavities
        }

    def is_pin(self, pin: Pin) -> bool:
        """Whether there is such a cavity, splice or stud."""
        if pin.cavity:
            return pin in self.contacts
        return pin.place in self._studs

    @cached_property
    def _studs(self) -> frozenset[str]:
        studs: tuple[Named, ...] = (*self.splices, *self.grounds, *self.supplies)
        return frozenset(stud.name for stud in studs)

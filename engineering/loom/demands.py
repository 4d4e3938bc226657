"""What is asked of each wire: its current, its protection, its least size, and its share of the drop."""

import math
from dataclasses import dataclass, field

from engineering.loom.circuits import Circuits, Flow, Side, summed
from engineering.loom.faults import Fault, FaultKind
from engineering.loom.inputs import Insulation
from engineering.loom.protection import Rated, settle
from engineering.loom.routes import Route
from engineering.loom.thermal import capacity_a
from engineering.loom.wire_list import (
    DROPS,
    Component,
    DeviceKind,
    GroundKind,
    LoomList,
    Nature,
    WireLine,
)
from engineering.loom.wires import WIRES, Wire

NEAR_SUPPLY_MM = 200.0
"""A wire from the supply to its first device may be this long: ISO 10133, 8.1."""

COPPER_J_PER_MM2_M_K = 3.45
"""Heat that a metre of copper takes up: 3.45 MJ/(m³ K), IEC 60949, from memory."""


@dataclass(frozen=True)
class Demand:
    """What one wire has to do.

    Parameters
    ----------
    wire : WireLine
        Its line of the list.
    flow : Flow
        Its place in the circuits.
    current_a : float
        Steady current of all its loads together [A].
    heat_a : float
        Steady current that heats it as much, where loads are on for a part of the time [A].
    bear_a : float
        Rating that it must bear; 0 where nothing but a signal flows [A].
    device : Rated or None
        What protects it.
    floor_mm2 : float
        Thinnest for handling [mm^2].
    exempt : bool
        A starter cable: its size is given by the battery sheet, and no fuse is asked for.
    """

    wire: WireLine
    flow: Flow
    current_a: float
    heat_a: float
    bear_a: float
    device: Rated | None
    floor_mm2: float
    exempt: bool = False


@dataclass(frozen=True)
class Budget:
    """The voltage that the wires of one component's path share.

    Parameters
    ----------
    component : str
        Its name.
    limit_v : float
        Most that may be lost, there and back [V].
    body_v : float
        What the body takes of it [V].
    wires : tuple of str
        The wires that share the rest.
    """

    component: str
    limit_v: float
    body_v: float
    wires: tuple[str, ...]


@dataclass
class Demands:
    """All demands of a loom.

    Parameters
    ----------
    wires : dict of str to Demand
        Those that can be sized, by label.
    idle : dict of str to Demand
        Those that cannot, for what they add to their bundles.
    budgets : tuple of Budget
        One for each component whose path is whole.
    devices : dict of str to Rated
        Settled ratings by name.
    faults : list of Fault
        Why a wire is not sized.
    """

    wires: dict[str, Demand] = field(default_factory=dict)
    idle: dict[str, Demand] = field(default_factory=dict)
    budgets: tuple[Budget, ...] = ()
    devices: dict[str, Rated] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


_UNFINISHED = (FaultKind.FEED, FaultKind.GROUND)
_STOPS = (FaultKind.RING, FaultKind.SHORT, FaultKind.NOWHERE)


def demands_of(
    loom: LoomList, circuits: Circuits, routes: dict[str, Route], faults: tuple[Fault, ...]
) -> Demands:
    """Work out what every wire is asked for.

    Parameters
    ----------
    loom : LoomList
        The list.
    circuits : Circuits
        The same, followed.
    routes : dict of str to Route
        Where the wires lie.
    faults : tuple of Fault
        What is known to be wrong with the circuits.

    Returns
    -------
    Demands
        With a fault for every wire that cannot be sized and of which `faults` does not speak.
    """
    asked = Demands()
    components = loom.by_name
    unfinished = {fault.thing for fault in faults if fault.kind in _UNFINISHED}
    stopped = {label for fault in faults if fault.kind in _STOPS for label in fault.wires}
    unfit = _settle_all(loom, circuits, components, asked)
    duties = _Duties(loom)
    limited = {supply.name: supply.limited_a for supply in loom.supplies if supply.limited_a is not None}
    for wire in loom.wires:
        flow = circuits.flows[wire.label]
        demand = _demand(loom, wire, flow, circuits, components, asked.devices, limited, duties)
        told = (
            wire.label in stopped
            or wire.label not in routes
            or bool(flow.loads and set(flow.loads) <= unfinished)
            or bool(unfit & _devices_of(flow, circuits))
        )
        why = None if told else _unprotected(wire, demand, routes[wire.label], circuits)
        if why is not None:
            asked.faults.append(why)
        (asked.idle if told or why else asked.wires)[wire.label] = demand
    asked.budgets = tuple(_budgets(loom, circuits, components, unfinished))
    return asked


def _settle_all(
    loom: LoomList, circuits: Circuits, components: dict[str, Component], asked: Demands
) -> set[str]:
    """Settle every device; give the names of those that do not suit."""
    loads: dict[str, list[Component]] = {}
    for name, path in circuits.paths.items():
        for passed in path.devices:
            loads.setdefault(passed, []).append(components[name])
    unfit = set()
    for device in loom.devices:
        if device.name not in loads:
            continue
        rated = settle(device, tuple(loads[device.name]))
        if isinstance(rated, str):
            unfit.add(device.name)
            behind = tuple(
                label for label, flow in circuits.flows.items() if device.name in _devices_of(flow, circuits)
            )
            asked.faults.append(Fault(FaultKind.DEVICE, device.name, "rating_a", rated, behind))
        else:
            asked.devices[device.name] = rated
    return unfit


def _devices_of(flow: Flow, circuits: Circuits) -> set[str]:
    """Devices that a wire relies on: its own, those it ends in, or those of what it returns."""
    if flow.side is Side.FEED:
        return {flow.device} if flow.device else set(flow.devices_at_end)
    return {devices[-1] for name in flow.loads if (devices := circuits.paths[name].devices)}


def _demand(
    loom: LoomList,
    wire: WireLine,
    flow: Flow,
    circuits: Circuits,
    components: dict[str, Component],
    devices: dict[str, Rated],
    limited: dict[str, float],
    duties: "_Duties",
) -> Demand:
    floor_mm2 = wire.least_mm2 if wire.least_mm2 is not None else loom.least_mm2
    current_a = summed(components, flow.loads)
    heat_a = current_a
    if any(components[name].on_s is not None for name in flow.loads):
        factors = {name: duties.factor(components[name], floor_mm2, wire.insulated) for name in flow.loads}
        heat_a = summed(components, flow.loads, factors)
    device, bear_a = None, 0.0
    if flow.side is Side.FEED:
        if flow.device:
            device = devices.get(flow.device)
        elif flow.root in limited:
            device = Rated(flow.root, DeviceKind.ELECTRONIC, limited[flow.root])
        elif flow.devices_at_end:
            device = _together([devices[name] for name in flow.devices_at_end if name in devices])
        bear_a = device.rating_a if device else 0.0
    elif flow.side is Side.RETURN:
        device, bear_a = _worst_return(flow, circuits, components, devices, limited)
    starters = any(components[name].nature is Nature.STARTER for name in flow.loads)
    exempt = wire.given_mm2 is not None and (starters or flow.side is Side.STRAP)
    return Demand(wire, flow, current_a, heat_a, bear_a, device, floor_mm2, exempt)


def _together(devices: list[Rated]) -> Rated | None:
    """Devices side by side at the end of a short lead let all their ratings through it."""
    if len(devices) <= 1:
        return devices[0] if devices else None
    largest = max(devices, key=lambda device: device.rating_a)
    names = " and ".join(device.name for device in devices)
    return Rated(names, largest.kind, sum(d.rating_a for d in devices), largest.family, largest.inrush_a2s)


def _worst_return(
    flow: Flow,
    circuits: Circuits,
    components: dict[str, Component],
    devices: dict[str, Rated],
    limited: dict[str, float],
) -> tuple[Rated | None, float]:
    """A fault in one load sends all that its device lets through into the return, beside the other loads."""
    behind: dict[str, list[str]] = {}
    for name in flow.loads:
        path = circuits.paths[name]
        behind.setdefault(path.devices[-1] if path.devices else path.supply, []).append(name)
    worst: tuple[Rated | None, float] = (None, 0.0)
    for source in behind:
        others = tuple(name for name in flow.loads if name not in behind[source])
        device = devices.get(source)
        if device is None and source in limited:
            device = Rated(source, DeviceKind.ELECTRONIC, limited[source])
        if device is not None:
            bear_a = device.rating_a + summed(components, others)
            if bear_a > worst[1]:
                worst = (device, bear_a)
    return worst


def _unprotected(wire: WireLine, demand: Demand, route: Route, circuits: Circuits) -> Fault | None:
    flow = demand.flow
    if demand.exempt or flow.side is Side.SIGNAL:
        return None
    if flow.side is Side.STRAP or (flow.loads and not demand.current_a):
        words = (
            f"Wire {wire.label}: carries the starter's current. Size it by the battery sheet and give that."
        )
        return Fault(FaultKind.SIZE, wire.label, "given_mm2", words, (wire.label,))
    if demand.device is None:
        return Fault(FaultKind.PROTECTION, wire.label, "", _BARE.format(wire.label), (wire.label,))
    if flow.side is Side.FEED and flow.devices_at_end and not flow.device:
        through = [
            name for name in flow.loads if set(circuits.paths[name].devices) & set(flow.devices_at_end)
        ]
        if route.cut_mm > NEAR_SUPPLY_MM and demand.device.name != flow.root:
            words = (
                f"Wire {wire.label}: {route.cut_mm:.0f} mm from {flow.root} to its first fuse. Put a fuse "
                f"within {NEAR_SUPPLY_MM:.0f} mm of the supply."
            )
            return Fault(FaultKind.PROTECTION, wire.label, "", words, (wire.label,))
        if len(through) < len(flow.loads):
            return Fault(FaultKind.PROTECTION, wire.label, "", _BARE.format(wire.label), (wire.label,))
    return None


_BARE = (
    "Wire {}: nothing protects it. Put a fuse or an electronic output before it, as near to the supply as "
    "can be."
)


def _budgets(
    loom: LoomList, circuits: Circuits, components: dict[str, Component], unfinished: set[str]
) -> list[Budget]:
    body = {ground.name for ground in loom.grounds if ground.kind is GroundKind.BODY}
    budgets = []
    for name, path in circuits.paths.items():
        component = components[name]
        if name in unfinished or component.nature is Nature.STARTER:
            continue
        drop = DROPS[component.drop]
        by_body = not drop.plus_only and (not path.ground or path.ground in body)
        wires = path.feed if drop.plus_only else (*path.feed, *path.returns)
        budgets.append(Budget(name, drop.volts(loom.system_v), loom.body_v if by_body else 0.0, wires))
    return budgets


class _Duties:
    """How much of its steady current an intermittent load counts for, by the thinnest wire it may have."""

    def __init__(self, loom: LoomList) -> None:
        self._sizes = WIRES[loom.series]
        self._times: dict[tuple[float, float], float] = {}

    def factor(self, load: Component, floor_mm2: float, insulation: Insulation) -> float:
        if load.on_s is None or load.duty >= 1:
            return 1.0
        key = (floor_mm2, insulation.limit_c)
        if key not in self._times:
            wire = next((size for size in self._sizes if size.area_mm2 >= floor_mm2), self._sizes[-1])
            self._times[key] = heating_time_s(wire, insulation.limit_c)
        return duty_factor(load.on_s, load.duty, self._times[key])


def heating_time_s(wire: Wire, conductor_c: float) -> float:
    """Time constant with which a wire alone in still air warms up.

    Parameters
    ----------
    wire : Wire
        The wire; only its copper is counted, so that it warms sooner than in truth.
    conductor_c : float
        Temperature that it may reach [°C].

    Returns
    -------
    float
        Time constant in surroundings 40 °C cooler [s].

    Examples
    --------
    >>> from engineering.loom.wires import WIRES, Series
    >>> heating_time_s(WIRES[Series.METRIC][1], 90) < heating_time_s(WIRES[Series.METRIC][4], 90)
    True
    """
    warmer_c = 40.0
    amperes = capacity_a(wire, conductor_c, conductor_c - warmer_c)
    w_per_m = amperes**2 * wire.milliohm_per_m / 1000 * (1 + 0.00393 * (conductor_c - 20))
    return COPPER_J_PER_MM2_M_K * wire.area_mm2 * warmer_c / w_per_m


def duty_factor(on_s: float, duty: float, time_s: float) -> float:
    """Share of its current for which an intermittent load counts.

    Parameters
    ----------
    on_s : float
        Longest time on at one go [s].
    duty : float
        Share of the time on, more than 0 to 1 [-].
    time_s : float
        Time constant of the wire [s].

    Returns
    -------
    float
        Root of the rise at the end of each time on over the rise without end: between √duty, for very short
        times, and 1 [-].

    Notes
    -----
    First-order warming and cooling with one time constant, repeated until it no longer changes.

    Examples
    --------
    >>> round(duty_factor(0.001, 0.25, 15), 3), round(duty_factor(600, 0.25, 15), 3)
    (0.5, 1.0)
    """
    if duty >= 1:
        return 1.0
    return math.sqrt(math.expm1(-on_s / time_s) / math.expm1(-on_s / (duty * time_s)))

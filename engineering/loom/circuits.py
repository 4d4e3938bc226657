"""Who feeds whom: each wire's place between supply and ground, and the loads that flow through it.

Feeds are a tree that grows from each supply, returns a tree that grows from each ground. A ring has no single
path, so that nobody can say how its wires share the current: it is a fault.
"""

from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum

from engineering.loom.faults import Fault, FaultKind
from engineering.loom.inputs import Return
from engineering.loom.wire_list import Component, GroundKind, LoomList, Named, Nature, Pin


class Side(StrEnum):
    """Where in its circuit a wire lies."""

    FEED = "feed"
    RETURN = "return"
    SIGNAL = "signal"
    STRAP = "strap from ground to ground"
    ADRIFT = "joined to neither supply nor ground"


@dataclass(frozen=True)
class Flow:
    """What one wire does.

    Parameters
    ----------
    side : Side
        Feed, return, or neither.
    loads : tuple of str
        Components whose current it carries.
    device : str
        Nearest protective device towards the supply; of a return, empty. Empty where there is none.
    devices_at_end : tuple of str
        Devices that sit where the wire ends, away from the supply.
    root : str
        Supply or ground that it leads to; empty for a signal.
    """

    side: Side
    loads: tuple[str, ...] = ()
    device: str = ""
    devices_at_end: tuple[str, ...] = ()
    root: str = ""


@dataclass(frozen=True)
class Path:
    """The way of the current through one component.

    Parameters
    ----------
    feed, returns : tuple of str
        Labels of the wires from the supply to it and from it to the ground, each in the order of the current.
    devices : tuple of str
        Protective devices on the way, nearest to the supply first.
    supply, ground : str
        Where it begins and ends; the ground is empty where the component sits on the body.
    """

    feed: tuple[str, ...]
    returns: tuple[str, ...]
    devices: tuple[str, ...]
    supply: str
    ground: str


@dataclass(frozen=True)
class Circuits:
    """A wire list, followed from the supplies and from the grounds.

    Parameters
    ----------
    flows : dict of str to Flow
        By the label of the wire.
    paths : dict of str to Path
        By the name of the component; only those whose path is whole.
    faults : tuple of Fault
        What the list does not say, or says twice.
    """

    flows: dict[str, Flow]
    paths: dict[str, Path]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class _Edge:
    kind: str
    name: str
    one: Pin
    other: Pin

    def far(self, pin: Pin) -> Pin:
        return self.other if pin == self.one else self.one


@dataclass(frozen=True)
class _Tree:
    root: str
    parent: dict[Pin, _Edge | None]

    def way(self, pin: Pin) -> list[_Edge]:
        """Edges from the root to a pin."""
        edges = []
        while (edge := self.parent[pin]) is not None:
            edges.append(edge)
            pin = edge.far(pin)
        return edges[::-1]


def follow(loom: LoomList, before: tuple[LoomList, Circuits] | None = None) -> Circuits:
    """Follow every circuit of a list.

    Parameters
    ----------
    loom : LoomList
        The list; names and figures already found sound.
    before : tuple of (LoomList, Circuits) or None
        A list and its circuits before a change; taken over where nothing was joined differently.

    Returns
    -------
    Circuits
        Flows, paths and structural faults.
    """
    if before is not None and _joined_alike(loom, before[0]):
        return before[1]
    edges = _edges(loom)
    ends = {Pin(supply.name) for supply in loom.supplies}
    grounds = {Pin(ground.name) for ground in loom.grounds}
    feeds, faults = _grow(loom, edges, tuple(Pin(s.name) for s in loom.supplies), ends, grounds)
    taken = {pin for tree in feeds for pin in tree.parent}
    returns, more = _grow(
        loom, edges, tuple(Pin(g.name) for g in loom.grounds if Pin(g.name) not in taken), grounds, set()
    )
    faults += more
    paths, ungrounded = _paths(loom, feeds, returns)
    flows = _flows(loom, feeds, returns, paths)
    told = {label for fault in faults for label in fault.wires}
    adrift = [fault for fault in _adrift(loom, flows) if fault.thing not in told]
    return Circuits(flows, paths, tuple(faults + ungrounded + adrift))


def _joined_alike(loom: LoomList, other: LoomList) -> bool:
    def joins(each: LoomList) -> tuple[object, ...]:
        return (
            [(c.name, c.feed, c.returns) for c in each.components],
            [(d.name, d.fed, d.out) for d in each.devices],
            [(w.label, w.start, w.end, w.signal) for w in each.wires]
            if loom.wires is not other.wires
            else None,
            each.links,
            each.supplies,
            each.grounds,
            each.returns,
        )

    return joins(loom) == joins(other)


def _edges(loom: LoomList) -> dict[Pin, list[_Edge]]:
    grounds = {ground.name for ground in loom.grounds}
    around: dict[Pin, list[_Edge]] = defaultdict(list)
    for edge in (
        *(
            _Edge("wire", wire.label, wire.start, wire.end)
            for wire in loom.wires
            if not (wire.start.place in grounds and wire.end.place in grounds)
        ),
        *(_Edge("device", device.name, device.fed, device.out) for device in loom.devices),
        *(_Edge("link", link.name, link.one, link.other) for link in loom.links),
    ):
        around[edge.one].append(edge)
        around[edge.other].append(edge)
    return around


def _grow(
    loom: LoomList, around: dict[Pin, list[_Edge]], roots: tuple[Pin, ...], alike: set[Pin], others: set[Pin]
) -> tuple[list[_Tree], list[Fault]]:
    """One tree from each root; `alike` are the roots, `others` the pins that no such tree may reach."""
    trees: list[_Tree] = []
    faults: list[Fault] = []
    owner: dict[Pin, _Tree] = {}
    for root in roots:
        if root in owner:
            continue
        tree = _Tree(root.place, {root: None})
        owner[root] = tree
        trees.append(tree)
        front = [root]
        while front:
            pin = front.pop()
            for edge in around.get(pin, ()):
                if edge is tree.parent[pin]:
                    continue
                far = edge.far(pin)
                if far in others:
                    faults.append(_short(edge, root, far))
                elif far == pin or far in owner:
                    ring = _ring(tree, pin, far, edge)
                    if not any(set(fault.wires) == set(ring.wires) for fault in faults):
                        faults.append(ring)
                elif far in alike:
                    faults.append(_joined(edge, root, far))
                    owner[far] = tree
                    tree.parent[far] = edge
                else:
                    owner[far] = tree
                    tree.parent[far] = edge
                    front.append(far)
    return trees, faults


def _short(edge: _Edge, root: Pin, ground: Pin) -> Fault:
    return Fault(
        FaultKind.SHORT,
        edge.name,
        "end",
        f"{edge.kind.capitalize()} {edge.name}: joins supply {root} to ground {ground} with nothing between. "
        "A short burns the loom: check both ends.",
        (edge.name,) if edge.kind == "wire" else (),
    )


def _joined(edge: _Edge, root: Pin, far: Pin) -> Fault:
    return Fault(
        FaultKind.RING,
        edge.name,
        "end",
        f"{edge.kind.capitalize()} {edge.name}: joins {root} to {far}, and nobody can say how they share the "
        "current. List an alternator as a component that charges.",
        (edge.name,) if edge.kind == "wire" else (),
    )


def _ring(tree: _Tree, pin: Pin, far: Pin, edge: _Edge) -> Fault:
    here = tree.way(pin)
    there = tree.way(far) if far in tree.parent else []
    shared = sum(1 for one, other in zip(here, there, strict=False) if one is other)
    members = [*here[shared:], edge, *there[shared:]]
    names = list(dict.fromkeys(member.name for member in members))
    return Fault(
        FaultKind.RING,
        names[0],
        "end",
        f"{', '.join(names)}: make a ring, so that the current has two ways and nobody can say how it "
        "divides. Take one of them out.",
        tuple(dict.fromkeys(member.name for member in members if member.kind == "wire")),
    )


def _paths(loom: LoomList, feeds: list[_Tree], returns: list[_Tree]) -> tuple[dict[str, Path], list[Fault]]:
    fed = {pin: tree for tree in feeds for pin in tree.parent}
    grounded = {pin: tree for tree in returns for pin in tree.parent}
    body = {ground.name for ground in loom.grounds if ground.kind is GroundKind.BODY}
    paths: dict[str, Path] = {}
    faults: list[Fault] = []
    for component in loom.components:
        up = fed.get(component.feed)
        down = grounded.get(component.returns) if component.returns else None
        feed = up.way(component.feed) if up else []
        back = down.way(component.returns) if down and component.returns else []
        fault = _unfinished(loom, component, up, down, body)
        if fault is not None:
            labels = tuple(edge.name for edge in (*feed, *back) if edge.kind == "wire")
            faults.append(Fault(fault.kind, fault.thing, fault.field, fault.message, labels))
        if up:
            paths[component.name] = Path(
                tuple(edge.name for edge in feed if edge.kind == "wire"),
                tuple(edge.name for edge in reversed(back) if edge.kind == "wire"),
                tuple(edge.name for edge in feed if edge.kind == "device"),
                up.root,
                down.root if down else "",
            )
    return paths, faults


def _unfinished(
    loom: LoomList, component: Component, up: _Tree | None, down: _Tree | None, body: set[str]
) -> Fault | None:
    name = component.name
    if up is None:
        words = f"{name}: no wire leads from a supply to {component.feed}. Add its feed, or take it off."
        return Fault(FaultKind.FEED, name, "feed", words)
    if component.returns is None and loom.returns is Return.BODY:
        return None
    if component.returns is None:
        words = f"{name}: this car's body carries no current, so it needs a return wire. Give its return."
        return Fault(FaultKind.GROUND, name, "returns", words)
    if down is None:
        words = f"{name}: no wire leads from {component.returns} to a ground. Add its return wire."
        return Fault(FaultKind.GROUND, name, "returns", words)
    if down.root in body and loom.returns is Return.WIRE:
        words = f"{name}: returns to the body stud {down.root}, but this car's body carries no current."
        return Fault(FaultKind.GROUND, name, "returns", words)
    return None


def _flows(
    loom: LoomList, feeds: list[_Tree], returns: list[_Tree], paths: dict[str, Path]
) -> dict[str, Flow]:
    loads: dict[str, list[str]] = defaultdict(list)
    for name, path in paths.items():
        for label in (*path.feed, *path.returns):
            loads[label].append(name)
    fed_by: dict[Pin, list[str]] = defaultdict(list)
    for device in loom.devices:
        fed_by[device.fed].append(device.name)
    flows: dict[str, Flow] = {}
    for side, trees in ((Side.FEED, feeds), (Side.RETURN, returns)):
        for tree in trees:
            nearest = _nearest_devices(tree) if side is Side.FEED else {}
            for pin, edge in tree.parent.items():
                if edge is not None and edge.kind == "wire":
                    flows[edge.name] = Flow(
                        side,
                        tuple(loads[edge.name]),
                        nearest.get(edge.far(pin), ""),
                        tuple(fed_by.get(pin, ())),
                        tree.root,
                    )
    grounds = {ground.name for ground in loom.grounds}
    for wire in loom.wires:
        if wire.label not in flows:
            strap = wire.start.place in grounds and wire.end.place in grounds
            flows[wire.label] = Flow(Side.STRAP if strap else Side.SIGNAL if wire.signal else Side.ADRIFT)
    return flows


def _nearest_devices(tree: _Tree) -> dict[Pin, str]:
    """For every pin the last device on the way from the root; pins are in the order in which they grew."""
    nearest: dict[Pin, str] = {}
    for pin, edge in tree.parent.items():
        if edge is None:
            nearest[pin] = ""
        else:
            nearest[pin] = edge.name if edge.kind == "device" else nearest[edge.far(pin)]
    return nearest


def _adrift(loom: LoomList, flows: dict[str, Flow]) -> list[Fault]:
    """Wires that nothing feeds, whose end nothing uses, or that call themselves signals and are fed."""
    faults = []
    self_limited = {supply.name for supply in loom.supplies if supply.limited_a is not None}
    used = _used(loom)
    for wire in loom.wires:
        flow = flows[wire.label]
        lost = next((pin for pin in (wire.start, wire.end) if used[pin] < 2), None)
        if lost is not None:
            words = f"Wire {wire.label}: nothing is joined to its end at {lost}. Say what it leads to."
            faults.append(Fault(FaultKind.NOWHERE, wire.label, "end", words, (wire.label,)))
        elif flow.side is Side.ADRIFT:
            words = (
                f"Wire {wire.label}: leads to neither a supply nor a ground. Join it up, or mark it as a "
                "signal if it carries thousandths of an ampere."
            )
            faults.append(Fault(FaultKind.NOWHERE, wire.label, "", words, (wire.label,)))
        elif wire.signal and flow.side is Side.FEED and flow.root not in self_limited:
            words = (
                f"Wire {wire.label}: is marked as a signal, but {flow.root} feeds it and can burn it. Take "
                "the mark off, or give that supply the current to which it limits itself."
            )
            faults.append(Fault(FaultKind.PROTECTION, wire.label, "signal", words, (wire.label,)))
    return faults


def _used(loom: LoomList) -> dict[Pin, int]:
    """How many things meet at each pin; a stud or a signal's contact is something by itself."""
    used: dict[Pin, int] = defaultdict(int)
    for wire in loom.wires:
        for pin in (wire.start, wire.end):
            used[pin] += 2 if wire.signal else 1
    for device in loom.devices:
        used[device.fed] += 1
        used[device.out] += 1
    for link in loom.links:
        used[link.one] += 1
        used[link.other] += 1
    for component in loom.components:
        used[component.feed] += 1
        if component.returns:
            used[component.returns] += 1
    studs: tuple[Named, ...] = (*loom.supplies, *loom.grounds)
    for stud in studs:
        used[Pin(stud.name)] += 1
    return used


def current_through(loom: LoomList, names: tuple[str, ...]) -> float:
    """Steady current of several components together.

    Parameters
    ----------
    loom : LoomList
        The list.
    names : tuple of str
        Names of the components.

    Returns
    -------
    float
        Of those that are never on together only the largest counts; what an alternator sends the other way
        counts where it is more than all loads together [A].
    """
    return summed(loom.by_name, names)


def summed(
    components: dict[str, Component], names: tuple[str, ...], factor: dict[str, float] | None = None
) -> float:
    """The same, each current times a factor.

    Parameters
    ----------
    components : dict of str to Component
        By name.
    names : tuple of str
        Those to add up.
    factor : dict of str to float or None
        By name; None for 1 [-].

    Returns
    -------
    float
        Current [A].
    """
    if len(names) == 1:  # most wires feed one thing
        only = components[names[0]]
        if only.nature is Nature.STARTER:
            return 0.0
        return only.steady_a * (factor[names[0]] if factor else 1.0)
    together, charge_a = 0.0, 0.0
    either: dict[str, float] = {}
    for name in names:
        component = components[name]
        amperes = component.steady_a * (factor[name] if factor else 1.0)
        if component.nature is Nature.CHARGER:
            charge_a += amperes
        elif component.nature is Nature.STARTER:
            continue
        elif component.one_of:
            either[component.one_of] = max(either.get(component.one_of, 0.0), amperes)
        else:
            together += amperes
    return max(together + sum(either.values()), charge_a)

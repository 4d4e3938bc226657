"""What a wire list says that cannot be, or that must not be built."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from typing import TypeVar

from engineering.loom.circuits import Circuits, Side, current_through, follow
from engineering.loom.faults import Fault, FaultKind
from engineering.loom.fuses import FUSES
from engineering.loom.inputs import COLDEST_C, INSULATIONS, LOADS, LONGEST_M, SYSTEMS_V
from engineering.loom.wire_list import (
    DROPS,
    SURROUNDINGS,
    Component,
    Device,
    DeviceKind,
    LoomList,
    Named,
    Nature,
    Pin,
    Run,
    WireLine,
)
from engineering.loom.wires import WIRES

_Thing = TypeVar("_Thing")

MOST_A = {Nature.CHARGER: 400.0, Nature.STARTER: 1500.0}
"""Largest believable current of what is no load of the circuit sheet [A]: common practice, no source."""

MOST_INRUSH = 20.0
"""Largest believable in-rush in multiples of the steady current: lamps 10 to 15, motors up to 10."""

HOTTEST_C = 200.0
LONGEST_MM = LONGEST_M * 1000


def check_list(loom: LoomList) -> tuple[Fault, ...]:
    """Everything that is wrong with a list and can be seen without sizing it.

    Parameters
    ----------
    loom : LoomList
        The list.

    Returns
    -------
    tuple of Fault
        Empty where it is sound. While a figure or a name is wrong the circuits are not followed, so that
        more may come to light afterwards.

    Examples
    --------
    >>> from engineering.loom.wire_list import LoomList, Run
    >>> faults = check_list(LoomList(12, (), (Run("R1", "J1", "J2", -300),)))
    >>> faults[0].message
    'Run R1: the length must be more than 0 mm, not -300 mm. Measure it again.'
    """
    unsound = unsound_entries(loom)
    return unsound or circuit_faults(loom, follow(loom))


def unsound_entries(loom: LoomList, sound: LoomList | None = None) -> tuple[Fault, ...]:
    """Figures that cannot be meant, and names that are unknown or stand twice.

    Parameters
    ----------
    loom : LoomList
        The list.
    sound : LoomList or None
        A list that was found sound before a change; what is the same in it is not looked at again.

    Returns
    -------
    tuple of Fault
        In the order of the list.
    """
    same = sound if sound is not None and _names(sound) == _names(loom) else None
    runs = _new(loom.runs, same.runs if same else ())
    components = _new(loom.components, same.components if same else ())
    devices = _new(loom.devices, same.devices if same else ())
    wires = _new(loom.wires, same.wires if same and same.series is loom.series else ())
    return tuple(
        fault
        for faults in (
            _list_faults(loom),
            () if same else _twice(loom),
            *(_run_faults(run) for run in runs),
            *(_component_faults(loom, component) for component in components),
            *(_device_faults(loom, device) for device in devices),
            *(_pins(loom, "Link", link.name, one=link.one, other=link.other) for link in loom.links),
            *(_wire_faults(loom, wire) for wire in wires),
            () if same and same.connectors is loom.connectors else _limits(loom),
        )
        for fault in faults
    )


def _new(things: tuple[_Thing, ...], known: tuple[_Thing, ...]) -> list[_Thing]:
    """Those that are not the same objects as were known: a changed list shares what did not change."""
    if things is known:
        return []
    before = {id(thing) for thing in known}
    return [thing for thing in things if id(thing) not in before]


def _names(loom: LoomList) -> tuple[object, ...]:
    """All that one entry may say of another."""
    groups: tuple[tuple[Named, ...], ...] = (loom.components, loom.devices, loom.links, loom.boxes)
    return (
        loom.connectors,
        loom.splices,
        loom.grounds,
        loom.supplies,
        [[thing.name for thing in group] for group in groups],
        [(run.name, run.start, run.end) for run in loom.runs],
        [wire.label for wire in loom.wires],
    )


def circuit_faults(loom: LoomList, circuits: Circuits) -> tuple[Fault, ...]:
    """What is wrong with the circuits of a list whose figures and names are sound.

    Parameters
    ----------
    loom : LoomList
        The list.
    circuits : Circuits
        The same, followed.

    Returns
    -------
    tuple of Fault
        Rings, shorts, missing feeds and grounds, cavities used twice, contacts and supplies overloaded,
        loads without protection.
    """
    return (
        *circuits.faults,
        *_cavities_twice(loom),
        *_unprotected_loads(loom, circuits),
        *_overloaded_contacts(loom, circuits),
        *_overloaded_sources(loom, circuits),
    )


def number_fault(
    thing: str, field: str, words: str, value: float | None, unit: str, most: float, zero: bool = False
) -> Fault | None:
    """Refuse what is not a number, not above nought, or beyond belief.

    Parameters
    ----------
    thing, field, words, unit : str
        Whose figure it is, its name in the list, what people call it, and its unit.
    value : float or None
        The figure; None is not given and is sound.
    most : float
        Largest that is believable.
    zero : bool
        Whether nought is sound.

    Returns
    -------
    Fault or None
        None where it is sound.
    """
    if value is None:
        return None
    if not math.isfinite(value):
        return Fault(FaultKind.NUMBER, thing, field, f"{thing}: {words} is not a number. Give it in {unit}.")
    if value < 0 or (value == 0 and not zero):
        least = "0 or more" if zero else f"more than 0 {unit}"
        message = f"{thing}: {words} must be {least}, not {value:g} {unit}. Measure it again."
        return Fault(FaultKind.NUMBER, thing, field, message)
    if value > most:
        message = (
            f"{thing}: {words} of {value:g} {unit} is more than {most:g} {unit}, the most believed here. "
        )
        return Fault(FaultKind.NUMBER, thing, field, message + "Check the figure and its unit.")
    return None


def _some(*faults: Fault | None) -> Iterator[Fault]:
    return (fault for fault in faults if fault is not None)


def _list_faults(loom: LoomList) -> Iterator[Fault]:
    if loom.system_v not in SYSTEMS_V:
        yield Fault(
            FaultKind.NUMBER,
            "System",
            "system_v",
            f"System: {loom.system_v:g} V is not 12, 24 or 48 V. These sums hold for those direct-current "
            "systems only; higher voltages need a competent electrical engineer.",
        )
    yield from _some(
        number_fault("Loom", "body_v", "the allowance for the body", loom.body_v, "V", 2, zero=True),
        number_fault("Loom", "least_mm2", "the thinnest wire", loom.least_mm2, "mm²", 120),
        number_fault("Loom", "tail_mm", "the allowance at an end", loom.tail_mm, "mm", 2000, zero=True),
        number_fault("Loom", "loop_mm", "the service loop", loom.loop_mm, "mm", 2000, zero=True),
    )


def _twice(loom: LoomList) -> Iterator[Fault]:
    labels = Counter(wire.label for wire in loom.wires)
    for label, count in labels.items():
        if count > 1:
            words = f"Wire {label}: {count} wires have this label. Give each its own."
            yield Fault(FaultKind.LABEL, label, "label", words, (label,))
    places: tuple[Named, ...] = (*loom.connectors, *loom.splices, *loom.grounds, *loom.supplies)
    groups: tuple[tuple[Named, ...], ...] = (
        places,
        loom.components,
        loom.devices,
        loom.links,
        loom.runs,
        loom.boxes,
    )
    for things in groups:
        for name, count in Counter(thing.name for thing in things).items():
            if count > 1:
                yield Fault(
                    FaultKind.NAME, name, "name", f"{name}: stands {count} times. Rename one of them."
                )
    for connector in loom.connectors:
        for cavity, count in Counter(cavity.name for cavity in connector.cavities).items():
            if count > 1:
                words = (
                    f"Connector {connector.name}: cavity {cavity} stands {count} times. Rename one of them."
                )
                yield Fault(FaultKind.NAME, connector.name, "cavities", words)


def _run_faults(run: Run) -> Iterator[Fault]:
    thing = f"Run {run.name}"
    yield from _some(number_fault(thing, "length_mm", "the length", run.length_mm, "mm", LONGEST_MM))
    if run.start == run.end:
        words = f"{thing}: begins and ends at {run.start}. A run lies between two joints."
        yield Fault(FaultKind.NAME, thing, "end", words)
    if run.surroundings not in SURROUNDINGS:
        words = f"{thing}: surroundings “{run.surroundings}” are not known. Take one of the list."
        yield Fault(FaultKind.NAME, thing, "surroundings", words)
    elif not COLDEST_C <= run.ambient_c <= HOTTEST_C:  # nan is not
        words = f"{thing}: {run.ambient_c:g} °C is not between {COLDEST_C:g} and {HOTTEST_C:g} °C."
        yield Fault(FaultKind.NUMBER, thing, "measured_c", words)


def _component_faults(loom: LoomList, component: Component) -> Iterator[Fault]:
    thing, nature = component.name, component.nature
    most_a = MOST_A.get(nature) or LOADS[nature.value].most_a
    yield from _some(
        number_fault(thing, "steady_a", "the current", component.steady_a, "A", most_a),
        number_fault(
            thing,
            "inrush_a",
            "the in-rush",
            component.inrush_a,
            "A",
            MOST_INRUSH * max(component.steady_a, 1),
        ),
        number_fault(thing, "inrush_s", "the time of the in-rush", component.inrush_s, "s", 30),
        number_fault(thing, "duty", "the share of time on", component.duty, "", 1),
        number_fault(thing, "on_s", "the time on at one go", component.on_s, "s", 86400),
    )
    if (component.inrush_a is None) != (component.inrush_s is None):
        words = f"{thing}: give the in-rush with its time, or neither."
        yield Fault(FaultKind.NUMBER, thing, "inrush_s", words)
    elif component.inrush_a is not None and component.inrush_a < component.steady_a:
        inrush_a, steady_a = component.inrush_a, component.steady_a
        words = f"{thing}: the in-rush of {inrush_a:g} A is below the {steady_a:g} A that it draws."
        yield Fault(FaultKind.NUMBER, thing, "inrush_a", words)
    if component.drop not in DROPS:
        words = f"{thing}: class “{component.drop}” is not known. Take one of the list."
        yield Fault(FaultKind.NAME, thing, "drop", words)
    yield from _pins(loom, "", thing, feed=component.feed)
    if component.returns is not None:
        yield from _pins(loom, "", thing, returns=component.returns)


def _device_faults(loom: LoomList, device: Device) -> Iterator[Fault]:
    thing = device.name
    yield from _pins(loom, "", thing, fed=device.fed, out=device.out)
    yield from _some(
        number_fault(thing, "rating_a", "the rating", device.rating_a, "A", 500),
        number_fault(thing, "inrush_a", "the in-rush allowed", device.inrush_a, "A", 2000, zero=True),
        number_fault(thing, "inrush_s", "the time of the in-rush", device.inrush_s, "s", 30, zero=True),
        number_fault(thing, "retries", "the number of retries", device.retries, "", 100, zero=True),
    )
    if not COLDEST_C <= device.ambient_c <= 125:
        words = f"{thing}: {device.ambient_c:g} °C is not between {COLDEST_C:g} and 125 °C."
        yield Fault(FaultKind.NUMBER, thing, "ambient_c", words)
    if device.box and device.box not in {box.name for box in loom.boxes}:
        yield Fault(FaultKind.NAME, thing, "box", f"{thing}: there is no box “{device.box}”.")
    rating_a, ratings = device.rating_a, [fuse.rating_a for fuse in FUSES]
    if device.kind is not DeviceKind.FUSE or rating_a is None or rating_a in ratings:
        return
    if 0 < rating_a < math.inf:
        near = sorted(ratings, key=lambda standard: abs(standard - rating_a))[:2]
        words = (
            f"{thing}: no standard fuse has {rating_a:g} A; the nearest are {near[0]:g} and {near[1]:g} A."
        )
        yield Fault(FaultKind.DEVICE, thing, "rating_a", words)


def _wire_faults(loom: LoomList, wire: WireLine) -> Iterator[Fault]:
    thing = f"Wire {wire.label}"
    yield from _pins(loom, "Wire", wire.label, kind=FaultKind.NOWHERE, start=wire.start, end=wire.end)
    yield from _some(
        number_fault(thing, "least_mm2", "the thinnest conductor", wire.least_mm2, "mm²", 120),
        number_fault(thing, "given_mm2", "the conductor", wire.given_mm2, "mm²", 120),
        number_fault(thing, "loop_mm", "the service loop", wire.loop_mm, "mm", 2000, zero=True),
    )
    if wire.start == wire.end:
        words = f"{thing}: begins and ends at {wire.start}. A wire joins two places."
        yield Fault(FaultKind.NAME, wire.label, "end", words, (wire.label,))
    if wire.insulation not in INSULATIONS:
        words = f"{thing}: insulation “{wire.insulation}” is not known. Take one of the list."
        yield Fault(FaultKind.NAME, wire.label, "insulation", words)
    sizes = {size.area_mm2 for size in WIRES[loom.series]}
    if wire.given_mm2 is not None and wire.given_mm2 > 0 and not _size_for(wire.given_mm2, sizes):
        words = f"{thing}: {wire.given_mm2:g} mm² is no size of the series. Take the next one of the list."
        yield Fault(FaultKind.NUMBER, wire.label, "given_mm2", words)
    runs = {run.name for run in loom.runs}
    for joint in wire.via:
        if joint not in loom.joints:
            words = f"{thing}: is to pass joint “{joint}”, which no run touches."
            yield Fault(FaultKind.NAME, wire.label, "via", words)
    for run in wire.avoid:
        if run not in runs:
            yield Fault(
                FaultKind.NAME, wire.label, "avoid", f"{thing}: there is no run “{run}” to keep out of."
            )


def _size_for(area_mm2: float, sizes: Iterable[float]) -> bool:
    return any(abs(area_mm2 - size) <= 0.005 * size for size in sizes)


def _limits(loom: LoomList) -> Iterator[Fault]:
    for supply in loom.supplies:
        yield from _some(
            number_fault(supply.name, "most_a", "its total", supply.most_a, "A", 5000),
            number_fault(supply.name, "limited_a", "its limit", supply.limited_a, "A", 20),
        )
    for box in loom.boxes:
        yield from _some(number_fault(box.name, "most_a", "its total", box.most_a, "A", 1000))
    for connector in loom.connectors:
        name = f"Connector {connector.name}"
        yield from _some(number_fault(name, "tail_mm", "the tail", connector.tail_mm, "mm", 5000, zero=True))
        for cavity in connector.cavities:
            place = f"{name}, cavity {cavity.name}"
            yield from _some(
                number_fault(place, "largest_mm2", "the largest conductor", cavity.largest_mm2, "mm²", 120),
                number_fault(place, "most_a", "the contact's current", cavity.most_a, "A", 500),
            )


def _pins(
    loom: LoomList, what: str, name: str, kind: FaultKind = FaultKind.NAME, **pins: Pin
) -> Iterator[Fault]:
    thing = f"{what} {name}".strip()
    for field, pin in pins.items():
        if loom.is_pin(pin):
            continue
        if pin.cavity and any(connector.name == pin.place for connector in loom.connectors):
            words = f"{thing}: connector {pin.place} has no cavity “{pin.cavity}”."
        elif any(connector.name == pin.place for connector in loom.connectors):
            words = f"{thing}: say which cavity of connector {pin.place}."
        else:
            words = f"{thing}: there is no “{pin}”. Enter it first, or put the name right."
        yield Fault(kind, name, field, words, (name,) if what == "Wire" else ())


def _cavities_twice(loom: LoomList) -> Iterator[Fault]:
    users: dict[Pin, list[str]] = defaultdict(list)
    for wire in loom.wires:
        for pin in (wire.start, wire.end):
            if pin.cavity:
                users[pin].append(wire.label)
    for pin, labels in users.items():
        if len(labels) > 1:
            words = f"{pin}: wires {' and '.join(labels)} share one cavity. Join them in a splice instead."
            yield Fault(FaultKind.CAVITY, str(pin), "cavity", words)


def _unprotected_loads(loom: LoomList, circuits: Circuits) -> Iterator[Fault]:
    limited = {supply.name for supply in loom.supplies if supply.limited_a is not None}
    for component in loom.components:
        path = circuits.paths.get(component.name)
        if path is None or path.devices or path.supply in limited or component.nature is Nature.STARTER:
            continue
        words = (
            f"{component.name}: nothing protects it on the way from {path.supply}. Put a fuse or an "
            "electronic output into its feed, as near to the supply as can be."
        )
        yield Fault(FaultKind.PROTECTION, component.name, "feed", words, path.feed)


def _overloaded_contacts(loom: LoomList, circuits: Circuits) -> Iterator[Fault]:
    for wire in loom.wires:
        flow = circuits.flows[wire.label]
        if flow.side not in (Side.FEED, Side.RETURN):
            continue
        amperes = None
        for pin in (wire.start, wire.end):
            contact = loom.contacts.get(pin)
            if contact is None or contact.most_a is None:
                continue
            amperes = current_through(loom, flow.loads) if amperes is None else amperes
            if amperes > contact.most_a:
                words = (
                    f"{pin}: wire {wire.label} carries {amperes:.3g} A, and the contact bears "
                    f"{contact.most_a:g} A. Take a larger contact, or share the load over two."
                )
                yield Fault(FaultKind.CONTACT, str(pin), "most_a", words)


def _overloaded_sources(loom: LoomList, circuits: Circuits) -> Iterator[Fault]:
    boxes = {device.name: device.box for device in loom.devices}
    drawn: dict[tuple[str, str], list[str]] = defaultdict(list)
    for name, path in circuits.paths.items():
        drawn["supply", path.supply].append(name)
        for box in {boxes[device] for device in path.devices}:
            drawn["box", box].append(name)
    for kind, thing, most_a in (
        *(("supply", s.name, s.limited_a or s.most_a) for s in loom.supplies),
        *(("box", box.name, box.most_a) for box in loom.boxes),
    ):
        amperes = current_through(loom, tuple(drawn[kind, thing]))
        if most_a is not None and amperes > most_a:
            words = (
                f"{thing}: its loads draw {amperes:.3g} A together, and it gives {most_a:g} A at most. Move "
                "some of them to another supply, or say which are never on together."
            )
            yield Fault(FaultKind.OVERLOAD, thing, "most_a", words)

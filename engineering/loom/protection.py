"""What a fuse or an electronic output lets through, and whether it suits its load."""

import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from engineering.loom.fuses import FUSES, LONG_CARRIED, Fuse
from engineering.loom.inputs import LOADS, Insulation
from engineering.loom.thermal import Figure
from engineering.loom.wire_list import Component, Device, DeviceKind, Nature

STEADY_FACTOR = 4 / 3
"""A fuse is loaded steadily to three quarters of its rating at most: makers' guides, from memory."""

TRIP_FACTOR = 1.2
"""An electronic output trips at 1.2 times its steady load or more: common practice, no source."""

_Curve = tuple[tuple[float, float], ...]

SLOWEST: dict[str, _Curve] = {
    "blade": ((1.35, 600), (1.6, 50), (2.0, 5), (3.5, 0.5), (6.0, 0.15)),
    "large blade": ((1.35, 1800), (2.0, 50), (3.5, 7), (6.0, 1.0)),
}
"""Multiple of the rating, and the longest time that it takes to blow [s]: ISO 8820-3, makers' sheets."""

QUICKEST: dict[str, _Curve] = {
    "blade": ((1.35, 0.75), (1.6, 0.25), (2.0, 0.15), (3.5, 0.04)),
    "large blade": ((1.35, 60), (2.0, 2.0), (3.5, 0.2), (6.0, 0.04)),
}
"""Multiple of the rating, and the shortest time [s]: ISO 8820-3, makers' sheets; 0.04 s from memory."""

DERATED = ((25.0, 1.0), (65.0, 0.85), (85.0, 0.75), (110.0, 0.625), (125.0, 0.55))
"""Surroundings of a fuse [°C] and the share of its rating left: one maker's sheet of a large blade fuse."""

COPPER_K, COPPER_BETA = 226.0, 234.5
"""Of the adiabatic equation for copper [A √s/mm², °C]: IEC 60364-5-54 Annex A."""

PLASTIC_END_C, CROSS_LINKED_END_C = 160.0, 250.0
"""What insulation bears for the moment of a short: BS 7671 Table 43.1, thermoplastic and thermosetting."""


@dataclass(frozen=True)
class Rated:
    """A device with its rating settled.

    Parameters
    ----------
    name : str
        Of the device.
    kind : DeviceKind
        Fuse or electronic output.
    rating_a : float
        Rating of the fuse, or current at which the output trips [A].
    family : str
        Body of the fuse; empty for an output.
    inrush_a2s : float
        For an output: what it lets through before it trips, retries counted [A^2 s].
    """

    name: str
    kind: DeviceKind
    rating_a: float
    family: str = ""
    inrush_a2s: float = 0.0

    def __str__(self) -> str:
        body = f"{self.family} fuse" if self.kind is DeviceKind.FUSE else "output"
        return f"{self.rating_a:g} A {body}"


def blows_within_s(family: str, multiple: Figure) -> Figure:
    """Longest time that a fuse takes to blow.

    Parameters
    ----------
    family : str
        Body of the fuse; a bolt-in one is taken to be as slow as a large blade.
    multiple : float or ndarray
        Current as a multiple of the rating [-].

    Returns
    -------
    float or ndarray
        Straight between the points of the standard on a doubly logarithmic sheet; infinite below the first;
        beyond the last the same I²t [s].

    Examples
    --------
    >>> blows_within_s("blade", 2.0), blows_within_s("blade", 1.2)
    (5.0, inf)
    """
    return _on_curve(SLOWEST[_body(family)], multiple, below=math.inf)


def holds_for_s(family: str, multiple: float) -> float:
    """Time for which a fuse surely does not blow.

    Parameters
    ----------
    family : str
        Body of the fuse; a bolt-in one is taken to be as quick as a blade.
    multiple : float
        Current as a multiple of the rating [-].

    Returns
    -------
    float
        As in `blows_within_s`; below 1.1 times the rating without end [s].

    Examples
    --------
    >>> holds_for_s("blade", 1.6), holds_for_s("blade", 1.0)
    (0.25, inf)
    """
    if multiple <= LONG_CARRIED:
        return math.inf
    curve = QUICKEST["blade" if family == "bolt-in" else _body(family)]
    return _on_curve(curve, multiple, below=curve[0][1])


def _body(family: str) -> str:
    return family if family in SLOWEST else "large blade"


def _on_curve(curve: _Curve, multiple: Figure, below: float) -> Figure:
    multiples, seconds = (np.array(column) for column in zip(*curve, strict=True))
    inside = np.exp(np.interp(np.log(multiple), np.log(multiples), np.log(seconds)))
    beyond = inside * np.minimum(1.0, multiples[-1] / multiple) ** 2
    found = np.where(multiple < multiples[0] * (1 - 1e-12), below, beyond)
    return found if isinstance(multiple, np.ndarray) else float(found)


def let_through_a2s(device: Rated, short_a: Figure) -> Figure:
    """Current squared times time until a short is broken, at most.

    Parameters
    ----------
    device : Rated
        Fuse or electronic output.
    short_a : float or ndarray
        Current of the short [A].

    Returns
    -------
    float or ndarray
        Falls, or stays, as the current rises; infinite where the device need not break it [A^2 s].

    Examples
    --------
    >>> let_through_a2s(Rated("F1", DeviceKind.FUSE, 10, "blade"), 20.0)
    2000.0
    """
    a2s: Any
    if device.kind is DeviceKind.ELECTRONIC:
        a2s = np.where(short_a > device.rating_a, device.inrush_a2s, math.inf)
    else:
        a2s = short_a**2 * blows_within_s(device.family, short_a / device.rating_a)
    return np.asarray(a2s) if isinstance(short_a, np.ndarray) else float(a2s)


def adiabatic_k(start_c: float, end_c: float) -> float:
    """Constant k of the adiabatic equation S = √(I²t)/k for copper.

    Parameters
    ----------
    start_c, end_c : float
        Temperature of the conductor before the short, and what its insulation bears for a moment [°C].

    Returns
    -------
    float
        [A √s/mm^2]

    Notes
    -----
    IEC 60364-5-54 Annex A; holds for shorts of up to 5 s.

    Examples
    --------
    >>> round(adiabatic_k(70, 160)), round(adiabatic_k(90, 250))
    (115, 143)
    """
    return COPPER_K * math.sqrt(math.log(1 + (end_c - start_c) / (COPPER_BETA + start_c)))


def insulation_k(insulation: Insulation) -> float:
    """The same for a class of vehicle cable at its rated temperature.

    Parameters
    ----------
    insulation : Insulation
        Temperature class: up to 100 °C thermoplastic, above it cross-linked.

    Returns
    -------
    float
        [A √s/mm^2]

    Examples
    --------
    >>> from engineering.loom.inputs import INSULATIONS
    >>> round(insulation_k(INSULATIONS["b"]), 1), round(insulation_k(INSULATIONS["c"]), 1)
    (91.8, 123.5)
    """
    end_c = PLASTIC_END_C if insulation.rated_c <= 100 else CROSS_LINKED_END_C
    return adiabatic_k(insulation.rated_c, end_c)


def fuse_share(ambient_c: float) -> float:
    """Share of its rating that a fuse may be counted for in hot surroundings.

    Parameters
    ----------
    ambient_c : float
        Surroundings of the fuse, up to 125 [°C].

    Returns
    -------
    float
        1 up to 25 °C, then by one maker's sheet [-].

    Examples
    --------
    >>> fuse_share(20), fuse_share(85)
    (1.0, 0.75)
    """
    for (low, high_share), (high, low_share) in itertools.pairwise(DERATED):
        if ambient_c <= high:
            return high_share + (low_share - high_share) * max(0.0, ambient_c - low) / (high - low)
    return DERATED[-1][1]


def asked_rating_a(device: Device, loads: tuple[Component, ...]) -> float:
    """Least rating that does not wear out under the steady load.

    Parameters
    ----------
    device : Device
        Fuse or electronic output.
    loads : tuple of Component
        All that it feeds.

    Returns
    -------
    float
        Of components that are never on together the one that asks for most counts [A].

    Notes
    -----
    Fuse: 4/3 of the steady current; where nobody gave the in-rush, 1.5 times for lamps and 2 times for
    motors, as on the circuit sheet. Output: 1.2 times.

    Examples
    --------
    >>> from engineering.loom.wire_list import Pin
    >>> lamp = Component("Lamp", Pin("L", "1"), None, 4.6, Nature.LAMP)
    >>> round(asked_rating_a(Device("F1", Pin("F", "a"), Pin("F", "b")), (lamp, lamp)), 2)
    13.8
    """
    together, charge = 0.0, 0.0
    either: dict[str, float] = {}
    for load in loads:
        asks = load.steady_a * _factor(device, load)
        if load.nature is Nature.CHARGER:
            charge += asks
        elif load.one_of:
            either[load.one_of] = max(either.get(load.one_of, 0.0), asks)
        elif load.nature is not Nature.STARTER:
            together += asks
    asked = max(together + sum(either.values()), charge)
    return asked / fuse_share(device.ambient_c) if device.kind is DeviceKind.FUSE else asked


def _factor(device: Device, load: Component) -> float:
    if device.kind is DeviceKind.ELECTRONIC:
        return TRIP_FACTOR
    if load.inrush_a is None and load.nature in (Nature.LAMP, Nature.MOTOR):
        return LOADS[load.nature.value].fuse_factor
    return STEADY_FACTOR


def settle(device: Device, loads: tuple[Component, ...]) -> Rated | str:
    """Settle a device's rating, or say why it does not suit its loads.

    Parameters
    ----------
    device : Device
        With its rating, or without one to have the smallest that suits chosen.
    loads : tuple of Component
        All that it feeds.

    Returns
    -------
    Rated or str
        The device; or a sentence that says what it should be.

    Examples
    --------
    >>> from engineering.loom.wire_list import Pin
    >>> lamp = Component("Lamp", Pin("L", "1"), None, 4.6, Nature.LAMP)
    >>> fuse = Device("F1", Pin("F", "a"), Pin("F", "b"))
    >>> str(settle(fuse, (lamp, lamp)))
    '15 A blade fuse'
    """
    asked_a = asked_rating_a(device, loads)
    if device.kind is DeviceKind.ELECTRONIC:
        return _settle_output(device, loads, asked_a)
    fits = next((fuse for fuse in FUSES if fuse.rating_a >= asked_a and _slow_enough(fuse, loads)), None)
    if device.rating_a is None:
        return _rated(device, fits) if fits else f"{device.name}: no standard fuse suits. {_SPLIT}"
    chosen = next(fuse for fuse in FUSES if fuse.rating_a == device.rating_a)
    take = f"Take {fits.rating_a:g} A, or split the load." if fits else _SPLIT
    if chosen.rating_a < asked_a:
        return (
            f"{device.name}: a fuse of {chosen.rating_a:g} A is smaller than its load, which asks for "
            f"{asked_a:.3g} A. {take}"
        )
    if not _slow_enough(chosen, loads):
        hasty, amperes = _hasty(chosen, loads)
        holds_s = holds_for_s(chosen.family, amperes / chosen.rating_a)
        return (
            f"{device.name}: a fuse of {chosen.rating_a:g} A may blow after {holds_s:.2g} s at "
            f"{amperes:.3g} A, and {hasty.name} draws that for {hasty.inrush_s:g} s as it starts. {take}"
        )
    return _rated(device, chosen)


_SPLIT = "Split the load over two circuits."


def _rated(device: Device, fuse: Fuse) -> Rated:
    return Rated(device.name, device.kind, fuse.rating_a, fuse.family)


def _slow_enough(fuse: Fuse, loads: tuple[Component, ...]) -> bool:
    return all(
        holds_for_s(fuse.family, amperes / fuse.rating_a) >= load.inrush_s
        for load, amperes in _inrushes(loads)
        if load.inrush_s is not None
    )


def _hasty(fuse: Fuse, loads: tuple[Component, ...]) -> tuple[Component, float]:
    return min(_inrushes(loads), key=lambda pair: holds_for_s(fuse.family, pair[1] / fuse.rating_a))


def _inrushes(loads: tuple[Component, ...]) -> list[tuple[Component, float]]:
    """Each load that starts hard, with the current of all as it starts while the others run."""
    pairs = []
    for load in loads:
        if load.inrush_a is not None:
            others = sum(
                other.steady_a
                for other in loads
                if other is not load
                and other.nature not in (Nature.CHARGER, Nature.STARTER)
                and not (other.one_of and other.one_of == load.one_of)
            )
            pairs.append((load, load.inrush_a + others))
    return pairs


def _settle_output(device: Device, loads: tuple[Component, ...], asked_a: float) -> Rated | str:
    trips_a = device.rating_a if device.rating_a is not None else max(1.0, math.ceil(2 * asked_a) / 2)
    if trips_a < asked_a:
        return (
            f"{device.name}: trips at {trips_a:g} A, and its load asks for {asked_a:.3g} A "
            f"({TRIP_FACTOR:g} times the steady current). Set it higher, or split the load."
        )
    for load, amperes in _inrushes(loads):
        short_lived = load.inrush_s is not None and device.inrush_s < load.inrush_s
        if amperes > trips_a and (amperes > device.inrush_a or short_lived):
            return (
                f"{device.name}: lets {device.inrush_a:g} A through for {device.inrush_s:g} s, and "
                f"{load.name} makes {amperes:.3g} A for {load.inrush_s:g} s as it starts. Allow more."
            )
    heat = max(device.inrush_a, trips_a) ** 2 * device.inrush_s * (1 + device.retries)
    return Rated(device.name, device.kind, trips_a, "", heat)

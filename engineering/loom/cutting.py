"""From the sized list to the bench: what to cut, in what order, what to buy, how thick each run gets."""

import math
from collections import defaultdict
from dataclasses import dataclass

from engineering.loom.errors import LoomInputError
from engineering.loom.packing import Shrink, bundle_diameter_mm, heat_shrink_for, sleeve_bore_mm
from engineering.loom.results import LoomResult, SizedWire
from engineering.loom.wire_list import LoomList, Pin
from engineering.loom.wires import Wire

COPPER_G_PER_MM2_M = 8.89
"""Density of annealed copper, 8.89 g/cm³: IEC 60028 (0.15328 Ω·g/m² over 0.0172414 Ω·mm²/m)."""

INSULATION_G_PER_CM3 = 1.35
"""Density of insulation: PVC and filled polyolefin compounds of cable, 1.2 to 1.5 g/cm³ in
polymer handbooks; from memory."""

CUT_STEP_MM = 10.0
"""Cut lengths are rounded up to this."""


@dataclass(frozen=True)
class CutRow:
    """One wire to cut.

    Parameters
    ----------
    order : int
        Its place in the order of laying, from 1.
    label, circuit, colour, size : str
        As printed.
    cut_mm : float
        Length to cut, rounded up to 10 mm [mm].
    start, end : str
        Where its ends go.
    start_terminal, end_terminal : str
        What is crimped on them.
    route : tuple of str
        Runs that it passes.
    copper_g : float
        Mass of its copper [g].
    insulation : str
        Key of its temperature class; empty in lists kept before it was written down.
    """

    order: int
    label: str
    circuit: str
    colour: str
    size: str
    cut_mm: float
    start: str
    end: str
    start_terminal: str
    end_terminal: str
    route: tuple[str, ...]
    copper_g: float
    insulation: str = ""


@dataclass(frozen=True)
class RunBundle:
    """One run to sleeve.

    Parameters
    ----------
    name : str
        Of the run.
    wires : tuple of str
        Labels of what lies in it.
    diameter_mm : float
        Of the bundle, laid by hand [mm].
    bore_mm : float
        Least bore of a braid or convoluted sleeve [mm].
    shrink : Shrink or None
        Heat-shrink that grips it; None where none of the series does.
    length_m : float
        Sleeve to cut, without shrinkage [m].
    """

    name: str
    wires: tuple[str, ...]
    diameter_mm: float
    bore_mm: float
    shrink: Shrink | None
    length_m: float


@dataclass(frozen=True)
class Purchase:
    """Wire of one colour and size.

    Parameters
    ----------
    colour, size : str
        What to ask for.
    insulation : str
        Key of its temperature class.
    length_m : float
        All cut lengths together, with what is wasted [m].
    reels : int
        Whole reels.
    copper_g : float
        Mass of the copper that goes into the car [g].
    """

    colour: str
    size: str
    insulation: str
    length_m: float
    reels: int
    copper_g: float


def cut_list(result: LoomResult) -> tuple[CutRow, ...]:
    """Every sized wire, in the order of laying.

    Parameters
    ----------
    result : LoomResult
        The loom, worked out.

    Returns
    -------
    tuple of CutRow
        Wires that pass most runs first, so that the trunk is laid before its branches; then the longer first.
    """
    wires = sorted(
        result.wires.values(),
        key=lambda sized: (-len(result.routes[sized.wire.label].runs), -_cut_mm(result, sized)),
    )
    return tuple(_row(result, number, sized) for number, sized in enumerate(wires, start=1))


def run_bundles(result: LoomResult) -> tuple[RunBundle, ...]:
    """How thick each run gets, and its sleeve.

    Parameters
    ----------
    result : LoomResult
        The loom, worked out.

    Returns
    -------
    tuple of RunBundle
        In the order of the list; runs without sized wires are left out.
    """
    found = []
    for run in result.loom.runs:
        state = result.runs.get(run.name)
        inside = [result.wires[label] for label in state.wires if label in result.wires] if state else []
        if inside:
            diameter_mm = bundle_diameter_mm([sized.size.outer_mm for sized in inside])
            found.append(
                RunBundle(
                    run.name,
                    tuple(sized.wire.label for sized in inside),
                    diameter_mm,
                    sleeve_bore_mm(diameter_mm),
                    heat_shrink_for(diameter_mm),
                    run.length_mm / 1000,
                )
            )
    return tuple(found)


def purchases(result: LoomResult, reel_m: float = 50.0, waste_share: float = 0.05) -> tuple[Purchase, ...]:
    """Metres and reels to buy, by colour and size.

    Parameters
    ----------
    result : LoomResult
        The loom, worked out.
    reel_m : float
        Length of a reel [m].
    waste_share : float
        Added for waste, 0 to 1 [-].

    Returns
    -------
    tuple of Purchase
        Thickest first, then by colour.

    Raises
    ------
    LoomInputError
        If the reel or the waste cannot be meant.
    """
    if not 0 < reel_m <= 10000:
        raise LoomInputError("reel_m", f"Reel: must be more than 0 m, 10000 m at most, not {reel_m:g} m.")
    if not 0 <= waste_share <= 1:
        raise LoomInputError("waste_share", f"Waste: the share must be 0 to 1, not {waste_share:g}.")
    groups: dict[tuple[float, str, str, str], list[SizedWire]] = defaultdict(list)
    for sized in result.wires.values():
        groups[-sized.size.area_mm2, sized.wire.colour, sized.size.name, sized.wire.insulation].append(sized)
    found = []
    for (_, colour, size, insulation), wires in sorted(groups.items()):
        length_m = sum(_cut_mm(result, sized) for sized in wires) / 1000
        bought_m = length_m * (1 + waste_share)
        copper = sum(copper_g(sized.size.area_mm2, _cut_mm(result, sized) / 1000) for sized in wires)
        found.append(
            Purchase(colour, size, insulation, bought_m, math.ceil(bought_m / reel_m - 1e-9), copper)
        )
    return tuple(found)


def copper_g(area_mm2: float, length_m: float) -> float:
    """Mass of a conductor.

    Parameters
    ----------
    area_mm2, length_m : float
        Copper area and length [mm^2, m].

    Returns
    -------
    float
        Mass by the nominal area, 5 to 10 % above that of a cable which just meets its resistance [g].

    Examples
    --------
    >>> copper_g(2.5, 4)
    88.9
    """
    return COPPER_G_PER_MM2_M * area_mm2 * length_m


def insulation_g(wire: Wire, length_m: float) -> float:
    """Mass of the insulation of a wire.

    Parameters
    ----------
    wire : Wire
        Its size.
    length_m : float
        Length [m].

    Returns
    -------
    float
        Mass of the ring between conductor and outside [g].

    Examples
    --------
    >>> from engineering.loom.wires import WIRES, Series
    >>> round(insulation_g(WIRES[Series.METRIC][1], 1), 2)  # 0.5 mm²: 1.7 mm over 1.1 mm
    1.78
    """
    return INSULATION_G_PER_CM3 * math.pi / 4 * (wire.outer_mm**2 - wire.copper_mm**2) * length_m


def pin_out(loom: LoomList, place: str) -> tuple[tuple[str, str], ...]:
    """What goes into each cavity of a connector.

    Parameters
    ----------
    loom : LoomList
        The list.
    place : str
        Name of the connector.

    Returns
    -------
    tuple of (str, str)
        Cavity and label of its wire, in the order of the connector; the label is empty where it stays empty.
    """
    used = {pin: wire.label for wire in loom.wires for pin in (wire.start, wire.end)}
    return tuple(
        (cavity.name, used.get(Pin(place, cavity.name), ""))
        for connector in loom.connectors
        if connector.name == place
        for cavity in connector.cavities
    )


def _cut_mm(result: LoomResult, sized: SizedWire) -> float:
    return CUT_STEP_MM * math.ceil(result.routes[sized.wire.label].cut_mm / CUT_STEP_MM - 1e-9)


def _row(result: LoomResult, number: int, sized: SizedWire) -> CutRow:
    wire, cut_mm = sized.wire, _cut_mm(result, sized)
    return CutRow(
        number,
        wire.label,
        wire.circuit,
        wire.colour,
        sized.size.name,
        cut_mm,
        str(wire.start),
        str(wire.end),
        _terminal(result.loom, wire.start),
        _terminal(result.loom, wire.end),
        result.routes[wire.label].runs,
        copper_g(sized.size.area_mm2, cut_mm / 1000),
        wire.insulation,
    )


def _terminal(loom: LoomList, pin: Pin) -> str:
    contact = loom.contacts.get(pin)
    if contact is not None:
        return contact.terminal
    return "splice" if any(splice.name == pin.place for splice in loom.splices) else "ring"

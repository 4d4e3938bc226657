"""Labels for the ends of the wires: how large, how the text lies, which sleeve goes over them."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from engineering.loom.bench import wire_named
from engineering.loom.cutting import CutRow
from engineering.loom.errors import LoomInputError
from engineering.loom.packing import GRIPS, PASSES_OVER, SHRINK_2_TO_1, Shrink

SHRINK_3_TO_1 = (
    (1.5, 0.5), (3.0, 1.0), (4.8, 1.5), (6.0, 2.0), (9.0, 3.0), (12.0, 4.0), (19.0, 6.0), (24.0, 8.0),
    (39.0, 13.0),
)  # fmt: skip
"""Heat-shrink 3:1, least bore as supplied and most as recovered [mm]: usual sizes, from memory."""

SERIES_OF_SHRINK = {2: SHRINK_2_TO_1, 3: SHRINK_3_TO_1}

LEAST_TEXT_MM, MOST_TEXT_MM = 1.8, 4.0
"""Height of type that is read at arm's length, and that is large enough: common practice, no source [mm]."""

TEXT_SHARE = 0.8
"""Type this high, as a share of the wire's diameter, is seen whole from one side: a chord of 0.8 d lies on an
arc of 53° to each side, where the surface still faces the eye."""

LINE_SHARE = 1.45
"""Least distance of lines, in heights of capitals: tails of letters that meet upside down need it."""

WIDE_SHARE = 0.62
"""Mean width of a letter of the condensed type, in heights of its capitals: read from the font, with room."""

MARGIN_MM, LEAST_LONG_MM, MOST_LONG_MM, STEP_MM = 2.0, 15.0, 70.0, 5.0
"""Blank at each end of a label, and how long labels are, in steps for one stop of the knife [mm]."""


@dataclass(frozen=True)
class WireLabel:
    """One label, for one end of one wire.

    Parameters
    ----------
    order : int
        Place of its wire in the order of laying.
    text : str
        Label and colour of the wire, and where this end goes.
    wrap_mm : float
        Once round the wire [mm].
    long_mm : float
        Along the wire [mm].
    text_mm : float
        Height of the type [mm].
    lines : int
        How often the text stands round the wire; every other one is turned to be read from the other side.
    shrink : Shrink or None
        Clear heat-shrink that goes over it; None where no size does.
    """

    order: int
    text: str
    wrap_mm: float
    long_mm: float
    text_mm: float
    lines: int
    shrink: Shrink | None


def wire_labels(rows: Iterable[CutRow], ratio: int = 2) -> tuple[tuple[WireLabel, WireLabel], ...]:
    """Two labels for each wire, one for each end.

    Parameters
    ----------
    rows : iterable of CutRow
        The cut list.
    ratio : int
        Shrink ratio of the sleeve, 2 or 3 to 1.

    Returns
    -------
    tuple of (WireLabel, WireLabel)
        In the order of the list. A place that would make it longer than 70 mm is cut short with "…".

    Raises
    ------
    LoomInputError
        If sleeves of that ratio are not known, or a size is none of a series.
    """
    if ratio not in SERIES_OF_SHRINK:
        raise LoomInputError("ratio", f"Shrink ratio: 2 or 3 to 1, not {ratio} to 1.")
    return tuple((_label(row, row.start, ratio), _label(row, row.end, ratio)) for row in rows)


def sleeve_for(outer_mm: float, ratio: int = 2) -> Shrink | None:
    """Smallest heat-shrink that goes over a labelled wire and grips it.

    Parameters
    ----------
    outer_mm : float
        Diameter over the insulation [mm].
    ratio : int
        Shrink ratio, 2 or 3 to 1.

    Returns
    -------
    Shrink or None
        None where no size does both.

    Raises
    ------
    LoomInputError
        If sleeves of that ratio are not known.

    Examples
    --------
    >>> str(sleeve_for(2.4)), str(sleeve_for(2.4, 3))
    ('3.2/1.6 mm', '3/1 mm')
    """
    if ratio not in SERIES_OF_SHRINK:
        raise LoomInputError("ratio", f"Shrink ratio: 2 or 3 to 1, not {ratio} to 1.")
    for supplied, recovered in SERIES_OF_SHRINK[ratio]:
        if supplied >= PASSES_OVER * outer_mm and recovered <= GRIPS * outer_mm:
            return Shrink(supplied, recovered)
    return None


def _label(row: CutRow, end: str, ratio: int) -> WireLabel:
    wire = wire_named(row.size)
    if wire is None:
        raise LoomInputError("size", f"“{row.size}” is no conductor of a series known here.")
    wrap_mm = math.pi * wire.outer_mm
    text_mm = min(MOST_TEXT_MM, max(LEAST_TEXT_MM, TEXT_SHARE * wire.outer_mm))
    lines = max(1, math.floor(wrap_mm / (LINE_SHARE * text_mm)))
    most = math.floor((MOST_LONG_MM - 2 * MARGIN_MM) / (WIDE_SHARE * text_mm))
    text = _text(row, end, most)
    asked_mm = WIDE_SHARE * text_mm * len(text) + 2 * MARGIN_MM
    long_mm = min(MOST_LONG_MM, max(LEAST_LONG_MM, STEP_MM * math.ceil(asked_mm / STEP_MM)))
    return WireLabel(row.order, text, wrap_mm, long_mm, text_mm, lines, sleeve_for(wire.outer_mm, ratio))


def _text(row: CutRow, end: str, most: int) -> str:
    """What stands on a label; of an end that is too long the place is cut, and its cavity stays."""
    text = "  ".join(part for part in (row.label, row.colour, end) if part)
    if len(text) <= most:
        return text
    _, slash, cavity = end.rpartition("/")
    tail = f"…{slash}{cavity}"
    kept = text.removesuffix(f"{slash}{cavity}")[: max(0, most - len(tail))].rstrip()
    return (kept + tail)[:most]

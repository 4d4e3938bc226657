"""The words that belong to the sheet of a loom."""

from engineering.loom import FUSE_SOURCE, WIRE_SOURCES, Series
from engineering.sheets.kind import Notes

HIGHER_VOLTAGE_CAUTION = (
    "48 V: the usual 32 V blade fuse, and switches and relays made for 12 V, cannot break it and may burn. "
    "Use parts rated for at least 58 V direct current."
)


def notes_for(system_v: int, series: Series) -> Notes:
    """The words for a loom of this voltage and series."""
    cautions = (*CAUTIONS, HIGHER_VOLTAGE_CAUTION) if system_v > 24 else CAUTIONS
    return Notes(
        FORMULAS, ASSUMPTIONS, (*SOURCES, WIRE_SOURCES[series], FUSE_SOURCE), LIMITS, cautions, RULES
    )


FORMULAS = (
    "Length = the shortest way along the runs, with what a wire has to pass or keep out of, an allowance at "
    "each end and the service loop; cut lengths are rounded up to 10 mm.",
    "Each wire: the thinnest size that passes its share of the path's drop there and back, its current in "
    "its hottest run among the others, its fuse with a short at its far end, and handling.",
    "Drop = I · R20 · (1 + 0.00393 · (T − 20)) · length; T is the running temperature of the conductor.",
    "Bundle: wires as laid by hand, not as they would pack at best. Copper = area · length · 8.89 g/cm³; "
    "insulation = ring · length · 1.35 g/cm³ (from memory).",
)
ASSUMPTIONS = (
    "Direct current; everything is on at once but for what is marked as never together; duty counts by its "
    "heat.",
    "Crimps, connectors, switches, relays and the fuses' own resistance are not counted.",
    "Where wires share a path, a longer one may let another get a size thinner: the list of changes says so.",
)
SOURCES = (
    "Copper: IEC 60028. Heat: Churchill and Chu (1975), IEC 60287-2-1 Table 1; bundles never above the "
    "grouping factors of BS 7671. Short: adiabatic equation, constants by IEC 60364-5-54 Annex A.",
    "Drop classes: ABYC E-11, ISO 10133; headlamps, lamps, control and charging by the vehicle trade's list, "
    "from memory.",
    "Circuits, currents and lengths of the generic car: common practice, no source.",
)
LIMITS = (
    "12, 24 and 48 V direct current only; up to 200 lines in each table; runs up to 50 m; surroundings −40 "
    "to 200 °C, and below the class of the insulation.",
    "Battery, starter and alternator cables, high-tension leads and airbag circuits are not sized here: give "
    "their size, or leave them out.",
)
CAUTIONS = (
    "Overheated wiring and batteries start fires. This sheet sizes and lists wires; it does not replace the "
    "applicable standard or a competent auto-electrician, who checks the loom before it is first live.",
    "Disconnect the battery, earth side first, before working on any wire. Rings and watches off: a spanner "
    "across the terminals melts. No spark near a battery on charge. (HSE INDG139, Using electric storage "
    "batteries safely)",
    "Put each main fuse as near to the source as can be, within 200 mm (ISO 10133, 8.1), and never fit a "
    "larger one than shown.",
    "A usual blade fuse breaks 1000 A at most, and a battery can drive more through a short: near the "
    "battery use a fuse made for it.",
)
RULES = (
    "ISO 6722 / ISO 19642 (cable), ISO 8820 (fuses) and the makers' sheets of wire, fuse, contact and sleeve",
    "The IVA inspection manual; BS 7671 and the rules for boats or caravans where they apply; the rules of "
    "the sport, where it races",
)

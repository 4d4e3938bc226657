"""The wires that a workshop can buy, thinnest first."""

import itertools
import math
from dataclasses import dataclass
from enum import StrEnum

from engineering.loom.copper import COPPER_OHM_MM2_PER_M, MM2_PER_CIRCULAR_MIL


class Series(StrEnum):
    """How the wires are sold."""

    METRIC = "metric"
    AWG = "awg"


@dataclass(frozen=True)
class Wire:
    """One size of single-core wire.

    Parameters
    ----------
    name : str
        For people, with its unit.
    area_mm2 : float
        Copper area that the size stands for [mm^2].
    milliohm_per_m : float
        Most resistance at 20 °C [mohm/m].
    copper_mm, outer_mm : float
        Diameter over the conductor and over the insulation [mm].
    """

    name: str
    area_mm2: float
    milliohm_per_m: float
    copper_mm: float
    outer_mm: float


_ISO_6722 = (
    # mm², mΩ/m at 20 °C, Ø conductor, Ø overall
    # Resistances from 1 mm² that are also in the vehicle-cable table after ISO 6722-3 were read there; those
    # below 1 mm², and of 2 and 3 mm², are from memory of ISO 6722-1. Diameters: thin wall to 10 mm², thick
    # wall above; conductors of 0.35, 0.5, 0.75, 2 and 3 mm² from memory.
    (0.35, 52.0, 0.9, 1.4),
    (0.5, 37.1, 1.1, 1.7),
    (0.75, 24.7, 1.3, 1.9),
    (1.0, 18.5, 1.5, 2.1),
    (1.5, 12.7, 1.8, 2.4),
    (2.0, 9.42, 2.0, 2.8),
    (2.5, 7.60, 2.2, 3.0),
    (3.0, 6.15, 2.4, 3.4),
    (4.0, 4.71, 2.8, 3.7),
    (6.0, 3.14, 3.4, 4.3),
    (10.0, 1.82, 4.5, 6.0),
    (16.0, 1.16, 6.3, 8.3),
    (25.0, 0.743, 7.8, 10.4),
    (35.0, 0.527, 9.0, 11.6),
    (50.0, 0.368, 10.5, 13.5),
    (70.0, 0.259, 12.5, 15.5),
    (95.0, 0.196, 14.8, 18.0),
    (120.0, 0.153, 16.5, 19.7),
)

STRAND_LAY = 1.02
"""Strands run a little longer than the cable: NEC chapter 9 table 8, stranded rows, against solid copper."""

_SAE_CIRCULAR_MILS = (
    # least copper area of a stranded vehicle or boat cable, not the nominal area of the gauge: about a tenth
    # less. Sources differ at 6 AWG (24 538 or 25 910): the smaller is taken. 3/0 is from memory.
    ("18 AWG", 1537),
    ("16 AWG", 2336),
    ("14 AWG", 3702),
    ("12 AWG", 5833),
    ("10 AWG", 9343),
    ("8 AWG", 14810),
    ("6 AWG", 24538),
    ("4 AWG", 37360),
    ("2 AWG", 62450),
    ("1 AWG", 77790),
    ("1/0 AWG", 98980),
    ("2/0 AWG", 125100),
    ("3/0 AWG", 158600),
    ("4/0 AWG", 205500),
)


def _between(area_mm2: float, column: int) -> float:
    """A diameter of the metric table at another area, straight along the square root of the area."""
    root = math.sqrt(area_mm2)
    for lower, upper in itertools.pairwise(_ISO_6722):
        if area_mm2 <= upper[0]:
            share = (root - math.sqrt(lower[0])) / (math.sqrt(upper[0]) - math.sqrt(lower[0]))
            return lower[column] + share * (upper[column] - lower[column])
    raise ValueError(f"{area_mm2} mm² is beyond the metric table")


def _metric(area_mm2: float, milliohm_per_m: float, copper_mm: float, outer_mm: float) -> Wire:
    return Wire(f"{area_mm2:g} mm²", area_mm2, milliohm_per_m, copper_mm, outer_mm)


def _gauge(name: str, circular_mils: int) -> Wire:
    area_mm2 = circular_mils * MM2_PER_CIRCULAR_MIL
    milliohm_per_m = 1000 * STRAND_LAY * COPPER_OHM_MM2_PER_M / area_mm2
    return Wire(name, area_mm2, milliohm_per_m, _between(area_mm2, 2), _between(area_mm2, 3))


WIRES: dict[Series, tuple[Wire, ...]] = {
    Series.METRIC: tuple(_metric(*row) for row in _ISO_6722),
    Series.AWG: tuple(_gauge(*row) for row in _SAE_CIRCULAR_MILS),
}
"""Each series, thinnest first."""

WIRE_SOURCES: dict[Series, str] = {
    Series.METRIC: "ISO 6722-1:2011 (now ISO 19642-3 and -4): largest resistance and diameters of "
    "road-vehicle cable, thin wall to 10 mm², thick wall above; rows below 1 mm², and 2 and 3 mm², from "
    "memory",
    Series.AWG: "ASTM B258 gauge numbers, SAE least copper areas of stranded cable, copper by IEC 60028 "
    "and 2 % for the lay of the strands; outer diameters read between the metric sizes",
}

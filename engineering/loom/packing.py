"""How thick a bundle is, and the sleeve that fits over it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from engineering.loom.errors import LoomInputError
from engineering.loom.thermal import LOOSE_PACKING

_ROOT2, _ROOT5, _ROOT6 = math.sqrt(2), math.sqrt(5), math.sqrt(6)
EQUAL_PACKINGS = (
    *(1.0, 2.0, 1 + 2 / math.sqrt(3), 1 + _ROOT2, 1 + math.sqrt(2 * (1 + 1 / _ROOT5)), 3.0, 3.0),
    *(1 + 1 / math.sin(math.pi / 7), 1 + math.sqrt(2 * (2 + _ROOT2)), 3.8130, 1 + 1 / math.sin(math.pi / 9)),
    *(4.0296, 2 + _ROOT5, 4.3284, 4.5214, 4.6154, 4.7920, 1 + _ROOT2 + _ROOT6, 1 + _ROOT2 + _ROOT6, 5.1223),
)
"""Smallest circle round 1 to 20 equal circles, in diameters of one: proved for 1 to 14 and 19, conjectured
for the rest; an encyclopaedia's table of circle packing in a circle, which names the proofs."""

FEW_PACKING = 1.225
"""Of 4 to 6 wires, per root of Σd²: the least that covers the proved packings of 4, 5 and 6 alike."""

SHRINK_2_TO_1 = (
    (1.6, 0.8), (2.4, 1.2), (3.2, 1.6), (4.8, 2.4), (6.4, 3.2), (9.5, 4.8), (12.7, 6.4), (19.1, 9.5),
    (25.4, 12.7), (38.1, 19.1), (50.8, 25.4), (76.2, 38.1), (102.0, 50.8),
)  # fmt: skip
"""Heat-shrink 2:1, least bore as supplied and most as recovered [mm]: AMS-DTL-23053/5 sizes, after a
supplier's sheet."""

PASSES_OVER, GRIPS = 1.2, 0.9
"""Bore as supplied at least 1.2 times what it passes over, recovered at most 0.9 times what it grips: common
practice, no source."""

FILL = 0.75
"""Share of its bore that a braid or convoluted sleeve may be filled: common practice, no source."""


@dataclass(frozen=True)
class Shrink:
    """A size of heat-shrink.

    Parameters
    ----------
    supplied_mm, recovered_mm : float
        Least bore as supplied, and most after shrinking freely [mm].
    """

    supplied_mm: float
    recovered_mm: float

    def __str__(self) -> str:
        return f"{self.supplied_mm:g}/{self.recovered_mm:g} mm"


def bundle_diameter_mm(outer_mm: Sequence[float]) -> float:
    """Diameter of a bundle laid by hand.

    Parameters
    ----------
    outer_mm : sequence of float
        Outer diameters of its wires [mm].

    Returns
    -------
    float
        1.2·√Σd², never less than equal wires or the three thickest can be packed; 0 without wires [mm].

    Raises
    ------
    LoomInputError
        If a diameter is not above 0.

    Notes
    -----
    1.2·√Σd² is the cable trade's rule and too small for 2 to 6, 9 and 10 wires alike: the proved packings
    hold there. For 4 to 6 unlike wires 1.225 instead of 1.2 covers them. Tape and a careless hand make it
    1.25 to 1.3 times √Σd² (common practice, no source).

    Examples
    --------
    >>> bundle_diameter_mm([2.4, 2.4])
    4.8
    >>> round(bundle_diameter_mm([2.4] * 19), 2)
    12.55
    """
    for diameter in outer_mm:
        if not 0 < diameter < math.inf:
            raise LoomInputError(
                "outer_mm", f"Bundle: a diameter must be more than 0 mm, not {diameter:g} mm."
            )
    if not outer_mm:
        return 0.0
    thickest_first = sorted(outer_mm, reverse=True)
    count = len(thickest_first)
    tight = _tightest_mm(thickest_first[:3])
    if thickest_first[0] == thickest_first[-1] and count <= len(EQUAL_PACKINGS):
        tight = max(tight, EQUAL_PACKINGS[count - 1] * thickest_first[0])
    if count <= 3:
        return tight
    factor = FEW_PACKING if count <= 6 else LOOSE_PACKING
    return max(tight, factor * math.sqrt(sum(diameter**2 for diameter in thickest_first)))


def _tightest_mm(thickest_first: Sequence[float]) -> float:
    """Smallest circle round up to three: by Descartes, or round two where the third fits beside them."""
    if len(thickest_first) < 3:
        return sum(thickest_first)
    a, b, c = (2 / diameter for diameter in thickest_first)
    round_two_mm = thickest_first[0] + thickest_first[1]
    beside_mm = 2 / (a + b - 2 / round_two_mm)
    if thickest_first[2] <= beside_mm:
        return round_two_mm
    return 2 / (2 * math.sqrt(a * b + b * c + c * a) - a - b - c)


def heat_shrink_for(grips_mm: float, passes_over_mm: float | None = None) -> Shrink | None:
    """Smallest 2:1 heat-shrink that goes over and grips.

    Parameters
    ----------
    grips_mm : float
        Diameter that it must hold tight [mm].
    passes_over_mm : float or None
        Largest thing that it has to pass over, a connector perhaps; None for the same [mm].

    Returns
    -------
    Shrink or None
        None where no size does both: take 3:1, or put it on before the connector.

    Examples
    --------
    >>> str(heat_shrink_for(4.8)), heat_shrink_for(4.8, 20)
    ('6.4/3.2 mm', None)
    """
    over = passes_over_mm if passes_over_mm is not None else grips_mm
    for supplied, recovered in SHRINK_2_TO_1:
        if supplied >= PASSES_OVER * over and recovered <= GRIPS * grips_mm:
            return Shrink(supplied, recovered)
    return None


def sleeve_bore_mm(bundle_mm: float) -> float:
    """Least bore of a braid or convoluted sleeve.

    Parameters
    ----------
    bundle_mm : float
        Diameter of the bundle [mm].

    Returns
    -------
    float
        Bore of which the bundle fills three quarters [mm].

    Examples
    --------
    >>> round(sleeve_bore_mm(10), 1)
    11.5
    """
    return bundle_mm / math.sqrt(FILL)

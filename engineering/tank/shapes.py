"""Level cavities: how many litres stand below a depth.

Every shape here is the *inside* of a tank, or its outside skin when metal is weighed. Whatever offers
the members of `Cavity` can be sized and dipped; a later shape needs nothing else.
"""

import math
from dataclasses import dataclass
from typing import Protocol, Self

from engineering.tank.units import MM3_PER_L

_HALVINGS = 200  # a bisection ends earlier, when the middle no longer differs from an end


class Cavity(Protocol):
    """What the sizing needs to know of a shape."""

    @property
    def depth_mm(self) -> float:
        """Depth from the lowest inside point to the highest [mm]."""

    @property
    def full_l(self) -> float:
        """Volume of the whole shape [L]."""

    def litres_at(self, depth_mm: float) -> float:
        """Volume below a level surface [L]."""


@dataclass(frozen=True)
class Box:
    """A rectangular box standing level.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Edges [mm].

    Examples
    --------
    >>> Box(600, 400, 200).full_l
    48.0
    """

    length_mm: float
    width_mm: float
    height_mm: float

    @property
    def depth_mm(self) -> float:
        return self.height_mm

    @property
    def full_l(self) -> float:
        return self.litres_at(self.height_mm)

    @property
    def skin_mm2(self) -> float:
        """Area of all six faces [mm^2]."""
        long, wide, high = self.length_mm, self.width_mm, self.height_mm
        return 2 * (long * wide + long * high + wide * high)

    def litres_at(self, depth_mm: float) -> float:
        """Litres below a level surface.

        Parameters
        ----------
        depth_mm : float
            Depth above the floor [mm]; below 0 counts as 0, above the roof as full.

        Returns
        -------
        float
            Volume [L].

        Examples
        --------
        >>> Box(600, 400, 200).litres_at(50)
        12.0
        """
        depth = min(max(depth_mm, 0.0), self.height_mm)
        return self.length_mm * self.width_mm * depth / MM3_PER_L

    def grown(self, by_mm: float) -> Self:
        """The same shape with every face moved outwards (inwards where negative) by `by_mm` [mm]."""
        return type(self)(self.length_mm + 2 * by_mm, self.width_mm + 2 * by_mm, self.height_mm + 2 * by_mm)

    def weld_mm(self) -> float:
        """Length of all twelve edges [mm]; an edge that is folded needs no weld."""
        return 4 * (self.length_mm + self.width_mm + self.height_mm)


@dataclass(frozen=True)
class UprightCylinder:
    """A round tank standing on a flat end.

    Parameters
    ----------
    diameter_mm, height_mm : float
        Diameter and height [mm].

    Examples
    --------
    >>> UprightCylinder(200, 100).full_l
    3.14159265
    """

    diameter_mm: float
    height_mm: float

    @property
    def depth_mm(self) -> float:
        return self.height_mm

    @property
    def full_l(self) -> float:
        return self.litres_at(self.height_mm)

    @property
    def skin_mm2(self) -> float:
        """Area of the shell and both ends [mm^2]."""
        return math.pi * self.diameter_mm * (self.height_mm + self.diameter_mm / 2)

    def litres_at(self, depth_mm: float) -> float:
        """Litres below a level surface.

        Parameters
        ----------
        depth_mm : float
            Depth above the floor [mm]; below 0 counts as 0, above the roof as full.

        Returns
        -------
        float
            Volume [L].
        """
        depth = min(max(depth_mm, 0.0), self.height_mm)
        return math.pi * self.diameter_mm**2 / 4 * depth / MM3_PER_L

    def grown(self, by_mm: float) -> Self:
        """The same shape with every face moved outwards (inwards where negative) by `by_mm` [mm]."""
        return type(self)(self.diameter_mm + 2 * by_mm, self.height_mm + 2 * by_mm)

    def weld_mm(self) -> float:
        """Both rims and one seam along the shell [mm]."""
        return 2 * math.pi * self.diameter_mm + self.height_mm


@dataclass(frozen=True)
class LyingCylinder:
    """A round tank lying on its side, with flat ends.

    Parameters
    ----------
    diameter_mm, length_mm : float
        Diameter and length [mm].

    Notes
    -----
    Segment of a circle, A = R^2 acos((R-h)/R) - (R-h) sqrt(2Rh - h^2), times the length [1]_. The angle is
    taken with atan2, which keeps its digits near the bottom and the top where acos loses them.

    References
    ----------
    .. [1] D. Jones, "Calculating Tank Volume" (also "Compute Fluid Tank Volumes", Chemical Processing, 2002).

    Examples
    --------
    Half full at half depth:

    >>> LyingCylinder(350, 900).litres_at(175)
    43.295074
    """

    diameter_mm: float
    length_mm: float

    @property
    def depth_mm(self) -> float:
        return self.diameter_mm

    @property
    def full_l(self) -> float:
        return math.pi * self.diameter_mm**2 / 4 * self.length_mm / MM3_PER_L

    @property
    def skin_mm2(self) -> float:
        """Area of the shell and both ends [mm^2]."""
        return math.pi * self.diameter_mm * (self.length_mm + self.diameter_mm / 2)

    def litres_at(self, depth_mm: float) -> float:
        """Litres below a level surface.

        Parameters
        ----------
        depth_mm : float
            Depth above the lowest inside point [mm]; below 0 counts as 0, above the top as full.

        Returns
        -------
        float
            Volume [L].
        """
        depth = min(max(depth_mm, 0.0), self.diameter_mm)
        radius = self.diameter_mm / 2
        half_chord = math.sqrt(depth * (self.diameter_mm - depth))
        half_angle = math.atan2(half_chord, radius - depth)
        segment_mm2 = radius**2 * half_angle - (radius - depth) * half_chord
        return segment_mm2 * self.length_mm / MM3_PER_L

    def grown(self, by_mm: float) -> Self:
        """The same shape with every face moved outwards (inwards where negative) by `by_mm` [mm]."""
        return type(self)(self.diameter_mm + 2 * by_mm, self.length_mm + 2 * by_mm)

    def weld_mm(self) -> float:
        """Both rims and one seam along the shell [mm]."""
        return 2 * math.pi * self.diameter_mm + self.length_mm


Shape = Box | UprightCylinder | LyingCylinder


def depth_for_litres(cavity: Cavity, litres: float) -> float:
    """The depth at which a cavity holds so many litres: the dip chart read backwards.

    Parameters
    ----------
    cavity : Cavity
        The inside of the tank.
    litres : float
        Volume from 0 to the full volume [L]; outside that range the nearer end is taken.

    Returns
    -------
    float
        Depth from the lowest inside point [mm].

    Notes
    -----
    Bisection on `litres_at`, which never falls, down to neighbouring floating-point depths.

    Examples
    --------
    >>> depth_for_litres(Box(600, 400, 200), 12)
    50.0
    """
    if litres <= 0:
        return 0.0
    if litres >= cavity.full_l:
        return cavity.depth_mm
    low, high = 0.0, cavity.depth_mm
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if cavity.litres_at(middle) < litres:
            low = middle
        else:
            high = middle
    return high

"""Ends of round tanks: flat, coned, dished, half an ellipsoid, dish with knuckle, half a sphere.

Each end gives its radius at every distance from the plane where it meets the straight part.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from engineering.tank.cutting import Floats
from engineering.tank.errors import TankInputError


class EndShape(StrEnum):
    """Shapes of an end."""

    FLAT = "flat"
    CONED = "coned"
    DISHED = "dished"
    ELLIPSOIDAL = "ellipsoidal"
    TORISPHERICAL = "torispherical"
    HEMISPHERICAL = "hemispherical"


@dataclass(frozen=True)
class End:
    """An end of a round tank.

    Parameters
    ----------
    shape : EndShape
        Its shape. Dished is one piece of a sphere, torispherical a dish with a knuckle.
    depth_mm : float
        How far it stands out from the straight part [mm]; for flat, torispherical and hemispherical ends
        the shape itself gives it.
    dish, knuckle : float
        Radii of dish and knuckle as shares of the diameter, for torispherical ends [-].

    Examples
    --------
    >>> FLANGED_AND_DISHED.depth_on(1000)
    169.337614
    """

    shape: EndShape = EndShape.FLAT
    depth_mm: float = 0.0
    dish: float = 1.0
    knuckle: float = 0.06

    def depth_on(self, diameter_mm: float) -> float:
        """How far it stands out on a tank of that diameter.

        Parameters
        ----------
        diameter_mm : float
            Diameter of the straight part [mm].

        Returns
        -------
        float
            Depth [mm].
        """
        match self.shape:
            case EndShape.FLAT:
                return 0.0
            case EndShape.HEMISPHERICAL:
                return diameter_mm / 2
            case EndShape.TORISPHERICAL:
                f, k = self.dish, self.knuckle
                return diameter_mm * (f - math.sqrt((f - k) ** 2 - (0.5 - k) ** 2))
        return self.depth_mm

    def check(self, field: str, diameter_mm: float) -> None:
        """Refuse an end that cannot be made on that diameter.

        Parameters
        ----------
        field : str
            Name of the input at fault.
        diameter_mm : float
            Diameter of the straight part [mm].

        Raises
        ------
        TankInputError
            If a figure is not a number or out of its range.
        """
        if self.shape in (EndShape.CONED, EndShape.DISHED, EndShape.ELLIPSOIDAL):
            most = diameter_mm / 2 if self.shape is EndShape.DISHED else 2 * diameter_mm
            if not math.isfinite(self.depth_mm) or not 0 < self.depth_mm <= most:
                raise TankInputError(
                    field,
                    f"{_words(field)}: a {self.shape} end on {diameter_mm:g} mm stands out more than 0 "
                    f"and at most {most:g} mm, not {self.depth_mm:g} mm.",
                )
        if self.shape is EndShape.TORISPHERICAL and not (
            0 < self.knuckle < 0.5 < self.dish <= 2 and self.knuckle < self.dish
        ):
            raise TankInputError(
                field,
                f"{_words(field)}: the dish must be 0.5 to 2 times the diameter and the knuckle less than "
                f"half of it, not {self.dish:g} and {self.knuckle:g}.",
            )

    def seams_mm(self, diameter_mm: float) -> tuple[float, ...]:
        """Distances from the straight part at which the curve changes.

        Parameters
        ----------
        diameter_mm : float
            Diameter of the straight part [mm].

        Returns
        -------
        tuple of float
            Within the end, without its two ends [mm].
        """
        if self.shape is not EndShape.TORISPHERICAL:
            return ()
        f, k = self.dish, self.knuckle
        # dish and knuckle touch on the line through both centres
        return (diameter_mm * k * math.sqrt((f - k) ** 2 - (0.5 - k) ** 2) / (f - k),)

    def radius_at(self, outwards_mm: Floats, diameter_mm: float) -> Floats:
        """Radius of the end at distances from the straight part.

        Parameters
        ----------
        outwards_mm : ndarray
            Distances, from 0 to the depth [mm].
        diameter_mm : float
            Diameter of the straight part [mm].

        Returns
        -------
        ndarray
            Radii [mm].
        """
        radius, depth = diameter_mm / 2, self.depth_on(diameter_mm)
        t = np.clip(outwards_mm, 0.0, max(depth, 0.0))
        match self.shape:
            case EndShape.FLAT:
                return np.full_like(t, radius)
            case EndShape.CONED:
                return np.asarray(radius * (1 - t / depth))
            case EndShape.ELLIPSOIDAL | EndShape.HEMISPHERICAL:
                return np.asarray(radius * np.sqrt((1 - t / depth) * (1 + t / depth)))
            case EndShape.DISHED:
                sphere = (depth**2 + radius**2) / (2 * depth)
                left = depth - t
                return np.sqrt(left * (2 * sphere - left))
        sphere, knuckle = self.dish * diameter_mm, self.knuckle * diameter_mm
        left = depth - t
        on_dish = np.sqrt(left * (2 * sphere - left))
        on_knuckle = radius - knuckle + np.sqrt(np.maximum(knuckle**2 - t**2, 0.0))
        return np.where(t > self.seams_mm(diameter_mm)[0], on_dish, on_knuckle)

    def grown(self, diameter_mm: float, by_mm: float) -> tuple["End", float]:
        """The end with its face moved outwards.

        Parameters
        ----------
        diameter_mm : float
            Diameter of the straight part before [mm].
        by_mm : float
            Distance, inwards where negative [mm].

        Returns
        -------
        tuple of End and float
            The new end, and how far the straight part grows at this end [mm].

        Notes
        -----
        Exact for all but the ellipsoid, whose parallel face is no ellipsoid: both its half axes grow.
        """
        radius, depth = diameter_mm / 2, self.depth_on(diameter_mm)
        match self.shape:
            case EndShape.FLAT:
                return self, by_mm
            case EndShape.CONED:
                slant = math.hypot(radius, depth)
                straight = by_mm * (slant - depth) / radius
                return End(self.shape, depth + by_mm * slant / radius - straight), straight
            case EndShape.DISHED:
                sphere = (depth**2 + radius**2) / (2 * depth) + by_mm
                new = sphere - math.sqrt(max(sphere**2 - (radius + by_mm) ** 2, 0.0))
                return End(self.shape, new), depth + by_mm - new
            case EndShape.TORISPHERICAL:
                wide = diameter_mm + 2 * by_mm
                dish = (self.dish * diameter_mm + by_mm) / wide
                knuckle = (self.knuckle * diameter_mm + by_mm) / wide
                return End(self.shape, 0.0, dish, knuckle), 0.0
        return End(self.shape, self.depth_mm + by_mm if self.depth_mm else 0.0), 0.0


FLAT_END = End()
HEMISPHERE = End(EndShape.HEMISPHERICAL)
FLANGED_AND_DISHED = End(EndShape.TORISPHERICAL, dish=1.0, knuckle=0.06)
"""ASME flanged and dished: dish radius 1 D, knuckle 0.06 D."""
DIN_28011 = End(EndShape.TORISPHERICAL, dish=1.0, knuckle=0.1)
"""DIN 28011: dish radius 1 D, knuckle 0.1 D."""
DIN_28013 = End(EndShape.TORISPHERICAL, dish=0.8, knuckle=0.154)
"""DIN 28013: dish radius 0.8 D, knuckle 0.154 D."""

STANDARD_ENDS: dict[str, End] = {
    "flat": FLAT_END,
    "asme_f_and_d": FLANGED_AND_DISHED,
    "din_28011": DIN_28011,
    "din_28013": DIN_28013,
    "hemisphere": HEMISPHERE,
}
"""Ends that a name says wholly."""


def _words(field: str) -> str:
    return field.removesuffix("_mm").replace("_", " ").capitalize()

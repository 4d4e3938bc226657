"""Round and elliptical bodies, upright or lying, with ends of any kind."""

import itertools
import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Self

import numpy as np

from engineering.tank.bodies import LONGEST_MM, Dimension, Place, check_lengths, check_place, check_room
from engineering.tank.cutting import Floats, Ints
from engineering.tank.ends import FLAT_END, End
from engineering.tank.errors import TankInputError
from engineering.tank.solid import Solid

_AROUND = 192  # corners of a round section
_ALONG_END = 64  # rings of a curved end


class Lie(StrEnum):
    """Along which axis of the car a round tank lies."""

    LENGTHWISE = "lengthwise"
    CROSSWISE = "crosswise"
    UPRIGHT = "upright"


@dataclass(frozen=True)
class Drum:
    """A round or elliptical tank with ends of any kind.

    Parameters
    ----------
    diameter_mm : float
        Across the section: the width where it lies, the length where it stands upright [mm].
    straight_mm : float
        Length of the straight part, without its ends [mm].
    lie : Lie
        Along which axis.
    first, second : End
        Rear and front, right and left, or bottom and top end.
    other_mm : float or None
        The other axis of an elliptical section: the height where it lies, the width where it stands
        upright; None for a round one [mm].
    at_mm : tuple of float
        Middle of the section where the straight part begins, at the first end [mm].

    Notes
    -----
    The ends of an elliptical tank are those of a round one, pressed with it. As a mesh the section has 192
    corners and the curved ends 64 rings, set so that the volume is exact; `DrumCavity` gives the exact shape
    at any tilt.

    Examples
    --------
    >>> Drum(350, 900).solid().full_l
    86.590148
    """

    diameter_mm: float
    straight_mm: float
    lie: Lie = Lie.LENGTHWISE
    first: End = FLAT_END
    second: End = FLAT_END
    other_mm: float | None = None
    at_mm: Place = (0.0, 0.0, 0.0)

    def check(self) -> None:
        """Refuse sizes and ends that cannot be meant."""
        check_lengths(diameter_mm=self.diameter_mm, other_mm=self.across_mm[1])
        if not math.isfinite(self.straight_mm) or not 0 <= self.straight_mm <= LONGEST_MM:
            raise TankInputError(
                "straight_mm",
                f"Straight part: must be 0 to {LONGEST_MM:g} mm, not {self.straight_mm:g} mm.",
            )
        self.first.check("first_end_mm", self.diameter_mm)
        self.second.check("second_end_mm", self.diameter_mm)
        check_place(self.at_mm)
        if self.straight_mm + self.first_depth_mm + self.second_depth_mm <= 0:
            raise TankInputError("straight_mm", "Straight part: must be more than 0 mm between flat ends.")

    @property
    def across_mm(self) -> tuple[float, float]:
        """Both axes of the section [mm]."""
        return self.diameter_mm, self.diameter_mm if self.other_mm is None else self.other_mm

    @property
    def first_depth_mm(self) -> float:
        """How far the first end stands out [mm]."""
        return self.first.depth_on(self.diameter_mm)

    @property
    def second_depth_mm(self) -> float:
        """How far the second end stands out [mm]."""
        return self.second.depth_on(self.diameter_mm)

    def seams_mm(self) -> Floats:
        """Where along the axis the curve changes, with both ends.

        Returns
        -------
        ndarray
            Rising, from the start of the straight part [mm].
        """
        wide, straight = self.diameter_mm, self.straight_mm
        places = {-self.first_depth_mm, 0.0, straight, straight + self.second_depth_mm}
        places |= {-seam for seam in self.first.seams_mm(wide)}
        places |= {straight + seam for seam in self.second.seams_mm(wide)}
        return np.array(sorted(places))

    def radius_at(self, along_mm: Floats) -> Floats:
        """Half the first axis of the section along the tank.

        Parameters
        ----------
        along_mm : ndarray
            From the start of the straight part [mm].

        Returns
        -------
        ndarray
            Radii [mm].
        """
        t = np.asarray(along_mm, dtype=np.float64)
        radii = np.full_like(t, self.diameter_mm / 2)
        behind, ahead = t < 0, t > self.straight_mm
        if behind.any():
            radii[behind] = self.first.radius_at(-t[behind], self.diameter_mm)
        if ahead.any():
            radii[ahead] = self.second.radius_at(t[ahead] - self.straight_mm, self.diameter_mm)
        return radii

    def axes(self) -> tuple[Floats, Floats, Floats]:
        """Unit vectors along the tank and along both axes of its section."""
        x, y, z = np.eye(3)
        match self.lie:
            case Lie.LENGTHWISE:
                return x, y, z
            case Lie.CROSSWISE:
                return y, x, z
        return z, x, y

    def solid(self) -> Solid:
        along, first, second = self.axes()
        rings = self._rings()
        radii = self.radius_at(rings)
        angles = np.linspace(0, 2 * math.pi, _AROUND, endpoint=False)
        ratio = self.across_mm[1] / self.across_mm[0]
        section = np.cos(angles)[:, None] * first + ratio * np.sin(angles)[:, None] * second
        points = (
            np.asarray(self.at_mm) + rings[:, None, None] * along + radii[:, None, None] * section[None, :, :]
        ).reshape(-1, 3)
        start, end = (np.asarray(self.at_mm) + rings[place] * along for place in (0, -1))
        triangles = _tube(len(rings), _AROUND)
        if float(np.cross(first, second) @ along) < 0:
            triangles = triangles[:, ::-1]
        rough = Solid(np.concatenate([points, [start, end]]), triangles)
        return self._to_volume(rough, along)

    def _to_volume(self, rough: Solid, along: Floats) -> Solid:
        """Widen the section by the hair that its corners cut off."""
        exact = self.volume_mm3() / 1e6
        centre = np.asarray(self.at_mm)
        offset = rough.points_mm - centre
        lengthwise = (offset @ along)[:, None] * along
        factor = math.sqrt(exact / rough.full_l)
        return Solid(centre + lengthwise + factor * (offset - lengthwise), rough.triangles)

    def volume_mm3(self) -> float:
        """Exact volume, by quadrature of the section over each smooth piece [mm^3]."""
        nodes, weights = np.polynomial.legendre.leggauss(96)
        # a sine in between, since the radius leaves a pole like a square root
        places, shares = np.sin(math.pi / 2 * nodes), math.pi / 2 * np.cos(math.pi / 2 * nodes) * weights
        seams = self.seams_mm()
        middle, half = (seams[1:] + seams[:-1]) / 2, (seams[1:] - seams[:-1]) / 2
        radii = self.radius_at(middle[:, None] + half[:, None] * places)
        round_mm3 = math.pi * float(np.sum(half[:, None] * shares * radii**2))
        return round_mm3 * self.across_mm[1] / self.across_mm[0]

    def _rings(self) -> Floats:
        seams = self.seams_mm()
        pieces = []
        for low, high in itertools.pairwise(seams):
            straight = low >= 0 and high <= self.straight_mm
            steps = 1 if straight else _ALONG_END
            share = (1 - np.cos(np.linspace(0, math.pi, steps + 1))) / 2
            pieces.append(low + (high - low) * share)
        return np.unique(np.concatenate(pieces))

    def grown(self, by_mm: float) -> Self:
        check_room(by_mm, min(self.across_mm))
        along = self.axes()[0]
        first, behind = self.first.grown(self.diameter_mm, by_mm)
        second, ahead = self.second.grown(self.diameter_mm, by_mm)
        if self.straight_mm + behind + ahead < 0:
            raise TankInputError(
                "thickness_mm",
                f"Sheet thickness: {-by_mm:g} mm leaves no inside in a straight part of {self.straight_mm:g} "
                "mm; it must be less than half of it.",
            )
        place = np.asarray(self.at_mm) - behind * along
        return replace(
            self,
            diameter_mm=self.diameter_mm + 2 * by_mm,
            other_mm=None if self.other_mm is None else self.other_mm + 2 * by_mm,
            straight_mm=self.straight_mm + behind + ahead,
            first=first,
            second=second,
            at_mm=(float(place[0]), float(place[1]), float(place[2])),
        )

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        sized = self._sized(dimension, factor)
        # its lowest corner stays where it is, whatever its middle and its ends do
        place = np.asarray(sized.at_mm) + self._low_mm() - sized._low_mm()
        return replace(sized, at_mm=(float(place[0]), float(place[1]), float(place[2])))

    def _low_mm(self) -> Floats:
        along, first, second = self.axes()
        wide, other = self.across_mm
        low: Floats = (
            np.asarray(self.at_mm) - self.first_depth_mm * along - wide / 2 * first - other / 2 * second
        )
        return low

    def _sized(self, dimension: Dimension, factor: float) -> Self:
        lengthwise = {
            Lie.LENGTHWISE: Dimension.LENGTH, Lie.CROSSWISE: Dimension.WIDTH, Lie.UPRIGHT: Dimension.HEIGHT
        }  # fmt: skip
        if dimension is lengthwise[self.lie]:
            return replace(self, straight_mm=self.straight_mm * factor)
        if self.other_mm is None:  # a round tank stays round
            return replace(self, diameter_mm=self.diameter_mm * factor)
        first = (self.lie is Lie.LENGTHWISE and dimension is Dimension.WIDTH) or (
            self.lie is not Lie.LENGTHWISE and dimension is Dimension.LENGTH
        )
        if first:
            return replace(self, diameter_mm=self.diameter_mm * factor)
        return replace(self, other_mm=self.other_mm * factor)

    def sheet_mm2(self) -> float:
        return self.solid().skin_mm2

    def weld_mm(self) -> float:
        """Round both ends, and one seam along the straight part."""
        return 2 * self.girth_mm() + self.straight_mm

    def girth_mm(self) -> float:
        """Way round the section [mm]."""
        a, b = (axis / 2 for axis in self.across_mm)
        angles = (np.arange(512) + 0.5) * (2 * math.pi / 512)
        return float(np.sum(np.hypot(a * np.sin(angles), b * np.cos(angles)))) * 2 * math.pi / 512


def _tube(rings: int, around: int) -> Ints:
    """Triangles of a tube of rings, closed at both ends by a point each."""
    here = np.arange(around)
    ahead = (here + 1) % around
    start, end = rings * around, rings * around + 1
    last = (rings - 1) * around
    strips = [
        triangle
        for ring in range(rings - 1)
        for triangle in (
            np.stack([ring * around + here, ring * around + ahead, (ring + 1) * around + ahead], axis=1),
            np.stack([ring * around + here, (ring + 1) * around + ahead, (ring + 1) * around + here], axis=1),
        )
    ]
    return np.concatenate(
        [
            *strips,
            np.stack([np.full(around, start), ahead, here], axis=1),
            np.stack([np.full(around, end), last + here, last + ahead], axis=1),
        ]
    )

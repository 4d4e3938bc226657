"""Bodies that a tank is put together from: each knows where it stands, and how it grows by the sheet."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Protocol, Self

import numpy as np

from engineering.tank.errors import TankInputError
from engineering.tank.profile import SideProfile
from engineering.tank.solid import Solid, solid_box, triangulated

LONGEST_MM = 5000.0

Place = tuple[float, float, float]


class Dimension(StrEnum):
    """Which way a body may be stretched."""

    LENGTH = "length_mm"
    WIDTH = "width_mm"
    HEIGHT = "height_mm"


class Body(Protocol):
    """What a tank is put together from."""

    def check(self) -> None:
        """Refuse sizes that cannot be meant, naming the field."""

    def solid(self) -> Solid:
        """The body as a closed mesh."""

    def grown(self, by_mm: float) -> Self:
        """Every face moved outwards, or inwards where negative [mm]."""

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        """Longer, wider or higher, from its own rear, right and lower end."""

    def sheet_mm2(self) -> float:
        """Area of all its faces [mm^2]."""

    def weld_mm(self) -> float:
        """Length of the seams that hold it together [mm]."""


@dataclass(frozen=True)
class Block:
    """A box along the axes.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Along x, y and z [mm].
    at_mm : tuple of float
        Its rear right lower corner [mm].

    Examples
    --------
    >>> Block(600, 400, 200).solid().full_l
    48.0
    """

    length_mm: float
    width_mm: float
    height_mm: float
    at_mm: Place = (0.0, 0.0, 0.0)

    def check(self) -> None:
        """Refuse sizes that cannot be meant."""
        check_lengths(length_mm=self.length_mm, width_mm=self.width_mm, height_mm=self.height_mm)
        check_place(self.at_mm)

    def solid(self) -> Solid:
        return solid_box(self.at_mm, (self.length_mm, self.width_mm, self.height_mm))

    def grown(self, by_mm: float) -> Self:
        x, y, z = self.at_mm
        long, wide, high = self.length_mm, self.width_mm, self.height_mm
        check_room(by_mm, min(long, wide, high))
        at_mm = (x - by_mm, y - by_mm, z - by_mm)
        return type(self)(long + 2 * by_mm, wide + 2 * by_mm, high + 2 * by_mm, at_mm)

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        return replace(self, **{dimension.value: getattr(self, dimension.value) * factor})

    def sheet_mm2(self) -> float:
        long, wide, high = self.length_mm, self.width_mm, self.height_mm
        return 2 * (long * wide + long * high + wide * high)

    def weld_mm(self) -> float:
        """All twelve edges; one that is folded needs no weld."""
        return 4 * (self.length_mm + self.width_mm + self.height_mm)


@dataclass(frozen=True)
class Pushed:
    """A side profile pushed across the car.

    Parameters
    ----------
    profile : SideProfile
        Seen from the right, the front to the right [mm].
    width_mm : float
        Across the car [mm].
    right_mm : float
        The y of its right side [mm].

    Examples
    --------
    >>> wedge = SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)])
    >>> Pushed(wedge, 800).solid().full_l
    65.28
    """

    profile: SideProfile
    width_mm: float
    right_mm: float = 0.0

    def check(self) -> None:
        """Refuse an outline or a width that cannot be meant."""
        self.profile.check()
        check_lengths(width_mm=self.width_mm)

    def solid(self) -> Solid:
        outline = self.profile.outline()
        count = len(outline)
        right = np.column_stack([outline[:, 0], np.full(count, self.right_mm), outline[:, 1]])
        left = right + np.array([0.0, self.width_mm, 0.0])
        face = triangulated(outline)
        here = np.arange(count)
        ahead = (here + 1) % count
        sides = np.concatenate(
            [
                np.stack([ahead, here, here + count], axis=1),
                np.stack([ahead, here + count, ahead + count], axis=1),
            ]
        )
        # seen from the right, x forwards runs to the right and an anticlockwise outline stays so
        triangles = np.concatenate([face, face[:, ::-1] + count, sides])
        return Solid(np.concatenate([right, left]), triangles)

    def grown(self, by_mm: float) -> Self:
        check_room(by_mm, self.width_mm)
        return type(self)(self.profile.grown(by_mm), self.width_mm + 2 * by_mm, self.right_mm - by_mm)

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        match dimension:
            case Dimension.WIDTH:
                return replace(self, width_mm=self.width_mm * factor)
            case Dimension.LENGTH:
                return replace(self, profile=self.profile.stretched(factor, 1.0))
        return replace(self, profile=self.profile.stretched(1.0, factor))

    def sheet_mm2(self) -> float:
        return 2 * self.profile.area_mm2 + self.profile.perimeter_mm * self.width_mm

    def weld_mm(self) -> float:
        """Round both sides, and across every corner without a bend, at least one to close the wrap."""
        return 2 * self.profile.perimeter_mm + max(self.profile.sharp_corners, 1) * self.width_mm


def check_lengths(**sizes_mm: float) -> None:
    """Refuse sizes that cannot be meant.

    Parameters
    ----------
    sizes_mm : float
        By the name of the input [mm].

    Raises
    ------
    TankInputError
        Of the first that is no number, not greater than 0, or beyond 5 m.
    """
    for field, size in sizes_mm.items():
        words = field.removesuffix("_mm").replace("_", " ").capitalize()
        if not math.isfinite(size):
            raise TankInputError(field, f"{words}: give a number.")
        if size <= 0:
            raise TankInputError(field, f"{words}: must be more than 0 mm, not {size:g} mm.")
        if size > LONGEST_MM:
            raise TankInputError(
                field,
                f"{words}: {size:g} mm is more than {LONGEST_MM:g} mm, the longest this sheet is meant for. "
                "Give millimetres, not another unit.",
            )


def check_place(at_mm: Place) -> None:
    """Refuse a place that cannot be meant.

    Parameters
    ----------
    at_mm : tuple of float
        x, y and z [mm].

    Raises
    ------
    TankInputError
        Of 'at_mm', if one is no number or beyond 5 m.
    """
    if not all(math.isfinite(value) and abs(value) <= LONGEST_MM for value in at_mm):
        raise TankInputError(
            "at_mm", f"Place: give x, y and z in millimetres, each within {LONGEST_MM:g} mm of the origin."
        )


def check_room(by_mm: float, smallest_mm: float) -> None:
    """Refuse sheet that leaves no inside.

    Parameters
    ----------
    by_mm : float
        How far faces move outwards, negative inwards [mm].
    smallest_mm : float
        The smallest dimension [mm].

    Raises
    ------
    TankInputError
        Of 'thickness_mm'.
    """
    if smallest_mm + 2 * by_mm <= 0:
        raise TankInputError(
            "thickness_mm",
            f"Sheet thickness: {-by_mm:g} mm leaves no inside in a dimension of {smallest_mm:g} mm; it "
            "must be less than half of it.",
        )

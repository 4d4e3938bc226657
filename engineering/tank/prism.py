"""Boxes, wedges, cylinders and tubes that are joined to a tank or cut from it, at any place and tilt."""

import math
from dataclasses import dataclass, replace
from typing import Self

import manifold3d  # type: ignore[import-not-found]  # carries no py.typed
import numpy as np

from engineering.tank.bodies import Dimension, Place, check_lengths, check_place, check_room
from engineering.tank.cutting import Floats
from engineering.tank.errors import TankInputError
from engineering.tank.part import Wall
from engineering.tank.profile import SideProfile
from engineering.tank.solid import Solid, from_manifold

_AROUND = 192
Direction = tuple[float, float, float]


@dataclass(frozen=True)
class Prism:
    """A convex outline pushed along a straight line.

    Parameters
    ----------
    outline : SideProfile or float
        Corners of a convex outline, anticlockwise, or the diameter of a circle about its origin [mm].
    length_mm : float
        How far it is pushed [mm].
    at_mm : tuple of float
        Where the origin of the outline stands at the start [mm].
    along, across : tuple of float
        Unit vectors: the way it is pushed, and the first axis of the outline, square to that [-].
    open_end : bool
        Whether its far end is an open mouth, as of a filler neck: it then stays where it is when the sheet
        is put round it.

    Examples
    --------
    >>> box(600, 400, 200).solid().full_l
    48.0
    """

    outline: SideProfile | float
    length_mm: float
    at_mm: Place
    along: Direction
    across: Direction
    open_end: bool = False

    def check(self) -> None:
        """Refuse sizes that cannot be meant."""
        check_place(self.at_mm)
        check_lengths(length_mm=self.length_mm)
        if isinstance(self.outline, SideProfile):
            self.outline.check()
        else:
            check_lengths(diameter_mm=self.outline)

    def solid(self) -> Solid:
        points = np.concatenate(self.ends())
        return from_manifold(manifold3d.Manifold.hull_points(points))

    def ends(self) -> tuple[Floats, Floats]:
        """Corners of the outline at the start and at the end.

        Returns
        -------
        tuple of two ndarrays, shape (n, 3)
            Points [mm].
        """
        along, across = np.asarray(self.along), np.asarray(self.across)
        flat = self._flat()
        start = (
            np.asarray(self.at_mm)
            + flat[:, :1] * across[None, :]
            + flat[:, 1:] * np.cross(along, across)[None, :]
        )
        return start, start + self.length_mm * along

    @property
    def outline_mm(self) -> float:
        """How wide it is at most across the way it is pushed [mm]."""
        if isinstance(self.outline, SideProfile):
            flat = self._flat()
            return float((flat.max(axis=0) - flat.min(axis=0)).max())
        return self.outline

    def flat_faces(self) -> list[tuple[Floats, Floats]]:
        """Its flat faces: both ends, and the sides of an outline with corners.

        Returns
        -------
        list of (ndarray, ndarray)
            Corners [mm], and the unit vector outwards [-].
        """
        start, end = self.ends()
        along = np.asarray(self.along)
        faces = [(start, -along), (end, along)]
        if isinstance(self.outline, SideProfile):
            middle = np.concatenate([start, end]).mean(axis=0)
            for here in range(len(start)):
                ahead = (here + 1) % len(start)
                corners = np.stack([start[here], start[ahead], end[ahead], end[here]])
                square = np.cross(corners[1] - corners[0], along)
                outwards = square / np.linalg.norm(square)
                if (corners[0] - middle) @ outwards < 0:
                    outwards = -outwards
                faces.append((corners, outwards))
        return faces

    def grown(self, by_mm: float) -> Self:
        if isinstance(self.outline, SideProfile):
            outline: SideProfile | float = self.outline.grown(by_mm)
        else:
            check_room(by_mm, self.outline)
            outline = self.outline + 2 * by_mm
        ends = 1 if self.open_end else 2
        check_room(by_mm, self.length_mm)
        place = np.asarray(self.at_mm) - by_mm * np.asarray(self.along)
        return replace(
            self,
            outline=outline,
            length_mm=self.length_mm + ends * by_mm,
            at_mm=(float(place[0]), float(place[1]), float(place[2])),
        )

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        """What is fitted to a tank keeps its size."""
        return self

    def sheet_mm2(self) -> float:
        return self.solid().skin_mm2

    def weld_mm(self) -> float:
        """Round both ends, and along every corner, or along the seam of a rolled one."""
        if isinstance(self.outline, SideProfile):
            return 2 * self.outline.perimeter_mm + len(self.outline.corners) * self.length_mm
        return 2 * math.pi * self.outline + self.length_mm

    def _flat(self) -> Floats:
        if isinstance(self.outline, SideProfile):
            return np.array([(corner.x_mm, corner.z_mm) for corner in self.outline.corners])
        turns = np.linspace(0, 2 * math.pi, _AROUND, endpoint=False)
        # so far out that the polygon has the area of the circle
        step = 2 * math.pi / _AROUND
        radius = self.outline / 2 * math.sqrt(step / math.sin(step))
        return radius * np.column_stack([np.cos(turns), np.sin(turns)])


def box(length_mm: float, width_mm: float, height_mm: float, at_mm: Place = (0.0, 0.0, 0.0)) -> Prism:
    """A box along the axes.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Along x, y and z [mm].
    at_mm : tuple of float
        Its rear right lower corner [mm].

    Returns
    -------
    Prism
    """
    check_lengths(length_mm=length_mm, width_mm=width_mm, height_mm=height_mm)
    outline = SideProfile.through([(0, 0), (width_mm, 0), (width_mm, height_mm), (0, height_mm)])
    return Prism(outline, length_mm, at_mm, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def wedge(
    length_mm: float, width_mm: float, height_mm: float, at_mm: Place, towards: Wall, flat_top: bool = False
) -> Prism:
    """A box halved by a slope from one edge of its roof to the far edge of its floor.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Of the box round it [mm].
    at_mm : tuple of float
        The rear right lower corner of that box [mm].
    towards : Wall
        Where it runs out to nothing: front, rear, left or right.
    flat_top : bool
        Whether its flat face lies on top and the slope below, instead of the other way round.

    Returns
    -------
    Prism

    Raises
    ------
    TankInputError
        If a size cannot be meant, or it is to run out upwards or downwards.

    Examples
    --------
    >>> wedge(600, 400, 200, (0, 0, 0), Wall.FRONT).solid().full_l
    24.0
    """
    check_lengths(length_mm=length_mm, width_mm=width_mm, height_mm=height_mm)
    if towards.axis == 2:
        raise TankInputError("towards", "Wedge: it runs out to the front, the rear, the left or the right.")
    runs_lengthwise = towards.axis == 0
    run, push = (length_mm, width_mm) if runs_lengthwise else (width_mm, length_mm)
    flat, other = (height_mm, 0.0) if flat_top else (0.0, height_mm)
    tall, thin = (0.0, run) if towards.faces_up_axis else (run, 0.0)
    triangle = _anticlockwise([(tall, flat), (thin, flat), (tall, other)])
    x, y, z = at_mm
    if runs_lengthwise:
        return Prism(triangle, push, (x, y + width_mm, z), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
    return Prism(triangle, push, at_mm, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def _anticlockwise(corners: list[tuple[float, ...]]) -> SideProfile:
    """A triangle the way round that stays the same when it grows, so that its faces keep their numbers."""
    (ax, az), (bx, bz), (cx, cz) = corners
    turn = (bx - ax) * (cz - az) - (cx - ax) * (bz - az)
    return SideProfile.through(corners if turn > 0 else corners[::-1])


def rod(diameter_mm: float, length_mm: float, along: int, at_mm: Place) -> Prism:
    """A cylinder along one of the axes.

    Parameters
    ----------
    diameter_mm, length_mm : float
        Its size [mm].
    along : int
        0, 1 or 2: along x, y or z.
    at_mm : tuple of float
        The rear right lower corner of the box round it [mm].

    Returns
    -------
    Prism

    Examples
    --------
    >>> round(rod(350, 900, 1, (0, 0, 0)).solid().full_l, 6)
    86.590148
    """
    check_lengths(diameter_mm=diameter_mm, length_mm=length_mm)
    middle = np.asarray(at_mm, dtype=np.float64) + diameter_mm / 2
    middle[along] = at_mm[along]
    axes = np.eye(3)
    return Prism(diameter_mm, length_mm, _three(middle), _three(axes[along]), _three(axes[(along + 1) % 3]))


def tube(
    diameter_mm: float, length_mm: float, foot_mm: Place, lean_deg: float, towards: Wall, inwards_mm: float
) -> Prism:
    """A filler neck, open at its far end.

    Parameters
    ----------
    diameter_mm, length_mm : float
        Its size; the length along its axis, from the foot [mm].
    foot_mm : tuple of float
        Where its axis leaves the tank [mm].
    lean_deg : float
        How far it leans from upright, 0 to 120 [°].
    towards : Wall
        Which way it leans: front, rear, left or right.
    inwards_mm : float
        How far it is carried on below its foot, so that it opens into the tank [mm].

    Returns
    -------
    Prism

    Raises
    ------
    TankInputError
        Of 'lean_deg' or a size.
    """
    check_lengths(diameter_mm=diameter_mm, length_mm=length_mm)
    if not math.isfinite(lean_deg) or not 0 <= lean_deg <= 120:
        raise TankInputError("lean_deg", f"It must lean 0 to 120° from upright, not {lean_deg:g}°.")
    lean = math.radians(lean_deg)
    side = np.zeros(3)
    side[towards.axis] = 1.0 if towards.faces_up_axis else -1.0
    up = np.array([0.0, 0.0, 1.0])
    along = math.cos(lean) * up + math.sin(lean) * side
    across = np.cross(up, side)
    start = np.asarray(foot_mm) - inwards_mm * along
    return Prism(
        diameter_mm, length_mm + inwards_mm, _three(start), _three(along), _three(across), open_end=True
    )


def _three(vector: Floats) -> Place:
    return float(vector[0]), float(vector[1]), float(vector[2])

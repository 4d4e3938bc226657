"""Side profiles: an outline of points with bend radii, seen from the right of the car."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.cutting import Floats
from engineering.tank.errors import TankInputError
from engineering.tank.outline import first_crossing

FIELD = "profile"
LONGEST_MM = 5000.0
MOST_POINTS = 1000
_ARC_STEP = math.radians(0.25)
_SAME_MM = 1e-6


@dataclass(frozen=True)
class Corner:
    """One corner of an outline.

    Parameters
    ----------
    x_mm, z_mm : float
        Where the two faces would meet if there were no bend: forwards, and up [mm].
    bend_mm : float
        Radius of the bend, 0 for a sharp or welded corner [mm].
    """

    x_mm: float
    z_mm: float
    bend_mm: float = 0.0


@dataclass(frozen=True)
class _Arc:
    """What a bend makes of its corner."""

    turn: float  # exterior angle, positive where the outline turns left [rad]
    along: Floats  # unit vector of the face before it
    tangent_mm: float
    start: Floats
    end: Floats


@dataclass(frozen=True)
class SideProfile:
    """A closed outline in the plane of x (forwards) and z (up).

    Parameters
    ----------
    corners : tuple of Corner
        In order around the outline, either way round; the last joins the first.

    Examples
    --------
    >>> wedge = SideProfile.through([(0, 0), (420, 0), (260, 240), (0, 240)])
    >>> wedge.area_mm2
    81600.0
    """

    corners: tuple[Corner, ...]

    @classmethod
    def through(cls, points: "list[tuple[float, ...]]") -> "SideProfile":
        """A profile from bare figures.

        Parameters
        ----------
        points : list of tuple
            (x, z) or (x, z, bend radius) [mm].

        Returns
        -------
        SideProfile
        """
        return cls(tuple(Corner(*point) for point in points))

    @property
    def area_mm2(self) -> float:
        """Area within the outline, its bends exact [mm^2]."""
        around = self._around()
        area = _area(around)
        for arc, corner in zip(self._arcs(around), around.corners, strict=True):
            area -= corner.bend_mm**2 * (math.tan(arc.turn / 2) - arc.turn / 2)
        return area

    @property
    def perimeter_mm(self) -> float:
        """Length of the outline, its bends exact [mm]."""
        around = self._around()
        length = sum(math.dist(_at(a), _at(b)) for a, b in _pairs(around.corners))
        for arc, corner in zip(self._arcs(around), around.corners, strict=True):
            length += corner.bend_mm * abs(arc.turn) - 2 * arc.tangent_mm
        return length

    @property
    def sharp_corners(self) -> int:
        """How many corners have no bend, and so are welded or folded to an edge."""
        return sum(corner.bend_mm == 0 for corner in self.corners)

    def outline(self) -> Floats:
        """The outline as points, its bends in steps of at most 0.25°.

        Returns
        -------
        ndarray, shape (n, 2)
            Anticlockwise, x and z [mm]. Bends keep their exact area: inner points of an arc stand a hair
            outside it.
        """
        around = self._around()
        arcs = self._arcs(around)
        return np.concatenate(
            [_arc_points(arc, corner) for arc, corner in zip(arcs, around.corners, strict=True)]
        )

    def check(self) -> None:
        """Refuse an outline that no sheet can follow.

        Raises
        ------
        TankInputError
            Of the field 'profile': too few or too many points, a point that is no number, two points in the
            same place, a bend that does not fit between its neighbours, or an outline that crosses itself.
        """
        if not 3 <= len(self.corners) <= MOST_POINTS:
            raise TankInputError(
                FIELD, f"Side profile: give 3 to {MOST_POINTS} points, not {len(self.corners)}."
            )
        for number, corner in enumerate(self.corners, start=1):
            _check_corner(number, corner)
        for (number, a), b in zip(enumerate(self.corners, start=1), _next(self.corners), strict=True):
            if math.dist(_at(a), _at(b)) < _SAME_MM:
                other = number % len(self.corners) + 1
                raise TankInputError(
                    FIELD,
                    f"Side profile: points {number} and {other} are in the same place; leave one out.",
                )
        crossing = first_crossing(np.array([_at(corner) for corner in self.corners]))
        if crossing is not None:
            one, other = crossing
            count = len(self.corners)
            raise TankInputError(
                FIELD,
                f"Side profile: it crosses itself. The face from point {one} to {one % count + 1} meets the "
                f"face from point {other} to {other % count + 1}; put the points in order around the tank.",
            )
        if abs(_area(self)) < 1.0:
            raise TankInputError(FIELD, "Side profile: these points enclose no area; check them.")
        self._check_bends()

    def grown(self, by_mm: float) -> "SideProfile":
        """Every face moved outwards, or inwards where negative, with mitred corners.

        Parameters
        ----------
        by_mm : float
            Distance [mm].

        Returns
        -------
        SideProfile
            A bend grows or shrinks with its face; one that would be less than nothing becomes sharp.

        Raises
        ------
        TankInputError
            Of 'thickness_mm', where a face would vanish.

        Examples
        --------
        >>> SideProfile.through([(0, 0), (100, 0), (100, 50), (0, 50)]).grown(-2).area_mm2
        4416.0
        """
        around = self._around()
        corners = around.corners
        moved = []
        for before, corner, after in zip(_previous(corners), corners, _next(corners), strict=True):
            first, second = _along(before, corner), _along(corner, after)
            turn = _turn(first, second)
            # where both moved faces meet
            normal = np.array([first[1], -first[0]]) + np.array([second[1], -second[0]])
            place = _at(corner) + by_mm * normal / (1 + float(first @ second))
            bend = corner.bend_mm and max(corner.bend_mm + math.copysign(by_mm, by_mm * turn), 0.0)
            moved.append(Corner(float(place[0]), float(place[1]), bend))
        grown = SideProfile(tuple(moved))
        for (number, (a, b)), (new_a, new_b) in zip(
            enumerate(_pairs(corners), start=1), _pairs(grown.corners), strict=True
        ):
            if (_at(new_b) - _at(new_a)) @ (_at(b) - _at(a)) <= 0:
                raise TankInputError(
                    "thickness_mm",
                    f"Sheet thickness: {abs(by_mm):g} mm leaves nothing of face {number} of the side profile "
                    f"({math.dist(_at(a), _at(b)):.1f} mm long); take thinner sheet or a longer face.",
                )
        return grown

    def stretched(self, x_factor: float, z_factor: float) -> "SideProfile":
        """Longer or higher; bends keep their radii.

        Parameters
        ----------
        x_factor, z_factor : float
            Greater than 0 [-].

        Returns
        -------
        SideProfile
        """
        return SideProfile(
            tuple(Corner(c.x_mm * x_factor, c.z_mm * z_factor, c.bend_mm) for c in self.corners)
        )

    def _around(self) -> "SideProfile":
        """The same outline, anticlockwise."""
        return self if _area(self) > 0 else SideProfile(self.corners[::-1])

    def _arcs(self, around: "SideProfile") -> list[_Arc]:
        corners = around.corners
        arcs = []
        for before, corner, after in zip(_previous(corners), corners, _next(corners), strict=True):
            first, second = _along(before, corner), _along(corner, after)
            turn = _turn(first, second)
            tangent = corner.bend_mm * math.tan(abs(turn) / 2) if corner.bend_mm else 0.0
            place = _at(corner)
            arcs.append(_Arc(turn, first, tangent, place - tangent * first, place + tangent * second))
        return arcs

    def _check_bends(self) -> None:
        around = self._around()
        arcs = self._arcs(around)
        tangents = {corner: arc.tangent_mm for corner, arc in zip(around.corners, arcs, strict=True)}
        for (number, a), b in zip(enumerate(self.corners, start=1), _next(self.corners), strict=True):
            length = math.dist(_at(a), _at(b))
            if tangents[a] + tangents[b] > length + _SAME_MM:
                other = number % len(self.corners) + 1
                raise TankInputError(
                    FIELD,
                    f"Side profile: the bends at points {number} and {other} need "
                    f"{tangents[a] + tangents[b]:.1f} mm of the {length:.1f} mm between them; make the radii "
                    "smaller or the face longer.",
                )


def _check_corner(number: int, corner: Corner) -> None:
    where = f"Side profile, point {number}"
    for words, value in (("x", corner.x_mm), ("z", corner.z_mm), ("bend radius", corner.bend_mm)):
        if not math.isfinite(value):
            raise TankInputError(FIELD, f"{where}: {words} is not a number; give millimetres.")
        if abs(value) > LONGEST_MM:
            raise TankInputError(
                FIELD,
                f"{where}: {words} of {value:g} mm is beyond {LONGEST_MM:g} mm. Give millimetres, not "
                "another unit.",
            )
    if corner.bend_mm < 0:
        raise TankInputError(
            FIELD, f"{where}: the bend radius must be 0 mm or more, not {corner.bend_mm:g} mm."
        )


def _arc_points(arc: _Arc, corner: Corner) -> Floats:
    if corner.bend_mm == 0 or abs(arc.turn) < 1e-9:
        return _at(corner)[None, :]
    steps = max(4, math.ceil(abs(arc.turn) / _ARC_STEP))
    step = abs(arc.turn) / steps
    # inner points so far out that the polygon has the area of the sector: (n-2) r'^2 + 2 r r' = r^2 phi/sin
    ratio = (-1 + math.sqrt(1 + (steps - 2) * abs(arc.turn) / math.sin(step))) / (steps - 2)
    inwards = np.array([-arc.along[1], arc.along[0]]) * math.copysign(corner.bend_mm, arc.turn)
    centre = arc.start + inwards
    spoke = arc.start - centre
    angles = np.linspace(0, arc.turn, steps + 1)[1:-1]
    turned = np.stack(
        [
            spoke[0] * np.cos(angles) - spoke[1] * np.sin(angles),
            spoke[0] * np.sin(angles) + spoke[1] * np.cos(angles),
        ],
        axis=1,
    )
    return np.concatenate([arc.start[None, :], centre + ratio * turned, arc.end[None, :]])


def _at(corner: Corner) -> Floats:
    return np.array([corner.x_mm, corner.z_mm])


def _next(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
    return corners[1:] + corners[:1]


def _previous(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
    return corners[-1:] + corners[:-1]


def _pairs(corners: tuple[Corner, ...]) -> "list[tuple[Corner, Corner]]":
    return list(itertools.pairwise((*corners, corners[0])))


def _along(a: Corner, b: Corner) -> Floats:
    way = _at(b) - _at(a)
    unit: Floats = way / float(np.linalg.norm(way))
    return unit


def _turn(first: Floats, second: Floats) -> float:
    return math.atan2(float(first[0] * second[1] - first[1] * second[0]), float(first @ second))


def _area(profile: SideProfile) -> float:
    return sum(a.x_mm * b.z_mm - b.x_mm * a.z_mm for a, b in _pairs(profile.corners)) / 2

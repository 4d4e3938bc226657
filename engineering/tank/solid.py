"""Closed solids of triangles: the inside or the outside of a tank, joined and cut from one another."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import manifold3d  # type: ignore[import-not-found]  # carries no py.typed
import numpy as np

from engineering.tank.cutting import (
    Floats,
    Ints,
    clipped_below,
    volume_and_centroid,
    volume_below,
    volumes_below,
)
from engineering.tank.errors import TankError
from engineering.tank.units import MM3_PER_L

_ONE_BY_ONE = 2  # so few levels are worked out singly, which is quicker then
_UPWARDS = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, eq=False)
class Solid:
    """A closed triangle mesh in the axes of the tank.

    Parameters
    ----------
    points_mm : ndarray, shape (n, 3)
        Corners [mm].
    triangles : ndarray, shape (m, 3)
        Numbers of the corners, anticlockwise seen from outside.

    Notes
    -----
    It offers what `Cavity` asks, so it can be sized and dipped level, and it can be cut by any plane.

    Examples
    --------
    >>> solid_box((0, 0, 0), (600, 400, 200)).full_l
    48.0
    """

    points_mm: Floats
    triangles: Ints

    @cached_property
    def full_l(self) -> float:
        """Volume of the whole [L]."""
        a, b, c = (self.points_mm[self.triangles[:, corner]] - self._origin for corner in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6 / MM3_PER_L

    @cached_property
    def skin_mm2(self) -> float:
        """Area of the whole surface [mm^2]."""
        a, b, c = (self.points_mm[self.triangles[:, corner]] for corner in range(3))
        return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2

    @cached_property
    def low_mm(self) -> Floats:
        """Least x, y and z [mm]."""
        low: Floats = self.points_mm.min(axis=0)
        return low

    @cached_property
    def high_mm(self) -> Floats:
        """Greatest x, y and z [mm]."""
        high: Floats = self.points_mm.max(axis=0)
        return high

    @property
    def depth_mm(self) -> float:
        """Depth from the lowest point to the highest, standing level [mm]."""
        return float(self.high_mm[2] - self.low_mm[2])

    @cached_property
    def _origin(self) -> Floats:
        middle: Floats = (self.low_mm + self.high_mm) / 2  # near the mesh, so that no digits are lost
        return middle

    @cached_property
    def _moved(self) -> Floats:
        return self.points_mm - self._origin

    @cached_property
    def _squares(self) -> Floats:
        a, b, c = (self.points_mm[self.triangles[:, corner]] for corner in range(3))
        return np.asarray(np.cross(b - a, c - a) / 2)

    def span_mm(self, up: Floats) -> tuple[float, float]:
        """Lowest and highest point along a direction.

        Parameters
        ----------
        up : ndarray, shape (3,)
            Unit vector [-].

        Returns
        -------
        tuple of float
            Heights along `up` [mm].
        """
        heights = self.points_mm @ up
        return float(heights.min()), float(heights.max())

    def litres_below(self, up: Floats, levels_mm: Floats) -> Floats:
        """Litres below each of many parallel planes.

        Parameters
        ----------
        up : ndarray, shape (3,)
            Unit vector square to the planes, to the dry side [-].
        levels_mm : ndarray, shape (k,)
            Heights of the planes along `up` [mm].

        Returns
        -------
        ndarray, shape (k,)
            Volumes [L].

        Examples
        --------
        >>> box = solid_box((0, 0, 0), (600, 400, 200))
        >>> box.litres_below(np.array([0.0, 0.0, 1.0]), np.array([50.0, 100.0]))
        array([12., 24.])
        """
        levels = np.asarray(levels_mm, dtype=np.float64)
        about = levels - self._origin @ up
        if len(about) <= _ONE_BY_ONE:
            each = (volume_below(self._moved, self.triangles, self._squares, up, level) for level in about)
            litres = np.fromiter(each, dtype=np.float64, count=len(about)) / MM3_PER_L
        else:
            litres = volumes_below(self._moved, self.triangles, up, about) / MM3_PER_L
        low, high = self.span_mm(up)
        # rounding leaves 1e-13 of the whole below an empty tank and above a full one
        return np.where(
            levels <= low, 0.0, np.where(levels >= high, self.full_l, litres.clip(0, self.full_l))
        )

    def litres_at(self, depth_mm: float) -> float:
        """Litres below a level surface, `depth_mm` above the lowest point [L]."""
        return float(self.litres_below(_UPWARDS, np.array([self.low_mm[2] + depth_mm]))[0])

    def centroid_below_mm(self, up: Floats, level_mm: float) -> Floats:
        """Where the liquid below a plane has its centre.

        Parameters
        ----------
        up : ndarray, shape (3,)
            Unit vector square to the plane [-].
        level_mm : float
            Height of the plane along `up` [mm].

        Returns
        -------
        ndarray, shape (3,)
            Centre of the liquid; the middle of the floor's height where there is none [mm].
        """
        low, high = self.span_mm(up)
        level = min(max(level_mm, low), high)
        lifted = np.nextafter(level, np.inf) if level == high else level
        on_plane = self._origin + (lifted - self._origin @ up) * up
        pieces = clipped_below(self.points_mm, self.triangles, up, lifted)
        return volume_and_centroid(pieces, on_plane)[1]

    def upright_mm(self, x_mm: float, y_mm: float) -> tuple[float, float] | None:
        """Floor and roof at a place.

        Parameters
        ----------
        x_mm, y_mm : float
            Forwards and to the left [mm].

        Returns
        -------
        tuple of float or None
            The lowest and the highest z there; None where there is none of the solid [mm].
        """
        # a hair aside, so that the line goes through no edge or corner
        here = np.array([x_mm + 3.1e-6, y_mm + 1.7e-6])
        a, b, c = (self.points_mm[self.triangles[:, corner]] for corner in range(3))

        def side(p: Floats, q: Floats) -> Floats:
            way, to = q - p, here - p[:, :2]
            return np.asarray(way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0])

        ab, bc, ca = side(a, b), side(b, c), side(c, a)
        hit = ((ab > 0) & (bc > 0) & (ca > 0)) | ((ab < 0) & (bc < 0) & (ca < 0))
        if hit.sum() < 2:
            return None
        weights = np.stack([bc[hit], ca[hit], ab[hit]])
        heights = np.stack([a[hit, 2], b[hit, 2], c[hit, 2]])
        crossings = (weights * heights).sum(axis=0) / weights.sum(axis=0)
        return float(crossings.min()), float(crossings.max())

    def moved(self, by_mm: tuple[float, float, float]) -> "Solid":
        """The same solid elsewhere.

        Parameters
        ----------
        by_mm : tuple of float
            Forwards, to the left, up [mm].

        Returns
        -------
        Solid
        """
        return Solid(self.points_mm + np.asarray(by_mm), self.triangles)

    def stretched(self, factors: tuple[float, float, float]) -> "Solid":
        """The same solid, made longer, wider or higher about the origin.

        Parameters
        ----------
        factors : tuple of float
            Along x, y and z, each greater than 0 [-].

        Returns
        -------
        Solid
        """
        return Solid(self.points_mm * np.asarray(factors), self.triangles)


def joined(solids: Iterable[Solid]) -> Solid:
    """One solid that fills what any of several fills.

    Parameters
    ----------
    solids : iterable of Solid
        At least one.

    Returns
    -------
    Solid

    Examples
    --------
    >>> pot = solid_box((100, 100, -60), (150, 150, 60))
    >>> joined([solid_box((0, 0, 0), (600, 400, 200)), pot]).full_l
    49.35
    """
    return from_manifold(
        manifold3d.Manifold.batch_boolean([to_manifold(solid) for solid in solids], manifold3d.OpType.Add)
    )


def cut(solid: Solid, away: Iterable[Solid]) -> Solid:
    """What is left of a solid when others are cut away.

    Parameters
    ----------
    solid : Solid
        What is cut.
    away : iterable of Solid
        What is cut away; none leaves it as it is.

    Returns
    -------
    Solid

    Raises
    ------
    TankError
        If nothing is left.

    Examples
    --------
    >>> notch = solid_box((500, -1, 100), (200, 402, 200))
    >>> cut(solid_box((0, 0, 0), (600, 400, 200)), [notch]).full_l
    44.0
    """
    tools = [to_manifold(other) for other in away]
    if not tools:
        return solid
    left = manifold3d.Manifold.batch_boolean([to_manifold(solid), *tools], manifold3d.OpType.Subtract)
    if left.is_empty():
        raise TankError("Nothing is left of the tank when the recesses are cut away; make them smaller.")
    return from_manifold(left)


def common(first: Solid, second: Solid) -> Solid:
    """What two solids both fill.

    Parameters
    ----------
    first, second : Solid
        In the same axes; they must meet.

    Returns
    -------
    Solid
    """
    return from_manifold(to_manifold(first) ^ to_manifold(second))


def shared(first: Solid, second: Solid) -> float:
    """How much two solids both fill.

    Parameters
    ----------
    first, second : Solid
        In the same axes.

    Returns
    -------
    float
        Volume [L].
    """
    return float((to_manifold(first) ^ to_manifold(second)).volume()) / MM3_PER_L


def pieces_of(solid: Solid) -> tuple[Solid, ...]:
    """The separate lumps that a solid consists of.

    Parameters
    ----------
    solid : Solid
        Any.

    Returns
    -------
    tuple of Solid
        One, if it hangs together.
    """
    return tuple(from_manifold(piece) for piece in to_manifold(solid).decompose())


def triangulated(outline: Floats) -> Ints:
    """An outline filled with triangles.

    Parameters
    ----------
    outline : ndarray, shape (n, 2)
        Points, anticlockwise [mm].

    Returns
    -------
    ndarray, shape (n - 2, 3)
        Numbers of the points, anticlockwise.
    """
    return np.asarray(manifold3d.triangulate([outline]), dtype=np.int64)


def to_manifold(solid: Solid) -> Any:
    """The solid for the library that joins and cuts.

    Parameters
    ----------
    solid : Solid
        Closed and wound outwards.

    Returns
    -------
    manifold3d.Manifold

    Raises
    ------
    TankError
        If the mesh is not closed.
    """
    made = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.array(solid.points_mm, dtype=np.float64, order="C"),
            tri_verts=np.ascontiguousarray(solid.triangles, dtype=np.uint64),
        )
    )
    if made.status() != manifold3d.Error.NoError:
        raise TankError("This shape is not closed, so nothing can be joined to it or cut from it.")
    return made


def from_manifold(made: Any) -> Solid:
    """A solid from the library that joins and cuts.

    Parameters
    ----------
    made : manifold3d.Manifold
        What it made.

    Returns
    -------
    Solid
    """
    mesh = made.to_mesh64()
    # copies: the library's own arrays cannot be handed back to it
    return Solid(
        np.array(mesh.vert_properties, dtype=np.float64)[:, :3].copy(),
        np.array(mesh.tri_verts, dtype=np.int64),
    )


def solid_box(corner_mm: tuple[float, float, float], sizes_mm: tuple[float, float, float]) -> Solid:
    """A box along the axes.

    Parameters
    ----------
    corner_mm : tuple of float
        The corner with least x, y and z [mm].
    sizes_mm : tuple of float
        Length, width and height [mm].

    Returns
    -------
    Solid
    """
    x, y, z = np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij")
    unit = np.stack([x, y, z], axis=-1).reshape(-1, 3).astype(np.float64)
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = [corner for a, b, c, d in faces for corner in ((a, b, c), (a, c, d))]
    return Solid(np.asarray(corner_mm) + unit * np.asarray(sizes_mm), np.array(triangles, dtype=np.int64))


def stl_of(solid: Solid) -> bytes:
    """The solid as a binary STL file, in millimetres.

    Parameters
    ----------
    solid : Solid
        Any.

    Returns
    -------
    bytes
        The whole file: 84 bytes, and 50 for each triangle. Its figures are of single precision.

    Examples
    --------
    >>> len(stl_of(solid_box((0, 0, 0), (600, 400, 200))))
    684
    """
    corners = solid.points_mm[solid.triangles].astype("<f4")
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(square, axis=1, keepdims=True)
    rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    rows["normal"] = square / np.where(lengths > 0, lengths, 1)
    rows["corners"] = corners
    return b"\0" * 80 + len(rows).to_bytes(4, "little") + bytes(rows.tobytes())

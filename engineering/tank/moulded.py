"""A body from a file: its inside as drawn, and the sheet put round it."""

import math
from dataclasses import dataclass
from typing import Self

import numpy as np

from engineering.tank.bodies import Dimension
from engineering.tank.cutting import Floats
from engineering.tank.solid import Solid, to_manifold

SHARP_DEG = 20.0
"""Faces that meet at more than this make an edge that is welded or folded."""

_SOFT = 1e-9


@dataclass(frozen=True, eq=False)
class Moulded:
    """A body of any shape.

    Parameters
    ----------
    shape : Solid
        Closed and facing outwards [mm].

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> Moulded(solid_box((0, 0, 0), (600, 400, 200))).grown(2).solid().full_l
    49.779264
    """

    shape: Solid

    def check(self) -> None:
        """Nothing to refuse: the file was looked over when it was read."""

    def solid(self) -> Solid:
        return self.shape

    def grown(self, by_mm: float) -> Self:
        """Every face moved outwards, corners mitred.

        Each corner moves to where the moved planes of its faces meet, or nearest to all of them where more
        than three meet. Exact for flat faces; on fine curved meshes within the facets.
        """
        if by_mm == 0:
            return self
        points, triangles = self.shape.points_mm, self.shape.triangles
        a, b, c = (points[triangles[:, corner]] for corner in range(3))
        square = np.cross(b - a, c - a)
        sizes = np.linalg.norm(square, axis=1)
        normals = square / np.where(sizes > 0, sizes, 1)[:, None]
        weights = sizes / sizes.mean()  # facets of a flat face count as one, slivers hardly at all
        outer = weights[:, None, None] * normals[:, :, None] * normals[:, None, :]
        pull = weights[:, None] * normals
        matrix = np.zeros((len(points), 3, 3))
        wanted = np.zeros((len(points), 3))
        for corner in range(3):
            np.add.at(matrix, triangles[:, corner], outer)
            np.add.at(wanted, triangles[:, corner], pull)
        # along a flat face nothing says where to: a hair of stiffness leaves the corner where it is
        stiff = _SOFT * np.trace(matrix, axis1=1, axis2=2)[:, None, None] * np.eye(3) + 1e-30 * np.eye(3)
        moves = np.linalg.solve(matrix + stiff, (by_mm * wanted)[:, :, None])[:, :, 0]
        return type(self)(Solid(points + moves, triangles))

    def stretched(self, dimension: Dimension, factor: float) -> Self:
        factors = {one: factor if one is dimension else 1.0 for one in Dimension}
        along = (factors[Dimension.LENGTH], factors[Dimension.WIDTH], factors[Dimension.HEIGHT])
        return type(self)(self.shape.stretched(along))

    def sheet_mm2(self) -> float:
        return self.shape.skin_mm2

    def weld_mm(self) -> float:
        """Length of all edges at which faces meet at more than 20°."""
        return sharp_edges_mm(self.shape)


def sharp_edges_mm(solid: Solid) -> float:
    """Length of all edges of a solid at which faces meet at more than 20°.

    Parameters
    ----------
    solid : Solid
        Closed.

    Returns
    -------
    float
        Length [mm].
    """
    points, triangles = solid.points_mm, solid.triangles
    a, b, c = (points[triangles[:, corner]] for corner in range(3))
    square = np.cross(b - a, c - a)
    normals = square / np.maximum(np.linalg.norm(square, axis=1), 1e-300)[:, None]
    edges = np.sort(
        np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1
    )
    order = np.lexsort(edges.T)
    first, second = order[0::2], order[1::2]  # a closed mesh has every edge twice
    count = len(triangles)
    turned = np.einsum("ij,ij->i", normals[first % count], normals[second % count])
    sharp = edges[first[turned < math.cos(math.radians(SHARP_DEG))]]
    return float(np.linalg.norm(points[sharp[:, 0]] - points[sharp[:, 1]], axis=1).sum())


def silhouette(
    solid: Solid, across: int, upwards: int, below_z_mm: float | None = None, within_mm: float = 0.0
) -> list[Floats]:
    """The outline of a solid as it is seen along the third axis.

    Parameters
    ----------
    solid : Solid
        Any.
    across, upwards : int
        Which axes lie across and upwards in the view: 0 for x, 1 for y, 2 for z.
    below_z_mm : float or None
        Only what lies below that height; all where None [mm].
    within_mm : float
        Points may be left out that lie no farther from the line through their neighbours [mm].

    Returns
    -------
    list of ndarray
        Closed outlines, holes among them; none where nothing is left.
    """
    made = to_manifold(solid)
    if below_z_mm is not None:
        made = made.trim_by_plane((0.0, 0.0, -1.0), -below_z_mm)
        if made.is_empty():
            return []
    turn = np.zeros((3, 4))
    turn[0, across] = turn[1, upwards] = 1.0
    depth = 3 - across - upwards
    turn[2, depth] = 1.0
    if np.linalg.det(turn[:, :3]) < 0:
        turn[2, depth] = -1.0
    shadow = made.transform(turn).project()
    if within_mm > 0:
        shadow = shadow.simplify(within_mm)
    return [np.array(polygon) for polygon in shadow.to_polygons()]

"""Holes in a mesh, closed flat where they are flat."""

import numpy as np

from engineering.tank.cutting import Floats, Ints
from engineering.tank.errors import TankInputError
from engineering.tank.solid import triangulated

FLAT_WITHIN = 0.02
"""How far the rim of a hole may leave its plane, as a share of its width."""


def close_holes(points: Floats, triangles: Ints) -> tuple[Ints, int, float, Floats]:
    """Close every hole with triangles between the points of its rim.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
        Corners [mm].
    triangles : ndarray, shape (m, 3)
        Numbers of the corners, wound alike.

    Returns
    -------
    tuple
        All triangles; the number of holes; how wide the largest is [mm]; and where its middle is [mm].

    Raises
    ------
    TankInputError
        Of 'file', if a rim does not close, touches itself, or is far from flat.
    """
    lids, widest, at = [], 0.0, points[triangles[0, 0]]
    for rim in _rims(points, triangles):
        around = points[rim]
        width = float(np.linalg.norm(around.max(axis=0) - around.min(axis=0)))
        lids.append(_lid(around, rim, width))
        if width > widest:
            widest, at = width, around.mean(axis=0)
    return np.concatenate([triangles, *lids]), len(lids), widest, at


def _rims(points: Floats, triangles: Ints) -> list[Ints]:
    """Rims of holes, each running so that its lid faces as its neighbours do."""
    directed = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    _, number, counts = np.unique(np.sort(directed, axis=1), axis=0, return_inverse=True, return_counts=True)
    open_edges = directed[counts[number.reshape(-1)] == 1]
    follows: dict[int, int] = {}
    for a, b in open_edges:
        if int(b) in follows:
            _refuse(points[b], "its rim touches itself")
        follows[int(b)] = int(a)
    rims = []
    while follows:
        start, here = follows.popitem()
        rim = [start]
        while here != start:
            rim.append(here)
            if here not in follows:
                _refuse(points[here], "its rim does not close")
            here = follows.pop(here)
        rims.append(np.array(rim, dtype=np.int64))
    return rims


def _lid(around: Floats, rim: Ints, width: float) -> Ints:
    """Triangles across a rim, in the plane that fits it best."""
    from_middle = around - around.mean(axis=0)
    # twice the area of the rim as a vector: square to the plane, and facing as the lid must
    facing = np.cross(from_middle, np.roll(from_middle, -1, axis=0)).sum(axis=0)
    size = float(np.linalg.norm(facing))
    if size <= 1e-12 * width**2:
        _refuse(around[0], "it is a slit without area")
    normal = facing / size
    if float(np.abs(from_middle @ normal).max()) > FLAT_WITHIN * width:
        _refuse(around.mean(axis=0), f"{width:.1f} mm across and far from flat, so nobody knows its shape")
    aside = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    aside /= np.linalg.norm(aside)
    flat = np.stack([from_middle @ aside, from_middle @ np.cross(normal, aside)], axis=1)
    return np.asarray(rim[triangulated(flat)])


def _refuse(place: Floats, words: str) -> None:
    near = "x {:.4g}, y {:.4g}, z {:.4g} mm".format(*(float(value) + 0.0 for value in place))
    raise TankInputError(
        "file",
        f"File: not watertight. There is a hole near {near}: {words}. Close the body in the drawing program "
        "and export again.",
    )

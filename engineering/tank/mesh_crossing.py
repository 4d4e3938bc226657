"""Where a mesh crosses itself: triangles that go through one another."""

import numpy as np
from numpy.typing import NDArray

from engineering.tank.cutting import Floats, Ints

MOST_LOOKED_AT = 200_000
_MOST_PAIRS = 2_000_000
_MOST_IN_CELLS = 12_000_000
_EDGE = 1e-7  # of a triangle: neighbours touch at their rims and must not count


def crossings(points: Floats, triangles: Ints) -> Floats:
    """Places at which an edge of one triangle goes through another.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
        Corners [mm].
    triangles : ndarray, shape (m, 3)
        Numbers of the corners.

    Returns
    -------
    ndarray, shape (k, 3)
        One place for each such edge and triangle; empty where the mesh does not cross itself [mm].

    Notes
    -----
    Pairs are looked for in the cells of an even grid. Triangles that lie upon each other in one plane are
    not found here.
    """
    first, second = _neighbouring(points, triangles)
    found = [np.zeros((0, 3))]
    for begin in range(0, len(first), _MOST_PAIRS):
        part = slice(begin, begin + _MOST_PAIRS)
        one, other = triangles[first[part]], triangles[second[part]]
        shared = (one[:, :, None] == other[:, None, :]).sum(axis=(1, 2))
        # neighbours at an edge do not go through one another
        one, other, shared = one[shared < 2], other[shared < 2], shared[shared < 2]
        # apart from each other even a rim may be gone through, as where both halves mirror one another
        rim = np.where(shared == 0, -_EDGE, _EDGE)
        a, b = points[one], points[other]
        for edges_of, face in ((a, b), (b, a)):
            for corner in range(3):
                found.append(_through(edges_of[:, corner], edges_of[:, (corner + 1) % 3], face, rim))
    return np.concatenate(found)


def _through(start: Floats, end: Floats, face: Floats, rim: Floats) -> Floats:
    """Where edges go through triangles, `rim` within their rims, by Cramer's rule."""
    way = end - start
    one, other = face[:, 1] - face[:, 0], face[:, 2] - face[:, 0]
    across = np.cross(way, other)
    determinant = np.einsum("ij,ij->i", one, across)
    size = np.linalg.norm(way, axis=1) * np.linalg.norm(one, axis=1) * np.linalg.norm(other, axis=1)
    slanting = np.abs(determinant) > 1e-9 * size
    with np.errstate(divide="ignore", invalid="ignore"):
        to = start - face[:, 0]
        u = np.einsum("ij,ij->i", to, across) / determinant
        turned = np.cross(to, one)
        v = np.einsum("ij,ij->i", way, turned) / determinant
        t = np.einsum("ij,ij->i", other, turned) / determinant
        inside = (u > rim) & (v > rim) & (u + v < 1 - rim) & (t > _EDGE) & (t < 1 - _EDGE)
    hit = slanting & inside
    return np.asarray(start[hit] + t[hit, None] * way[hit])


def _neighbouring(points: Floats, triangles: Ints) -> tuple[Ints, Ints]:
    """Pairs of triangles whose boxes meet."""
    corners = points[triangles]
    low, high = corners.min(axis=1), corners.max(axis=1)
    origin = low.min(axis=0)
    span = float((high.max(axis=0) - origin).max())
    cells = max(1, min(int(np.sqrt(len(triangles) / 6)), 128))
    while True:
        size = span / cells * (1 + 1e-9) or 1.0
        from_cell, to_cell = (np.floor((bound - origin) / size).astype(np.int64) for bound in (low, high))
        counts = np.prod(to_cell - from_cell + 1, axis=1)
        if counts.sum() <= _MOST_IN_CELLS or cells == 1:
            break
        cells //= 2
    owner = np.repeat(np.arange(len(triangles)), counts)
    nth = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    wide = (to_cell - from_cell + 1)[owner]
    cell = from_cell[owner] + np.stack(
        [nth // (wide[:, 1] * wide[:, 2]), nth // wide[:, 2] % wide[:, 1], nth % wide[:, 2]], axis=1
    )
    key = (cell[:, 0] * (cells + 1) + cell[:, 1]) * (cells + 1) + cell[:, 2]
    order = np.argsort(key, kind="stable")
    return _pairs_within(key[order], owner[order], low, high)


def _pairs_within(key: Ints, owner: Ints, low: Floats, high: Floats) -> tuple[Ints, Ints]:
    """Pairs of the same cell, each once, whose boxes meet."""
    _, counts = np.unique(key, return_counts=True)
    first, second = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
    ends = np.cumsum(counts)
    left = np.repeat(ends, counts) - np.arange(len(key)) - 1  # how many follow in the same cell
    for shift in range(1, int(counts.max(initial=1))):
        here = np.flatnonzero(left >= shift)
        a, b = owner[here], owner[here + shift]
        meet = _boxes_meet(a, b, low, high)
        first.append(np.minimum(a[meet], b[meet]))
        second.append(np.maximum(a[meet], b[meet]))
    pairs = np.unique(np.concatenate(first) * len(low) + np.concatenate(second))
    return pairs // len(low), pairs % len(low)


def _boxes_meet(a: Ints, b: Ints, low: Floats, high: Floats) -> NDArray[np.bool_]:
    return np.asarray(np.all((low[a] <= high[b]) & (low[b] <= high[a]), axis=1))

"""A closed triangle mesh cut by a plane: the volume on the lower side, exact to rounding.

By the divergence theorem, with the field (0, 0, z - h) that vanishes on the cut itself, the volume below
the height h is the sum over all triangles of minus the triangle's area seen from above, with sign, times
the mean of (h - z) over its part below h. Seen along the plane's normal, every triangle so stands for a
prism down to the plane, and clipping that prism is one cubic in h between the heights of its corners:

    mean of (h - z)+ = (h - z0)^3 / (3 (z1 - z0) (z2 - z0))                for z0 <= h < z1
                     = h - zm + (z2 - h)^3 / (3 (z2 - z0) (z2 - z1))       for z1 <= h < z2
                     = h - zm                                              for z2 <= h

with z0 <= z1 <= z2 the heights of its corners and zm their mean. No slices are taken.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FEW_LEVELS = 12  # a cubic that holds for no more levels than this is worked out level by level
_MOST_PAIRS = 4_000_000  # of triangles and levels held in memory at once


def volumes_below(points: Floats, triangles: Ints, up: Floats, levels: Floats) -> Floats:
    """Volume of a closed mesh below each of many parallel planes.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
        Corners [mm].
    triangles : ndarray, shape (m, 3)
        Numbers of the corners, anticlockwise seen from outside.
    up : ndarray, shape (3,)
        Unit vector square to the planes, pointing to the dry side.
    levels : ndarray, shape (k,)
        Heights of the planes along `up` [mm], in any order.

    Returns
    -------
    ndarray, shape (k,)
        Volumes [mm^3].

    Notes
    -----
    Time grows with m + k and not with their product: pieces that hold over many levels are summed as
    polynomials.
    """
    levels = np.asarray(levels, dtype=np.float64)
    order = np.argsort(levels, kind="stable")
    volumes = np.empty(len(levels))
    volumes[order] = _below_rising(points, triangles, up, levels[order])
    return volumes


def volume_below(points: Floats, triangles: Ints, squares: Floats, up: Floats, level: float) -> float:
    """Volume of a closed mesh below one plane: as `volumes_below`, several times quicker for a single level.

    Parameters
    ----------
    points, triangles, up : ndarray
        As `volumes_below`.
    squares : ndarray, shape (m, 3)
        Area of each triangle along its outward normal [mm^2].
    level : float
        Height of the plane along `up` [mm].

    Returns
    -------
    float
        Volume [mm^3].
    """
    height = points @ up - level
    a, b, c = (height[triangles[:, corner]] for corner in range(3))
    low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    shadow = squares @ up
    wet = high <= 0
    volume = float(shadow[wet] @ (a[wet] + b[wet] + c[wet])) / 3
    cut = (low < 0) & (high > 0) & (shadow != 0)
    z0, z2, area = low[cut], high[cut], shadow[cut]
    z1 = a[cut] + b[cut] + c[cut] - z0 - z2
    below = z1 >= 0
    lower = -area * z0**2 * -z0 / np.where(below, 3 * (z1 - z0) * (z2 - z0), 1.0)
    upper = area * ((z0 + z1 + z2) / 3 - z2**3 / np.where(below, 1.0, 3 * (z2 - z0) * (z2 - z1)))
    return volume + float(np.where(below, lower, upper).sum())


def _below_rising(points: Floats, triangles: Ints, up: Floats, levels: Floats) -> Floats:
    corners = points[triangles]
    seen_from_above = 0.5 * (np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ up)
    heights = np.sort((points @ up)[triangles], axis=1)
    standing = seen_from_above == 0  # upright triangles cast no shadow
    area, heights = seen_from_above[~standing], heights[~standing]
    z0, z1, z2 = heights[:, 0], heights[:, 1], heights[:, 2]
    first, second, third = (np.searchsorted(levels, z, side="left") for z in (z0, z1, z2))
    count = len(levels)
    volumes = np.zeros(count)
    # from the middle corner upwards: h - zm
    slope = np.cumsum(np.bincount(second, area, count + 1))[:count]
    offset = np.cumsum(np.bincount(second, area * heights.mean(axis=1), count + 1))[:count]
    volumes -= slope * levels - offset
    with np.errstate(divide="ignore", invalid="ignore"):  # pieces without any level divide by nothing
        lower = -area / (3 * (z1 - z0) * (z2 - z0))
        upper = area / (3 * (z2 - z0) * (z2 - z1))
    _add_cubics(volumes, levels, first, second, lower, z0, z1 - z0)
    _add_cubics(volumes, levels, second, third, upper, z2, z2 - z1)
    return volumes


def _add_cubics(
    volumes: Floats, levels: Floats, start: Ints, stop: Ints, factor: Floats, origin: Floats, length: Floats
) -> None:
    """Add factor · (level − origin)³ to the levels from `start` up to, not including, `stop`."""
    number = stop - start
    span = float(levels[-1] - levels[0]) if len(levels) else 0.0
    # a polynomial about the middle of all levels loses digits where the piece is short against their span
    as_polynomial = (number > _FEW_LEVELS) & (length > span / 64)
    singly = (number > 0) & ~as_polynomial
    _add_polynomials(
        volumes, levels, start[as_polynomial], stop[as_polynomial], factor[as_polynomial],
        origin[as_polynomial],
    )  # fmt: skip
    start, number, factor, origin = start[singly], number[singly], factor[singly], origin[singly]
    ends = np.cumsum(number)
    begin = 0
    while begin < len(number):
        done = int(ends[begin - 1]) if begin else 0
        end = max(int(np.searchsorted(ends, done + _MOST_PAIRS, side="right")), begin + 1)
        part = slice(begin, end)
        piece = np.repeat(np.arange(begin, end), number[part])
        within = np.arange(len(piece)) - np.repeat(ends[part] - number[part] - done, number[part])
        level = start[piece] + within
        terms = factor[piece] * (levels[level] - origin[piece]) ** 3
        volumes += np.bincount(level, terms, len(levels))
        begin = end


def _add_polynomials(
    volumes: Floats, levels: Floats, start: Ints, stop: Ints, factor: Floats, origin: Floats
) -> None:
    if not len(start):
        return
    middle, span = (levels[0] + levels[-1]) / 2, levels[-1] - levels[0]
    about = (levels - middle) / span
    o = (origin - middle) / span
    k = factor * span**3
    count = len(levels) + 1
    for power, coefficient in enumerate((-k * o**3, 3 * k * o**2, -3 * k * o, k)):
        change = np.bincount(start, coefficient, count) - np.bincount(stop, coefficient, count)
        volumes += np.cumsum(change)[:-1] * about**power


def clipped_below(points: Floats, triangles: Ints, up: Floats, level: float) -> Floats:
    """The surface below a plane: whole triangles, and the cut ones clipped.

    Parameters
    ----------
    points, triangles, up : ndarray
        As `volumes_below`.
    level : float
        Height of the plane along `up` [mm].

    Returns
    -------
    ndarray, shape (j, 3, 3)
        Corners of the triangles that are left; the cut itself is not closed.
    """
    height = (points @ up - level)[triangles]
    below = height < 0
    number = below.sum(axis=1)
    whole = points[triangles[number == 3]]
    return np.concatenate(
        [whole, _one_below(points, triangles, height, below, number),
         _two_below(points, triangles, height, below, number)]
    )  # fmt: skip


def volume_and_centroid(pieces: Floats, on_plane: Floats) -> tuple[float, Floats]:
    """Volume and centroid of what `clipped_below` left, closed by the plane.

    Parameters
    ----------
    pieces : ndarray, shape (j, 3, 3)
        Triangles below the plane [mm].
    on_plane : ndarray, shape (3,)
        Any point of the plane [mm]: tetrahedra from there to the cut itself are flat, so that the cut needs
        no closing.

    Returns
    -------
    tuple of float and ndarray
        Volume [mm^3] and centroid [mm].
    """
    a, b, c = (pieces[:, corner] - on_plane for corner in range(3))
    six_volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
    volume = float(six_volumes.sum()) / 6
    if volume <= 0:
        return 0.0, on_plane
    centroid = (six_volumes[:, None] * (a + b + c)).sum(axis=0) / (24 * volume)
    return volume, on_plane + centroid


def _turned(triangles: Ints, height: Floats, first: Ints) -> tuple[Ints, Floats]:
    """Corners in the same turning sense, beginning with the one numbered `first`."""
    places = (first[:, None] + np.arange(3)) % 3
    rows = np.arange(len(triangles))[:, None]
    return triangles[rows, places], height[rows, places]


def _between(points: Floats, a: Ints, b: Ints, height_a: Floats, height_b: Floats) -> Floats:
    share = (height_a / (height_a - height_b))[:, None]
    cut: Floats = points[a] + share * (points[b] - points[a])
    return cut


def _one_below(points: Floats, triangles: Ints, height: Floats, below: NDArray[np.bool_], n: Ints) -> Floats:
    chosen = n == 1
    t, h = _turned(triangles[chosen], height[chosen], np.argmax(below[chosen], axis=1))
    ab = _between(points, t[:, 0], t[:, 1], h[:, 0], h[:, 1])
    ac = _between(points, t[:, 0], t[:, 2], h[:, 0], h[:, 2])
    return np.stack([points[t[:, 0]], ab, ac], axis=1)


def _two_below(points: Floats, triangles: Ints, height: Floats, below: NDArray[np.bool_], n: Ints) -> Floats:
    chosen = n == 2
    t, h = _turned(triangles[chosen], height[chosen], np.argmin(below[chosen], axis=1))
    ab = _between(points, t[:, 0], t[:, 1], h[:, 0], h[:, 1])
    ac = _between(points, t[:, 0], t[:, 2], h[:, 0], h[:, 2])
    b, c = points[t[:, 1]], points[t[:, 2]]
    return np.concatenate([np.stack([ab, b, c], axis=1), np.stack([ab, c, ac], axis=1)])

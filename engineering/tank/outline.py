"""Whether a closed outline of straight faces crosses itself."""

import numpy as np

from engineering.tank.cutting import Floats


def first_crossing(outline: Floats) -> tuple[int, int] | None:
    """The first two faces that meet where they should not.

    Parameters
    ----------
    outline : ndarray, shape (n, 2)
        Points in order; the last joins the first.

    Returns
    -------
    tuple of int or None
        Numbers of both faces, from 1, each by the point that it starts from; None where all is well.

    Notes
    -----
    Every face is compared with every other, all at once: meant for up to a thousand points.

    Examples
    --------
    >>> first_crossing(np.array([[0.0, 0.0], [100.0, 100.0], [100.0, 0.0], [0.0, 100.0]]))
    (1, 3)
    """
    ahead = np.roll(outline, -1, axis=0)
    first, second = (index for index in np.triu_indices(len(outline), k=1))
    p, q, r, s = outline[first], ahead[first], outline[second], ahead[second]

    def side(u: Floats, v: Floats, w: Floats) -> Floats:
        turned: Floats = (v[:, 0] - u[:, 0]) * (w[:, 1] - u[:, 1]) - (v[:, 1] - u[:, 1]) * (w[:, 0] - u[:, 0])
        return turned

    d1, d2, d3, d4 = side(p, q, r), side(p, q, s), side(r, s, p), side(r, s, q)
    neighbours = (second == first + 1) | ((first == 0) & (second == len(outline) - 1))
    boxes_meet = np.all(
        (np.minimum(p, q) <= np.maximum(r, s)) & (np.minimum(r, s) <= np.maximum(p, q)), axis=1
    )
    apart = ~neighbours & (d1 * d2 <= 0) & (d3 * d4 <= 0) & boxes_meet
    # neighbours share a point and can only fold back upon each other
    onwards = np.where((second == first + 1)[:, None], s - r, q - p)
    here = np.where((second == first + 1)[:, None], q - p, s - r)
    folded = (
        neighbours & (np.einsum("ij,ij->i", here, onwards) < 0) & (np.where(second == first + 1, d2, d4) == 0)
    )
    crossing = np.flatnonzero(apart | folded)
    if not len(crossing):
        return None
    return int(first[crossing[0]]) + 1, int(second[crossing[0]]) + 1

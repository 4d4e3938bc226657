"""A solid as a short text and back, so that it can be kept with the figures of a sheet."""

import base64
import binascii
import zlib

import numpy as np

from engineering.tank.errors import TankError, TankInputError
from engineering.tank.solid import Solid, from_manifold, to_manifold

FIELD = "file"
MOST_KEPT = 30_000
_TOLERANCES_MM = (0.02, 0.05, 0.1, 0.2, 0.5)
_MOST_BYTES = 4 * (1 + 1 + 3 * 60_000 + 3 * 100_000)


def to_be_kept(solid: Solid) -> tuple[Solid, float]:
    """A solid thin enough to keep.

    Parameters
    ----------
    solid : Solid
        Any.

    Returns
    -------
    tuple of Solid and float
        With at most 30,000 triangles, and how far its surface may have moved for that, 0 where it did not
        [mm].

    Raises
    ------
    TankInputError
        Of 'file', if half a millimetre is not enough.
    """
    if len(solid.triangles) <= MOST_KEPT:
        return solid, 0.0
    made = to_manifold(solid)
    for tolerance in _TOLERANCES_MM:
        thin = from_manifold(made.simplify(tolerance))
        if len(thin.triangles) <= MOST_KEPT:
            return thin, tolerance
    raise TankInputError(
        FIELD,
        f"File: even within {_TOLERANCES_MM[-1]:g} mm it needs more than {MOST_KEPT:,} triangles. Leave out "
        "threads, ribs and lettering, and export it again.",
    )


def packed(solid: Solid) -> str:
    """A solid as text.

    Parameters
    ----------
    solid : Solid
        Any; its points are kept to single precision.

    Returns
    -------
    str

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> unpacked(packed(solid_box((0, 0, 0), (600, 400, 200)))).full_l
    48.0
    """
    head = np.array([len(solid.points_mm), len(solid.triangles)], dtype="<u4").tobytes()
    body = solid.points_mm.astype("<f4").tobytes() + solid.triangles.astype("<u4").tobytes()
    return base64.b64encode(zlib.compress(head + body, 9)).decode("ascii")


def unpacked(text: str) -> Solid:
    """A solid from its text.

    Parameters
    ----------
    text : str
        As `packed` gave it.

    Returns
    -------
    Solid

    Raises
    ------
    TankInputError
        Of 'file', if it is not what `packed` gives: then the file is to be chosen again.
    """
    try:
        data = zlib.decompressobj().decompress(base64.b64decode(text, validate=True), _MOST_BYTES)
        points, triangles = (int(count) for count in np.frombuffer(data[:8], dtype="<u4"))
        if len(data) != 8 + 12 * (points + triangles):
            raise ValueError("cut short")
        solid = Solid(
            np.frombuffer(data, "<f4", 3 * points, 8).reshape(-1, 3).astype(np.float64),
            np.frombuffer(data, "<u4", 3 * triangles, 8 + 12 * points).reshape(-1, 3).astype(np.int64),
        )
        if not np.all(np.isfinite(solid.points_mm)) or solid.triangles.max() >= points:
            raise ValueError("broken")
        to_manifold(solid)
    except (ValueError, zlib.error, binascii.Error, TankError) as error:
        raise TankInputError(FIELD, "File: what was kept of it is broken. Choose it again.") from error
    return solid

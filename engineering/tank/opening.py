"""How what is joined to a tank opens into it, and what is cut from it opens to the outside."""

import manifold3d  # type: ignore[import-not-found]  # carries no py.typed
import numpy as np

from engineering.tank.cutting import Floats
from engineering.tank.prism import Prism
from engineering.tank.solid import Solid, common, from_manifold, shared

_SLAB_MM = 0.05
_NOTHING_L = 1e-9
Face = tuple[Floats, Floats]


def outer_faces(body: Prism, tank: Solid) -> list[int]:
    """Which flat faces of a body lie wholly outside a tank, or on its skin.

    Parameters
    ----------
    body : Prism
        What is cut from the tank.
    tank : Solid
        The tank, measured like the body.

    Returns
    -------
    list of int
        Their numbers in `flat_faces`.
    """
    faces = enumerate(body.flat_faces())
    return [number for number, face in faces if shared(tank, _before(face)) <= _NOTHING_L]


def inner_faces(body: Prism, tank: Solid) -> list[int]:
    """Which flat faces of a body touch or enter a tank.

    Parameters
    ----------
    body : Prism
        What is joined to the tank.
    tank : Solid
        The tank without it, measured like the body.

    Returns
    -------
    list of int
        Their numbers in `flat_faces`.
    """
    faces = enumerate(body.flat_faces())
    return [number for number, face in faces if shared(tank, _before(face)) > _NOTHING_L]


def carried_on(body: Prism, faces: list[int], by_mm: float) -> Solid:
    """A body pushed out through some of its faces.

    Parameters
    ----------
    body : Prism
        What is cut.
    faces : list of int
        Through which, as numbers in `flat_faces`.
    by_mm : float
        How far [mm].

    Returns
    -------
    Solid
    """
    pushed = np.concatenate(body.ends())
    flat = body.flat_faces()
    for number in faces:
        corners, outwards = flat[number]
        # with every corner that was pushed already, so that edges between two such faces are carried on too
        on_face = pushed[np.abs((pushed - corners[0]) @ outwards) < 1e-6]
        pushed = np.concatenate([pushed, on_face + by_mm * outwards])
    return _hull(pushed)


def bridges(body: Prism, faces: list[int], target: Solid, gap_mm: float) -> list[Solid]:
    """What joins the insides of two bodies through the sheet between them.

    Parameters
    ----------
    body : Prism
        The inside of what is joined.
    faces : list of int
        Those that touch the tank.
    target : Solid
        The inside of the tank.
    gap_mm : float
        Thickness of both sheets together [mm].

    Returns
    -------
    list of Solid
        Within the outlines of both.
    """
    flat, found = body.flat_faces(), []
    for number in faces:
        corners, outwards = flat[number]
        through = _hull(np.concatenate([corners, corners + (gap_mm + _SLAB_MM) * outwards]))
        x, y, z = -gap_mm * outwards
        nearer = target.moved((float(x), float(y), float(z)))
        if shared(through, nearer) > _NOTHING_L:
            found.append(common(through, nearer))
    return found


def _before(face: Face) -> Solid:
    """A thin slab just outside a face, a hair smaller so that it touches nothing beside it."""
    corners, outwards = face
    middle = corners.mean(axis=0)
    smaller = middle + (corners - middle) * (1 - 1e-4)
    return _hull(np.concatenate([smaller + 1e-3 * outwards, smaller + _SLAB_MM * outwards]))


def _hull(points: Floats) -> Solid:
    return from_manifold(manifold3d.Manifold.hull_points(points))

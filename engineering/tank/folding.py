"""What a side profile is folded from: developed lengths, folds and pieces, by the formula of DIN 6935."""

import math
from dataclasses import dataclass

from engineering.tank.bodies import Pushed
from engineering.tank.inputs import Measured
from engineering.tank.profile import Corner

ALLOWANCE_SOURCE = (
    "DIN 6935, Cold bending of flat rolled steel: length of a fold = π · φ/180 · (r + s/2 · k), k = 0.65 + "
    "½ · lg(r/s), 1 where r is more than 5 s (from memory; written for steel)."
)
_ROUND = 5.0  # inner radius against thickness beyond which the middle of the sheet keeps its length


@dataclass(frozen=True)
class Fold:
    """One bend of the wrap.

    Parameters
    ----------
    corner : int
        Which corner of the profile, from 1.
    angle_deg : float
        By how much the sheet is turned [°].
    inner_mm : float
        Radius on the inner side of the fold [mm].
    allowance_mm : float
        Length of the flat blank that goes into it [mm].
    """

    corner: int
    angle_deg: float
    inner_mm: float
    allowance_mm: float


@dataclass(frozen=True)
class Face:
    """One flat face of the wrap.

    Parameters
    ----------
    first, last : int
        The corners that it runs between.
    corner_to_corner_mm : float
        Between the sharp corners, as measured [mm].
    flat_mm : float
        What stays flat, at mid-thickness [mm].
    """

    first: int
    last: int
    corner_to_corner_mm: float
    flat_mm: float


@dataclass(frozen=True)
class Strip:
    """One piece of the wrap, from a welded corner to the next.

    Parameters
    ----------
    corners : tuple of int
        Those that it runs past, with both ends.
    length_mm : float
        Developed [mm].
    """

    corners: tuple[int, ...]
    length_mm: float


@dataclass(frozen=True)
class Blanks:
    """What is cut for the bare tank.

    Parameters
    ----------
    strips : tuple of Strip
        Pieces of the wrap.
    width_mm : float
        Of the wrap, at mid-thickness [mm].
    sides_mm : tuple of float
        Length and height over all of both sides, at mid-thickness [mm].
    folds : tuple of Fold
        All bends.
    faces : tuple of Face
        All faces, in the order of the corners.
    roof : Face
        The highest of them.
    """

    strips: tuple[Strip, ...]
    width_mm: float
    sides_mm: tuple[float, float]
    folds: tuple[Fold, ...]
    faces: tuple[Face, ...]
    roof: Face


def fold_allowance_mm(angle_deg: float, inner_mm: float, thickness_mm: float) -> float:
    """Length of flat sheet that goes into one fold.

    Parameters
    ----------
    angle_deg : float
        By how much the sheet is turned [°].
    inner_mm : float
        Radius on the inner side [mm].
    thickness_mm : float
        Sheet thickness [mm].

    Returns
    -------
    float
        Length [mm].

    Notes
    -----
    DIN 6935. The neutral line lies s/2 · k from the inner side, k from nearly 0 in a tight fold to 1 in a
    wide one. Presses, dies and alloys differ: a trial fold settles it.

    Examples
    --------
    A right angle over 4 mm in sheet of 2 mm takes 4.5 mm less than both legs measured outside:

    >>> round(2 * (4 + 2) - fold_allowance_mm(90, 4, 2), 1)
    4.5
    """
    ratio = inner_mm / thickness_mm
    if ratio > _ROUND:
        share = 1.0
    elif ratio > 0:
        share = max(0.65 + 0.5 * math.log10(ratio), 0.0)
    else:
        share = 0.0
    return math.radians(angle_deg) * (inner_mm + thickness_mm / 2 * share)


def blanks_of(body: Pushed, measured: Measured, thickness_mm: float) -> Blanks:
    """What a pushed profile is cut and folded from.

    Parameters
    ----------
    body : Pushed
        The tank as measured.
    measured : Measured
        On which skin.
    thickness_mm : float
        Sheet thickness [mm].

    Returns
    -------
    Blanks

    Notes
    -----
    Corners without a bend are taken as cut and welded, the sheet mitred at mid-thickness; all others as
    folded. Without flanges, overlaps, root gaps and waste.
    """
    half = thickness_mm / 2 * (1 if measured is Measured.INSIDE else -1)
    middle = body.grown(half)
    typed, corners = body.profile.corners, middle.profile.corners
    if not _turns_left(typed):  # what grows is put anticlockwise: back to the order as typed
        corners = corners[::-1]
    count = len(corners)
    folds: dict[int, Fold] = {}
    tangents = []
    for place in range(count):
        turn = _turn(corners[place - 1], corners[place], corners[(place + 1) % count])
        turn = turn if _turns_left(typed) else -turn
        bend_mm = typed[place].bend_mm
        tangents.append(corners[place].bend_mm * math.tan(abs(turn) / 2) if bend_mm else 0.0)
        if bend_mm:
            inner = _inner_mm(bend_mm, turn > 0, measured, thickness_mm)
            angle = math.degrees(abs(turn))
            folds[place] = Fold(place + 1, angle, inner, fold_allowance_mm(angle, inner, thickness_mm))
    faces = []
    for place in range(count):
        ahead = (place + 1) % count
        flat = _apart(corners[place], corners[ahead]) - tangents[place] - tangents[ahead]
        faces.append(Face(place + 1, ahead + 1, _apart(typed[place], typed[ahead]), flat))
    roof = max(faces, key=lambda face: typed[face.first - 1].z_mm + typed[face.last - 1].z_mm)
    outline = middle.profile.outline()
    long, high = (float(size) for size in outline.max(axis=0) - outline.min(axis=0))
    return Blanks(
        strips=_strips(faces, folds),
        width_mm=middle.width_mm,
        sides_mm=(long, high),
        folds=tuple(folds[place] for place in sorted(folds)),
        faces=tuple(faces),
        roof=roof,
    )


def _strips(faces: list[Face], folds: dict[int, Fold]) -> tuple[Strip, ...]:
    """Cut at every corner without a fold; a profile folded all round is one, closed on its last face."""
    count = len(faces)
    welded = [place for place in range(count) if place not in folds]
    if not welded:
        length = sum(face.flat_mm for face in faces) + sum(fold.allowance_mm for fold in folds.values())
        return (Strip((*range(1, count + 1), 1), length),)
    strips = []
    for number, start in enumerate(welded):
        end = welded[(number + 1) % len(welded)]
        place, length, passed = start, 0.0, [start + 1]
        while True:
            length += faces[place].flat_mm
            place = (place + 1) % count
            passed.append(place + 1)
            if place == end:
                break
            length += folds[place].allowance_mm
        strips.append(Strip(tuple(passed), length))
    return tuple(strips)


def _inner_mm(bend_mm: float, bulges: bool, measured: Measured, thickness_mm: float) -> float:
    """Radius on the inner side of a fold: within the tank where the outline bulges, else outside it."""
    is_inner = bulges == (measured is Measured.INSIDE)
    return bend_mm if is_inner else max(bend_mm - thickness_mm, 0.0)


def _turns_left(corners: tuple[Corner, ...]) -> bool:
    around = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(a.x_mm * b.z_mm - b.x_mm * a.z_mm for a, b in around) > 0


def _turn(before: Corner, here: Corner, after: Corner) -> float:
    ax, az = here.x_mm - before.x_mm, here.z_mm - before.z_mm
    bx, bz = after.x_mm - here.x_mm, after.z_mm - here.z_mm
    return math.atan2(ax * bz - az * bx, ax * bx + az * bz)


def _apart(a: Corner, b: Corner) -> float:
    return math.hypot(b.x_mm - a.x_mm, b.z_mm - a.z_mm)

"""A side profile from a DXF drawing: its one closed outline, in the unit that it was drawn in."""

import io
import math
from dataclasses import dataclass

import numpy as np
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.layouts.layout import Modelspace
from ezdxf.lldxf.const import DXFError
from ezdxf.path import make_path

from engineering.tank.cutting import Floats
from engineering.tank.errors import TankInputError
from engineering.tank.profile import MOST_POINTS, Corner, SideProfile
from engineering.tank.units import MM_PER_UNIT, UNIT_WORDS

FIELD = "file"
ARC_WITHIN_MM = 0.005
CLOSED_WITHIN_MM = 0.5
_SAME_MM = 0.01
_SMALLEST_MM, _LARGEST_MM = 20.0, 5000.0
_OUTLINES = {"LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"}
_HEADER_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""$INSUNITS of the DXF reference."""


@dataclass(frozen=True)
class ProfileReport:
    """A side profile from a file, and what was found on the way.

    Parameters
    ----------
    profile : SideProfile
        The outline, moved so that its lowest rear corner is at the origin [mm].
    findings : tuple of str
        What was left out or mended, for people.
    sizes_mm : tuple of float
        Length and height [mm].
    """

    profile: SideProfile
    findings: tuple[str, ...]
    sizes_mm: tuple[float, float]


def read_profile(data: bytes, unit: str) -> ProfileReport:
    """The one closed outline of a DXF drawing.

    Parameters
    ----------
    data : bytes
        The whole file.
    unit : str
        'mm', 'cm', 'm', 'in' or 'ft': asked for, since many drawings say nothing or the wrong one.

    Returns
    -------
    ProfileReport

    Raises
    ------
    TankInputError
        Of 'file' or 'unit': no DXF, no outline, more than one, one that is open, or a size that no tank has.

    Notes
    -----
    Arcs and curves are followed within 0.005 mm. Text, dimensions, hatching and points are left out.
    """
    if unit not in MM_PER_UNIT:
        raise TankInputError("unit", f"Unit: “{unit}” is none of {', '.join(MM_PER_UNIT)}.")
    document = _document(data)
    scale = MM_PER_UNIT[unit]
    findings = []
    own = _HEADER_UNITS.get(document.header.get("$INSUNITS", 0))
    if own and own != unit:
        findings.append(
            f"The drawing says that it is in {UNIT_WORDS[own]}; taken as {UNIT_WORDS[unit]}, as you said."
        )
    strokes, left_out = _strokes(document.modelspace(), scale)
    if left_out:
        findings.append(f"Left out, being no outline: {', '.join(sorted(left_out))}.")
    if not strokes:
        raise TankInputError(FIELD, "File: there is no outline in it. Draw the side of the tank as lines.")
    outline, mended = _one_loop(strokes)
    findings += mended
    sizes = outline.max(axis=0) - outline.min(axis=0)
    _check_sizes(sizes, unit)
    outline = outline - outline.min(axis=0)
    if len(outline) > MOST_POINTS:
        raise TankInputError(
            FIELD,
            f"File: the outline has {len(outline):,} points, more than {MOST_POINTS:,}. Simplify it.",
        )
    profile = SideProfile(tuple(Corner(float(x), float(z)) for x, z in outline))
    profile.check()
    return ProfileReport(profile, tuple(findings), (float(sizes[0]), float(sizes[1])))


def _document(data: bytes) -> Drawing:
    start = data[:64].lstrip()
    if not data:
        raise TankInputError(FIELD, "File: it is empty. Export it again.")
    if start.startswith(b"AC10"):
        raise TankInputError(FIELD, "File: this is a DWG drawing. Save it as DXF and try again.")
    if not start.startswith(b"AutoCAD Binary DXF") and b"SECTION" not in data[:4096]:
        raise TankInputError(FIELD, "File: this is no DXF drawing. Save the side of the tank as DXF.")
    try:
        document, auditor = recover.read(io.BytesIO(data))
    except (DXFError, OSError, ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise TankInputError(FIELD, "File: it is a broken DXF. Save it again where it was drawn.") from error
    if auditor.has_errors:
        raise TankInputError(
            FIELD, f"File: the drawing has {len(auditor.errors)} errors that cannot be mended. Save it again."
        )
    return document


def _strokes(modelspace: Modelspace, scale: float) -> tuple[list[Floats], set[str]]:
    """Every line, arc and curve as points in millimetres, and the kinds that are none."""
    strokes, left_out = [], set()
    for entity in modelspace:
        kind = entity.dxftype()
        if kind not in _OUTLINES:
            left_out.add(kind)
            continue
        points = _followed(entity, scale)
        if len(points) > 1:
            strokes.append(points)
    return strokes, left_out


def _followed(entity: DXFGraphic, scale: float) -> Floats:
    # cubic curves stand in for arcs: sixteen to the circle leave no error that counts
    path = make_path(entity, segments=16)
    points = np.array([(p.x * scale, p.y * scale) for p in path.flattening(ARC_WITHIN_MM / scale)])
    if not len(points) or not np.all(np.isfinite(points)):
        return np.zeros((0, 2))
    if path.is_closed and np.linalg.norm(points[0] - points[-1]) > _SAME_MM:
        points = np.vstack([points, points[:1]])
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    kept: Floats = points[np.concatenate([[True], steps > 1e-6])]
    return kept


def _one_loop(strokes: list[Floats]) -> tuple[Floats, list[str]]:
    """All strokes hung together to the one loop that they must make."""
    loops, gaps = [], []
    left = list(strokes)
    while left:
        chain = left.pop(0)
        while True:
            end = chain[-1]
            closing = float(np.linalg.norm(end - chain[0])) if len(chain) > 2 else math.inf
            best, distance, turned = _nearest(end, left)
            if closing <= min(distance, CLOSED_WITHIN_MM):
                gaps.append(closing)
                break
            if best is None or distance > CLOSED_WITHIN_MM:
                raise TankInputError(
                    FIELD,
                    f"File: the outline is open at x {end[0]:.2f}, z {end[1]:.2f} mm, where the next line is "
                    f"{min(distance, closing):.2f} mm away. Close it and save again.",
                )
            gaps.append(distance)
            stroke = left.pop(best)
            chain = np.vstack([chain, (stroke[::-1] if turned else stroke)[1:]])
        loops.append(chain[:-1] if np.linalg.norm(chain[-1] - chain[0]) <= CLOSED_WITHIN_MM else chain)
    if len(loops) > 1:
        raise TankInputError(
            FIELD,
            f"File: there are {len(loops)} closed outlines in it, and a side profile is one. Delete holes, "
            "frames and other views, or give those as recesses.",
        )
    widest = max(gaps)
    mended = [f"Gaps up to {widest:.2f} mm between lines were closed."] if widest > _SAME_MM else []
    return loops[0], mended


def _nearest(end: Floats, strokes: list[Floats]) -> tuple[int | None, float, bool]:
    """The stroke that begins or ends nearest."""
    best, distance, turned = None, math.inf, False
    for number, stroke in enumerate(strokes):
        for tip, backwards in ((stroke[0], False), (stroke[-1], True)):
            away = float(np.linalg.norm(end - tip))
            if away < distance:
                best, distance, turned = number, away, backwards
    return best, distance, turned


def _check_sizes(sizes_mm: Floats, unit: str) -> None:
    largest = float(sizes_mm.max())
    if not _SMALLEST_MM <= largest <= _LARGEST_MM:
        raise TankInputError(
            "unit",
            f"Unit: taken as {UNIT_WORDS[unit]} the profile would be {largest:.4g} mm long. Check the unit "
            "and the drawing.",
        )

"""Outlines of a tank from three sides, stored with its result so that the drawing never changes."""

from typing import Any

from engineering.tank import Solid, TankBuild
from engineering.tank.moulded import silhouette
from engineering.tank.part import Act
from engineering.tank.solid import common

Outlines = list[list[list[float]]]

VIEWS = {"side": (0, 2), "end": (1, 2), "plan": (0, 1)}
"""Which axes lie across and upwards in each view: from the right, from the rear, from above."""

_WITHIN_MM = 0.05


def outlines_of(build: TankBuild, level_mm: float) -> dict[str, Any]:
    """The outer skin and what is filled in from all sides, and by broken lines what is hidden in it."""
    return {**seen(build.outside_solid, build.inside_solid, level_mm), "hidden": _hidden(build)}


def seen(shape: Solid, inside: Solid, level_mm: float) -> dict[str, Any]:
    """Outlines of a shape, and of what lies below a level of the inside."""
    return {
        **{name: outlines(shape, name) for name in VIEWS},
        "side_wet": outlines(inside, "side", level_mm),
        "end_wet": outlines(inside, "end", level_mm),
        "low_mm": [float(value) for value in shape.low_mm],
        "high_mm": [float(value) for value in shape.high_mm],
        "level_mm": level_mm,
    }


def outlines(solid: Solid, view: str, below_mm: float | None = None) -> Outlines:
    """The outlines of a solid in one view, fine enough to draw."""
    polygons = silhouette(solid, *VIEWS[view], below_mm, within_mm=_WITHIN_MM)
    return [[[round(float(a), 2), round(float(b), 2)] for a, b in polygon] for polygon in polygons]


def _hidden(build: TankBuild) -> dict[str, Outlines]:
    """What is joined shows in the outline but for plan; a baffle's edges follow the tank."""
    found: dict[str, Outlines] = {name: [] for name in VIEWS}
    for part in build.parts:
        shape = part.body.solid()
        if part.act is Act.CUT:
            shape = common(shape, build.as_measured)  # a recess may be drawn out beyond its wall
        views = ["plan"] if part.act is Act.JOIN or part.field == "baffles" else list(VIEWS)
        for view in views:
            found[view] += outlines(shape, view)
    return found

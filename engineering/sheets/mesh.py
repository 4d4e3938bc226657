"""The sheet of a tank from a file: its inside as drawn elsewhere, sized and dipped like any other."""

import json
from dataclasses import asdict
from typing import Any

import numpy as np

from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.mesh_form import MeshForm
from engineering.sheets.profile_drawing import silhouettes
from engineering.sheets.profile_shown import common_lines, table
from engineering.sheets.shaped import DIRECTIONS, common_results, facts, legs, refusal, shaped_inputs
from engineering.tank import Measured, TankBuild, TankError
from engineering.tank.kept_mesh import unpacked
from engineering.tank.moulded import Moulded, silhouette
from engineering.tank.shaped import ShapedInputs, ShapedResult, size_shaped
from engineering.tank.solid import Solid
from engineering.tank.surge import surge_polar


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        build = made_build(inputs)
        given = shaped_inputs(inputs, build)
        sized = size_shaped(given)
        polar = surge_polar(build.inside, given.pickup_mm, inputs["surge_g"], DIRECTIONS)
    except TankError as error:
        raise refusal(error, MeshForm) from error
    return {
        **common_results(inputs, given, sized),
        "surge": {"here": legs(polar), "worst": asdict(polar.worst), "without_pot": None},
        "found": json.loads(inputs["found"]) if inputs.get("found") else [],
        "drawing": _drawing(build.inside_solid, given, sized),
    }


def made_build(inputs: Inputs, _results: Results | None = None) -> TankBuild:
    """The tank itself; nothing of the results is needed for it."""
    return TankBuild(Moulded(unpacked(inputs["mesh"])), Measured.INSIDE, inputs["thickness_mm"])


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    return {
        **common_lines(inputs, results),
        "found": results["found"],
        "file_name": inputs.get("file_name", ""),
        "views": silhouettes(inputs, results),
        "pot": None,
    }


def _drawing(inside: Solid, given: ShapedInputs, sized: ShapedResult) -> dict[str, Any]:
    """Outlines of the inside, dry and wet, from three sides."""
    level = sized.stick.foot_mm + sized.filled_depth_mm
    return {
        "side": _outlines(silhouette(inside, 0, 2)),
        "side_wet": _outlines(silhouette(inside, 0, 2, level)),
        "end": _outlines(silhouette(inside, 1, 2)),
        "end_wet": _outlines(silhouette(inside, 1, 2, level)),
        "plan": _outlines(silhouette(inside, 0, 1)),
        "low_mm": [float(value) for value in inside.low_mm],
        "high_mm": [float(value) for value in inside.high_mm],
        "level_mm": level,
    }


def _outlines(polygons: list[np.ndarray]) -> list[list[list[float]]]:
    """Fine enough to draw: every so many points of a long outline."""
    kept = []
    for polygon in polygons:
        step = max(1, len(polygon) // 400)
        kept.append([[round(float(a), 2), round(float(b), 2)] for a, b in polygon[::step]])
    return kept


MESH = SheetKind(
    key="mesh",
    name="Tank from a file",
    new_words="New sheet from an STL, OBJ or 3MF file",
    form=MeshForm,
    work_out=work_out,
    show=show,
    facts=facts,
    table=table,
)

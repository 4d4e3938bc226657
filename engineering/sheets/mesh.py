"""The sheet of a tank from a file: its inside as drawn elsewhere, sized and dipped like any other."""

from typing import Any

from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.mesh_form import MeshForm
from engineering.sheets.shaped import common_results, facts, refusal, shaped_inputs, surge_results
from engineering.sheets.shaped_drawing import views
from engineering.sheets.shaped_form import found_in
from engineering.sheets.shaped_shown import common_lines, table
from engineering.sheets.tank_outlines import seen
from engineering.tank import Measured, TankBuild, TankError
from engineering.tank.kept_mesh import unpacked
from engineering.tank.moulded import Moulded
from engineering.tank.shaped import size_shaped


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        return _worked_out(inputs)
    except TankError as error:
        raise refusal(error, MeshForm) from error


def _worked_out(inputs: Inputs) -> Results:
    build = made_build(inputs)
    given = shaped_inputs(inputs, build)
    sized = size_shaped(given)
    inside = build.inside_solid
    return {
        **common_results(inputs, given, sized),
        "surge": surge_results(inputs, given, sized),
        "found": found_in(inputs.get("found", "")),
        "drawing": seen(inside, inside, sized.stick.foot_mm + sized.filled_depth_mm),
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
        "views": views(inputs, results, "the inside"),
        "pot": None,
    }


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

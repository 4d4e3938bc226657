"""The side-profile sheet: a tank of any profile pushed across the car, with all that is fitted to it."""

from typing import Any

from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.profile_form import ProfileForm
from engineering.sheets.put_together import build_of, over_all_mm, stretched_mm, worked_out
from engineering.sheets.shaped import facts, refusal
from engineering.sheets.shaped_shown import put_together_lines, table
from engineering.tank import Dimension, TankBuild, TankError
from engineering.tank.bodies import Pushed
from engineering.tank.profile import Corner, SideProfile

STRETCHES = {"width_mm": "the width", "length_mm": "the length", "height_mm": "the height"}


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        dimension = Dimension(inputs.get("stretch", Dimension.WIDTH))
        made = worked_out(inputs, _main(inputs), dimension, STRETCHES[dimension.value])
    except TankError as error:
        raise refusal(error, ProfileForm) from error
    return {
        **made.results,
        "corners": _corners(made.build),
        "stretched_mm": stretched_mm(inputs, made.build, over_all_mm(dimension)),
    }


def made_build(inputs: Inputs, results: Results) -> TankBuild:
    """The tank as a kept sheet has it: with the stretched corners and width, where it was stretched."""
    keys = ("x_mm", "z_mm", "bend_mm")
    made = inputs | {"profile": [dict(zip(keys, corner, strict=True)) for corner in results["corners"]]}
    if inputs.get("wanted_l") is not None and inputs["stretch"] == "width_mm":
        made["width_mm"] = results["stretched_mm"]
    return build_of(made, _main(made))


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    return {
        **put_together_lines(inputs, results, STRETCHES),
        "corners": [[f"{value:.1f}" for value in corner] for corner in results["corners"]],
    }


def _main(inputs: Inputs) -> Pushed:
    corners = tuple(Corner(row["x_mm"], row["z_mm"], row["bend_mm"]) for row in inputs["profile"])
    return Pushed(SideProfile(corners), inputs["width_mm"])


def _corners(build: TankBuild) -> list[list[float]]:
    """The side profile as it is made: stretched, where a capacity was wanted."""
    main = build.main
    if not isinstance(main, Pushed):
        raise TypeError("this sheet is of a pushed profile")
    return [[corner.x_mm, corner.z_mm, corner.bend_mm] for corner in main.profile.corners]


PROFILE = SheetKind(
    key="profile",
    name="Tank from a side profile",
    new_words="New side-profile sheet",
    form=ProfileForm,
    work_out=work_out,
    show=show,
    facts=facts,
    table=table,
)

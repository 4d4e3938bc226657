"""The side-profile sheet: a tank of any profile pushed across the car, with all that is fitted to it."""

from dataclasses import asdict
from typing import Any

from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.profile_form import ProfileForm
from engineering.sheets.put_together import build_of, over_all_mm, stretched_mm, worked_out
from engineering.sheets.shaped import facts, refusal
from engineering.sheets.shaped_form import found_in
from engineering.sheets.shaped_shown import put_together_lines, table
from engineering.tank import Dimension, TankBuild, TankError
from engineering.tank.bodies import Pushed
from engineering.tank.folding import ALLOWANCE_SOURCE, blanks_of
from engineering.tank.profile import Corner, SideProfile

STRETCHES = {"width_mm": "the width", "length_mm": "the length", "height_mm": "the height"}


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        dimension = Dimension(inputs.get("stretch", Dimension.WIDTH))
        made = worked_out(inputs, _main(inputs), dimension, STRETCHES[dimension.value])
    except TankError as error:
        raise refusal(error, ProfileForm) from error
    main, notes = _pushed(made.build), made.results["notes"]
    return {
        **made.results,
        "notes": notes | {"sources": [*notes["sources"], f"Folds: {ALLOWANCE_SOURCE}"]},
        "corners": [[corner.x_mm, corner.z_mm, corner.bend_mm] for corner in main.profile.corners],
        "blanks": asdict(blanks_of(main, made.build.measured, made.build.thickness_mm)),
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
        "found": found_in(inputs.get("found", "")),
        "making": _blank_lines(results),
        "corners": _corner_rows(results),
    }


def _main(inputs: Inputs) -> Pushed:
    corners = tuple(Corner(row["x_mm"], row["z_mm"], row["bend_mm"]) for row in inputs["profile"])
    return Pushed(SideProfile(corners), inputs["width_mm"])


def _pushed(build: TankBuild) -> Pushed:
    """The side profile as it is made: stretched, where a capacity was wanted."""
    if not isinstance(build.main, Pushed):
        raise TypeError("this sheet is of a pushed profile")
    return build.main


def _corner_rows(results: Results) -> list[dict[str, str]]:
    """Corners before bending, and how each is bent; the folds of sheets kept at first are not known."""
    folds = {fold["corner"]: fold for fold in (results.get("blanks") or {}).get("folds", [])}
    rows = []
    for number, (x, z, bend) in enumerate(results["corners"], start=1):
        fold = folds.get(number)
        rows.append(
            {
                "x": f"{x:.1f}",
                "z": f"{z:.1f}",
                "bend": f"{bend:.1f}" if bend else "weld",
                "angle": f"{fold['angle_deg']:.1f}" if fold else "",
                "inner": f"{fold['inner_mm']:.1f}" if fold else "",
                "allowance": f"{fold['allowance_mm']:.1f}" if fold else "",
            }
        )
    return rows


def _blank_lines(results: Results) -> list[tuple[str, str]]:
    blanks = results.get("blanks")
    if not blanks:
        return []
    roof, (long, high) = blanks["roof"], blanks["sides_mm"]
    lines = [
        (
            "Roof, corner to corner",
            f"{roof['corner_to_corner_mm']:.1f} mm, from {roof['first']} to {roof['last']}",
        )
    ]
    for number, strip in enumerate(blanks["strips"], start=1):
        past = "–".join(str(corner) for corner in strip["corners"])
        words = "Wrap" if len(blanks["strips"]) == 1 else f"Wrap, piece {number}"
        lines.append((words, f"{strip['length_mm']:.1f} × {blanks['width_mm']:.1f} mm, corners {past}"))
    return [*lines, ("Sides, two", f"within {long:.1f} × {high:.1f} mm, along the profile")]


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

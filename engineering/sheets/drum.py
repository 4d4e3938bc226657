"""The sheet of a round tank: cylinders and ellipses, lying or upright, with ends of any kind."""

import math
from dataclasses import replace
from typing import Any

from engineering.sheets.drum_form import ENDS, STRETCHES, DrumForm
from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.put_together import build_of, stretched_mm, worked_out
from engineering.sheets.shaped import facts, refusal
from engineering.sheets.shaped_shown import put_together_lines, table
from engineering.tank import (
    STANDARD_ENDS,
    Dimension,
    Drum,
    End,
    EndShape,
    Lie,
    Measured,
    TankBuild,
    TankError,
)
from engineering.tank.bodies import Body
from engineering.tank.ends import FLAT_END

SIZES = ("diameter_mm", "other_mm", "straight_mm")
_ALONG = {
    Lie.LENGTHWISE: (Dimension.LENGTH, Dimension.WIDTH, Dimension.HEIGHT),
    Lie.CROSSWISE: (Dimension.WIDTH, Dimension.LENGTH, Dimension.HEIGHT),
    Lie.UPRIGHT: (Dimension.HEIGHT, Dimension.LENGTH, Dimension.WIDTH),
}
"""Which dimensions of the car the straight part and both axes of the section are."""


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        words = STRETCHES[inputs.get("stretch", "straight_mm")]
        made = worked_out(inputs, _main(inputs), _dimension(inputs), words)
    except TankError as error:
        raise refusal(error, DrumForm) from error
    main = _drum(made.build.main)
    return {
        **made.results,
        "sizes": {name: getattr(main, name) for name in SIZES if getattr(main, name) is not None},
        "blanks": _blanks(made.build),
        "stretched_mm": stretched_mm(inputs, made.build, lambda body: getattr(body, inputs["stretch"])),
    }


def made_build(inputs: Inputs, results: Results) -> TankBuild:
    """The tank as a kept sheet has it, stretched where it was."""
    made = inputs | results["sizes"]
    return build_of(made, _main(made))


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    return {
        **put_together_lines(inputs, results, STRETCHES),
        "making": [
            ("Shell", _shell_words(results)),
            ("Ends", _end_words(inputs, results)),
            *((end["words"], end["blank"]) for end in _end_lines(results)),
        ],
    }


def _main(inputs: Inputs) -> Drum:
    """The body with its lowest corner, as measured, at the origin."""
    drum = Drum(
        inputs["diameter_mm"], inputs["straight_mm"], Lie(inputs["lie"]),
        _end(inputs, "first_end"), _end(inputs, "second_end"), inputs.get("other_mm"),
    )  # fmt: skip
    drum.check()
    along, first, second = drum.axes()
    wide, other = drum.across_mm
    place = drum.first_depth_mm * along + wide / 2 * first + other / 2 * second
    return replace(drum, at_mm=(float(place[0]), float(place[1]), float(place[2])))


def _end(inputs: Inputs, name: str) -> End:
    kind = inputs[name]
    standard = STANDARD_ENDS.get(kind)
    return standard if standard else End(EndShape(kind), inputs[f"{name}_mm"])


def _dimension(inputs: Inputs) -> Dimension:
    straight, first, second = _ALONG[Lie(inputs["lie"])]
    which = {"straight_mm": straight, "diameter_mm": first, "other_mm": second}
    return which[inputs.get("stretch", "straight_mm")]


def _drum(main: Body) -> Drum:
    if not isinstance(main, Drum):
        raise TypeError("this sheet is of a round tank")
    return main


def _blanks(build: TankBuild) -> dict[str, Any]:
    """What is cut for the bare body, at mid-thickness."""
    half = build.thickness_mm / 2 * (1 if build.measured is Measured.INSIDE else -1)
    middle = _drum(build.main).grown(half)
    girth = middle.girth_mm()
    wide, other = middle.across_mm
    flat_mm2 = math.pi / 4 * wide * other
    ends = []
    for end, depth in ((middle.first, middle.first_depth_mm), (middle.second, middle.second_depth_mm)):
        stub = replace(middle, straight_mm=1.0, first=FLAT_END, second=end)
        area_mm2 = flat_mm2 if end.shape is EndShape.FLAT else stub.sheet_mm2() - girth - flat_mm2
        ends.append({"depth_mm": depth, "area_mm2": area_mm2})
    return {"girth_mm": girth, "straight_mm": middle.straight_mm, "across_mm": [wide, other], "ends": ends}


def _shell_words(results: Results) -> str:
    blanks = results["blanks"]
    if blanks["straight_mm"] <= 0:
        return "none"
    return f"blank {blanks['girth_mm']:.1f} × {blanks['straight_mm']:.1f} mm, rolled"


def _end_words(inputs: Inputs, results: Results) -> str:
    first, second = ENDS[inputs["first_end"]], ENDS[inputs["second_end"]]
    return f"both {first}" if first == second else f"{first}; {second}"


def _end_lines(results: Results) -> list[dict[str, str]]:
    """Flat discs as they are cut; of pressed ends the disc of the same area, a starting point only."""
    wide, other = results["blanks"]["across_mm"]
    is_round = wide == other
    lines = []
    for words, end in zip(("First end", "Second end"), results["blanks"]["ends"], strict=True):
        if end["depth_mm"] == 0:
            blank = f"disc ⌀ {wide:.1f} mm" if is_round else f"ellipse {wide:.1f} × {other:.1f} mm"
        elif is_round:
            disc_mm = math.sqrt(4 * end["area_mm2"] / math.pi)
            blank = (
                f"stands out {end['depth_mm']:.1f} mm, {end['area_mm2'] / 1e6:.3f} m²: as much as a disc of "
                f"⌀ {disc_mm:.0f} mm"
            )
        else:
            blank = f"stands out {end['depth_mm']:.1f} mm, {end['area_mm2'] / 1e6:.3f} m²"
        lines.append({"words": words, "blank": blank})
    return lines


DRUM = SheetKind(
    key="drum",
    name="Round tank",
    new_words="New round-tank sheet",
    form=DrumForm,
    work_out=work_out,
    show=show,
    facts=facts,
    table=table,
)

"""The side-profile sheet: a tank of any profile with a pot, from typed figures to the core and to words."""

import math
from dataclasses import asdict, replace
from typing import Any

import numpy as np

from engineering.sheets.kind import Inputs, Results, SheetKind
from engineering.sheets.profile_form import ProfileForm
from engineering.sheets.profile_parts import box_in_bend, inner_parts
from engineering.sheets.profile_shown import show, table
from engineering.sheets.shaped import DIRECTIONS, common_results, facts, legs, refusal, shaped_inputs
from engineering.tank import Measured, TankError, TankInputError
from engineering.tank.attitude import Pull
from engineering.tank.bodies import Block, Dimension, Pushed
from engineering.tank.build import TankBuild, stretched_to
from engineering.tank.fittings import recessed_pot
from engineering.tank.part import Act, Part
from engineering.tank.pot import Pot, pot_pool, reserve_seconds
from engineering.tank.profile import Corner, SideProfile
from engineering.tank.shaped import ShapedInputs, ShapedResult, size_shaped
from engineering.tank.surge import surge_polar


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        return _worked_out(inputs)
    except TankError as error:
        raise refusal(error, ProfileForm) from error


def _worked_out(inputs: Inputs) -> Results:
    build = _build(inputs)
    given = shaped_inputs(inputs, build)
    if inputs.get("wanted_l") is not None:
        build = _stretched(inputs, given)
        given = replace(given, build=build)
    sized = size_shaped(given)
    return {
        **common_results(inputs, given, sized),
        "corners": _corners(build),
        "stretched_mm": _stretched_mm(inputs, build),
        "surge": _surge(inputs, given),
        "pot": _pot_reserve(inputs, given),
        "box": box_in_bend(inputs, _without_inner(build), build),
        "drawing": _drawing_points(given, sized),
    }


def _build(inputs: Inputs) -> TankBuild:
    corners = tuple(Corner(row["x_mm"], row["z_mm"], row["bend_mm"]) for row in inputs["profile"])
    main = Pushed(SideProfile(corners), inputs["width_mm"])
    main.check()
    build = TankBuild(main, Measured(inputs["measured"]), inputs["thickness_mm"])
    build.check()
    made = _with_parts(build, inputs)
    made.check()
    return made


def _with_parts(build: TankBuild, inputs: Inputs) -> TankBuild:
    """With all its parts, first the pot: what stands inside is put into the tank as it is then."""
    if inputs.get("pot_depth_mm") is not None:
        build = build.having(_pot_part(build, inputs))
    return build.having(*inner_parts(build, inputs))


def made_build(inputs: Inputs, results: Results) -> TankBuild:
    """The tank as a kept sheet has it: with the stretched corners and width, where it was stretched."""
    keys = ("x_mm", "z_mm", "bend_mm")
    made = inputs | {"profile": [dict(zip(keys, corner, strict=True)) for corner in results["corners"]]}
    if inputs.get("wanted_l") is not None and inputs["stretch"] == "width_mm":
        made["width_mm"] = results["stretched_mm"]
    return _build(made)


def _pot_part(build: TankBuild, inputs: Inputs) -> Part:
    """A pot that hangs from the lowest point, reaching up to wherever the floor is over its mouth."""
    solid = build.main.solid()
    low = float(solid.low_mm[2])
    x, y, long, wide = (inputs[name] for name in ("pot_x_mm", "pot_y_mm", "pot_length_mm", "pot_width_mm"))
    floors = [
        spot[0]
        for spot in (solid.upright_mm(a, b) for a in (x, x + long) for b in (y, y + wide))
        if spot is not None
    ]
    top = max(floors, default=low)
    depth = inputs["pot_depth_mm"]
    if not math.isfinite(depth) or depth <= 0:
        raise TankInputError("pot_depth_mm", f"Pot, depth: must be more than 0 mm, not {depth:g} mm.")
    pot = Block(long, wide, depth + top - low, (x, y, low - depth))
    pot.check()
    return recessed_pot(build, pot)


def _stretched(inputs: Inputs, given: ShapedInputs) -> TankBuild:
    """The tank that takes what is wanted. What may be filled in is the same share of every tank's inside.

    The pot keeps its size and is put anew under each floor that is tried.
    """
    share = size_shaped(given).filled_l / given.build.inside.full_l
    bare = replace(given.build, parts=())
    stretched = stretched_to(
        bare,
        Dimension(inputs["stretch"]),
        inputs["wanted_l"],
        lambda tank: share * _with_parts(tank, inputs).inside.full_l,
    )
    return _with_parts(stretched, inputs)


def _corners(build: TankBuild) -> list[list[float]]:
    """The side profile as it is made: stretched, where a capacity was wanted."""
    main = build.main
    if not isinstance(main, Pushed):
        raise TypeError("this sheet is of a pushed profile")
    return [[corner.x_mm, corner.z_mm, corner.bend_mm] for corner in main.profile.corners]


def _stretched_mm(inputs: Inputs, build: TankBuild) -> float | None:
    """What the stretched dimension becomes, measured as it was given."""
    if inputs.get("wanted_l") is None:
        return None
    main = build.main.solid()
    axis = {"length_mm": 0, "width_mm": 1, "height_mm": 2}[inputs["stretch"]]
    return float((main.high_mm - main.low_mm)[axis])


def _surge(inputs: Inputs, given: ShapedInputs) -> dict[str, Any]:
    with_pot = surge_polar(given.build.inside, given.pickup_mm, inputs["surge_g"], DIRECTIONS)
    found = {"here": legs(with_pot), "worst": asdict(with_pot.worst), "without_pot": None}
    if _has_pot(given.build):
        bare = replace(given.build, parts=())
        x, y, z = given.pickup_mm
        floor = bare.inside.upright_mm(x, y)
        if floor:
            above = z - float(given.build.inside_solid.low_mm[2])
            plain = surge_polar(bare.inside, (x, y, floor[0] + above), inputs["surge_g"], DIRECTIONS)
            found["without_pot"] = {"here": legs(plain), "worst": asdict(plain.worst)}
    return found


def _without_inner(build: TankBuild) -> TankBuild:
    return replace(build, parts=tuple(part for part in build.parts if part.act is Act.JOIN))


def _has_pot(build: TankBuild) -> bool:
    return any(part.act is Act.JOIN for part in build.parts)


def _pot_reserve(inputs: Inputs, given: ShapedInputs) -> dict[str, Any] | None:
    """What the pot keeps at its worst, and how long that feeds the pump."""
    if not _has_pot(given.build):
        return None
    sheet_mm = 0.0 if given.build.measured is Measured.INSIDE else given.build.thickness_mm
    low = float(given.build.main.solid().low_mm[2]) + sheet_mm
    # the pot as the liquid finds it, up to the level of the tank's own floor
    body = Block(
        inputs["pot_length_mm"] - 2 * sheet_mm,
        inputs["pot_width_mm"] - 2 * sheet_mm,
        inputs["pot_depth_mm"],
        (inputs["pot_x_mm"] + sheet_mm, inputs["pot_y_mm"] + sheet_mm, low - inputs["pot_depth_mm"]),
    )
    pot = Pot(body, given.pickup_mm)
    if not _stands_in(body, given.pickup_mm):
        return None
    g = inputs["surge_g"]
    turns = np.linspace(0, 2 * math.pi, DIRECTIONS, endpoint=False)
    pools = [pot_pool(pot, Pull(float(g * math.cos(turn)), float(g * math.sin(turn)))) for turn in turns]
    worst = min(pools, key=lambda pool: pool.above_pickup_l)
    found: dict[str, Any] = {"level_l": pot_pool(pot).above_pickup_l, "worst_l": worst.above_pickup_l}
    if inputs.get("pump_l_h") is not None:
        seconds = reserve_seconds(worst.above_pickup_l, inputs["pump_l_h"], inputs.get("return_l_h", 0.0))
        found["seconds"] = seconds if math.isfinite(seconds) else None
    return found


def _stands_in(body: Block, place: tuple[float, float, float]) -> bool:
    solid = body.solid()
    return bool(np.all(solid.low_mm <= place) and np.all(np.asarray(place) < solid.high_mm))


def _drawing_points(given: ShapedInputs, sized: ShapedResult) -> dict[str, Any]:
    """What the three views need: outlines of both skins, and the level filled in."""
    build = given.build
    t = build.thickness_mm
    outwards, inwards = (t, 0.0) if build.measured is Measured.INSIDE else (0.0, -t)
    outer, inner = build.main.grown(outwards), build.main.grown(inwards)
    if not isinstance(outer, Pushed) or not isinstance(inner, Pushed):
        raise TypeError("this sheet draws a pushed profile")
    pots = [part.body.grown(outwards).solid() for part in build.parts if part.act is Act.JOIN]
    low = float(outer.solid().low_mm[2])
    stands = [part for part in build.parts if part.act is Act.INSIDE]
    return {
        "outer": _coarse(outer.profile),
        "inner": _coarse(inner.profile),
        "right_mm": outer.right_mm,
        "left_mm": outer.right_mm + outer.width_mm,
        "sheet_mm": t,
        "level_mm": sized.stick.foot_mm + sized.filled_depth_mm,
        "baffles": [_ends(part) for part in stands if part.field == "baffles"],
        "box": [_ends(part) for part in stands if part.field == "collector"],
        "pots": [
            [float(p.low_mm[0]), float(p.high_mm[0]), float(p.low_mm[1]), float(p.high_mm[1]),
             float(p.low_mm[2]), low]
            for p in pots
        ],
    }  # fmt: skip


def _ends(part: Part) -> list[float]:
    """From and to along, across and up [mm]."""
    solid = part.body.solid()
    return [float(end[axis]) for axis in range(3) for end in (solid.low_mm, solid.high_mm)]


def _coarse(profile: SideProfile) -> list[list[float]]:
    """Enough points to draw: corners, and a bend in about fifteen steps."""
    outline = profile.outline()
    step = np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1)
    kept, since = [], 0
    for point, length in zip(outline, step, strict=True):
        since += 1
        if length > 1.0 or since >= 24:
            kept.append([round(float(point[0]), 3), round(float(point[1]), 3)])
            since = 0
    return kept


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

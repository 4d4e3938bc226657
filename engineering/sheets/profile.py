"""The side-profile sheet: a tank of any profile with a pot, from typed figures to the core and to words."""

import math
from dataclasses import asdict, replace
from typing import Any

import numpy as np
from django.core.exceptions import ValidationError

from engineering.sheets.kind import Inputs, PartFacts, Results, SheetKind
from engineering.sheets.profile_form import NO_SENDER, ProfileForm
from engineering.sheets.profile_shown import show
from engineering.sheets.profile_words import notes_of
from engineering.tank import FOAMS, LIQUIDS, METALS, Measured, TankError, TankInputError
from engineering.tank.attitude import Attitude, Pull
from engineering.tank.bodies import Block, Dimension, Pushed
from engineering.tank.build import TankBuild, stretched_to
from engineering.tank.dipping import dip_chart_at
from engineering.tank.fittings import recessed_pot
from engineering.tank.part import Act, Part
from engineering.tank.pot import Pot, pot_pool, reserve_seconds
from engineering.tank.profile import Corner, SideProfile
from engineering.tank.sender import SENDER_RANGES, Sender, sender_table
from engineering.tank.shaped import ShapedInputs, ShapedResult, size_shaped
from engineering.tank.surge import SurgePolar, surge_polar

DIRECTIONS = 72
_FIELDS = {
    "pot": "pot_depth_mm",
    "pot_pickup_mm": "pickup_z_mm",
    "stick": "stick_x_mm",
    "pickup_mm": "pickup_z_mm",
    "nose_up_deg": "nose_up_percent",
    "left_up_deg": "left_up_percent",
    "length_mm": "profile",
    "height_mm": "profile",
}
"""Where on the form a refusal of the core belongs, when the core calls it otherwise."""


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        return _worked_out(inputs)
    except TankInputError as error:
        field = _FIELDS.get(error.field, error.field)
        if field not in ProfileForm.base_fields:
            raise ValidationError(error.message) from error
        raise ValidationError({field: error.message}) from error
    except TankError as error:
        raise ValidationError(str(error)) from error


def _worked_out(inputs: Inputs) -> Results:
    build = _build(inputs)
    given = _shaped_inputs(inputs, build)
    if inputs.get("wanted_l") is not None:
        build = _stretched(inputs, given)
        given = replace(given, build=build)
    sized = size_shaped(given)
    return {
        **_plain(sized),
        "pickup_depth_mm": inputs["pickup_z_mm"] - sized.stick.foot_mm,
        "corners": _corners(build),
        "stretched_mm": _stretched_mm(inputs, build),
        "on_slope": _on_slope(inputs, given, sized),
        "sender": _sender(inputs, given, sized),
        "surge": _surge(inputs, given),
        "pot": _pot_reserve(inputs, given),
        "drawing": _drawing_points(given, sized),
        "notes": notes_of(given.liquid, given.metal, given.foam).stored(),
    }


def _build(inputs: Inputs) -> TankBuild:
    corners = tuple(Corner(row["x_mm"], row["z_mm"], row["bend_mm"]) for row in inputs["profile"])
    main = Pushed(SideProfile(corners), inputs["width_mm"])
    main.check()
    build = TankBuild(main, Measured(inputs["measured"]), inputs["thickness_mm"])
    build.check()
    if inputs.get("pot_depth_mm") is None:
        return build
    with_pot = build.having(_pot_part(build, inputs))
    with_pot.check()
    return with_pot


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


def _shaped_inputs(inputs: Inputs, build: TankBuild) -> ShapedInputs:
    stick = (inputs["stick_x_mm"], inputs["stick_y_mm"]) if "stick_x_mm" in inputs else None
    return ShapedInputs(
        build=build,
        metal=METALS[inputs["metal"]],
        liquid=LIQUIDS[inputs["liquid"]],
        foam=FOAMS.get(inputs["foam"]),  # “none” is in no table
        foam_percent=inputs.get("foam_percent", 100.0),
        expansion_percent=inputs["expansion_percent"],
        fill_c=inputs["fill_c"],
        hottest_c=inputs["hottest_c"],
        pickup_mm=(inputs["pickup_x_mm"], inputs["pickup_y_mm"], inputs["pickup_z_mm"]),
        attitude=_attitude(inputs),
        stick_mm=stick,
        dip_step_mm=inputs["dip_step_mm"],
    )


def _attitude(inputs: Inputs) -> Attitude:
    return Attitude.on_slope(inputs.get("nose_up_percent", 0.0), inputs.get("left_up_percent", 0.0))


def _stretched(inputs: Inputs, given: ShapedInputs) -> TankBuild:
    """The tank that takes what is wanted. What may be filled in is the same share of every tank's inside."""
    share = size_shaped(given).filled_l / given.build.inside.full_l
    return stretched_to(
        given.build, Dimension(inputs["stretch"]), inputs["wanted_l"], lambda tank: share * tank.inside.full_l
    )


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


def _plain(sized: ShapedResult) -> dict[str, Any]:
    """The result as JSON takes it."""
    return {
        **asdict(sized),
        "expansion_governed_by": str(sized.expansion_governed_by),
        "dip_chart": [asdict(row) for row in sized.dip_chart],
    }


def _free_share(sized: ShapedResult) -> float:
    return sized.brim_l / sized.gross_l


def _on_slope(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> list[float] | None:
    """Litres at the depths of the dip chart on the slope, where there is one."""
    if not inputs.get("nose_up_percent") and not inputs.get("left_up_percent"):
        return None
    rows = dip_chart_at(
        given.build.inside, sized.stick, given.dip_step_mm, given.attitude, _free_share(sized)
    )
    return [row.litres for row in rows]


def _sender(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> dict[str, Any] | None:
    if inputs["sender"] == NO_SENDER:
        return None
    fitted = Sender(
        SENDER_RANGES[inputs["sender"]], sized.stick, inputs["sender_lowest_mm"], inputs["sender_highest_mm"]
    )
    table = sender_table(
        given.build.inside, fitted, inputs["sender_points"], free_share=_free_share(sized), best=True
    )
    return {**asdict(table), "unit": str(fitted.range.signal)}


def _surge(inputs: Inputs, given: ShapedInputs) -> dict[str, Any]:
    with_pot = surge_polar(given.build.inside, given.pickup_mm, inputs["surge_g"], DIRECTIONS)
    found = {"here": _legs(with_pot), "worst": asdict(with_pot.worst), "without_pot": None}
    if _has_pot(given.build):
        bare = replace(given.build, parts=())
        x, y, z = given.pickup_mm
        floor = bare.inside.upright_mm(x, y)
        if floor:
            above = z - float(given.build.inside_solid.low_mm[2])
            plain = surge_polar(bare.inside, (x, y, floor[0] + above), inputs["surge_g"], DIRECTIONS)
            found["without_pot"] = {"here": _legs(plain), "worst": asdict(plain.worst)}
    return found


def _legs(polar: SurgePolar) -> list[list[float]]:
    return [[leg.direction_deg, leg.litres_left] for leg in polar.around]


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
    return {
        "outer": _coarse(outer.profile),
        "inner": _coarse(inner.profile),
        "right_mm": outer.right_mm,
        "left_mm": outer.right_mm + outer.width_mm,
        "sheet_mm": t,
        "level_mm": sized.stick.foot_mm + sized.filled_depth_mm,
        "pots": [
            [float(p.low_mm[0]), float(p.high_mm[0]), float(p.low_mm[1]), float(p.high_mm[1]),
             float(p.low_mm[2]), low]
            for p in pots
        ],
    }  # fmt: skip


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


def facts(inputs: Inputs, results: Results) -> PartFacts:
    """The bare tank: mass, outside sizes and blank area."""
    long, wide, high = results["outside_mm"]
    return PartFacts(
        mass_kg=results["empty_kg"], length_mm=long, width_mm=wide, height_mm=high,
        area_m2=results["sheet_m2"],
    )  # fmt: skip


PROFILE = SheetKind(
    key="profile",
    name="Tank from a side profile",
    new_words="New side-profile sheet",
    form=ProfileForm,
    work_out=work_out,
    show=show,
    facts=facts,
)

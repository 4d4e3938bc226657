"""A tank of any main body with all that is fitted to it: from typed figures to the core and back."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from engineering.sheets.fitted_parts import fitted_parts
from engineering.sheets.inner_parts import box_in_bend, inner_parts
from engineering.sheets.kind import Inputs, Results
from engineering.sheets.shaped import DIRECTIONS, common_results, shaped_inputs, surge_results
from engineering.sheets.tank_outlines import outlines_of
from engineering.tank import Measured, TankInputError
from engineering.tank.attitude import Pull
from engineering.tank.bodies import Block, Body, Dimension
from engineering.tank.build import TankBuild, stretched_to
from engineering.tank.fittings import recessed_pot
from engineering.tank.part import Act, Part
from engineering.tank.pot import Pot, pot_pool, reserve_seconds
from engineering.tank.shaped import ShapedInputs, size_shaped


@dataclass(frozen=True)
class Made:
    """A tank worked out: as it is made, and all results that do not depend on how its body was typed."""

    build: TankBuild
    results: Results


def worked_out(inputs: Inputs, main: Body, dimension: Dimension, words: str) -> Made:
    """Size a tank; where a capacity is wanted, a dimension of its main body is stretched first.

    `words` is what people call that dimension.
    """
    build = build_of(inputs, main)
    given = shaped_inputs(inputs, build)
    if inputs.get("wanted_l") is not None:
        build = _stretched(inputs, given, dimension, words)
        given = replace(given, build=build)
    sized = size_shaped(given)
    results = {
        **common_results(inputs, given, sized),
        "surge": surge_results(inputs, given, sized, _without_pot(given)),
        "pot": _pot_reserve(inputs, given),
        "box": box_in_bend(inputs, _standing_on_floor(build), build, given.attitude),
        "drawing": outlines_of(build, sized.stick.foot_mm + sized.filled_depth_mm),
    }
    return Made(build, results)


def build_of(inputs: Inputs, main: Body) -> TankBuild:
    """The tank as typed. Raises TankInputError."""
    main.check()
    build = TankBuild(main, Measured(inputs["measured"]), inputs["thickness_mm"])
    build.check()
    made = _with_parts(build, inputs)
    made.check()
    return made


def _with_parts(build: TankBuild, inputs: Inputs) -> TankBuild:
    """With all its parts, first the pot: what stands inside is put into the tank as it is then."""
    fitted = fitted_parts(build, inputs)
    if inputs.get("pot_depth_mm") is not None:
        build = build.having(_pot_part(build, inputs))
    build = build.having(*fitted)
    return build.having(*inner_parts(build, inputs))


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
    for name, words in (("pot_length_mm", "length"), ("pot_width_mm", "width"), ("pot_depth_mm", "depth")):
        size = inputs[name]
        if not math.isfinite(size) or size <= 0:
            raise TankInputError(name, f"Pot, {words}: must be more than 0 mm, not {size:g} mm.")
    pot = Block(long, wide, depth + top - low, (x, y, low - depth))
    pot.check()
    return recessed_pot(build, pot)


def _stretched(inputs: Inputs, given: ShapedInputs, dimension: Dimension, words: str) -> TankBuild:
    """The tank that takes what is wanted. What may be filled in is the same share of every tank's inside.

    What is fitted keeps its size and is put anew into each body that is tried.
    """
    share = size_shaped(given).filled_l / given.build.inside.full_l
    bare = replace(given.build, parts=())
    stretched = stretched_to(
        bare,
        dimension,
        inputs["wanted_l"],
        lambda tank: share * _with_parts(tank, inputs).inside.full_l,
        words,
    )
    made = _with_parts(stretched, inputs)
    made.check()
    return made


def stretched_mm(inputs: Inputs, build: TankBuild, size: Callable[[Body], float]) -> float | None:
    """What the stretched dimension becomes, measured as it was given; None where none was wanted."""
    return None if inputs.get("wanted_l") is None else size(build.main)


def over_all_mm(dimension: Dimension) -> Callable[[Body], float]:
    """How to read a dimension of a body, over all [mm]."""
    axis = list(Dimension).index(dimension)

    def size(main: Body) -> float:
        solid = main.solid()
        return float((solid.high_mm - solid.low_mm)[axis])

    return size


def _without_pot(given: ShapedInputs) -> ShapedInputs | None:
    """The same tank and pickup with the floor closed; None where there is no pot."""
    bare = replace(given.build, parts=tuple(part for part in given.build.parts if part.field != "pot"))
    if len(bare.parts) == len(given.build.parts):
        return None
    x, y, z = given.pickup_mm
    floor = bare.inside.upright_mm(x, y)
    if floor is None:
        return None
    above = z - float(given.build.inside_solid.low_mm[2])
    return replace(given, build=bare, pickup_mm=(x, y, floor[0] + above))


def _standing_on_floor(build: TankBuild) -> TankBuild:
    """The tank as a collector box finds it: without what stands inside."""
    return replace(build, parts=tuple(part for part in build.parts if part.act is not Act.INSIDE))


def _pot_reserve(inputs: Inputs, given: ShapedInputs) -> dict[str, Any] | None:
    """What the pot keeps at its worst, and how long that feeds the pump."""
    if inputs.get("pot_depth_mm") is None:
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
    pools = [
        pot_pool(pot, Pull(float(g * math.cos(turn)), float(g * math.sin(turn))), given.attitude)
        for turn in turns
    ]
    worst = min(pools, key=lambda pool: pool.above_pickup_l)
    found: dict[str, Any] = {"level_l": pot_pool(pot).above_pickup_l, "worst_l": worst.above_pickup_l}
    if inputs.get("pump_l_h") is not None:
        seconds = reserve_seconds(worst.above_pickup_l, inputs["pump_l_h"], inputs.get("return_l_h", 0.0))
        found["seconds"] = seconds if math.isfinite(seconds) else None
    return found


def _stands_in(body: Block, place: tuple[float, float, float]) -> bool:
    solid = body.solid()
    return bool(np.all(solid.low_mm <= place) and np.all(np.asarray(place) < solid.high_mm))

"""What stands inside a tank: baffles, and a collector box with its holes in a bend."""

import math
from dataclasses import asdict
from typing import Any

from engineering.sheets.kind import Inputs
from engineering.tank import Attitude, Hole, Pot, TankInputError
from engineering.tank.bodies import Block
from engineering.tank.build import TankBuild
from engineering.tank.fittings import baffle, collector_box
from engineering.tank.part import Part, Wall
from engineering.tank.pot import worst_bend

BOX = ("box_x_mm", "box_y_mm", "box_length_mm", "box_width_mm", "box_height_mm")
WAYS = {"across": Wall.FRONT, "along": Wall.LEFT}
DIRECTIONS = 72


def inner_parts(build: TankBuild, inputs: Inputs) -> tuple[Part, ...]:
    """Baffles and the walls of the box, in the tank as it is without them."""
    baffles = [_baffle(build, number, row) for number, row in enumerate(inputs.get("baffles") or [], start=1)]
    if "box_height_mm" not in inputs:
        return tuple(baffles)
    return (*baffles, *collector_box(build, _box(build, inputs)))


def _baffle(build: TankBuild, number: int, row: dict[str, Any]) -> Part:
    wall = WAYS.get(row["way"].strip().casefold())
    if wall is None:
        raise TankInputError("baffles", f"Line {number}: write “across” or “along” the car.")
    try:
        return baffle(build, wall, row["at_mm"], row["clear_mm"], row["open_percent"])
    except TankInputError as error:
        raise TankInputError("baffles", f"Line {number}: {error.message}") from error


def _box(build: TankBuild, inputs: Inputs) -> Block:
    """The room within the box, on the highest floor that its corners find."""
    x, y, long, wide, high = (inputs[name] for name in BOX)
    for name, size in zip(BOX[2:], (long, wide, high), strict=True):
        if not math.isfinite(size) or size <= 0:
            raise TankInputError(name, f"Collector box: must be more than 0 mm, not {size:g} mm.")
    spots = [build.inside_solid.upright_mm(a, b) for a in (x, x + long) for b in (y, y + wide)]
    floors = [spot[0] for spot in spots if spot is not None]
    if len(floors) < len(spots):
        raise TankInputError("box_x_mm", "Collector box: it reaches outside the tank; move it.")
    return Block(long, wide, high, (x, y, max(floors)))


def box_in_bend(
    inputs: Inputs, bare: TankBuild, build: TankBuild, attitude: Attitude
) -> dict[str, Any] | None:
    """The worst bend of all directions for a pump in the box, where bend and litres in the tank are given."""
    if "box_height_mm" not in inputs or any(name not in inputs for name in ("pump_l_h", "bend_s", "bend_l")):
        return None
    body = _box(bare, inputs)
    pot = Pot(
        body, (inputs["pickup_x_mm"], inputs["pickup_y_mm"], inputs["pickup_z_mm"]), _holes(body, inputs)
    )
    direction, bend = worst_bend(
        build.inside, pot, inputs["bend_l"], inputs["surge_g"], inputs["bend_s"], inputs["pump_l_h"],
        inputs.get("return_l_h", 0.0), attitude, DIRECTIONS,
    )  # fmt: skip
    return {"direction_deg": direction, **asdict(bend)}


def _holes(body: Block, inputs: Inputs) -> tuple[Hole, ...]:
    """At the foot of the walls in turn: rear, front, right, left, and round again."""
    count, across = inputs.get("box_holes", 0), inputs.get("box_hole_mm", 0.0)
    if not 0 <= count <= 40:
        raise TankInputError("box_holes", f"Holes: give 0 to 40, not {count}.")
    if count and across <= 0:
        raise TankInputError("box_hole_mm", "Holes: give their diameter, more than 0 mm.")
    x, y, z = body.at_mm
    middle_x, middle_y, up = x + body.length_mm / 2, y + body.width_mm / 2, z + across / 2
    feet = (
        (x, middle_y, up),
        (x + body.length_mm, middle_y, up),
        (middle_x, y, up),
        (middle_x, y + body.width_mm, up),
    )
    return tuple(Hole(across, feet[number % 4]) for number in range(count))

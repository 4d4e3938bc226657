"""Bodies joined and cut, and filler necks, from the lines of their tables to parts of the tank."""

from typing import Any

from engineering.rows import Column
from engineering.sheets.kind import Inputs
from engineering.tank import TankInputError
from engineering.tank.build import TankBuild
from engineering.tank.fittings import filler_neck
from engineering.tank.free import cut_body, joined_body
from engineering.tank.part import Part, Wall
from engineering.tank.prism import Prism, box, rod, wedge

FITTED, NECKS = "fitted", "necks"

FITTED_COLUMNS = (
    Column("act", "Join or cut", is_figure=False),
    Column("shape", "Box, wedge or cylinder", is_figure=False),
    Column("way", "Which way", is_figure=False, default=""),
    Column("x_mm", "Rear edge", "mm"),
    Column("y_mm", "From the right side", "mm"),
    Column("z_mm", "Lower edge", "mm"),
    Column("length_mm", "Length", "mm"),
    Column("width_mm", "Width", "mm"),
    Column("height_mm", "Height", "mm"),
)
NECK_COLUMNS = (
    Column("x_mm", "Foot, forwards", "mm"),
    Column("y_mm", "From the right side", "mm"),
    Column("z_mm", "Up (blank: the roof)", "mm", default=""),
    Column("diameter_mm", "Diameter", "mm"),
    Column("length_mm", "Length along its axis", "mm"),
    Column("lean_deg", "Leans by", "°", default=0.0),
    Column("towards", "Towards", is_figure=False, default="left"),
)

JOINS = ("join", "joined")
CUTS = ("cut", "recess", "cut out")
SIDES = {"front": Wall.FRONT, "rear": Wall.REAR, "left": Wall.LEFT, "right": Wall.RIGHT}
AXES = {"along": 0, "lengthwise": 0, "across": 1, "crosswise": 1, "upright": 2}


def fitted_parts(build: TankBuild, inputs: Inputs) -> tuple[Part, ...]:
    """What is joined and cut, line by line, and the necks."""
    rows, necks = inputs.get(FITTED) or [], inputs.get(NECKS) or []
    return (
        *(_fitted(number, row) for number, row in enumerate(rows, start=1)),
        *(_neck(build, number, row) for number, row in enumerate(necks, start=1)),
    )


def _fitted(number: int, row: dict[str, Any]) -> Part:
    act, name = _word(row["act"]), f"Line {number}"
    if act not in (*JOINS, *CUTS):
        raise TankInputError(FITTED, f"{name}: write “join” or “cut”.")
    try:
        body = _body(row)
    except TankInputError as error:
        raise TankInputError(FITTED, f"{name}: {error.message}") from error
    make = joined_body if act in JOINS else cut_body
    return make(body, FITTED, f"{name}, {_word(row['shape'])}")


def _body(row: dict[str, Any]) -> Prism:
    at = (row["x_mm"], row["y_mm"], row["z_mm"])
    size = (row["length_mm"], row["width_mm"], row["height_mm"])
    way = _word(row["way"])
    match _word(row["shape"]):
        case "box":
            return box(*size, at)
        case "wedge":
            side, _, top = way.partition(" ")
            if side not in SIDES or top not in ("", "top"):
                raise TankInputError(
                    FITTED,
                    "a wedge runs out to the front, rear, left or right: write that under “Which way”, with "
                    "“top” behind it where its flat face lies on top.",
                )
            return wedge(*size, at, SIDES[side], flat_top=top == "top")
        case "cylinder":
            if way not in AXES:
                raise TankInputError(
                    FITTED, "a cylinder lies along or across the car, or stands upright: write which."
                )
            axis = AXES[way]
            across = [one for place, one in enumerate(size) if place != axis]
            if across[0] != across[1]:
                raise TankInputError(
                    FITTED,
                    f"a cylinder is round: give its diameter in both sizes across it, not {across[0]:g} and "
                    f"{across[1]:g} mm.",
                )
            return rod(across[0], size[axis], axis, at)
    raise TankInputError(FITTED, "write “box”, “wedge” or “cylinder”.")


def _neck(build: TankBuild, number: int, row: dict[str, Any]) -> Part:
    name = f"Line {number}"
    side = SIDES.get(_word(row["towards"]))
    if side is None:
        raise TankInputError(NECKS, f"{name}: a neck leans to the front, rear, left or right.")
    x, y, z = row["x_mm"], row["y_mm"], row["z_mm"]
    if z == "":
        spot = build.main.solid().upright_mm(x, y)
        if spot is None:
            raise TankInputError(NECKS, f"{name}: there is no roof at {x:g} / {y:g} mm; move its foot.")
        z = spot[1]
    return filler_neck(
        build, row["diameter_mm"], row["length_mm"], (x, y, z), row["lean_deg"], side, NECKS, name
    )


def _word(typed: str) -> str:
    return " ".join(typed.casefold().split())


def words(inputs: Inputs) -> list[str]:
    """One line for each, as it is made and where it sits."""
    lines = []
    for row in inputs.get(FITTED) or []:
        act = "Joined" if _word(row["act"]) in JOINS else "Cut out"
        size = " × ".join(f"{row[name]:g}" for name in ("length_mm", "width_mm", "height_mm"))
        way = f", {_word(row['way'])}" if row["way"] else ""
        lines.append(
            f"{act}: {_word(row['shape'])}{way}, {size} mm; rear edge at {row['x_mm']:g}, {row['y_mm']:g} mm "
            f"from the right, lower edge at {row['z_mm']:g} mm."
        )
    for row in inputs.get(NECKS) or []:
        place = "on the roof" if row["z_mm"] == "" else f"{row['z_mm']:g} mm up"
        lean = f", leaning {row['lean_deg']:g}° to the {_word(row['towards'])}" if row["lean_deg"] else ""
        lines.append(
            f"Filler neck ⌀ {row['diameter_mm']:g}, {row['length_mm']:g} mm along its axis{lean}; foot at "
            f"{row['x_mm']:g}, {row['y_mm']:g} mm from the right, {place}."
        )
    return lines

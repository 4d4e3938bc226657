"""Pots, recesses, necks, baffles and boxes: what is joined to a tank, cut from it, or stands in it."""

import math
from dataclasses import replace

from engineering.tank.bodies import Block, Place
from engineering.tank.build import TankBuild
from engineering.tank.drum import Drum, Lie
from engineering.tank.ends import EndShape
from engineering.tank.errors import TankInputError
from engineering.tank.inputs import Measured, check_positive_mm
from engineering.tank.moulded import Moulded
from engineering.tank.part import Act, Part, Wall
from engineering.tank.solid import Solid, common, shared, solid_box
from engineering.tank.units import MM3_PER_L

_THROUGH_MM = 1.0  # so much further than the sheet


def recessed_pot(tank: TankBuild, pot: Block | Drum) -> Part:
    """A pot under the floor, open to the tank over its whole mouth.

    Parameters
    ----------
    tank : TankBuild
        The tank that it hangs from; its parts are not looked at.
    pot : Block or Drum
        The pot, measured as the tank; its top touches or enters the floor [mm].

    Returns
    -------
    Part

    Raises
    ------
    TankInputError
        Of 'pot', if its mouth is larger than the floor, or it hangs free.
    """
    body, main = pot.solid(), tank.main.solid()
    _check_in_wall("pot", "Pot", body, main, 2)
    if body.high_mm[2] < main.low_mm[2] - 1e-6 or body.low_mm[2] >= main.low_mm[2]:
        raise TankInputError(
            "pot",
            f"Pot: it must hang below the floor and reach up to it; its top is at {body.high_mm[2]:g} mm and "
            f"the floor at {main.low_mm[2]:g} mm.",
        )
    # carried on through the floor, so that both skins open there
    deep = 2 * tank.thickness_mm + _THROUGH_MM
    if isinstance(pot, Block):
        girth_mm, mouth_mm2 = 2 * (pot.length_mm + pot.width_mm), pot.length_mm * pot.width_mm
        upright_mm = 4 * pot.height_mm
        opened: Block | Drum = replace(pot, height_mm=pot.height_mm + deep)
    else:
        if pot.lie is not Lie.UPRIGHT or pot.second.shape is not EndShape.FLAT:
            raise TankInputError("pot", "Pot: a round pot stands upright and is open at its flat top.")
        girth_mm, mouth_mm2 = pot.girth_mm(), math.pi / 4 * pot.across_mm[0] * pot.across_mm[1]
        upright_mm = pot.straight_mm
        opened = replace(pot, straight_mm=pot.straight_mm + deep)
    # its own lid is not there, and the floor that its mouth takes away comes off the sheet again
    return Part("Pot", opened, Act.JOIN, "pot", pot.sheet_mm2() - 2 * mouth_mm2, 2 * girth_mm + upright_mm)


def mounting_recess(tank: TankBuild, recess: Block, wall: Wall) -> Part:
    """A box-shaped recess in one wall, as for a strap, a mount or an axle.

    Parameters
    ----------
    tank : TankBuild
        The tank.
    recess : Block
        The room that is taken from the tank, measured on the same skin; it touches or passes the wall [mm].
    wall : Wall
        The wall that it opens through.

    Returns
    -------
    Part

    Raises
    ------
    TankInputError
        Of 'recess', if it is larger than its wall or as deep as the tank.
    """
    body, main = recess.solid(), tank.main.solid()
    _check_in_wall("recess", "Recess", body, main, wall.axis, corners_may_open=True)
    axis = wall.axis
    outer = main.high_mm[axis] if wall.faces_up_axis else main.low_mm[axis]
    reaches = body.low_mm[axis] - 1e-6 <= outer <= body.high_mm[axis] + 1e-6
    depth = outer - body.low_mm[axis] if wall.faces_up_axis else body.high_mm[axis] - outer
    if not reaches:
        raise TankInputError(
            "recess", f"Recess: it must reach the {wall} wall, which is at {outer:g} mm; move it."
        )
    if depth >= main.high_mm[axis] - main.low_mm[axis]:
        raise TankInputError(
            "recess", f"Recess: {depth:g} mm deep goes right through the tank; make it less."
        )
    across = [size for place, size in enumerate(body.high_mm - body.low_mm) if place != axis]
    return Part(
        "Recess", recess, Act.CUT, "recess", 2 * depth * sum(across), 4 * sum(across) + 4 * depth, wall
    )


def filler_neck(tank: TankBuild, diameter_mm: float, length_mm: float, at_mm: Place) -> Part:
    """A filler neck standing on the roof.

    Parameters
    ----------
    tank : TankBuild
        The tank.
    diameter_mm : float
        Diameter, measured as the tank [mm].
    length_mm : float
        How far it stands out above the roof [mm].
    at_mm : tuple of float
        Middle of its foot, on the roof [mm].

    Returns
    -------
    Part

    Raises
    ------
    TankInputError
        Of 'filler', if the hole is larger than its wall.
    """
    check_positive_mm("filler", "Filler neck", diameter_mm)
    check_positive_mm("filler", "Filler neck", length_mm)
    x, y, z = at_mm
    body = Drum(diameter_mm, length_mm, Lie.UPRIGHT, at_mm=at_mm)
    _check_in_wall("filler", "Filler neck", body.solid(), tank.main.solid(), 2)
    deep = 2 * tank.thickness_mm + _THROUGH_MM  # down through the sheet, so that both skins open
    neck = Drum(diameter_mm, length_mm + deep, Lie.UPRIGHT, at_mm=(x, y, z - deep))
    girth_mm = body.girth_mm()
    return Part(
        "Filler neck", neck, Act.JOIN, "filler",
        girth_mm * length_mm - math.pi / 4 * diameter_mm**2, girth_mm + length_mm,
    )  # fmt: skip


def baffle(
    tank: TankBuild, wall: Wall, at_mm: float, clear_mm: float, open_percent: float, field: str = "baffles"
) -> Part:
    """A sheet across the tank, with openings.

    Parameters
    ----------
    tank : TankBuild
        The tank; its parts are not looked at.
    wall : Wall
        A wall that it stands parallel to: front or rear for one across the car, left or right for one along.
    at_mm : float
        Where it stands, along x or y [mm].
    clear_mm : float
        Gap that it leaves at all edges [mm].
    open_percent : float
        Share of its area that is open [%].
    field : str
        Name of the input.

    Returns
    -------
    Part

    Raises
    ------
    TankInputError
        Of that field, if it stands outside the tank, or its openings take all of it.

    Notes
    -----
    The sheet that it takes from the volume is spread over its area: thinner by the share that is open.
    """
    if not math.isfinite(open_percent) or not 0 <= open_percent < 100:
        raise TankInputError(
            field, f"Baffle: openings of {open_percent:g} % are outside 0 to less than 100 % of its area."
        )
    inside = replace(tank, parts=()).inside_solid
    axis = wall.axis
    low, high = inside.low_mm.copy(), inside.high_mm.copy()
    if axis == 2 or not low[axis] < at_mm < high[axis]:
        raise TankInputError(
            field, f"Baffle: {at_mm:g} mm is outside the tank, {low[axis]:g} to {high[axis]:g} mm."
        )
    if clear_mm <= 0 and open_percent == 0:
        raise TankInputError(
            field, "Baffle: without a gap or an opening it divides the tank in two; leave some of either."
        )
    share = 1 - open_percent / 100
    half = tank.thickness_mm * share / 2
    low, high = low - 1, high + 1
    low[axis], high[axis] = at_mm - half, at_mm + half
    slice_of_all = solid_box((low[0], low[1], low[2]), tuple(high - low))
    sheet = _within(inside, slice_of_all) if clear_mm <= 0 else _clear_of_walls(tank, slice_of_all, clear_mm)
    if sheet is None:
        raise TankInputError(field, f"Baffle: a gap of {clear_mm:g} mm at every edge leaves nothing of it.")
    face_mm2 = sheet.full_l * MM3_PER_L / (2 * half)
    round_mm = (sheet.skin_mm2 - 2 * face_mm2) / (2 * half)
    return Part("Baffle", Moulded(sheet), Act.INSIDE, field, face_mm2 * share, round_mm)


def _clear_of_walls(tank: TankBuild, sheet: Solid, clear_mm: float) -> Solid | None:
    """A sheet cut so that it keeps clear of every wall of the main body; None if nothing is left."""
    inwards = clear_mm + (tank.thickness_mm if tank.measured is Measured.OUTSIDE else 0.0)
    try:
        room = tank.main.grown(-inwards)
        room.check()
    except TankInputError:
        return None
    return _within(room.solid(), sheet)


def _within(room: Solid, sheet: Solid) -> Solid | None:
    return common(room, sheet) if shared(room, sheet) > 0 else None


def collector_box(tank: TankBuild, inside_mm: Block) -> tuple[Part, ...]:
    """A box on the floor inside the tank, open at the top, that keeps liquid round the pickup.

    Parameters
    ----------
    tank : TankBuild
        The tank.
    inside_mm : Block
        The room within the box [mm].

    Returns
    -------
    tuple of Part
        Its four walls.

    Raises
    ------
    TankInputError
        Of 'collector', if it does not stand wholly inside the tank.
    """
    t = tank.thickness_mm
    x, y, z = inside_mm.at_mm
    outer = Block(
        inside_mm.length_mm + 2 * t, inside_mm.width_mm + 2 * t, inside_mm.height_mm, (x - t, y - t, z)
    ).solid()
    if shared(tank.inside_solid, outer) < outer.full_l * (1 - 1e-6):
        raise TankInputError(
            "collector",
            "Collector box: it reaches outside the tank, or over its floor; make it smaller, or move it.",
        )
    long, wide, high = inside_mm.length_mm, inside_mm.width_mm, inside_mm.height_mm
    walls = (
        Block(t, wide + 2 * t, high, (x - t, y - t, z)),
        Block(t, wide + 2 * t, high, (x + long, y - t, z)),
        Block(long, t, high, (x, y - t, z)),
        Block(long, t, high, (x, y + wide, z)),
    )
    return tuple(
        Part("Collector box", wall, Act.INSIDE, "collector", length * high, length + high)
        for wall, length in zip(walls, (wide + 2 * t, wide + 2 * t, long, long), strict=True)
    )


def _check_in_wall(
    field: str, words: str, body: Solid, main: Solid, axis: int, corners_may_open: bool = False
) -> None:
    """Refuse what is larger than the wall that it stands in."""
    for other, name in enumerate(("length", "width", "height")):
        if other == axis:
            continue
        size, wall = (float((s.high_mm - s.low_mm)[other]) for s in (body, main))
        low, high = main.low_mm[other], main.high_mm[other]
        within = body.low_mm[other] >= low - 0.5 and body.high_mm[other] <= high + 0.5
        if size > wall + 0.5 or not (within or corners_may_open):
            raise TankInputError(
                field,
                f"{words}: {size:.4g} mm across does not fit in its wall, whose {name} is {wall:.4g} mm "
                f"(from {low:.4g} to {high:.4g} mm); make it smaller or move it.",
            )

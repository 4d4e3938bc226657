"""Pots, recesses, necks, baffles and boxes: what is joined to a tank, cut from it, or stands in it."""

import math
from collections.abc import Callable
from dataclasses import replace

from engineering.tank.bodies import Block, Place
from engineering.tank.build import TankBuild
from engineering.tank.drum import Drum, Lie
from engineering.tank.ends import EndShape
from engineering.tank.errors import TankInputError
from engineering.tank.inputs import Measured, check_positive_mm
from engineering.tank.moulded import Moulded
from engineering.tank.part import Act, Part, Wall
from engineering.tank.prism import Prism, box, tube
from engineering.tank.solid import Solid, common, shared, solid_box
from engineering.tank.units import MM3_PER_L

_THROUGH_MM = 1.0  # so much further than the sheet
_SINK = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5)  # of its diameter a leaning neck is carried on into the tank


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
        seam_mm = 0.0
        opened: Block | Drum = replace(pot, height_mm=pot.height_mm + deep)
    else:
        if pot.lie is not Lie.UPRIGHT or pot.second.shape is not EndShape.FLAT:
            raise TankInputError("pot", "Pot: a round pot stands upright and is open at its flat top.")
        seam_mm = pot.straight_mm
        opened = replace(pot, straight_mm=pot.straight_mm + deep)
    return Part("Pot", opened, Act.JOIN, "pot", 0.0, seam_mm)


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
    room = box(recess.length_mm, recess.width_mm, recess.height_mm, recess.at_mm)
    return Part("Recess", room, Act.CUT, "recess", 0.0, 0.0)


def filler_neck(
    tank: TankBuild,
    diameter_mm: float,
    length_mm: float,
    at_mm: Place,
    lean_deg: float = 0.0,
    towards: Wall = Wall.LEFT,
    field: str = "filler",
    name: str = "Filler neck",
) -> Part:
    """A filler neck: a tube that stands out from the tank, upright or leaning, open at its mouth.

    Parameters
    ----------
    tank : TankBuild
        The tank; its parts are not looked at.
    diameter_mm : float
        Diameter, measured as the tank [mm].
    length_mm : float
        How far it stands out, along its axis [mm].
    at_mm : tuple of float
        Where its axis meets the skin [mm].
    lean_deg : float
        How far it leans from upright [°].
    towards : Wall
        Which way it leans: front, rear, left or right.
    field, name : str
        Name of the input, and what people call it.

    Returns
    -------
    Part

    Raises
    ------
    TankInputError
        Of that field, if the hole is larger than its wall, or the foot is not on the tank.
    """
    check_positive_mm(field, name, diameter_mm)
    check_positive_mm(field, name, length_mm)
    deep = 2 * tank.thickness_mm + _THROUGH_MM
    try:
        neck = _sunk(
            tank, lambda inwards: tube(diameter_mm, length_mm, at_mm, lean_deg, towards, inwards), deep
        )
    except TankInputError as error:
        raise TankInputError(field, f"{name}: {error.message}") from error
    if neck is None:
        x, y, z = at_mm
        raise TankInputError(
            field,
            f"{name}: {diameter_mm:.4g} mm across does not fit in its wall at {x:g} / {y:g} / {z:g} mm; make "
            "it smaller, or put its foot on the tank.",
        )
    half = tank.thickness_mm / 2 * (1 if tank.measured is Measured.INSIDE else -1)
    mouth_mm = diameter_mm + 2 * half
    # its open mouth is neither sheet nor weld; it is drawn tube, without a seam
    return Part(name, neck, Act.JOIN, field, -math.pi / 4 * mouth_mm**2, -math.pi * mouth_mm)


def _sunk(tank: TankBuild, neck: Callable[[float], Prism], least_mm: float) -> Prism | None:
    """The neck carried on into the tank until its lower end lies wholly in it; None if it never does."""
    main = tank.main.solid()
    for share in _SINK:
        made = neck(least_mm + share * (neck(least_mm).outline_mm))
        end = replace(made, length_mm=_THROUGH_MM).solid()
        if shared(main, end) >= end.full_l * (1 - 1e-4):
            return made
    return None


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

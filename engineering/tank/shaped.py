"""From a tank put together to what it holds, what can be used of it, what it weighs, and its metal."""

import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.attitude import LEVEL, Attitude
from engineering.tank.bodies import Place
from engineering.tank.build import TankBuild
from engineering.tank.capacity import ExpansionRule
from engineering.tank.cutting import Floats
from engineering.tank.dip import DipRow
from engineering.tank.dipping import Stick, dip_chart_at, level_for_litres, stick_at
from engineering.tank.errors import TankInputError
from engineering.tank.inputs import check_rules
from engineering.tank.liquids import Liquid
from engineering.tank.materials import MOST_FOAM_PERCENT, Foam, Metal

_SAME_MM = 1e-6


@dataclass(frozen=True)
class ShapedInputs:
    """Everything that a tank of any shape is sized from.

    Parameters
    ----------
    build : TankBuild
        The tank.
    metal : Metal
        What it is made of.
    liquid : Liquid
        What it holds.
    foam : Foam or None
        Safety foam, if any.
    foam_percent : float
        Share of the inside that the foam fills [%].
    expansion_percent : float
        Space to leave, as a share of what the tank holds to the brim [%].
    fill_c, hottest_c : float
        Temperature of the liquid when filled, and the hottest it will get [°C].
    pickup_mm : tuple of float
        Mouth of the pickup: x, y and z in the axes of the tank [mm].
    attitude : Attitude
        How the car stands when the pickup has to reach the liquid.
    stick_mm : tuple of float or None
        Where depth is read, x and y; over the pickup where None [mm].
    dip_step_mm : float
        Step of the dip chart [mm].
    """

    build: TankBuild
    metal: Metal
    liquid: Liquid
    foam: Foam | None
    foam_percent: float
    expansion_percent: float
    fill_c: float
    hottest_c: float
    pickup_mm: Place
    attitude: Attitude = LEVEL
    stick_mm: tuple[float, float] | None = None
    dip_step_mm: float = 10.0


@dataclass(frozen=True)
class ShapedResult:
    """What a tank of any shape holds.

    Parameters
    ----------
    gross_l : float
        Inside volume [L].
    foam_displaced_l : float
        Volume of the foam's own substance [L].
    brim_l : float
        Liquid that goes in to the brim [L].
    expansion_by_percentage_l, expansion_by_temperature_l, expansion_l : float
        Space that each rule asks for, and the larger [L].
    expansion_governed_by : ExpansionRule
        The rule that asks for more.
    filled_l, filled_depth_mm : float
        Most liquid to fill in [L], and how much of the stick that wets on the level [mm].
    rest_l : float
        Liquid that the pickup cannot reach, as the car stands [L].
    foam_retained_l : float
        Liquid that the foam holds back above that [L].
    usable_l : float
        Liquid that can be drawn [L].
    liquid_kg, liquid_lightest_kg, liquid_heaviest_kg : float
        Mass of `filled_l` at the usual density and at the ends of its range [kg].
    liquid_centre_mm, half_centre_mm : tuple of float
        Where the liquid has its centre when filled, and when half of that is left [mm].
    empty_kg, foam_kg : float
        Mass of the sheet without flanges, bosses and mounts, and of the dry foam [kg].
    sheet_m2 : float
        Sheet at mid-thickness, without flanges, overlaps and waste [m^2].
    weld_m : float
        Length of seams; those that are folded need no weld [m].
    outside_mm : tuple of float
        Length, width and height over all [mm].
    stick : Stick
        Where the dip chart is read.
    dip_chart : tuple of DipRow
        On the level.
    """

    gross_l: float
    foam_displaced_l: float
    brim_l: float
    expansion_by_percentage_l: float
    expansion_by_temperature_l: float
    expansion_l: float
    expansion_governed_by: ExpansionRule
    filled_l: float
    filled_depth_mm: float
    rest_l: float
    foam_retained_l: float
    usable_l: float
    liquid_kg: float
    liquid_lightest_kg: float
    liquid_heaviest_kg: float
    liquid_centre_mm: Place
    half_centre_mm: Place
    empty_kg: float
    foam_kg: float
    sheet_m2: float
    weld_m: float
    outside_mm: Place
    stick: Stick
    dip_chart: tuple[DipRow, ...]


def size_shaped(given: ShapedInputs) -> ShapedResult:
    """Size a tank of any shape.

    Parameters
    ----------
    given : ShapedInputs
        The tank, its sheet, its liquid and its rules.

    Returns
    -------
    ShapedResult

    Raises
    ------
    TankInputError
        If a figure is not a number, out of its range, or at odds with another; names the field.

    Notes
    -----
    Expansion space is what the larger of two rules asks for: a share of the brim, or what the liquid grows
    between filling and its hottest. The tank's own thermal growth (about 0.25 % for aluminium over 35 °C) is
    left out, which is on the safe side. One connected surface is assumed, and air that leaves every high
    spot.

    Examples
    --------
    >>> from engineering.tank import LIQUIDS, METALS, Measured
    >>> from engineering.tank.bodies import Block
    >>> tank = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
    >>> sized = size_shaped(ShapedInputs(tank, METALS["mild_steel"], LIQUIDS["petrol"], None, 100, 5, 15, 50,
    ...                                  (300, 200, 10)))
    >>> sized.gross_l, sized.rest_l, sized.usable_l
    (48.0, 2.4, 43.2)
    """
    given.build.check()
    check_rules(given.liquid, given.expansion_percent, given.fill_c, given.hottest_c)
    _check_foam(given)
    inside = given.build.inside
    over_pickup = check_pickup(given.build, given.pickup_mm)
    stick = over_pickup if given.stick_mm is None else stick_at(inside, *given.stick_mm)
    foam = given.foam
    foamed_share = given.foam_percent / 100 if foam else 0.0
    free_share = 1 - (foam.displaced_percent / 100 * foamed_share if foam else 0.0)
    gross_l = inside.full_l
    brim_l = gross_l * free_share
    by_percentage_l = brim_l * given.expansion_percent / 100
    by_temperature_l = brim_l * (1 - 1 / given.liquid.expansion.volume_ratio(given.fill_c, given.hottest_c))
    expansion_l = max(by_percentage_l, by_temperature_l)
    filled_l = brim_l - expansion_l
    below_pickup_l = below_point_l(given.build, given.attitude.up(), given.pickup_mm)
    rest_l = below_pickup_l * free_share
    retained_share = foam.retained_percent / 100 * foamed_share if foam else 0.0
    foam_retained_l = (gross_l - below_pickup_l) * retained_share
    usable_l = filled_l - rest_l - foam_retained_l
    _check_usable(usable_l, rest_l, foam_retained_l, filled_l)
    level_up = LEVEL.up()
    filled_level = level_for_litres(inside, level_up, filled_l / free_share)
    half_level = level_for_litres(inside, level_up, filled_l / free_share / 2)
    outside = given.build.outside_solid
    kg_per_l = given.liquid.density_kg_m3 / 1000
    return ShapedResult(
        gross_l=gross_l,
        foam_displaced_l=gross_l - brim_l,
        brim_l=brim_l,
        expansion_by_percentage_l=by_percentage_l,
        expansion_by_temperature_l=by_temperature_l,
        expansion_l=expansion_l,
        expansion_governed_by=(
            ExpansionRule.TEMPERATURE if by_temperature_l > by_percentage_l else ExpansionRule.PERCENTAGE
        ),
        filled_l=filled_l,
        filled_depth_mm=float(stick.depths_mm(level_up, np.array([filled_level]))[0]),
        rest_l=rest_l,
        foam_retained_l=foam_retained_l,
        usable_l=usable_l,
        liquid_kg=filled_l * kg_per_l,
        liquid_lightest_kg=filled_l * given.liquid.lightest_kg_m3 / 1000,
        liquid_heaviest_kg=filled_l * given.liquid.heaviest_kg_m3 / 1000,
        liquid_centre_mm=_place(inside.centroid_below_mm(level_up, filled_level)),
        half_centre_mm=_place(inside.centroid_below_mm(level_up, half_level)),
        empty_kg=given.build.metal_l * given.metal.density_kg_m3 / 1000,
        foam_kg=gross_l * foamed_share * foam.density_kg_m3 / 1000 if foam else 0.0,
        sheet_m2=given.build.sheet_m2,
        weld_m=given.build.weld_m,
        outside_mm=_place(outside.high_mm - outside.low_mm),
        stick=stick,
        dip_chart=dip_chart_at(inside, stick, given.dip_step_mm, LEVEL, free_share),
    )


def below_point_l(build: TankBuild, up: Floats, point_mm: Place) -> float:
    """Litres below the surface that just leaves a point dry.

    Parameters
    ----------
    build : TankBuild
        The tank.
    up : ndarray, shape (3,)
        Unit vector square to the surface [-].
    point_mm : tuple of float
        Mouth of a pickup [mm].

    Returns
    -------
    float
        Volume [L].
    """
    return float(build.inside.litres_below(up, np.array([np.asarray(point_mm) @ up]))[0])


def check_pickup(build: TankBuild, pickup_mm: Place, field: str = "pickup_mm") -> Stick:
    """Refuse a pickup that is not inside the tank.

    Parameters
    ----------
    build : TankBuild
        The tank.
    pickup_mm : tuple of float
        Its mouth [mm].
    field : str
        Name of the input.

    Returns
    -------
    Stick
        Floor and roof over and under it.

    Raises
    ------
    TankInputError
        If it stands outside, or a coordinate is no number.
    """
    x, y, z = pickup_mm
    if not all(math.isfinite(value) for value in pickup_mm):
        raise TankInputError(field, "Pickup: give x, y and z in millimetres.")
    try:
        stick = stick_at(build.inside, x, y, field)
    except TankInputError as error:
        raise TankInputError(field, error.message.replace("Dip stick", "Pickup", 1)) from error
    if not stick.foot_mm - _SAME_MM <= z < stick.head_mm:
        raise TankInputError(
            field,
            f"Pickup: z {z:g} mm is outside the tank, which reaches from {stick.foot_mm:.4g} to "
            f"{stick.head_mm:.4g} mm there. Put its mouth inside.",
        )
    return stick


def _check_usable(usable_l: float, rest_l: float, foam_retained_l: float, filled_l: float) -> None:
    if usable_l <= 0:
        raise TankInputError(
            "pickup_mm",
            f"Pickup: nothing could be drawn. {rest_l:.1f} L stay out of its reach and foam holds "
            f"{foam_retained_l:.1f} L, but only {filled_l:.1f} L may be filled in. Move the pickup.",
        )


def _check_foam(given: ShapedInputs) -> None:
    if given.foam and not 0 < given.foam_percent <= 100:
        raise TankInputError(
            "foam_percent",
            f"Foam: {given.foam_percent:g} % of the tank is outside more than 0 to 100 %; give the share "
            "that it fills.",
        )
    if given.foam:
        for field, words, percent in (
            ("foam_displaced_percent", "Displaced by foam", given.foam.displaced_percent),
            ("foam_retained_percent", "Held back by foam", given.foam.retained_percent),
        ):
            if not 0 <= percent <= MOST_FOAM_PERCENT:
                raise TankInputError(
                    field,
                    f"{words}: {percent:g} % is outside 0 to {MOST_FOAM_PERCENT:g} %; see the foam's data "
                    "sheet.",
                )


def _place(at_mm: Floats) -> Place:
    return float(at_mm[0]), float(at_mm[1]), float(at_mm[2])

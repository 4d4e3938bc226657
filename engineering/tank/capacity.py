"""From the figures of a tank to what it holds, what can be used of it, and what it weighs."""

from dataclasses import dataclass
from enum import StrEnum

from engineering.tank.dip import DipRow, dip_chart
from engineering.tank.errors import TankInputError
from engineering.tank.inputs import TankInputs, check_conditions, skins
from engineering.tank.shapes import Shape, depth_for_litres


class ExpansionRule(StrEnum):
    """Which of the two rules asks for the larger expansion space."""

    PERCENTAGE = "percentage"
    TEMPERATURE = "temperature"


@dataclass(frozen=True)
class TankResult:
    """What a tank holds.

    Parameters
    ----------
    outside, inside : Box, UprightCylinder or LyingCylinder
        Both skins [mm].
    gross_l : float
        Inside volume [L].
    foam_displaced_l : float
        Volume of the foam's own substance [L].
    brim_l : float
        Liquid that goes in to the brim [L].
    expansion_l : float
        Space that must stay free, the larger of the next two [L].
    expansion_by_percentage_l, expansion_by_temperature_l : float
        What each rule asks for [L].
    expansion_governed_by : ExpansionRule
        The rule that asks for more.
    filled_l, filled_depth_mm : float
        Most liquid to fill in [L], and its depth [mm].
    rest_l : float
        Liquid below the pickup [L].
    foam_retained_l : float
        Liquid that the foam above the pickup holds back [L].
    usable_l : float
        Liquid that can be drawn from a full tank standing level [L].
    liquid_kg, liquid_lightest_kg, liquid_heaviest_kg : float
        Mass of `filled_l` at the usual density and at the ends of its range [kg].
    empty_kg : float
        Mass of the sheet, without baffles, flanges, bosses or filler [kg].
    foam_kg : float
        Mass of the dry foam at the heavy end of its range [kg].
    sheet_m2 : float
        Sheet area at mid-thickness, without flanges, overlaps and waste [m^2].
    weld_m : float
        Length of all outer edges; those that are folded need no weld [m].
    dip_chart : tuple of DipRow
        From empty to the brim.
    """

    outside: Shape
    inside: Shape
    gross_l: float
    foam_displaced_l: float
    brim_l: float
    expansion_l: float
    expansion_by_percentage_l: float
    expansion_by_temperature_l: float
    expansion_governed_by: ExpansionRule
    filled_l: float
    filled_depth_mm: float
    rest_l: float
    foam_retained_l: float
    usable_l: float
    liquid_kg: float
    liquid_lightest_kg: float
    liquid_heaviest_kg: float
    empty_kg: float
    foam_kg: float
    sheet_m2: float
    weld_m: float
    dip_chart: tuple[DipRow, ...]


def size_tank(given: TankInputs) -> TankResult:
    """Size one level tank.

    Parameters
    ----------
    given : TankInputs
        The tank, its sheet, its liquid and its rules.

    Returns
    -------
    TankResult
        Volumes [L], masses [kg], sheet [m^2], weld [m] and the dip chart.

    Raises
    ------
    TankInputError
        If a figure is not a number, out of its range, or at odds with another; names the field.

    Notes
    -----
    Holds for a level tank at rest, full of one liquid, with flat faces that do not bulge. The tank's own
    thermal growth (about 0.25 % for aluminium over 35 °C) is left out, which is on the safe side.

    Examples
    --------
    >>> from engineering.tank import LIQUIDS, METALS, Box, Measured
    >>> tank = size_tank(TankInputs(Box(604, 404, 204), Measured.OUTSIDE, 2, METALS["mild_steel"],
    ...                             LIQUIDS["petrol"], None, 5, 15, 50, 10))
    >>> tank.gross_l, tank.rest_l, tank.usable_l
    (48.0, 2.4, 43.2)
    """
    outside, inside = skins(given)
    check_conditions(given, inside)
    gross_l = inside.full_l
    free_share = 1.0 - (given.foam.displaced_percent / 100 if given.foam else 0.0)
    retained_share = given.foam.retained_percent / 100 if given.foam else 0.0
    brim_l = gross_l * free_share
    by_percentage_l = brim_l * given.expansion_percent / 100
    by_temperature_l = brim_l * (1 - 1 / given.liquid.expansion.volume_ratio(given.fill_c, given.hottest_c))
    expansion_l = max(by_percentage_l, by_temperature_l)
    filled_l = brim_l - expansion_l
    below_pickup_l = inside.litres_at(given.pickup_mm)
    rest_l = below_pickup_l * free_share
    foam_retained_l = (gross_l - below_pickup_l) * retained_share
    usable_l = filled_l - rest_l - foam_retained_l
    if usable_l <= 0:
        raise TankInputError(
            "pickup_mm",
            f"Pickup height: nothing could be drawn. Below a pickup at {given.pickup_mm:g} mm stay "
            f"{rest_l:.1f} L and foam holds {foam_retained_l:.1f} L, but only {filled_l:.1f} L may be "
            "filled in. Lower the pickup.",
        )
    kg_per_l = given.liquid.density_kg_m3 / 1000
    return TankResult(
        outside=outside,
        inside=inside,
        gross_l=gross_l,
        foam_displaced_l=gross_l - brim_l,
        brim_l=brim_l,
        expansion_l=expansion_l,
        expansion_by_percentage_l=by_percentage_l,
        expansion_by_temperature_l=by_temperature_l,
        expansion_governed_by=(
            ExpansionRule.TEMPERATURE if by_temperature_l > by_percentage_l else ExpansionRule.PERCENTAGE
        ),
        filled_l=filled_l,
        filled_depth_mm=depth_for_litres(inside, filled_l / free_share),
        rest_l=rest_l,
        foam_retained_l=foam_retained_l,
        usable_l=usable_l,
        liquid_kg=filled_l * kg_per_l,
        liquid_lightest_kg=filled_l * given.liquid.lightest_kg_m3 / 1000,
        liquid_heaviest_kg=filled_l * given.liquid.heaviest_kg_m3 / 1000,
        empty_kg=(outside.full_l - gross_l) * given.metal.density_kg_m3 / 1000,
        foam_kg=gross_l * given.foam.density_kg_m3 / 1000 if given.foam else 0.0,
        sheet_m2=inside.grown(given.thickness_mm / 2).skin_mm2 / 1e6,
        weld_m=outside.weld_mm() / 1000,
        dip_chart=dip_chart(inside, given.dip_step_mm, free_share),
    )

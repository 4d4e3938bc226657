"""What a tank is sized from, and the refusal of figures that cannot be meant."""

import math
from dataclasses import dataclass
from enum import StrEnum

from engineering.tank.errors import TankInputError
from engineering.tank.liquids import Liquid
from engineering.tank.materials import Foam, Metal
from engineering.tank.shapes import Shape

LONGEST_MM = 5000.0
THINNEST_MM, THICKEST_MM = 0.2, 20.0
LARGEST_L = 2000.0
HIGHEST_EXPANSION_PERCENT = 50.0
"""A dry-sump tank keeps about a third of its volume as air; half is beyond any practice."""


class Measured(StrEnum):
    """Which skin of the sheet the dimensions were taken on."""

    OUTSIDE = "outside"
    INSIDE = "inside"


@dataclass(frozen=True)
class TankInputs:
    """Everything that a tank is sized from.

    Parameters
    ----------
    shape : Box, UprightCylinder or LyingCylinder
        The tank as measured [mm].
    measured : Measured
        Whether `shape` was measured on the outside or the inside of the sheet.
    thickness_mm : float
        Sheet thickness [mm].
    metal : Metal
        What it is made of.
    liquid : Liquid
        What it holds.
    foam : Foam or None
        Safety foam that fills the whole inside, if any.
    expansion_percent : float
        Space to leave, as a share of what the tank holds to the brim [%].
    fill_c, hottest_c : float
        Temperature of the liquid when filled, and the hottest it will get [°C].
    pickup_mm : float
        Height of the pickup's mouth above the lowest inside point [mm].
    dip_step_mm : float
        Step of the dip chart [mm].
    """

    shape: Shape
    measured: Measured
    thickness_mm: float
    metal: Metal
    liquid: Liquid
    foam: Foam | None
    expansion_percent: float
    fill_c: float
    hottest_c: float
    pickup_mm: float
    dip_step_mm: float = 10.0


def skins(given: TankInputs) -> tuple[Shape, Shape]:
    """Both skins of the sheet, once the dimensions are known to make sense.

    Parameters
    ----------
    given : TankInputs
        The tank; only its dimensions are looked at.

    Returns
    -------
    tuple of two shapes
        Outside and inside [mm].

    Raises
    ------
    TankInputError
        If a dimension is not greater than 0, too large, or the sheet leaves no inside.

    Examples
    --------
    >>> from engineering.tank import LIQUIDS, METALS, Box
    >>> tank = TankInputs(Box(600, 400, 200), Measured.OUTSIDE, 2, METALS["mild_steel"], LIQUIDS["petrol"],
    ...                   None, 5, 15, 50, 10)
    >>> skins(tank)[1]
    Box(length_mm=596, width_mm=396, height_mm=196)
    """
    for field, size_mm in vars(given.shape).items():
        _check_dimension(field, size_mm)
    check_positive_mm("thickness_mm", "Sheet thickness", given.thickness_mm)
    if given.measured is Measured.INSIDE:
        outside, inside = given.shape.grown(given.thickness_mm), given.shape
    else:
        _check_room(given.shape, given.thickness_mm)
        outside, inside = given.shape, given.shape.grown(-given.thickness_mm)
    if given.thickness_mm > THICKEST_MM:
        raise TankInputError(
            "thickness_mm",
            f"Sheet thickness: {given.thickness_mm:g} mm is plate, not sheet; "
            f"give {THICKEST_MM:g} mm or less.",
        )
    if inside.full_l > LARGEST_L:
        field = next(iter(vars(inside)))
        raise TankInputError(
            field,
            f"{_words(field)}: these dimensions make {inside.full_l:.0f} L, and this sheet is meant for "
            f"the tanks of a car, up to {LARGEST_L:g} L. Check each dimension: they are in millimetres.",
        )
    return outside, inside


def check_conditions(given: TankInputs, inside: Shape) -> None:
    """Refuse rules, temperatures and a pickup that cannot be meant.

    Parameters
    ----------
    given : TankInputs
        The tank.
    inside : Box, UprightCylinder or LyingCylinder
        Its inside [mm].

    Raises
    ------
    TankInputError
        Names the field at fault.
    """
    check_rules(given.liquid, given.expansion_percent, given.fill_c, given.hottest_c)
    _check_number("pickup_mm", "Pickup height", given.pickup_mm)
    if given.pickup_mm < 0:
        raise TankInputError(
            "pickup_mm", f"Pickup height: {given.pickup_mm:g} mm is below the floor; give 0 mm or more."
        )
    if given.pickup_mm >= inside.depth_mm:
        raise TankInputError(
            "pickup_mm",
            f"Pickup height: {given.pickup_mm:g} mm is at or above the roof, which stands "
            f"{inside.depth_mm:g} mm above the floor inside; give less.",
        )


def check_rules(liquid: Liquid, expansion_percent: float, fill_c: float, hottest_c: float) -> None:
    """Refuse an expansion space or temperatures that cannot be meant.

    Parameters
    ----------
    liquid : Liquid
        What the tank holds.
    expansion_percent : float
        Space to leave [%].
    fill_c, hottest_c : float
        Temperatures [°C].

    Raises
    ------
    TankInputError
        Names the field at fault.
    """
    _check_within("expansion_percent", "Expansion space", expansion_percent,
                  (0, HIGHEST_EXPANSION_PERCENT), "%", "")  # fmt: skip
    usable_range = (liquid.coldest_c, liquid.hottest_c)
    whose = f" for {liquid.name.lower()}"
    _check_within("fill_c", "Temperature when filled", fill_c, usable_range, "°C", whose)
    _check_within("hottest_c", "Hottest liquid", hottest_c, usable_range, "°C", whose)
    if hottest_c < fill_c:
        raise TankInputError(
            "hottest_c",
            f"Hottest liquid: {hottest_c:g} °C is below the {fill_c:g} °C at which it is filled; "
            "give the hottest that it will get.",
        )


def check_positive_mm(field: str, words: str, value_mm: float) -> None:
    """Refuse a length that is not a number greater than 0.

    Parameters
    ----------
    field, words : str
        Name of the input, and what people call it.
    value_mm : float
        The length [mm].

    Raises
    ------
    TankInputError
        If it is 0, negative or not a number.
    """
    _check_number(field, words, value_mm)
    if value_mm <= 0:
        raise TankInputError(field, f"{words}: must be more than 0 mm, not {value_mm:g} mm.")


def _check_dimension(field: str, size_mm: float) -> None:
    check_positive_mm(field, _words(field), size_mm)
    if size_mm > LONGEST_MM:
        raise TankInputError(
            field,
            f"{_words(field)}: {size_mm:g} mm is more than {LONGEST_MM:g} mm, the longest this sheet is "
            "meant for. Give millimetres, not another unit.",
        )


def _check_room(outside: Shape, thickness_mm: float) -> None:
    for field, size_mm in vars(outside).items():
        if thickness_mm >= size_mm / 2:
            raise TankInputError(
                "thickness_mm",
                f"Sheet thickness: {thickness_mm:g} mm leaves no inside in a {_words(field).lower()} of "
                f"{size_mm:g} mm; it must be less than half of it.",
            )


def _check_number(field: str, words: str, value: float) -> None:
    if not math.isfinite(value):
        raise TankInputError(field, f"{words}: give a number.")


def _check_within(
    field: str, words: str, value: float, bounds: tuple[float, float], unit: str, whose: str
) -> None:
    _check_number(field, words, value)
    low, high = bounds
    if not low <= value <= high:
        raise TankInputError(
            field,
            f"{words}: {value:g} {unit} is outside {low:g} to {high:g} {unit}{whose}; "
            "give a figure in between.",
        )


def _words(field: str) -> str:
    return field.removesuffix("_mm").capitalize()

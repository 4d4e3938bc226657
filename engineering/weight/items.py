"""What is weighed: the car's wheels and the items of its list, with where each one sits.

Lengths are in millimetres: x aft of the front axle, y to the right of the middle of the car (the driver's
right), z above the ground. An item in front of the front axle has a negative x.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from engineering.weight.errors import WeightInputError

SHORTEST_WHEELBASE_MM, LONGEST_WHEELBASE_MM = 1000.0, 6000.0
NARROWEST_TRACK_MM, WIDEST_TRACK_MM = 500.0, 2500.0
FARTHEST_BEYOND_AXLE_MM = 2500.0
FARTHEST_ASIDE_MM = 1500.0
HIGHEST_MM = 3000.0
HEAVIEST_KG = 5000.0


@dataclass(frozen=True)
class Wheels:
    """Where the car stands on the ground.

    Parameters
    ----------
    wheelbase_mm : float
        From front axle to rear axle [mm].
    track_front_mm, track_rear_mm : float
        From the middle of the left tyre to the middle of the right one [mm].

    Raises
    ------
    WeightInputError
        If a distance is not that of a car.

    Examples
    --------
    >>> Wheels(2400, 1300, 1280).wheelbase_mm
    2400
    """

    wheelbase_mm: float
    track_front_mm: float
    track_rear_mm: float

    def __post_init__(self) -> None:
        limits = (SHORTEST_WHEELBASE_MM, LONGEST_WHEELBASE_MM)
        _check_between("wheelbase_mm", "Wheelbase", self.wheelbase_mm, *limits, "mm")
        for name, words in (("track_front_mm", "Front track"), ("track_rear_mm", "Rear track")):
            _check_between(name, words, getattr(self, name), NARROWEST_TRACK_MM, WIDEST_TRACK_MM, "mm")


@dataclass(frozen=True)
class Item:
    """Something with a mass and a place.

    Parameters
    ----------
    name : str
        What it is, as on the list.
    mass_kg : float
        Its mass; 0 for something that is not there in this state, as fuel in an empty tank [kg].
    x_mm, y_mm, z_mm : float
        Its centre of mass: aft of the front axle, right of the middle, above the ground [mm].
    """

    name: str
    mass_kg: float
    x_mm: float
    y_mm: float
    z_mm: float


def checked_items(items: Iterable[Item], wheels: Wheels) -> tuple[Item, ...]:
    """Refuse a list on which something cannot be meant.

    Parameters
    ----------
    items : iterable of Item
        The list, in the order in which it was typed.
    wheels : Wheels
        The car it belongs to.

    Returns
    -------
    tuple of Item
        The same items.

    Raises
    ------
    WeightInputError
        If the list is empty or weighs nothing, or an item has no name, a name twice, a mass that is
        negative or beyond any car's, or a place that is not in or about this car.

    Examples
    --------
    >>> checked_items([Item("engine", -160, 100, 0, 500)], Wheels(2400, 1300, 1300))
    Traceback (most recent call last):
    engineering.weight.errors.WeightInputError: engine: -160 kg is not a mass. Give 0 or more.
    """
    found = tuple(items)
    if not found:
        raise WeightInputError("items", "The list is empty: enter at least one item with its mass and place.")
    seen: dict[str, int] = {}
    for number, item in enumerate(found):
        _check_item(number, item, wheels)
        folded = item.name.strip().casefold()
        if folded in seen:
            raise WeightInputError(
                f"items[{number}].name",
                f"“{item.name}” stands on line {seen[folded] + 1} too: give the two different names.",
            )
        seen[folded] = number
    if math.fsum(item.mass_kg for item in found) <= 0:
        raise WeightInputError("items", "Nothing on the list weighs anything: give at least one mass.")
    return found


def _check_item(number: int, item: Item, wheels: Wheels) -> None:
    at = f"items[{number}]."
    if not item.name.strip():
        raise WeightInputError(f"{at}name", f"Line {number + 1} has no name: say what it is.")
    _check_number(f"{at}mass_kg", item.name, item.mass_kg)
    if item.mass_kg < 0:
        raise WeightInputError(
            f"{at}mass_kg", f"{item.name}: {item.mass_kg:g} kg is not a mass. Give 0 or more."
        )
    if item.mass_kg > HEAVIEST_KG:
        raise WeightInputError(
            f"{at}mass_kg", f"{item.name}: {item.mass_kg:g} kg is more than a car. Check the unit: kg."
        )
    reach = FARTHEST_BEYOND_AXLE_MM
    places = (
        ("x_mm", "behind the front axle", -reach, wheels.wheelbase_mm + reach),
        ("y_mm", "right of the middle", -FARTHEST_ASIDE_MM, FARTHEST_ASIDE_MM),
        ("z_mm", "above the ground", 0.0, HIGHEST_MM),
    )
    for name, words, least, most in places:
        _check_between(f"{at}{name}", f"{item.name}, {words}", getattr(item, name), least, most, "mm")


def _check_number(field: str, words: str, value: float) -> None:
    if not math.isfinite(value):
        raise WeightInputError(field, f"{words}: that is not a number.")


def _check_between(field: str, words: str, value: float, least: float, most: float, unit: str) -> None:
    _check_number(field, words, value)
    if not least <= value <= most:
        raise WeightInputError(
            field, f"{words}: {value:g} {unit} is outside {least:g} to {most:g} {unit}. Check the unit."
        )

"""What scales say, and what of it the list leaves unexplained."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from engineering.weight.balance import Balance, Corners, balance
from engineering.weight.errors import WeightError, WeightInputError
from engineering.weight.items import HEAVIEST_KG, Item, Wheels

LEAST_LIFT_DEG, MOST_LIFT_DEG = 3.0, 30.0
"""Below, a kilogram on the scales is decimetres of height; above, fluids and suspension move too much."""


@dataclass(frozen=True)
class Unlisted:
    """What is on the car and not on the list, or on the list and not on the car.

    Parameters
    ----------
    mass_kg : float
        Scales less list; negative where the list is too heavy [kg].
    x_mm, y_mm : float or None
        Where that mass would have to sit to explain the readings; None if scales and list agree to the
        resolution of the scales [mm].
    is_inside : bool
        Whether that place is within the car: if not, one item of the list is in the wrong place, or more
        than one mass is wrong.
    front_kg, rear_kg, left_kg, right_kg : float
        Scales less list for each axle and side [kg].
    """

    mass_kg: float
    x_mm: float | None
    y_mm: float | None
    is_inside: bool
    front_kg: float
    rear_kg: float
    left_kg: float
    right_kg: float


def standing(readings: Corners, wheels: Wheels) -> tuple[float, float]:
    """Give the centre of gravity that four scales show.

    Parameters
    ----------
    readings : Corners
        The four scales [kg].
    wheels : Wheels
        Wheelbase and tracks [mm].

    Returns
    -------
    tuple of float
        Aft of the front axle, right of the middle [mm].

    Raises
    ------
    WeightInputError
        If a reading is negative, not a number or beyond any car's, or all are 0.

    Notes
    -----
    x = L × rear / total. The side has to count each axle with its own track:
    y = Σ (right - left) × track / 2 / total.

    Examples
    --------
    >>> standing(Corners(225, 225, 275, 275), Wheels(2400, 1300, 1300))
    (1320.0, 0.0)
    """
    _check_readings(readings)
    x = wheels.wheelbase_mm * readings.rear / readings.total
    front = (readings.front_right - readings.front_left) * wheels.track_front_mm / 2
    rear = (readings.rear_right - readings.rear_left) * wheels.track_rear_mm / 2
    return x, (front + rear) / readings.total


def unlisted(
    items: Iterable[Item], readings: Corners, wheels: Wheels, resolution_kg: float = 0.5
) -> Unlisted:
    """Say which mass, and where, would make the list agree with the scales.

    Parameters
    ----------
    items : iterable of Item
        The list, in the state in which the car was weighed.
    readings : Corners
        The four scales [kg].
    wheels : Wheels
        Wheelbase and tracks [mm].
    resolution_kg : float, optional
        What one scale can tell apart [kg].

    Returns
    -------
    Unlisted
        The missing mass, and where it sits.

    Raises
    ------
    WeightInputError
        If the list or a reading cannot be meant.

    Examples
    --------
    >>> car = [Item("bare car", 900, 1100, 0, 500)]
    >>> found = unlisted(car, Corners(240, 240, 230, 230), Wheels(2400, 1300, 1300))
    >>> found.mass_kg, round(found.x_mm)
    (40.0, 2850)
    """
    listed: Balance = balance(items, wheels)
    x, y = standing(readings, wheels)
    missing = readings.total - listed.mass_kg
    of_list = listed.corners
    x_missing = y_missing = None
    if abs(missing) > 4 * resolution_kg:
        x_missing = (readings.total * x - listed.mass_kg * listed.x_mm) / missing
        y_missing = (readings.total * y - listed.mass_kg * listed.y_mm) / missing
    return Unlisted(
        missing,
        x_missing,
        y_missing,
        _is_inside(x_missing, y_missing, wheels),
        readings.front - of_list.front,
        readings.rear - of_list.rear,
        readings.left - of_list.left,
        readings.right - of_list.right,
    )


def height_by_lifting(
    *, total_kg: float, front_level_kg: float, front_lifted_kg: float, lift_mm: float, wheels: Wheels,
    wheel_radius_mm: float,
) -> float:  # fmt: skip
    """Give the height of the centre of gravity from weighing the front axle with the rear lifted.

    Parameters
    ----------
    total_kg : float
        The whole car [kg].
    front_level_kg, front_lifted_kg : float
        The front axle level, and with the rear axle lifted [kg].
    lift_mm : float
        How far the rear wheels' centres were raised above the front ones [mm].
    wheels : Wheels
        The car; only its wheelbase counts [mm].
    wheel_radius_mm : float
        Height of the axles above the ground [mm].

    Returns
    -------
    float
        Height of the centre of gravity above the ground [mm].

    Raises
    ------
    WeightInputError
        If a figure is not positive, the axle got lighter, or the lift is too small or too large to tell.

    Notes
    -----
    h = r + (F' - F) L / (W tan θ), with F and F' the front axle level and lifted, W the whole car, L the
    wheelbase, r the height of the axles and sin θ = lift / L: W. F. and D. L. Milliken (1995) 'Race Car
    Vehicle Dynamics', SAE, chapter 18 (from memory). The springs are taken as locked and the tanks as full
    or empty.

    Examples
    --------
    >>> round(height_by_lifting(total_kg=900, front_level_kg=430, front_lifted_kg=446.5, lift_mm=600,
    ...                         wheels=Wheels(2400, 1300, 1300), wheel_radius_mm=300))
    470
    """
    for name, words, value in (
        ("total_kg", "Whole car", total_kg),
        ("front_level_kg", "Front axle level", front_level_kg),
        ("front_lifted_kg", "Front axle with the rear lifted", front_lifted_kg),
        ("lift_mm", "Lift", lift_mm),
        ("wheel_radius_mm", "Height of the axles", wheel_radius_mm),
    ):
        if not (math.isfinite(value) and value > 0):
            raise WeightInputError(name, f"{words}: give a figure greater than 0.")
    if lift_mm >= wheels.wheelbase_mm:
        raise WeightInputError(
            "lift_mm", "Lift: more than the wheelbase. Give the rise of the rear axle in mm."
        )
    angle = math.asin(lift_mm / wheels.wheelbase_mm)
    if not LEAST_LIFT_DEG <= math.degrees(angle) <= MOST_LIFT_DEG:
        raise WeightInputError(
            "lift_mm",
            f"Lift: {math.degrees(angle):.1f}° is outside {LEAST_LIFT_DEG:g} to {MOST_LIFT_DEG:g}°; "
            "too little tells nothing, too much moves fluids and springs.",
        )
    if front_lifted_kg <= front_level_kg or front_lifted_kg >= total_kg:
        raise WeightInputError(
            "front_lifted_kg",
            "The front axle gets heavier when the rear is lifted, but not as heavy as the car: weigh again.",
        )
    rise = (front_lifted_kg - front_level_kg) * wheels.wheelbase_mm / (total_kg * math.tan(angle))
    return wheel_radius_mm + rise


def _check_readings(readings: Corners) -> None:
    for name in ("front_left", "front_right", "rear_left", "rear_right"):
        value = getattr(readings, name)
        if not (math.isfinite(value) and 0 <= value <= HEAVIEST_KG):
            raise WeightInputError(
                f"{name}_kg",
                f"Scales, {name.replace('_', ' ')}: {value:g} kg cannot be. Give 0 to {HEAVIEST_KG:g} kg.",
            )
    if readings.total <= 0:
        raise WeightError("All four scales show 0: enter what they read with the car on them.")


def _is_inside(x_mm: float | None, y_mm: float | None, wheels: Wheels) -> bool:
    if x_mm is None or y_mm is None:
        return True
    reach = wheels.wheelbase_mm / 2  # an overhang of half the wheelbase is longer than any car's
    widest = max(wheels.track_front_mm, wheels.track_rear_mm) / 2 + 200
    return -reach <= x_mm <= wheels.wheelbase_mm + reach and abs(y_mm) <= widest

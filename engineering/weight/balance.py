"""How a list of items stands on the wheels: total, centre of gravity, axles and corners.

Moments about the front axle give the axles (any textbook of statics). The four corners are not given by
statics alone: a car on four wheels is a table on four legs. They are shared out as those of a rigid car
on four equal springs, which a car with wound-up springs, a twisted chassis or a heavy anti-roll bar is not:
the sheet says so, and scales have the last word.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from engineering.weight.items import Item, Wheels, checked_items

NEWTON_PER_KGF = 9.80665
"""Standard gravity [m/s²], CGPM 1901."""


@dataclass(frozen=True)
class Corners:
    """What each wheel carries [kg].

    Parameters
    ----------
    front_left, front_right, rear_left, rear_right : float
        Load, as scales show it; negative where the wheel would have to be held down [kg].
    """

    front_left: float
    front_right: float
    rear_left: float
    rear_right: float

    @property
    def front(self) -> float:
        """The front axle [kg]."""
        return self.front_left + self.front_right

    @property
    def rear(self) -> float:
        """The rear axle [kg]."""
        return self.rear_left + self.rear_right

    @property
    def left(self) -> float:
        """The left side [kg]."""
        return self.front_left + self.rear_left

    @property
    def right(self) -> float:
        """The right side [kg]."""
        return self.front_right + self.rear_right

    @property
    def total(self) -> float:
        """All four [kg]."""
        return self.front + self.rear

    @property
    def diagonal_share(self) -> float:
        """Front right and rear left over the total: 0.5 where the car is not wound up."""
        return (self.front_right + self.rear_left) / self.total


@dataclass(frozen=True)
class Balance:
    """How the car stands.

    Parameters
    ----------
    mass_kg : float
        Everything on the list [kg].
    x_mm, y_mm, z_mm : float
        Centre of gravity: aft of the front axle, right of the middle, above the ground [mm].
    corners : Corners
        What each wheel carries [kg].
    lifted : tuple of str
        Wheels that would leave the ground; empty for any car that is driven.
    """

    mass_kg: float
    x_mm: float
    y_mm: float
    z_mm: float
    corners: Corners
    lifted: tuple[str, ...] = ()

    @property
    def front_share(self) -> float:
        """Front axle over the total."""
        return self.corners.front / self.mass_kg

    @property
    def left_share(self) -> float:
        """Left side over the total."""
        return self.corners.left / self.mass_kg


def balance(items: Iterable[Item], wheels: Wheels) -> Balance:
    """Work out how a list stands on the wheels.

    Parameters
    ----------
    items : iterable of Item
        Everything that has a mass, once.
    wheels : Wheels
        Wheelbase and tracks [mm].

    Returns
    -------
    Balance
        Total, centre of gravity, and what each wheel carries.

    Raises
    ------
    WeightInputError
        If an item or the list cannot be meant.

    Notes
    -----
    x = Σ m x / Σ m, likewise y and z. Rear axle = M x / L, front axle = M (1 - x / L), with L the wheelbase.
    Corners: R = a + b x + c y at each wheel, with a, b and c such that forces and moments balance.

    Examples
    --------
    A published exercise: 890 kg, wheelbase 2.35 m, centre of gravity 0.78 m behind the front axle.

    >>> found = balance([Item("car", 890, 780, 0, 500)], Wheels(2350, 1300, 1300))
    >>> round(found.corners.front_left * 9.81, 1), round(found.corners.rear_left * 9.81, 1)
    (2916.5, 1449.0)
    """
    found = checked_items(items, wheels)
    mass = math.fsum(item.mass_kg for item in found)
    x, y, z = (
        math.fsum(item.mass_kg * getattr(item, axis) for item in found) / mass
        for axis in ("x_mm", "y_mm", "z_mm")
    )
    corners = _corners(mass, x, y, wheels)
    lifted = tuple(
        name.replace("_", " ")
        for name in ("front_left", "front_right", "rear_left", "rear_right")
        if getattr(corners, name) < 0
    )
    return Balance(mass, x, y, z, corners, lifted)


def _corners(mass: float, x: float, y: float, wheels: Wheels) -> Corners:
    base, front, rear = wheels.wheelbase_mm, wheels.track_front_mm / 2, wheels.track_rear_mm / 2
    places = np.array([(0.0, -front), (0.0, front), (base, -rear), (base, rear)])
    arms = np.column_stack([np.ones(4), places])  # force, moment about the axle, moment about the middle
    share = np.linalg.solve(arms.T @ arms, np.array([1.0, x, y]))
    return Corners(*(float(load) for load in mass * (arms @ share)))

"""Surge: when a pickup comes dry under steady acceleration and slope, in every direction.

Quasi-static: the surface has settled, square to what the liquid feels. Sloshing is outside the model; a
sudden step can nearly double the first rise.
"""

import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.attitude import HARDEST_G, LEVEL, Attitude, Pull, apparent_up
from engineering.tank.bodies import Place
from engineering.tank.dipping import level_for_litres
from engineering.tank.errors import TankInputError
from engineering.tank.hollow import Hollow

MOST_DIRECTIONS = 360


@dataclass(frozen=True)
class Uncovering:
    """What is left in the tank when the pickup comes dry, in one direction.

    Parameters
    ----------
    direction_deg : float
        Of the car's acceleration: 0 gathering speed, 90 a left-hand bend, 180 braking, 270 a right-hand
        bend [°].
    pull : Pull
        The same as components.
    litres_left : float
        In the tank when the surface just leaves the pickup [L].
    """

    direction_deg: float
    pull: Pull
    litres_left: float


@dataclass(frozen=True)
class SurgePolar:
    """What is left when the pickup comes dry, all round.

    Parameters
    ----------
    g : float
        Size of the acceleration [g].
    around : tuple of Uncovering
        By rising direction.
    worst : Uncovering
        The direction that leaves most behind.
    """

    g: float
    around: tuple[Uncovering, ...]
    worst: Uncovering


def litres_when_uncovered(
    inside: Hollow, pickup_mm: Place, pull: Pull, attitude: Attitude = LEVEL, free_share: float = 1.0
) -> float:
    """What the tank still holds when the surface just leaves the pickup.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    pickup_mm : tuple of float
        Its mouth [mm].
    pull : Pull
        Steady acceleration of the car.
    attitude : Attitude
        How it stands.
    free_share : float
        Share of the inside that liquid can take, less than 1 with foam [-].

    Returns
    -------
    float
        Volume below the plane through the pickup [L].

    Raises
    ------
    TankInputError
        If an acceleration or a slope is out of range.

    Notes
    -----
    One connected surface is assumed. A pot that holds its own pool above that plane does better; see
    `pot_pool`.

    Examples
    --------
    Braking at 0.5 g empties the rear of a box: 600 × 400 mm, pickup 10 mm up at mid-length. The surface
    falls to the rear by a half and leaves a triangle of 320 × 160 mm at the front.

    >>> from engineering.tank.solid import solid_box
    >>> box = solid_box((0, 0, 0), (600, 400, 200))
    >>> litres_when_uncovered(box, (300, 200, 10), Pull(forwards_g=-0.5))
    10.24
    """
    up = apparent_up(attitude, pull)
    level = float(np.asarray(pickup_mm) @ up)
    return float(inside.litres_below(up, np.array([level]))[0]) * free_share


def surge_polar(
    inside: Hollow,
    pickup_mm: Place,
    g: float,
    directions: int = 72,
    attitude: Attitude = LEVEL,
    free_share: float = 1.0,
) -> SurgePolar:
    """What is left when the pickup comes dry, in every direction of one acceleration.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    pickup_mm : tuple of float
        Mouth of the pickup [mm].
    g : float
        Size of the acceleration, from 0 to 5 [g].
    directions : int
        How many, evenly round, a multiple of 4 so that the four plain ones are among them.
    attitude : Attitude
        How the car stands.
    free_share : float
        Share of the inside that liquid can take, less than 1 with foam [-].

    Returns
    -------
    SurgePolar

    Raises
    ------
    TankInputError
        If the acceleration is negative, above 5 g or no number.

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> polar = surge_polar(solid_box((0, 0, 0), (600, 400, 200)), (300, 200, 10), 0.5, 4)
    >>> [(leg.direction_deg, round(leg.litres_left, 3)) for leg in polar.around]
    [(0.0, 10.24), (90.0, 7.26), (180.0, 10.24), (270.0, 7.26)]
    """
    check_g(g)
    count = 4 * max(1, min(directions, MOST_DIRECTIONS) // 4)
    around = []
    for number in range(count):
        direction = 360 * number / count
        # exact zeros on the four plain directions
        pull = Pull(_share(number, count) * g, _share(number - count // 4, count) * g)
        left = litres_when_uncovered(inside, pickup_mm, pull, attitude, free_share)
        around.append(Uncovering(direction, pull, left))
    return SurgePolar(g, tuple(around), max(around, key=lambda leg: leg.litres_left))


def highest_g(
    inside: Hollow, pickup_mm: Place, litres: float, direction_deg: float, attitude: Attitude = LEVEL
) -> float:
    """The acceleration at which a pickup comes dry with so much in the tank.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    pickup_mm : tuple of float
        Mouth of the pickup [mm].
    litres : float
        What the tank holds [L].
    direction_deg : float
        Direction of the acceleration, as in `Uncovering` [°].
    attitude : Attitude
        How the car stands.

    Returns
    -------
    float
        The first acceleration at which it is dry; 5 where it stays covered up to there, 0 where it is dry
        standing still [g].

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> round(highest_g(solid_box((0, 0, 0), (600, 400, 200)), (300, 200, 10), 10.24, 180), 4)
    0.5
    """
    toward = np.array([math.cos(math.radians(direction_deg)), math.sin(math.radians(direction_deg))])

    def dry(g: float) -> bool:
        pull = Pull(float(g * toward[0]), float(g * toward[1]))
        return litres_when_uncovered(inside, pickup_mm, pull, attitude) >= litres

    if dry(0.0):
        return 0.0
    steps = np.linspace(0, HARDEST_G, 101)
    first = next((number for number, g in enumerate(steps) if dry(float(g))), None)
    if first is None:
        return HARDEST_G
    low, high = float(steps[first - 1]), float(steps[first])
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if dry(middle) else (middle, high)
    return high


def surface_height_mm(
    inside: Hollow, litres: float, pull: Pull, at_mm: tuple[float, float], attitude: Attitude = LEVEL
) -> float:
    """Where the surface stands over a place, with so much in the tank.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    litres : float
        What it holds [L].
    pull : Pull
        Steady acceleration of the car.
    at_mm : tuple of float
        x and y of the place [mm].
    attitude : Attitude
        How the car stands.

    Returns
    -------
    float
        Height z of the plane there, which may lie outside the tank [mm].

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> box = solid_box((0, 0, 0), (600, 400, 200))
    >>> surface_height_mm(box, 24, Pull(forwards_g=0.2), (0, 200))
    160.0
    """
    up = apparent_up(attitude, pull)
    level = level_for_litres(inside, up, litres)
    return float((level - at_mm[0] * up[0] - at_mm[1] * up[1]) / up[2])


def check_g(g: float) -> None:
    """Refuse an acceleration that cannot be meant.

    Parameters
    ----------
    g : float
        Size of the acceleration [g].

    Raises
    ------
    TankInputError
        Of 'surge_g'.
    """
    if not math.isfinite(g) or not 0 <= g <= HARDEST_G:
        raise TankInputError(
            "surge_g",
            f"Acceleration: {g:g} g is outside 0 to {HARDEST_G:g} g, which no car on wheels does; check the "
            "point. Road tyres hold about 1 g.",
        )


def _share(number: int, count: int) -> float:
    """Cosine of a share of the round, exact at the quarters."""
    quarters = {0: 1.0, count // 4: 0.0, count // 2: -1.0, 3 * count // 4: 0.0}
    return quarters.get(number % count, math.cos(2 * math.pi * number / count))

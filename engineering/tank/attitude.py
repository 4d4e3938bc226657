"""Which way is up for the liquid: how the car stands, and what it is doing.

Axes of every tank: x forwards, y to the left, z up, in millimetres (the sense of ISO 8855).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.tank.errors import TankInputError

Vector = NDArray[np.float64]

STANDARD_GRAVITY = 9.80665
"""[m/s^2], CGPM 1901 (exact)."""

STEEPEST_DEG = 60.0
HARDEST_G = 5.0
"""Beyond what any car on wheels does; 50 is a slip of the point."""


@dataclass(frozen=True)
class Attitude:
    """How the car stands.

    Parameters
    ----------
    nose_up_deg : float
        Slope of the car's length, positive with the nose up [°].
    left_up_deg : float
        Slope across the car, positive with the left side up [°].
    """

    nose_up_deg: float = 0.0
    left_up_deg: float = 0.0

    @classmethod
    def on_slope(cls, nose_up_percent: float = 0.0, left_up_percent: float = 0.0) -> "Attitude":
        """An attitude from slopes in per cent, as roads are signed.

        Parameters
        ----------
        nose_up_percent, left_up_percent : float
            Rise along and across the car per hundred of run [%].

        Returns
        -------
        Attitude

        Examples
        --------
        >>> Attitude.on_slope(100).nose_up_deg
        45.0
        """
        return cls(
            math.degrees(math.atan(nose_up_percent / 100)), math.degrees(math.atan(left_up_percent / 100))
        )

    def up(self) -> Vector:
        """Unit vector away from the centre of the earth, in the axes of the tank.

        Returns
        -------
        ndarray, shape (3,)
            Components forwards, to the left, and up [-].

        Raises
        ------
        TankInputError
            If a slope is not a number or steeper than 60°.

        Examples
        --------
        >>> Attitude().up()
        array([0., 0., 1.])
        """
        for field, words, slope_deg in (
            ("nose_up_deg", "Nose up", self.nose_up_deg),
            ("left_up_deg", "Left side up", self.left_up_deg),
        ):
            if not math.isfinite(slope_deg) or abs(slope_deg) > STEEPEST_DEG:
                raise TankInputError(
                    field,
                    f"{words}: {slope_deg:g}° is outside -{STEEPEST_DEG:g} to {STEEPEST_DEG:g}°; "
                    "give the slope on which the car stands.",
                )
        along, across = math.radians(self.nose_up_deg), math.radians(self.left_up_deg)
        return np.array(
            [math.sin(along), math.cos(along) * math.sin(across), math.cos(along) * math.cos(across)]
        )


LEVEL = Attitude()


@dataclass(frozen=True)
class Pull:
    """What the car is doing, as steady acceleration of the car.

    Parameters
    ----------
    forwards_g : float
        Positive when gathering speed, negative when braking [g].
    leftwards_g : float
        Positive in a left-hand bend [g].
    """

    forwards_g: float = 0.0
    leftwards_g: float = 0.0

    @property
    def magnitude_g(self) -> float:
        """Size of the horizontal acceleration [g]."""
        return math.hypot(self.forwards_g, self.leftwards_g)


AT_REST = Pull()


def apparent_up(attitude: Attitude = LEVEL, pull: Pull = AT_REST) -> Vector:
    """Direction square to the free surface of a liquid that has settled.

    Parameters
    ----------
    attitude : Attitude
        How the car stands.
    pull : Pull
        Its steady acceleration, along its own axes.

    Returns
    -------
    ndarray, shape (3,)
        Unit vector in the axes of the tank [-].

    Raises
    ------
    TankInputError
        If an acceleration is not a number or above 5 g, or a slope is steeper than 60°.

    Notes
    -----
    Relative equilibrium: the surface is square to g - a, so that tan(theta) = a/g on the level [1]_. Liquid
    piles up against the acceleration: at the rear when gathering speed, at the right in a left-hand bend.

    References
    ----------
    .. [1] F. M. White, Fluid Mechanics, section 2.9, rigid-body motion (section from memory).

    Examples
    --------
    A bend of 1 g slopes the surface by 45°:

    >>> surface = apparent_up(pull=Pull(leftwards_g=1.0))
    >>> round(math.degrees(math.acos(surface[2])), 9)
    45.0
    """
    return apparent_gravity_g(attitude, pull)[1]


def apparent_gravity_g(attitude: Attitude = LEVEL, pull: Pull = AT_REST) -> tuple[float, Vector]:
    """How heavily, and along which direction, the liquid feels itself pressed.

    Parameters
    ----------
    attitude : Attitude
        How the car stands.
    pull : Pull
        Its steady acceleration, along its own axes.

    Returns
    -------
    tuple of float and ndarray
        Apparent gravity [g], and the unit vector against it [-].

    Raises
    ------
    TankInputError
        As `apparent_up`.

    Examples
    --------
    >>> round(apparent_gravity_g(pull=Pull(forwards_g=1.0))[0], 6)
    1.414214
    """
    for field, words, pull_g in (
        ("forwards_g", "Acceleration forwards", pull.forwards_g),
        ("leftwards_g", "Acceleration to the left", pull.leftwards_g),
    ):
        if not math.isfinite(pull_g) or abs(pull_g) > HARDEST_G:
            raise TankInputError(
                field,
                f"{words}: {pull_g:g} g is outside -{HARDEST_G:g} to {HARDEST_G:g} g, which no car on "
                "wheels does; check the point.",
            )
    felt = attitude.up() + np.array([pull.forwards_g, pull.leftwards_g, 0.0])
    size = float(np.linalg.norm(felt))
    return size, felt / size

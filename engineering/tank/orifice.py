"""Flow through holes, and how long a tank takes to run out through one."""

import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.attitude import STANDARD_GRAVITY
from engineering.tank.bodies import Place
from engineering.tank.hollow import Hollow

SHARP_HOLE = 0.61
"""Discharge coefficient of a sharp-edged hole, 0.60 to 0.62 (from memory of the usual handbooks)."""


@dataclass(frozen=True)
class Hole:
    """A hole in the wall of a pot.

    Parameters
    ----------
    diameter_mm : float
        Diameter [mm].
    at_mm : tuple of float
        Its middle [mm].
    has_flap : bool
        Whether a flap lets liquid in but not out.
    coefficient : float
        Share of the ideal flow that passes, 0.61 for a sharp edge [-].
    """

    diameter_mm: float
    at_mm: Place
    has_flap: bool = False
    coefficient: float = SHARP_HOLE


def orifice_l_s(hole: Hole, head_mm: float, gravity_m_s2: float = STANDARD_GRAVITY) -> float:
    """Flow through a drowned hole.

    Parameters
    ----------
    hole : Hole
        The hole.
    head_mm : float
        Difference of both surfaces, along what the liquid feels as up [mm].
    gravity_m_s2 : float
        What the liquid feels [m/s^2].

    Returns
    -------
    float
        Q = C·A·√(2 g h) [L/s].

    Examples
    --------
    A 16 mm hole under 1.5 m of water with 0.596 passes 0.65 L/s:

    >>> round(orifice_l_s(Hole(16, (0, 0, 0), coefficient=0.596), 1500), 3)
    0.65
    """
    area_m2 = math.pi / 4 * (hole.diameter_mm / 1000) ** 2
    return 1000 * hole.coefficient * area_m2 * math.sqrt(2 * gravity_m_s2 * max(head_mm, 0.0) / 1000)


def drain_seconds(inside: Hollow, hole: Hole, from_mm: float, to_mm: float) -> float:
    """How long a vented tank, standing level, takes to run out through a hole at its lowest point.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    hole : Hole
        The hole; where it stands is not looked at.
    from_mm, to_mm : float
        Depths above the lowest point [mm].

    Returns
    -------
    float
        Time [s].

    Notes
    -----
    t = ∫ dV / (C·A·√(2 g h)) between both depths, summed over 20,000 steps even in √h.

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> tank = solid_box((0, 0, 0), (100, 100, 400))
    >>> round(drain_seconds(tank, Hole(10, (0, 0, 0)), 400, 0), 1)
    59.6
    """
    roots = np.linspace(math.sqrt(from_mm), math.sqrt(to_mm), 20_001)
    up = np.array([0.0, 0.0, 1.0])
    litres = inside.litres_below(up, inside.span_mm(up)[0] + roots**2)
    middle_mm = ((roots[1:] + roots[:-1]) / 2) ** 2
    flow = np.array([orifice_l_s(hole, 1.0)]) * np.sqrt(middle_mm)
    return float(np.sum((litres[:-1] - litres[1:]) / flow))

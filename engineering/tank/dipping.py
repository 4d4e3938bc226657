"""Dip charts at any attitude: litres against the wet length of a stick, as the car stands."""

import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.attitude import LEVEL, Attitude
from engineering.tank.cutting import Floats
from engineering.tank.dip import MOST_ROWS, DipRow
from engineering.tank.errors import TankInputError
from engineering.tank.hollow import Hollow
from engineering.tank.inputs import check_positive_mm

_PASSES = 14
_FAN = 33


@dataclass(frozen=True)
class Stick:
    """A dip stick or sender tube, upright in the tank.

    Parameters
    ----------
    x_mm, y_mm : float
        Where it stands, forwards and to the left [mm].
    foot_mm, head_mm : float
        Floor and roof there, as z in the axes of the tank [mm].
    """

    x_mm: float
    y_mm: float
    foot_mm: float
    head_mm: float

    @property
    def length_mm(self) -> float:
        """From floor to roof [mm]."""
        return self.head_mm - self.foot_mm

    def levels_mm(self, up: Floats, depths_mm: Floats) -> Floats:
        """Heights along `up` of surfaces that wet so much of the stick.

        Parameters
        ----------
        up : ndarray, shape (3,)
            Unit vector square to the surface [-].
        depths_mm : ndarray
            Wet lengths of the stick [mm].

        Returns
        -------
        ndarray
            Heights [mm].
        """
        foot = np.array([self.x_mm, self.y_mm, self.foot_mm])
        return np.asarray(float(foot @ up) + np.asarray(depths_mm) * up[2])

    def depths_mm(self, up: Floats, levels_mm: Floats) -> Floats:
        """Wet lengths of the stick; the other way round of `levels_mm`.

        Parameters
        ----------
        up : ndarray, shape (3,)
            Unit vector square to the surface [-].
        levels_mm : ndarray
            Heights along `up` [mm].

        Returns
        -------
        ndarray
            Wet lengths, less than 0 where the foot is dry [mm].
        """
        foot = np.array([self.x_mm, self.y_mm, self.foot_mm])
        return np.asarray((np.asarray(levels_mm) - float(foot @ up)) / up[2])


def stick_at(inside: Hollow, x_mm: float, y_mm: float, field: str = "stick") -> Stick:
    """A stick from floor to roof at a place in the tank.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    x_mm, y_mm : float
        Where it stands [mm].
    field : str
        Name of the input at fault.

    Returns
    -------
    Stick

    Raises
    ------
    TankInputError
        If there is no tank at that place.

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> stick_at(solid_box((0, 0, -60), (600, 400, 260)), 300, 200).length_mm
    260.0
    """
    upright = inside.upright_mm(x_mm, y_mm)
    if upright is None:
        reach = [bound for axis in np.eye(3)[:2] for bound in inside.span_mm(axis)]
        raise TankInputError(
            field,
            f"Dip stick: at x {x_mm:g} and y {y_mm:g} mm there is no tank, which reaches from x "
            f"{reach[0]:.4g} to {reach[1]:.4g} and from y {reach[2]:.4g} to {reach[3]:.4g} mm. Move it.",
        )
    return Stick(x_mm, y_mm, *upright)


def dip_chart_at(
    inside: Hollow, stick: Stick, step_mm: float, attitude: Attitude = LEVEL, free_share: float = 1.0
) -> tuple[DipRow, ...]:
    """Litres against the wet length of a stick, as the car stands.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    stick : Stick
        Where depth is read, along the upright of the tank [mm].
    step_mm : float
        Step between lines [mm]; the last, at the roof, may be shorter.
    attitude : Attitude
        How the car stands.
    free_share : float
        Share of the inside that liquid can take, less than 1 with foam [-].

    Returns
    -------
    tuple of DipRow
        From the foot to the head of the stick. On a slope a dry stick need not mean an empty tank, nor a
        wholly wet one a full tank.

    Raises
    ------
    TankInputError
        If the step is not greater than 0, would make more than 400 lines, or the slope is too steep.

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> box = solid_box((0, 0, 0), (600, 400, 25))
    >>> [(row.depth_mm, row.litres) for row in dip_chart_at(box, stick_at(box, 300, 200), 10)]
    [(0.0, 0.0), (10.0, 2.4), (20.0, 4.8), (25.0, 6.0)]
    """
    check_positive_mm("dip_step_mm", "Dip chart step", step_mm)
    if stick.length_mm / step_mm > MOST_ROWS:
        raise TankInputError(
            "dip_step_mm",
            f"Dip chart step: {step_mm:g} mm would make more than {MOST_ROWS} lines; "
            f"take {math.ceil(stick.length_mm / MOST_ROWS)} mm or more.",
        )
    up = attitude.up()
    # without the tiny allowance a step that divides the length would give the last line twice
    whole_steps = math.ceil(stick.length_mm / step_mm - 1e-9)
    depths = np.append(np.arange(whole_steps) * step_mm, stick.length_mm)
    litres = inside.litres_below(up, stick.levels_mm(up, depths))
    return tuple(
        DipRow(float(depth), float(volume) * free_share, 100 * float(volume) / inside.full_l)
        for depth, volume in zip(depths, litres, strict=True)
    )


def level_for_litres(inside: Hollow, up: Floats, litres: float) -> float:
    """Height of the surface when the inside holds so many litres: the chart read backwards.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    up : ndarray, shape (3,)
        Unit vector square to the surface [-].
    litres : float
        Volume, from 0 to the whole; beyond, the nearer end is taken [L].

    Returns
    -------
    float
        Height along `up` [mm].

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> level_for_litres(solid_box((0, 0, 0), (600, 400, 200)), np.array([0.0, 0.0, 1.0]), 12)
    50.0
    """
    low, high = inside.span_mm(up)
    if litres <= 0:
        return low
    if litres >= inside.full_l:
        return high
    for _ in range(_PASSES):  # each pass narrows by thirty-two
        levels = np.linspace(low, high, _FAN)
        place = int(np.searchsorted(inside.litres_below(up, levels), litres))
        place = min(max(place, 1), _FAN - 1)
        low, high = float(levels[place - 1]), float(levels[place])
        if high - low <= 1e-11 * max(1.0, abs(high)):
            break
    return high

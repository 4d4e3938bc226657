"""Filling and breathing: the air that must leave while fuel comes in, and the air that stays.

While the nozzle runs, as much air leaves as fuel comes in. The pressure that this takes lifts fuel in the
filler neck; when the lift reaches the mouth of the nozzle, its sensing hole is covered and it clicks off.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from engineering.tank.attitude import STANDARD_GRAVITY, Attitude, Vector
from engineering.tank.errors import TankInputError
from engineering.tank.pipes import Flow, check_between
from engineering.tank.vents import Vent, air_through

SLOWEST_NOZZLE_L_MIN, FASTEST_NOZZLE_L_MIN = 0.5, 240.0
HIGHEST_PA = 5000.0
"""In the tank; above, air is not incompressible within 5 %, and no use comes near it."""
ZERO_C_K = 273.15


class Space(Protocol):
    """The inside of a tank, as `Solid` is."""

    @property
    def full_l(self) -> float:
        """Volume of the whole [L]."""

    def litres_below(self, up: Vector, levels_mm: Vector) -> Vector:
        """Litres below planes square to `up`."""


@dataclass(frozen=True)
class Filling:
    """What filling at one flow does.

    Parameters
    ----------
    air : Flow
        The air in the vent.
    back_pressure_pa : float
        Pressure in the tank over the air outside [Pa].
    lift_mm : float
        How far that pressure lifts fuel in the filler neck [mm].
    room_mm : float
        Height of the nozzle's mouth over the fuel that stands in the neck [mm].
    clicks_off : bool
        The lift reaches the nozzle before the tank is full.
    spills_at_vent : bool
        The vent's outlet is below the nozzle: overfilled, fuel leaves there first.
    """

    air: Flow
    back_pressure_pa: float
    lift_mm: float
    room_mm: float
    clicks_off: bool
    spills_at_vent: bool


def fill(
    vent: Vent, litres_per_min: float, nozzle_over_brim_mm: float, liquid_kg_m3: float, vents: int = 1
) -> Filling:
    """Hold a vent against the flow of a nozzle.

    Parameters
    ----------
    vent : Vent
        One line; several are taken as alike and side by side.
    litres_per_min : float
        What the nozzle delivers; about 38 in America (40 CFR 80.22(j): 10 US gal/min) and 45 in Europe
        [L/min].
    nozzle_over_brim_mm : float
        Height of the nozzle's mouth over the fuel at brim level [mm].
    liquid_kg_m3 : float
        Density of what is filled in [kg/m^3].
    vents : int
        How many such lines.

    Returns
    -------
    Filling
        Air speed, back pressure, and whether the nozzle clicks off.

    Raises
    ------
    TankInputError
        If a figure is not that of a car's filler.

    Notes
    -----
    Air out = fuel in, taken as incompressible: refused above 5 kPa, where that would be out by 5 %. Foam,
    liquid in the vent and vapour are left out; they are what a generous bore is for.

    Examples
    --------
    >>> found = fill(Vent(14.3, 2, 3), 45, 150, 745)
    >>> print(f"{found.air.velocity_m_s:.1f} m/s, lifts fuel {found.lift_mm:.0f} mm")
    4.7 m/s, lifts fuel 18 mm
    """
    nozzles = (SLOWEST_NOZZLE_L_MIN, FASTEST_NOZZLE_L_MIN)
    check_between("litres_per_min", "Filling", litres_per_min, *nozzles, "L/min")
    check_between("nozzle_over_brim_mm", "Nozzle over the brim", nozzle_over_brim_mm, 0.0, 2000.0, "mm")
    check_between("liquid_kg_m3", "Density", liquid_kg_m3, 600.0, 1300.0, "kg/m³")
    air = air_through(vent, litres_per_min, vents)
    pressure = air.drop_kpa * 1000
    if pressure > HIGHEST_PA:
        raise TankInputError(
            "bore_mm",
            f"Vent bore: {vent.bore_mm:g} mm would put {pressure / 1000:.0f} kPa into the tank, far beyond "
            "any use. Give it a wider bore or a shorter line.",
        )
    lift = pressure / (liquid_kg_m3 * STANDARD_GRAVITY) * 1000
    return Filling(
        air=air,
        back_pressure_pa=pressure,
        lift_mm=lift,
        room_mm=nozzle_over_brim_mm,
        clicks_off=lift >= nozzle_over_brim_mm,
        spills_at_vent=vent.outlet_over_nozzle_mm < 0,
    )


def most_l_min(vent: Vent, nozzle_over_brim_mm: float, liquid_kg_m3: float, vents: int = 1) -> float:
    """The fastest filling at which the nozzle does not click off before the tank is full.

    Parameters
    ----------
    vent : Vent
        One line; several are taken as alike and side by side.
    nozzle_over_brim_mm : float
        Height of the nozzle's mouth over the fuel at brim level [mm].
    liquid_kg_m3 : float
        Density of what is filled in [kg/m^3].
    vents : int
        How many such lines.

    Returns
    -------
    float
        At most 240, which is more than any nozzle of a forecourt; 0 where even a trickle backs up [L/min].

    Raises
    ------
    TankInputError
        If a figure is not that of a car's filler.

    Examples
    --------
    >>> round(most_l_min(Vent(9.5, 2, 3), 150, 745), 1)
    53.6
    """

    def backs_up(flow: float) -> bool:
        head_pa = liquid_kg_m3 * STANDARD_GRAVITY * nozzle_over_brim_mm / 1000
        return air_through(vent, flow, vents).drop_kpa * 1000 >= min(head_pa, HIGHEST_PA)

    low, high = SLOWEST_NOZZLE_L_MIN, FASTEST_NOZZLE_L_MIN
    if not backs_up(high):
        return high
    if backs_up(low):
        return 0.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (low, middle) if backs_up(middle) else (middle, high)
    return low


@dataclass(frozen=True)
class Trapped:
    """Air that cannot leave when the car stands on a slope.

    Parameters
    ----------
    brimmed_l : float
        What goes in until the last open vent is covered [L].
    trapped_l : float
        What stays as air above it [L].
    last_vent : int
        Number of the vent that stays open longest, from 0.
    """

    brimmed_l: float
    trapped_l: float
    last_vent: int


def brimmed(space: Space, vents_mm: Sequence[tuple[float, float, float]], attitude: Attitude) -> Trapped:
    """Say how full a tank can be brimmed on a slope.

    Parameters
    ----------
    space : Space
        The inside of the tank, in its own axes [mm].
    vents_mm : sequence of (float, float, float)
        Mouth of each vent in the tank: forwards, to the left, up [mm].
    attitude : Attitude
        How the car stands.

    Returns
    -------
    Trapped
        What goes in and what stays air.

    Raises
    ------
    TankInputError
        If there is no vent, one is not a number, or the slope is too steep.

    Notes
    -----
    The surface is level; it rises until the highest vent is covered. Whatever the tank holds above that
    level is trapped. All vents are taken as joined above the tank, so that air may leave by any of them.

    Examples
    --------
    >>> from engineering.tank.solid import solid_box
    >>> box = solid_box((0, 0, 0), (600, 400, 200))
    >>> round(brimmed(box, [(0, 200, 200)], Attitude.on_slope(5)).trapped_l, 2)
    3.6
    """
    if not vents_mm:
        raise TankInputError("vents", "Vents: without one the tank cannot be filled. Give at least one.")
    places = np.array(vents_mm, dtype=np.float64)
    if not np.isfinite(places).all():
        raise TankInputError("vents", "Vents: a place is not a number. Give forwards, left and up in mm.")
    up = attitude.up()
    heights = places @ up
    last = int(heights.argmax())
    litres = float(space.litres_below(up, heights[last : last + 1])[0])
    return Trapped(litres, space.full_l - litres, last)


def breathing_l_min(
    consumption_l_h: float, air_l: float, warming_c_h: float, air_c: float
) -> tuple[float, float]:
    """Give what a breather has to pass each way.

    Parameters
    ----------
    consumption_l_h : float
        What the engine burns at full power: that much air comes in [L/h].
    air_l : float
        Air over the fuel, at its most: nearly the whole tank [L].
    warming_c_h : float
        How fast the tank warms in the sun: air leaves [°C/h].
    air_c : float
        Temperature of that air [°C].

    Returns
    -------
    tuple of float
        Air in, air out [L/min].

    Raises
    ------
    TankInputError
        If a figure is not that of a car's tank.

    Notes
    -----
    In = consumption. Out = V (dT/dt) / T, the law of Gay-Lussac; vapour comes on top of it and may double
    the flow from warm petrol, so the figure is a lower bound.

    Examples
    --------
    >>> into, out = breathing_l_min(61.2, 60, 10, 20)
    >>> print(f"{into:.2f} in, {out:.3f} out")
    1.02 in, 0.034 out
    """
    check_between("consumption_l_h", "Consumption", consumption_l_h, 0.0, 1000.0, "L/h")
    check_between("air_l", "Air in the tank", air_l, 0.0, 2000.0, "L")
    check_between("warming_c_h", "Warming", warming_c_h, 0.0, 60.0, "°C/h")
    check_between("air_c", "Temperature", air_c, -40.0, 80.0, "°C")
    return consumption_l_h / 60, air_l * warming_c_h / (air_c + ZERO_C_K) / 60

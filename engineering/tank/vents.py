"""Air in a vent line: bore, length, bends, narrow places, and a valve by its maker's curve."""

import math
from dataclasses import dataclass

import fluids.fittings

from engineering.tank.errors import TankInputError
from engineering.tank.pipes import Duty, Flow, Fluid, Line, check_between, flow_through

AIR = Fluid("Air", 1.204, 0.0181, "dry air at 20 °C and 1 atm, from memory")
ENTRANCE_AND_EXIT_K = 1.5
"""A sharp entrance, 0.5, and the loss at the exit, 1: any handbook of pipe flow, for example Crane TP-410."""


@dataclass(frozen=True)
class ValvePoint:
    """One point of a maker's curve, of a roll-over valve or a flame gauze.

    Parameters
    ----------
    pressure_pa : float
        What it loses [Pa].
    litres_per_min : float
        At which flow of air [L/min].
    """

    pressure_pa: float
    litres_per_min: float


@dataclass(frozen=True)
class Vent:
    """A vent line.

    Parameters
    ----------
    bore_mm : float
        Inside diameter of the line [mm].
    length_m : float
        Along the line [m].
    fittings_k : float
        Sum of the loss coefficients of its bends and tees, on the velocity in the bore; entrance and exit
        are added here [-].
    outlet_over_nozzle_mm : float
        Height of the vent's outlet, or of its highest point, over the mouth of the nozzle [mm].
    narrowest_mm : float or None
        Bore of its fittings where that is less than the line's [mm].
    narrow_places : int
        How many such fittings.
    valve : ValvePoint or None
        What a valve in it loses; the loss grows with the square of the flow.
    """

    bore_mm: float
    length_m: float
    fittings_k: float = 0.0
    outlet_over_nozzle_mm: float = 0.0
    narrowest_mm: float | None = None
    narrow_places: int = 1
    valve: ValvePoint | None = None


def narrow_k(narrow_mm: float, bore_mm: float) -> float:
    """Loss of a short narrow place in a line, on the velocity in the line.

    Parameters
    ----------
    narrow_mm : float
        Bore of the narrow place [mm].
    bore_mm : float
        Bore of the line [mm].

    Returns
    -------
    float
        K = (0.5 (1 − β²) + (1 − β²)²) / β⁴ with β = narrow / bore [-].

    Raises
    ------
    TankInputError
        If the narrow place is not narrower than a line, or not a bore at all.

    Notes
    -----
    A sudden contraction and a sudden enlargement, each with its edge square: Crane TP-410, page A-26, by the
    library `fluids`. Far enough apart that the flow fills the narrow place.

    Examples
    --------
    >>> round(narrow_k(7, 14), 2)
    15.0
    """
    check_between("narrowest_mm", "Narrowest bore", narrow_mm, 0.5, 150.0, "mm")
    if narrow_mm > bore_mm:
        raise TankInputError(
            "narrowest_mm",
            f"Narrowest bore: {narrow_mm:g} mm is wider than the line's {bore_mm:g} mm. Leave it empty, or "
            "give the bore of the fitting.",
        )
    into = fluids.fittings.contraction_conical_Crane(bore_mm / 1000, narrow_mm / 1000, l=0.0)
    out = fluids.fittings.diffuser_sharp(narrow_mm / 1000, bore_mm / 1000)
    return float(into + out) * (bore_mm / narrow_mm) ** 4


def air_through(vent: Vent, litres_per_min: float, vents: int = 1) -> Flow:
    """What air does in a vent.

    Parameters
    ----------
    vent : Vent
        One line; several are taken as alike and side by side.
    litres_per_min : float
        Air through all of them [L/min].
    vents : int
        How many such lines.

    Returns
    -------
    Flow
        Velocity in one line and the pressure lost.

    Raises
    ------
    TankInputError
        If a figure is not that of a vent.

    Notes
    -----
    Taken as incompressible, which is out by 5 % at 5 kPa.

    Examples
    --------
    A gauze that loses 40 Pa at 20 L/min loses 160 Pa at 40:

    >>> bare, fitted = (air_through(Vent(16, 1, valve=valve), 40) for valve in (None, ValvePoint(40, 20)))
    >>> round(1000 * (fitted.drop_kpa - bare.drop_kpa))
    160
    """
    check_between("vents", "Vent lines", vents, 1, 8, "")
    check_between("fittings_k", "Fittings of the vent", vent.fittings_k, 0.0, 500.0, "")
    check_between("bore_mm", "Bore", vent.bore_mm, 1.0, 150.0, "mm")
    loss_k = vent.fittings_k + ENTRANCE_AND_EXIT_K + _narrow_places_k(vent) + _valve_k(vent)
    line = Line(Duty.RETURN, vent.bore_mm, vent.length_m, loss_k)
    return flow_through(line, litres_per_min * 60 / vents, AIR, most_k=math.inf)


def _narrow_places_k(vent: Vent) -> float:
    if vent.narrowest_mm is None:
        return 0.0
    check_between("narrow_places", "Narrow fittings", vent.narrow_places, 1, 20, "")
    return vent.narrow_places * narrow_k(vent.narrowest_mm, vent.bore_mm)


def _valve_k(vent: Vent) -> float:
    if vent.valve is None:
        return 0.0
    check_between("valve_pa", "Valve, loses", vent.valve.pressure_pa, 0.0, 20_000.0, "Pa")
    check_between("valve_l_min", "Valve, at a flow of", vent.valve.litres_per_min, 0.1, 1000.0, "L/min")
    speed_m_s = vent.valve.litres_per_min / 60_000 / (math.pi / 4 * (vent.bore_mm / 1000) ** 2)
    return vent.valve.pressure_pa / (AIR.density_kg_m3 * speed_m_s**2 / 2)

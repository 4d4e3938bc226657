"""Pipes and hoses: sizes, velocity, pressure drop, and what a fuel pump has to do."""

import math
from dataclasses import dataclass
from enum import StrEnum

import fluids

from engineering.tank.attitude import STANDARD_GRAVITY
from engineering.tank.errors import TankInputError

MM_PER_DASH = 25.4 / 16
DASHES = (4, 5, 6, 8, 10, 12, 16, 20)
METRIC_BORES_MM = (4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 13.0, 15.0, 16.0, 19.0, 20.0, 25.0, 32.0)
USUAL_WALL_MM = 0.035 * 25.4
"""Wall of the tube that is sold by dash sizes for fuel, 0.035 in: common practice, no source."""

SMOOTH_MM = 0.0015
"""Absolute roughness of drawn tube and rubber hose [mm]; Crane TP-410 (from memory)."""

LAMINAR_BELOW, TURBULENT_FROM = 2000.0, 4000.0
MIN_PER_H = 60.0
G_PER_KWH_PER_LB_PER_HPH = 608.277388
"""1 lb/(hp·h) in g/kWh, from the exact pound and the horsepower of 550 ft·lbf/s."""


class Duty(StrEnum):
    """What a line does."""

    SUCTION = "suction"
    PRESSURE = "pressure"
    RETURN = "return"


HIGHEST_M_S = {Duty.SUCTION: 1.5, Duty.PRESSURE: 3.0, Duty.RETURN: 4.0}
"""Highest usual velocity [m/s]: 0.5 to 1.5 in suction and 2 to 4 in return lines as a hydraulics maker
publishes them; at most 3 for petrol under pressure is common practice, no source."""


@dataclass(frozen=True)
class Fluid:
    """What flows.

    Parameters
    ----------
    name : str
        As printed.
    density_kg_m3 : float
        [kg/m^3].
    viscosity_mpa_s : float
        Dynamic viscosity [mPa·s].
    source : str
        Where the figures are from.
    """

    name: str
    density_kg_m3: float
    viscosity_mpa_s: float
    source: str


FLUIDS = {
    "petrol": Fluid("Petrol", 745.0, 0.55, "middle of 0.5 to 0.7 mPa·s at 20 °C, from memory"),
    "diesel": Fluid("Diesel", 832.0, 2.7, "EN 590: 820 to 845 kg/m³, 2.0 to 4.5 mm²/s at 40 °C"),
    "water": Fluid("Water", 998.2, 1.002, "IAPWS at 20 °C, from memory"),
    "oil_hot": Fluid("Engine oil, hot", 830.0, 12.0, "SAE 40 at about 100 °C: SAE J300 grade limits, memory"),
}

FUELS = ("petrol", "diesel")
"""Those that burn."""


@dataclass(frozen=True)
class Line:
    """One run of pipe or hose.

    Parameters
    ----------
    duty : Duty
        What it does.
    bore_mm : float
        Inside diameter, as the maker states it: a dash number names a tube's outside [mm].
    length_m : float
        Along the run [m].
    loss_k : float
        Sum of the loss coefficients of its fittings, on the velocity in the bore [-].
    rise_m : float
        Height of its end over its beginning; negative when it falls [m].
    roughness_mm : float
        Absolute roughness of the wall [mm].
    """

    duty: Duty
    bore_mm: float
    length_m: float
    loss_k: float = 0.0
    rise_m: float = 0.0
    roughness_mm: float = SMOOTH_MM


@dataclass(frozen=True)
class Flow:
    """What a line does at one flow.

    Parameters
    ----------
    velocity_m_s : float
        Mean velocity [m/s].
    reynolds : float
        Reynolds number [-].
    friction : float
        Darcy friction factor [-].
    friction_kpa, fittings_kpa, rise_kpa : float
        Pressure lost in the wall, in the fittings, and to the rise [kPa].
    is_between : bool
        Neither laminar nor turbulent for certain: the friction may be out by half.
    is_too_fast : bool
        Above what is usual for this duty.
    """

    velocity_m_s: float
    reynolds: float
    friction: float
    friction_kpa: float
    fittings_kpa: float
    rise_kpa: float
    is_between: bool
    is_too_fast: bool

    @property
    def drop_kpa(self) -> float:
        """All of it [kPa]."""
        return self.friction_kpa + self.fittings_kpa + self.rise_kpa


def dash_mm(dash: int) -> float:
    """Outside diameter of the tube that a dash size names.

    Parameters
    ----------
    dash : int
        The number after the dash: sixteenths of an inch.

    Returns
    -------
    float
        Nominal outside diameter of the tube; the bore of a hose of that size is less [mm].

    Raises
    ------
    TankInputError
        If it is not a size that is sold.

    Examples
    --------
    >>> dash_mm(6)
    9.525
    """
    if dash not in DASHES:
        sizes = ", ".join(f"-{size}" for size in DASHES)
        raise TankInputError("dash", f"Dash size: -{dash} is not one of {sizes}.")
    return dash * MM_PER_DASH


def tube_bore_mm(dash: int) -> float:
    """Bore of a tube of a dash size with the usual wall.

    Parameters
    ----------
    dash : int
        The number after the dash: sixteenths of an inch.

    Returns
    -------
    float
        Outside diameter less two walls of 0.035 in; a hose of that size has its maker's bore [mm].

    Raises
    ------
    TankInputError
        If it is not a size that is sold.

    Examples
    --------
    >>> round(tube_bore_mm(6), 2)
    7.75
    """
    return dash_mm(dash) - 2 * USUAL_WALL_MM


def next_sizes(bore_mm: float) -> tuple[float | None, int | None]:
    """The smallest sizes that are sold and have at least a bore.

    Parameters
    ----------
    bore_mm : float
        What is wanted [mm].

    Returns
    -------
    tuple of float and int
        A metric bore [mm] and a dash size; None where none is large enough.

    Raises
    ------
    TankInputError
        If it is not greater than 0.

    Examples
    --------
    >>> next_sizes(7.2)
    (8.0, 6)
    """
    if not (math.isfinite(bore_mm) and bore_mm > 0):
        raise TankInputError("bore_mm", "Bore: give a figure greater than 0.")
    metric = next((bore for bore in METRIC_BORES_MM if bore >= bore_mm), None)
    return metric, next((dash for dash in DASHES if tube_bore_mm(dash) >= bore_mm), None)


def flow_through(line: Line, litres_per_h: float, fluid: Fluid, most_k: float = 500.0) -> Flow:
    """Work out one line at one flow.

    Parameters
    ----------
    line : Line
        Bore, length, fittings and rise.
    litres_per_h : float
        What flows [L/h].
    fluid : Fluid
        Density and viscosity.
    most_k : float
        Largest sum of loss coefficients that is believed; worked out ones may be larger than typed ones [-].

    Returns
    -------
    Flow
        Velocity, Reynolds number and pressure lost.

    Raises
    ------
    TankInputError
        If a figure is not that of a car's plumbing.

    Notes
    -----
    Δp = f (L/D) ρv²/2 + ΣK ρv²/2 + ρ g h (Darcy and Weisbach), with f = 64/Re up to Re 2000 and the
    explicit solution of Colebrook by Clamond (2009) above, as in the library `fluids`.

    Examples
    --------
    >>> found = flow_through(Line(Duty.PRESSURE, 7.9, 4), 150, FLUIDS["petrol"])
    >>> print(f"{found.velocity_m_s:.2f} m/s, {found.drop_kpa:.1f} kPa")
    0.85 m/s, 4.4 kPa
    """
    _check_line(line, most_k)
    check_between("litres_per_h", "Flow", litres_per_h, 0.1, 60_000.0, "L/h")
    bore_m, roughness = line.bore_mm / 1000, line.roughness_mm / line.bore_mm
    velocity = litres_per_h / 3.6e6 / (math.pi / 4 * bore_m**2)
    viscosity = fluid.viscosity_mpa_s / 1000
    reynolds = float(fluids.Reynolds(V=velocity, D=bore_m, rho=fluid.density_kg_m3, mu=viscosity))
    friction = (
        64 / reynolds if reynolds <= LAMINAR_BELOW else float(fluids.friction_factor(reynolds, roughness))
    )
    dynamic_kpa = fluid.density_kg_m3 * velocity**2 / 2 / 1000
    return Flow(
        velocity_m_s=velocity,
        reynolds=reynolds,
        friction=friction,
        friction_kpa=friction * line.length_m / bore_m * dynamic_kpa,
        fittings_kpa=line.loss_k * dynamic_kpa,
        rise_kpa=fluid.density_kg_m3 * STANDARD_GRAVITY * line.rise_m / 1000,
        is_between=LAMINAR_BELOW < reynolds < TURBULENT_FROM,
        is_too_fast=velocity > HIGHEST_M_S[line.duty],
    )


def least_bore_mm(litres_per_h: float, velocity_m_s: float) -> float:
    """The bore at which a flow has just that velocity.

    Parameters
    ----------
    litres_per_h : float
        What flows [L/h].
    velocity_m_s : float
        Mean velocity [m/s].

    Returns
    -------
    float
        d = √(4 Q / (π v)) [mm].

    Raises
    ------
    TankInputError
        If either is not greater than 0.

    Examples
    --------
    >>> round(least_bore_mm(20 * 60, 1.5), 1)
    16.8
    """
    for field, words, value in (
        ("litres_per_h", "Flow", litres_per_h),
        ("velocity_m_s", "Velocity", velocity_m_s),
    ):
        if not (math.isfinite(value) and value > 0):
            raise TankInputError(field, f"{words}: give a figure greater than 0.")
    return math.sqrt(4 * litres_per_h / 3.6e6 / (math.pi * velocity_m_s)) * 1000


@dataclass(frozen=True)
class PumpDuty:
    """What the pump has to deliver.

    Parameters
    ----------
    engine_kg_h, engine_l_h : float
        What the engine burns at full power [kg/h], [L/h].
    needed_l_h : float
        With the margin, at the pressure below [L/h].
    pressure_kpa : float
        Rail pressure with the losses and the head of the feed line added [kPa].
    """

    engine_kg_h: float
    engine_l_h: float
    needed_l_h: float
    pressure_kpa: float


def pump_duty(
    *,
    power_kw: float,
    consumption_g_kwh: float,
    rail_kpa: float,
    margin_percent: float,
    fluid: Fluid,
    feed: Line | None = None,
) -> PumpDuty:
    """Work out what a fuel pump has to do.

    Parameters
    ----------
    power_kw : float
        Engine power at full load [kW].
    consumption_g_kwh : float
        Fuel burnt for a kilowatt-hour at full load [g/kWh].
    rail_kpa : float
        Pressure of the rail over the tank [kPa].
    margin_percent : float
        Added for wear, heat and low voltage; 15 to 20 is common practice, no source [%].
    fluid : Fluid
        The fuel.
    feed : Line, optional
        The line to the rail; its drop at the needed flow is added.

    Returns
    -------
    PumpDuty
        To be held against the pump's curve at that pressure and at the voltage it will see.

    Raises
    ------
    TankInputError
        If a figure is not that of a car's engine.

    Examples
    --------
    >>> duty = pump_duty(power_kw=150, consumption_g_kwh=304, rail_kpa=300, margin_percent=20,
    ...                  fluid=FLUIDS["petrol"])
    >>> print(f"{duty.engine_l_h:.1f} burnt, {duty.needed_l_h:.1f} to deliver, L/h")
    61.2 burnt, 73.4 to deliver, L/h
    """
    check_between("power_kw", "Engine power", power_kw, 1.0, 1500.0, "kW")
    check_between("consumption_g_kwh", "Consumption", consumption_g_kwh, 180.0, 800.0, "g/kWh")
    check_between("rail_kpa", "Rail pressure", rail_kpa, 0.0, 1000.0, "kPa")
    check_between("margin_percent", "Margin", margin_percent, 0.0, 200.0, "%")
    mass = power_kw * consumption_g_kwh / 1000
    burnt = mass / fluid.density_kg_m3 * 1000
    needed = burnt * (1 + margin_percent / 100)
    drop = flow_through(feed, needed, fluid).drop_kpa if feed else 0.0
    return PumpDuty(mass, burnt, needed, rail_kpa + drop)


def _check_line(line: Line, most_k: float) -> None:
    check_between("bore_mm", "Bore", line.bore_mm, 1.0, 150.0, "mm")
    check_between("length_m", "Length", line.length_m, 0.0, 50.0, "m")
    check_between("loss_k", "Loss of the fittings", line.loss_k, 0.0, most_k, "")
    check_between("rise_m", "Rise", line.rise_m, -5.0, 5.0, "m")
    if not 0 <= line.roughness_mm <= line.bore_mm / 20:
        raise TankInputError(
            "roughness_mm",
            f"Roughness: {line.roughness_mm:g} mm is not that of a bore of {line.bore_mm:g} mm.",
        )


def check_between(field: str, words: str, value: float, least: float, most: float, unit: str) -> None:
    """Refuse a figure that is not a number or outside a range.

    Parameters
    ----------
    field, words : str
        Name of the input, and what people call it.
    value, least, most : float
        The figure and its limits, in the unit.
    unit : str
        As it is printed; empty for a bare number.

    Raises
    ------
    TankInputError
        With the figure, the range and what to do.
    """
    if not (math.isfinite(value) and least <= value <= most):
        shown = f"{value:g} {unit}".strip()
        limits = f"{least:g} to {most:g} {unit}".strip()
        raise TankInputError(field, f"{words}: {shown} is outside {limits}. Check the figure and its unit.")

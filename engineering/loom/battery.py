"""Battery and starter cable: what cranking leaves at the starter, and how thick both sides must be."""

import math
from dataclasses import dataclass

from engineering.loom.checks import number_fault
from engineering.loom.copper import resistance_factor
from engineering.loom.errors import LoomInputError, NoWireError
from engineering.loom.inputs import COLDEST_C, SYSTEMS_V, Insulation
from engineering.loom.wires import WIRES, Series, Wire

PLUS_LIMIT_V, RETURN_LIMIT_V = 0.5, 0.3
"""Most that either side may lose at 12 V: starter testers' and workshop manuals, the vehicle trade's list."""

REST_V, COLD_TEST_V = 12.6, 7.5
"""Full 12 V battery at rest, and at its rated cold current after 10 s: EN 50342-1, from memory [V]."""

LEAST_AT_STARTER_V = 8.0
"""A 12 V starter below this turns too slowly or drops its solenoid: common practice, no source [V]."""


@dataclass(frozen=True)
class StarterInputs:
    """Everything that a starter cable is sized from.

    Parameters
    ----------
    system_v : int
        Nominal voltage: 12, 24 or 48 [V].
    cranking_a, cranking_s : float
        Current of the starter, and the longest time that it cranks at one go [A, s].
    plus_m : float
        Cable from battery plus to the starter's stud [m].
    return_m : float
        Cable from the engine back to battery minus, straps together [m].
    body_v : float
        What body and joints on the way back lose besides [V].
    ambient_c : float
        Hottest surroundings of the cables [°C].
    insulation : Insulation
        Temperature class of the cables.
    cold_a : float or None
        Rated cold current of the battery, to say what is left at the starter [A].
    plus_limit_v, return_limit_v : float or None
        Most that either side may lose; None for the trade's 0.5 and 0.3 V at 12 V, in proportion above [V].
    series : Series
        Metric sizes or gauge numbers.
    """

    system_v: int
    cranking_a: float
    cranking_s: float
    plus_m: float
    return_m: float
    body_v: float
    ambient_c: float
    insulation: Insulation
    cold_a: float | None = None
    plus_limit_v: float | None = None
    return_limit_v: float | None = None
    series: Series = Series.METRIC


@dataclass(frozen=True)
class StarterSide:
    """One side of the starter's circuit.

    Parameters
    ----------
    wire : Wire
        The smallest cable that passes.
    drop_v, limit_v : float
        What is lost on this side as the cranking ends, and the most that may be [V].
    after_c : float
        Temperature of the conductor by then [°C].
    why : str
        What sets the size, and what the next size down would do.
    """

    wire: Wire
    drop_v: float
    limit_v: float
    after_c: float
    why: str


@dataclass(frozen=True)
class StarterCable:
    """Both sides, and what arrives.

    Parameters
    ----------
    plus, back : StarterSide
        Battery to starter, and engine to battery.
    battery_v, at_starter_v : float or None
        Voltage of the battery while it cranks, and what the starter gets of it; None without its rated cold
        current [V].
    remarks : tuple of str
        What a competent person should look at.
    """

    plus: StarterSide
    back: StarterSide
    battery_v: float | None
    at_starter_v: float | None
    remarks: tuple[str, ...]


def size_starter_cable(given: StarterInputs) -> StarterCable:
    """Choose both cables of a starter.

    Parameters
    ----------
    given : StarterInputs
        The starter, its cables and the battery.

    Returns
    -------
    StarterCable
        The smallest cable on each side that loses no more than allowed and does not overheat.

    Raises
    ------
    LoomInputError
        If a figure cannot be meant; names it.
    NoWireError
        If no cable of the series passes.

    Notes
    -----
    The cables warm up without giving off heat: I²t = k²S², solved for the temperature after the cranking; the
    drop is that of the warm cable. The battery is a straight line from rest to its cold test.

    Examples
    --------
    >>> from engineering.loom.inputs import INSULATIONS
    >>> cable = size_starter_cable(StarterInputs(12, 200, 10, 1.5, 1.5, 0.05, 40, INSULATIONS["b"], 500))
    >>> cable.plus.wire.name, cable.back.wire.name, round(cable.at_starter_v, 1)
    ('16 mm²', '25 mm²', 9.9)
    """
    _check(given)
    scale = given.system_v / 12
    plus_v = given.plus_limit_v if given.plus_limit_v is not None else PLUS_LIMIT_V * scale
    back_v = given.return_limit_v if given.return_limit_v is not None else RETURN_LIMIT_V * scale
    plus = _side(given, "plus_m", given.plus_m, plus_v, 0.0)
    back = _side(given, "return_m", given.return_m, back_v, given.body_v)
    battery_v = at_starter_v = None
    remarks: list[str] = []
    if given.cold_a is not None:
        battery_v = scale * (REST_V - (REST_V - COLD_TEST_V) * given.cranking_a / given.cold_a)
        at_starter_v = battery_v - plus.drop_v - back.drop_v
        if at_starter_v < LEAST_AT_STARTER_V * scale:
            remarks.append(
                f"Only {at_starter_v:.1f} V reach the starter, and it wants {LEAST_AT_STARTER_V * scale:g} V "
                "or more: take a battery with more cold current, or shorter and thicker cables."
            )
    return StarterCable(plus, back, battery_v, at_starter_v, tuple(remarks))


def after_cranking_c(current_a: float, seconds: float, area_mm2: float, start_c: float) -> float:
    """Temperature of a conductor that keeps all its heat.

    Parameters
    ----------
    current_a, seconds : float
        Current, and how long it flows [A, s].
    area_mm2 : float
        Copper area [mm^2].
    start_c : float
        Temperature at first [°C].

    Returns
    -------
    float
        Temperature [°C].

    Notes
    -----
    IEC 60364-5-54 Annex A solved for the end: (234.5 + start)·exp((I²t)/(226·S)²) − 234.5.

    Examples
    --------
    >>> round(after_cranking_c(200, 0.4, 1.0999, 70))
    160
    """
    exponent = current_a**2 * seconds / (226.0 * area_mm2) ** 2
    return (234.5 + start_c) * math.exp(min(exponent, 50.0)) - 234.5


def _side(given: StarterInputs, field: str, length_m: float, limit_v: float, body_v: float) -> StarterSide:
    words = ""
    for wire in WIRES[given.series]:
        after_c = after_cranking_c(given.cranking_a, given.cranking_s, wire.area_mm2, given.ambient_c)
        warm_c = min(after_c, given.insulation.rated_c)
        ohm = wire.milliohm_per_m / 1000 * length_m * resistance_factor(warm_c)
        drop_v = given.cranking_a * ohm + body_v
        if after_c > given.insulation.rated_c:
            hot = f"{after_c:.0f} °C" if after_c < 1000 else "white heat"
            words = (
                f"{wire.name} would reach {hot} after {given.cranking_s:g} s, and its insulation bears "
                f"{given.insulation.rated_c:g} °C"
            )
        elif drop_v > limit_v:
            words = f"{wire.name} would lose {drop_v:.2f} V, limit {limit_v:.2f} V"
        else:
            why = (
                f"{words[0].upper()}{words[1:]}." if words else f"{wire.name} is the thinnest of the series."
            )
            return StarterSide(wire, drop_v, limit_v, after_c, why)
    raise NoWireError(field, f"No cable passes: even {words}. Shorten it, or bring the battery nearer.")


def _check(given: StarterInputs) -> None:
    if given.system_v not in SYSTEMS_V:
        raise LoomInputError("system_v", f"System: {given.system_v:g} V is not 12, 24 or 48 V.")
    scale = given.system_v / 12
    faults = (
        number_fault("Starter", "cranking_a", "the current", given.cranking_a, "A", 1500),
        number_fault("Starter", "cranking_s", "the time of cranking", given.cranking_s, "s", 60),
        number_fault("Plus cable", "plus_m", "the length", given.plus_m, "m", 20),
        number_fault("Return", "return_m", "the length", given.return_m, "m", 20),
        number_fault("Return", "body_v", "the drop of the body", given.body_v, "V", scale, zero=True),
        number_fault("Battery", "cold_a", "the cold current", given.cold_a, "A", 3000),
        number_fault("Plus cable", "plus_limit_v", "the limit", given.plus_limit_v, "V", 2 * scale),
        number_fault("Return", "return_limit_v", "the limit", given.return_limit_v, "V", 2 * scale),
    )
    for fault in faults:
        if fault is not None:
            raise LoomInputError(fault.field, fault.message)
    if not COLDEST_C <= given.ambient_c < given.insulation.rated_c:
        raise LoomInputError(
            "ambient_c",
            f"Surroundings: {given.ambient_c:g} °C is not between {COLDEST_C:g} °C and the "
            f"{given.insulation.rated_c:g} °C that the insulation bears.",
        )
    if given.cold_a is not None and given.cranking_a > given.cold_a:
        raise LoomInputError(
            "cold_a",
            f"Battery: {given.cold_a:g} A rated cold current is less than the {given.cranking_a:g} A that "
            "the starter draws. Take a larger battery.",
        )

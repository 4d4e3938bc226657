"""Copper: resistance against temperature, and gauge sizes."""

import math

COPPER_OHM_MM2_PER_M = 1 / 58
"""Standard annealed copper at 20 °C, IEC 60028."""

COPPER_PER_K = 0.00393
"""Temperature coefficient of resistance at 20 °C, IEC 60028 (IEC 60228 rounds it to 0.004)."""

MM2_PER_CIRCULAR_MIL = math.pi / 4 * 0.0254**2
"""A circle of 0.001 inch diameter (exact)."""


def resistance_factor(conductor_c: float) -> float:
    """Resistance of copper against its resistance at 20 °C.

    Parameters
    ----------
    conductor_c : float
        Temperature of the conductor [°C].

    Returns
    -------
    float
        Ratio of resistances [-].

    Examples
    --------
    >>> round(resistance_factor(70), 4)
    1.1965
    """
    return 1 + COPPER_PER_K * (conductor_c - 20)


def awg_diameter_mm(number: int) -> float:
    """Diameter of a solid wire of the American Wire Gauge.

    Parameters
    ----------
    number : int
        Gauge number; 1/0, 2/0, 3/0 and 4/0 are 0, -1, -2 and -3.

    Returns
    -------
    float
        Diameter [mm].

    Notes
    -----
    d = 0.127 mm · 92^((36 - n)/39), ASTM B258.

    Examples
    --------
    >>> awg_diameter_mm(36)
    0.127
    """
    return 0.127 * math.pow(92, (36 - number) / 39)


def awg_area_mm2(number: int) -> float:
    """Nominal area of a wire of the American Wire Gauge.

    Parameters
    ----------
    number : int
        Gauge number; 1/0, 2/0, 3/0 and 4/0 are 0, -1, -2 and -3.

    Returns
    -------
    float
        Area [mm^2].

    Examples
    --------
    >>> round(awg_area_mm2(14), 3)
    2.081
    """
    return math.pi / 4 * awg_diameter_mm(number) ** 2


def voltage_drop_v(
    current_a: float, ohm_per_m: float, conductor_m: float, conductor_c: float = 20.0
) -> float:
    """Voltage lost along one stretch of wire.

    Parameters
    ----------
    current_a : float
        Steady current [A].
    ohm_per_m : float
        Resistance of the wire at 20 °C [ohm/m].
    conductor_m : float
        Length of conductor that the current runs through, there and back where it does [m].
    conductor_c : float
        Temperature of the conductor [°C].

    Returns
    -------
    float
        Voltage drop [V].

    Notes
    -----
    Direct current; crimps, connectors and switches are not counted.

    Examples
    --------
    >>> voltage_drop_v(10, 1 / 58, 5.8)
    1.0
    """
    return current_a * ohm_per_m * conductor_m * resistance_factor(conductor_c)

"""How hot a wire runs, and what it can carry: the heat balance of a wire or a bunch in still air.

Per metre, N equal wires with equal currents make N·I²·R20·(1 + α(Tc − 20)) of heat. It leaves the surface by
natural convection and radiation, and on its way there it has to cross the insulation (one wire) or the bunch.
"""

import itertools
import math
from collections.abc import Callable
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from engineering.loom.copper import resistance_factor
from engineering.loom.wires import Wire

GRAVITY_M_S2 = 9.80665
KELVIN = 273.15
STEFAN_BOLTZMANN = 5.670374e-8
"""[W/(m² K⁴)]"""

EMISSIVITY = 0.9
"""Plastic; 0.75 would be cautious (ECSS-Q-ST-30-11C)."""

INSULATION_K_M_PER_W = 6.0
"""Thermal resistivity of PVC, upper figure of IEC 60287-2-1 Table 1; cross-linked insulation is better."""

BUNCH_W_PER_M_K = 0.2
"""Conductivity across a bunch of insulated wires: assumed, see the tests against BS 7671 bunching factors."""

PACKING = {1: 1.0, 2: 2.0, 3: 2.1547}
"""Diameter of the smallest circle round a few equal circles, in diameters of one."""

LOOSE_PACKING = 1.2
"""Diameter of a hand-laid bunch of more wires, per root of their number: cable trade."""

VDE_30C_A = (
    (10.0, 73.0), (16.0, 98.0), (25.0, 129.0), (35.0, 158.0), (50.0, 198.0), (70.0, 245.0), (95.0, 292.0),
    (120.0, 344.0),
)  # fmt: skip
"""Area [mm²] and current [A] of DIN VDE 0298-4, one core, conductor at 70 °C in air at 30 °C."""

GROUPED = (
    (1, 1.0), (2, 0.80), (3, 0.70), (4, 0.65), (5, 0.60), (6, 0.57), (7, 0.54), (8, 0.52), (9, 0.50),
    (10, 0.48), (12, 0.45), (16, 0.41), (20, 0.38),
)  # fmt: skip
"""Circuits bunched together, and their share of the current of one: BS 7671 Table 4C1, 5 and 12 to 20 from
memory. The balance of a bunch allows more for 2 and 3 wires: the stricter of the two holds."""

Figure = TypeVar("Figure", float, NDArray[np.float64])
"""One figure or an array of them: the laws below are written so that they take both."""

_HOTTEST_SURFACE_C = 400.0
_HALVINGS = 60


def grouping_factor(loaded_wires: int) -> float:
    """Share of its current that a wire keeps among others that are loaded alike.

    Parameters
    ----------
    loaded_wires : int
        Loaded wires in the bunch, this one included.

    Returns
    -------
    float
        BS 7671 Table 4C1, straight between its columns; the last of them beyond [-].

    Examples
    --------
    >>> grouping_factor(2), grouping_factor(14)
    (0.8, 0.43)
    """
    return float(np.interp(loaded_wires, [count for count, _ in GROUPED], [share for _, share in GROUPED]))


def air_heat_w_per_m(diameter_mm: Figure, surface_c: Figure, ambient_c: Figure) -> Figure:
    """Heat that a horizontal cylinder gives off to still air and to its surroundings.

    Parameters
    ----------
    diameter_mm : float
        Outer diameter [mm].
    surface_c, ambient_c : float
        Temperatures of the surface, and of the air and the surroundings [°C].

    Returns
    -------
    float
        Heat for each metre of length [W/m].

    Examples
    --------
    >>> air_heat_w_per_m(2.4, 30, 30)
    0.0
    """
    w_per_m2 = convection_w_per_m2(diameter_mm, surface_c, ambient_c) + radiation_w_per_m2(
        surface_c, ambient_c
    )
    return math.pi * diameter_mm / 1000 * w_per_m2


def convection_w_per_m2(diameter_mm: Figure, surface_c: Figure, ambient_c: Figure) -> Figure:
    """Heat that still air takes from a horizontal cylinder.

    Parameters
    ----------
    diameter_mm : float
        Outer diameter [mm].
    surface_c, ambient_c : float
        Temperatures of the surface and of the air [°C].

    Returns
    -------
    float
        Heat flow [W/m^2].

    Notes
    -----
    Churchill and Chu [1]_, Rayleigh numbers up to 1e12. Properties of air at the film temperature and sea
    level by the U.S. Standard Atmosphere [2]_, specific heat 1006 J/(kg K).

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049-1053.
    .. [2] U.S. Standard Atmosphere 1976, equations 51 and 53.
    """
    film_k = (surface_c + ambient_c) / 2 + KELVIN
    viscosity = 1.458e-6 * film_k**1.5 / (film_k + 110.4)
    conductivity = 2.64638e-3 * film_k**1.5 / (film_k + 245.4 * 10.0 ** (-12 / film_k))
    density = 101325 / (287.0529 * film_k)
    prandtl = 1006 * viscosity / conductivity
    warmer_k, diameter_m = surface_c - ambient_c, diameter_mm / 1000
    rayleigh = prandtl * GRAVITY_M_S2 / film_k * warmer_k * diameter_m**3 * (density / viscosity) ** 2
    flow: Figure = nusselt_horizontal_cylinder(prandtl, rayleigh) * conductivity / diameter_m * warmer_k
    return flow


def radiation_w_per_m2(surface_c: Figure, ambient_c: Figure) -> Figure:
    """Heat that a surface radiates to surroundings that enclose it.

    Parameters
    ----------
    surface_c, ambient_c : float
        Temperatures of the surface and of the surroundings [°C].

    Returns
    -------
    float
        Heat flow [W/m^2].

    Examples
    --------
    >>> round(radiation_w_per_m2(70, 30), 1)
    276.6
    """
    return EMISSIVITY * STEFAN_BOLTZMANN * ((surface_c + KELVIN) ** 4 - (ambient_c + KELVIN) ** 4)


def nusselt_horizontal_cylinder(prandtl: Figure, rayleigh: Figure) -> Figure:
    """Nusselt number of natural convection round a horizontal cylinder.

    Parameters
    ----------
    prandtl, rayleigh : float
        Prandtl number and Rayleigh number of the film [-].

    Returns
    -------
    float
        Nusselt number on the diameter [-].

    Notes
    -----
    Churchill and Chu 1975, for all Rayleigh numbers up to 1e12.

    Examples
    --------
    >>> round(nusselt_horizontal_cylinder(0.69, 0.69 * 2.63e9), 2)
    139.13
    """
    shape = (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    warmed = rayleigh * (rayleigh > 0)  # nothing rises from a surface that is not warmer
    nusselt: Figure = (0.60 + 0.387 * warmed ** (1 / 6) / shape) ** 2
    return nusselt


def capacity_a(wire: Wire, conductor_c: float, ambient_c: float, loaded_wires: int = 1) -> float:
    """Current that brings a wire to a temperature.

    Parameters
    ----------
    wire : Wire
        The wire; the others in the bunch are alike and carry as much.
    conductor_c, ambient_c : float
        Temperature that the conductor may reach, and that of its surroundings [°C].
    loaded_wires : int
        Loaded wires in the bunch, this one included.

    Returns
    -------
    float
        Steady current [A]; 0 where the surroundings are as hot as the wire may be.

    Notes
    -----
    Heat balance as in `air_heat_w_per_m`. A single wire's heat crosses its insulation, (ρ/2π) ln(D/d); a
    bunch counts as one cylinder heated evenly, 1/(4πk) to its middle, and carries no more than its share by
    the grouping factors of BS 7671. Above 10 mm² the balance is scaled down to meet DIN VDE 0298-4 at 70 °C
    in 30 °C, which it would exceed by up to a fifth.

    Examples
    --------
    >>> from engineering.loom.wires import WIRES, Series
    >>> capacity_a(WIRES[Series.METRIC][4], 70, 30) > capacity_a(WIRES[Series.METRIC][4], 70, 50)
    True
    """
    alone_a = _balance_a(wire, conductor_c, ambient_c, 1)
    share = grouping_factor(loaded_wires)
    bunched_a = _balance_a(wire, conductor_c, ambient_c, loaded_wires) if loaded_wires > 1 else alone_a
    return meets_the_table(wire) * min(bunched_a, share * alone_a)


def running_c(wire: Wire, current_a: float, ambient_c: float, loaded_wires: int = 1) -> float:
    """Temperature of the conductor while a current flows steadily.

    Parameters
    ----------
    wire : Wire
        The wire; the others in the bunch are alike and carry as much.
    current_a : float
        Steady current in each [A].
    ambient_c : float
        Temperature of the surroundings [°C].
    loaded_wires : int
        Loaded wires in the bunch, this one included.

    Returns
    -------
    float
        Temperature [°C]; infinite where the wire would burn.

    Examples
    --------
    >>> from engineering.loom.wires import WIRES, Series
    >>> wire = WIRES[Series.METRIC][4]
    >>> round(running_c(wire, capacity_a(wire, 70, 30), 30), 6)
    70.0
    """
    balance_a = current_a / meets_the_table(wire)
    alone_c = _balance_c(wire, balance_a / grouping_factor(loaded_wires), ambient_c, 1)
    return max(alone_c, _balance_c(wire, balance_a, ambient_c, loaded_wires)) if loaded_wires > 1 else alone_c


def _balance_c(wire: Wire, current_a: float, ambient_c: float, loaded_wires: int) -> float:
    def flows(surface_c: float) -> float:
        return _current_and_core(wire, surface_c, ambient_c, loaded_wires)[0] - current_a

    if flows(_HOTTEST_SURFACE_C) < 0:
        return math.inf
    surface_c = _root(flows, ambient_c, _HOTTEST_SURFACE_C)
    return _current_and_core(wire, surface_c, ambient_c, loaded_wires)[1]


def _balance_a(wire: Wire, conductor_c: float, ambient_c: float, loaded_wires: int) -> float:
    if conductor_c <= ambient_c:
        return 0.0

    def too_hot(surface_c: float) -> float:
        return _current_and_core(wire, surface_c, ambient_c, loaded_wires)[1] - conductor_c

    surface_c = _root(too_hot, ambient_c, conductor_c)
    return _current_and_core(wire, surface_c, ambient_c, loaded_wires)[0]


def _current_and_core(
    wire: Wire, surface_c: float, ambient_c: float, loaded_wires: int
) -> tuple[float, float]:
    """Current in each wire [A] and temperature of the hottest conductor [°C] for a surface temperature."""
    bunch_mm = wire.outer_mm * PACKING.get(loaded_wires, LOOSE_PACKING * math.sqrt(loaded_wires))
    heat_w_per_m = air_heat_w_per_m(bunch_mm, surface_c, ambient_c)
    if loaded_wires == 1:
        k_m_per_w = INSULATION_K_M_PER_W / (2 * math.pi) * math.log(wire.outer_mm / wire.copper_mm)
    else:
        k_m_per_w = 1 / (4 * math.pi * BUNCH_W_PER_M_K)
    core_c = surface_c + heat_w_per_m * k_m_per_w
    ohm_per_m = wire.milliohm_per_m / 1000 * resistance_factor(core_c)
    return math.sqrt(heat_w_per_m / loaded_wires / ohm_per_m), core_c


@lru_cache(maxsize=128)
def meets_the_table(wire: Wire) -> float:
    """Factor that brings the balance of a thick wire down to the published table.

    Parameters
    ----------
    wire : Wire
        The wire.

    Returns
    -------
    float
        At most 1; 1 up to 10 mm² [-].
    """
    for (low_mm2, low_a), (high_mm2, high_a) in itertools.pairwise(VDE_30C_A):
        if low_mm2 < wire.area_mm2 <= high_mm2:
            share = math.log(wire.area_mm2 / low_mm2) / math.log(high_mm2 / low_mm2)
            table_a = low_a * math.pow(high_a / low_a, share)
            return min(1.0, table_a / _balance_a(wire, 70, 30, 1))
    return 1.0


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2

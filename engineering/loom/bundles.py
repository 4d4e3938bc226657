"""The heat balance of `thermal`, for many wires and bundles at once.

A bundle is one cylinder heated evenly. What a wire may carry in it is asked of a *reference bundle*: every
loaded wire as thick as its current asks at one common current density J, but not thinner than handling
allows. Heat rises with J and the surface that gives it off falls, so that exactly one J brings the bundle to
its limit; bisection finds it. That is where bundles depend on sizes and sizes on bundles, settled in one
unknown for each run. A wire of area A then carries J·A. Wires chosen afterwards are never thinner than in
the reference bundle, so that the real bundle runs cooler.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from engineering.loom.copper import COPPER_PER_K
from engineering.loom.thermal import (
    BUNCH_W_PER_M_K,
    INSULATION_K_M_PER_W,
    LOOSE_PACKING,
    air_heat_w_per_m,
    meets_the_table,
)
from engineering.loom.wires import WIRES, Series

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

DENSITY_A_PER_MM2 = (0.02, 200.0)
"""Between these the density is looked for; beyond the upper one nothing is bound by it."""

_THINNEST_MM = 1e-3  # of a run without wires

_HALVINGS = 28  # leave a density to 1 part in 10^7, a temperature to 10^-5 °C
_SECANTS = 40


@dataclass(frozen=True)
class Sizes:
    """The wires of a series as arrays, thinnest first.

    Parameters
    ----------
    area_mm2, ohm_per_m, copper_mm, outer_mm : ndarray, shape (k,)
        As of `Wire`; resistance at 20 °C.
    meets : ndarray, shape (k,)
        Share of the balance that a published table leaves to thick wires [-].
    """

    area_mm2: Floats
    ohm_per_m: Floats
    copper_mm: Floats
    outer_mm: Floats
    meets: Floats

    def ohm_at(self, area_mm2: Floats) -> Floats:
        """Resistance at 20 °C of an area between the sizes, straight on logarithmic scales [ohm/m]."""
        log_area = np.log(np.clip(area_mm2, self.area_mm2[0], self.area_mm2[-1]))
        inside = np.exp(np.interp(log_area, np.log(self.area_mm2), np.log(self.ohm_per_m)))
        return np.asarray(inside * np.minimum(1.0, self.area_mm2[-1] / area_mm2))

    def outer_at(self, area_mm2: Floats) -> Floats:
        """Outer diameter of an area between the sizes [mm]."""
        return np.asarray(np.interp(np.sqrt(area_mm2), np.sqrt(self.area_mm2), self.outer_mm))


@cache
def sizes_of(series: Series) -> Sizes:
    """The wires of a series as arrays.

    Parameters
    ----------
    series : Series
        Metric sizes or gauge numbers.

    Returns
    -------
    Sizes
        Thinnest first.
    """
    wires = WIRES[series]
    return Sizes(
        np.array([wire.area_mm2 for wire in wires]),
        np.array([wire.milliohm_per_m / 1000 for wire in wires]),
        np.array([wire.copper_mm for wire in wires]),
        np.array([wire.outer_mm for wire in wires]),
        np.array([meets_the_table(wire) for wire in wires]),
    )


def copper_factor(conductor_c: Floats) -> Floats:
    """Resistance of copper against that at 20 °C.

    Parameters
    ----------
    conductor_c : ndarray
        Temperature [°C].

    Returns
    -------
    ndarray
        [-]
    """
    return np.asarray(1 + COPPER_PER_K * (conductor_c - 20))


def capacity_alone_a(sizes: Sizes, conductor_c: Floats, ambient_c: Floats) -> Floats:
    """Current that brings each size, alone in still air, to a temperature.

    Parameters
    ----------
    sizes : Sizes
        The series.
    conductor_c, ambient_c : ndarray, shape (n,)
        Temperature that the conductor may reach, and that of its surroundings [°C].

    Returns
    -------
    ndarray, shape (n, k)
        Current [A]; 0 where the surroundings are as hot.
    """
    top, air = np.broadcast_arrays(conductor_c[:, None], ambient_c[:, None])
    room = top > air
    top, air = np.where(room, top, air + 1.0), air + np.zeros_like(top)
    crossing = _crossing_k_m_per_w(sizes)[None, :]
    outer = np.broadcast_to(sizes.outer_mm[None, :], (len(top), len(sizes.outer_mm)))
    air = np.broadcast_to(air, outer.shape)
    top = np.broadcast_to(top, outer.shape)

    def too_hot(surface_c: Floats) -> Floats:
        return np.asarray(surface_c + air_heat_w_per_m(outer, surface_c, air) * crossing - top)

    surface_c = _root(too_hot, air, top)
    heat = air_heat_w_per_m(outer, surface_c, air)
    amperes = np.sqrt(np.maximum(heat, 0.0) / (sizes.ohm_per_m * copper_factor(top))) * sizes.meets
    return np.asarray(np.where(room, amperes, 0.0))


def running_alone_c(
    sizes: Sizes, which: Places, current_a: Floats, ambient_c: Floats, top_c: Floats
) -> Floats:
    """Temperature at which wires run alone in still air.

    Parameters
    ----------
    sizes : Sizes
        The series.
    which : ndarray of int, shape (n,)
        Which size each wire is.
    current_a, ambient_c : ndarray, shape (n,)
        Its current [A], and the temperature round it [°C].
    top_c : ndarray, shape (n,)
        Temperature above which nobody asks how hot [°C].

    Returns
    -------
    ndarray, shape (n,)
        Temperature of the conductor, `top_c` at most [°C].
    """
    outer, crossing = sizes.outer_mm[which], _crossing_k_m_per_w(sizes)[which]
    watts_20 = (current_a / sizes.meets[which]) ** 2 * sizes.ohm_per_m[which]

    def too_hot(surface_c: Floats) -> Floats:
        heat = air_heat_w_per_m(outer, surface_c, ambient_c)
        return heat - watts_20 * copper_factor(surface_c + heat * crossing)

    top = np.maximum(top_c, ambient_c)
    burns = too_hot(top) < 0  # even a surface as hot as that gives off too little
    surface_c = _root(too_hot, ambient_c, top)
    conductor_c = surface_c + air_heat_w_per_m(outer, surface_c, ambient_c) * crossing
    return np.asarray(np.where(burns, top, np.minimum(conductor_c, top)))


def _crossing_k_m_per_w(sizes: Sizes) -> Floats:
    return np.asarray(INSULATION_K_M_PER_W / (2 * math.pi) * np.log(sizes.outer_mm / sizes.copper_mm))


@dataclass(frozen=True)
class Bundles:
    """The wires of several runs: one row for each wire in each run.

    Parameters
    ----------
    run : ndarray of int, shape (m,)
        Which run; rows of one run need not follow each other.
    current_a, floor_mm2 : ndarray, shape (m,)
        Heating current of the wire [A], and the thinnest it may be [mm^2].
    ambient_c : ndarray, shape (n,)
        Temperature round each run [°C].
    """

    run: Places
    current_a: Floats
    floor_mm2: Floats
    ambient_c: Floats

    def summed(self, values: Floats) -> Floats:
        """Sum over the wires of each run, shape (n,)."""
        return np.asarray(np.bincount(self.run, values, minlength=len(self.ambient_c)), dtype=np.float64)

    def diameter_mm(self, outer_mm: Floats) -> Floats:
        """Diameter of each bundle: 1.2 √Σd², never less than its two thickest wires side by side."""
        return np.asarray(
            np.maximum(
                np.maximum(LOOSE_PACKING * np.sqrt(self.summed(outer_mm**2)), self._two_thickest(outer_mm)),
                _THINNEST_MM,
            )
        )

    def _two_thickest(self, outer_mm: Floats) -> Floats:
        order = np.lexsort((-outer_mm, self.run))
        runs = self.run[order]
        first = np.r_[True, runs[1:] != runs[:-1]] if len(runs) else np.zeros(0, bool)
        second = np.r_[False, first[:-1]] & ~first if len(runs) else first
        total = np.zeros(len(self.ambient_c))
        for place in (first, second):
            np.add.at(total, runs[place], outer_mm[order][place])
        return total


def densities(sizes: Sizes, bundles: Bundles, conductor_c: Floats) -> Floats:
    """Current density that brings the reference bundle of each run to a temperature.

    Parameters
    ----------
    sizes : Sizes
        The series.
    bundles : Bundles
        The wires in each run.
    conductor_c : ndarray, shape (n,)
        Temperature that the hottest conductor of each run may reach [°C].

    Returns
    -------
    ndarray, shape (n,)
        Density; 0 where the surroundings are as hot, infinite where nothing in the run is loaded [A/mm^2].

    Notes
    -----
    More current in any wire, or hotter surroundings, never give a higher density: the heat of a bundle grows
    at least in proportion to the current that is added, what its surface gives off with less than the root.
    Bisection on a fixed grid keeps that order exactly.
    """
    low = np.full(len(bundles.ambient_c), math.log(DENSITY_A_PER_MM2[0]))
    high = np.full(len(bundles.ambient_c), math.log(DENSITY_A_PER_MM2[1]))
    hot = copper_factor(conductor_c)
    floor_outer = sizes.outer_at(bundles.floor_mm2)
    floor_ohm = sizes.ohm_at(bundles.floor_mm2)

    def gives_off_enough(log_density: Floats) -> NDArray[np.bool_]:
        asked_mm2 = bundles.current_a / np.exp(log_density)[bundles.run]
        thicker = asked_mm2 > bundles.floor_mm2
        ohm, outer = floor_ohm.copy(), floor_outer.copy()
        ohm[thicker] = sizes.ohm_at(asked_mm2[thicker])
        outer[thicker] = sizes.outer_at(asked_mm2[thicker])
        heat = bundles.summed(bundles.current_a**2 * ohm) * hot
        surface_c = conductor_c - heat / (4 * math.pi * BUNCH_W_PER_M_K)
        gives = air_heat_w_per_m(
            bundles.diameter_mm(outer), np.maximum(surface_c, bundles.ambient_c), bundles.ambient_c
        )
        return (surface_c > bundles.ambient_c) & (gives >= heat)

    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        cool = gives_off_enough(middle)
        low, high = np.where(cool, middle, low), np.where(cool, high, middle)
    density: Floats = np.exp(low)
    density[low >= math.log(DENSITY_A_PER_MM2[1]) - 1e-6] = math.inf
    density[conductor_c <= bundles.ambient_c] = 0.0
    return density


def core_c(bundles: Bundles, ohm_per_m: Floats, outer_mm: Floats, top_c: float = 400.0) -> Floats:
    """Temperature in the middle of each bundle.

    Parameters
    ----------
    bundles : Bundles
        The wires in each run.
    ohm_per_m, outer_mm : ndarray, shape (m,)
        Resistance at 20 °C and outer diameter of each wire in each run.
    top_c : float
        Temperature above which nobody asks how hot [°C].

    Returns
    -------
    ndarray, shape (n,)
        Temperature, `top_c` at most [°C].
    """
    watts_20 = bundles.summed(bundles.current_a**2 * ohm_per_m)
    diameter_mm = bundles.diameter_mm(outer_mm)
    low, high = bundles.ambient_c.copy(), np.full(len(bundles.ambient_c), top_c)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        heat = watts_20 * copper_factor(middle)
        surface_c = middle - heat / (4 * math.pi * BUNCH_W_PER_M_K)
        gives = air_heat_w_per_m(diameter_mm, np.maximum(surface_c, bundles.ambient_c), bundles.ambient_c)
        cool = (surface_c > bundles.ambient_c) & (gives >= heat)
        low, high = np.where(cool, low, middle), np.where(cool, middle, high)
    return np.asarray(high)


def _root(rising: Callable[[Floats], Floats], low: Floats, high: Floats) -> Floats:
    """Where a rising function passes nought, for many at once: false position with the Illinois rule."""
    left, right = np.array(low, dtype=float), np.array(high, dtype=float)
    at_left, at_right = rising(left), rising(right)
    side = np.zeros(left.shape)
    found, settled = left.copy(), np.zeros(left.shape, bool)
    for _ in range(_SECANTS):
        slope = at_right - at_left
        middle = np.where(slope > 0, right - at_right * (right - left) / np.where(slope > 0, slope, 1), left)
        middle = np.clip(middle, left, right)
        at_middle = rising(middle)
        above = at_middle >= 0
        at_left = np.where(above & (side > 0), at_left / 2, at_left)
        at_right = np.where(~above & (side < 0), at_right / 2, at_right)
        right, at_right = np.where(above, middle, right), np.where(above, at_middle, at_right)
        left, at_left = np.where(above, left, middle), np.where(above, at_left, at_middle)
        side = np.where(above, 1.0, -1.0)
        # each stands where it settled, so that it does not matter which others were asked with it
        found = np.where(settled, found, middle)
        settled |= (np.abs(at_middle) < 1e-9) | (right - left < 1e-9)
        if settled.all():
            break
    return np.asarray(found)

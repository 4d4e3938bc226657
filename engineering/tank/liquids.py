"""What the tank holds: density, and how far it expands when it warms."""

import math
from dataclasses import dataclass, replace
from typing import Protocol

from engineering.tank.errors import TankInputError

LIGHTEST_SG, HEAVIEST_SG = 0.5, 2.0
MOST_EXPANSION_PER_C = 0.005
BASE_C = 15.0
"""Reference temperature of petroleum densities [°C]."""


class Expansion(Protocol):
    """A law of thermal expansion."""

    def volume_ratio(self, from_c: float, to_c: float) -> float:
        """Volume at `to_c` divided by the volume of the same liquid at `from_c` [-]."""


@dataclass(frozen=True)
class PetroleumExpansion:
    """Expansion of petroleum products by API MPMS chapter 11.1 (ASTM D1250), 1980 constants.

    Parameters
    ----------
    density15_kg_m3 : float
        Density at 15 °C [kg/m^3]; table 54B holds from 653 to 1075.
    lubricating_oil : bool
        Take table 54D instead of 54B.

    Notes
    -----
    alpha = K0/rho^2 + K1/rho (+ A); VCF = exp(-alpha dt (1 + 0.8 alpha dt)), dt = T - 15 °C [1]_. The
    standard itself was not read: the constants are those that several independent public programs agree on.
    Not for trade use.

    References
    ----------
    .. [1] API Manual of Petroleum Measurement Standards, chapter 11.1 (1980), tables 54B and 54D.

    Examples
    --------
    >>> round(PetroleumExpansion(720).per_c, 8)
    0.0012777
    """

    density15_kg_m3: float
    lubricating_oil: bool = False

    @property
    def per_c(self) -> float:
        """Expansion coefficient at 15 °C [1/°C]."""
        rho = self.density15_kg_m3
        if self.lubricating_oil:
            return 0.6278 / rho
        if rho < 770.5:
            return 346.4228 / rho**2 + 0.4388 / rho
        if rho < 787.5:
            return -0.00336312 + 2680.3206 / rho**2
        if rho < 838.5:
            return 594.5418 / rho**2
        return 186.9696 / rho**2 + 0.4862 / rho

    def correction(self, temperature_c: float) -> float:
        """Volume at 15 °C divided by the volume at `temperature_c` [-]."""
        warmed = self.per_c * (temperature_c - BASE_C)
        return math.exp(-warmed * (1 + 0.8 * warmed))

    def volume_ratio(self, from_c: float, to_c: float) -> float:
        """Volume at one temperature against another.

        Parameters
        ----------
        from_c, to_c : float
            Temperatures [°C].

        Returns
        -------
        float
            Volume at `to_c` per volume at `from_c` [-].
        """
        return self.correction(from_c) / self.correction(to_c)


@dataclass(frozen=True)
class LinearExpansion:
    """A constant coefficient, good enough over the range its liquid states.

    Parameters
    ----------
    per_c : float
        Share by which a volume at the lower temperature grows for each degree [1/°C].

    Examples
    --------
    Five litres warmed by 10 °C at 0.00095 per °C:

    >>> 5 * LinearExpansion(0.00095).volume_ratio(10, 20)
    5.0475
    """

    per_c: float

    def volume_ratio(self, from_c: float, to_c: float) -> float:
        """Volume at one temperature against another.

        Parameters
        ----------
        from_c, to_c : float
            Temperatures [°C].

        Returns
        -------
        float
            Volume at `to_c` per volume at `from_c` [-].
        """
        return 1 + self.per_c * (to_c - from_c)


@dataclass(frozen=True)
class WaterExpansion:
    """Expansion of plain water, whose coefficient triples between 20 and 90 °C.

    Notes
    -----
    Kell's equation for the density of water at atmospheric pressure, 0 to 100 °C [1]_.

    References
    ----------
    .. [1] G. S. Kell, J. Chem. Eng. Data 20 (1975) 97-105, equation 16.

    Examples
    --------
    >>> round(WaterExpansion().density_kg_m3(20), 2)
    998.21
    """

    def density_kg_m3(self, temperature_c: float) -> float:
        """Density of water at `temperature_c` [kg/m^3]."""
        t = temperature_c
        top = 999.83952 + t * (
            16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
        )
        return top / (1 + 16.879850e-3 * t)

    def volume_ratio(self, from_c: float, to_c: float) -> float:
        """Volume at one temperature against another.

        Parameters
        ----------
        from_c, to_c : float
            Temperatures [°C].

        Returns
        -------
        float
            Volume at `to_c` per volume at `from_c` [-].
        """
        return self.density_kg_m3(from_c) / self.density_kg_m3(to_c)


@dataclass(frozen=True)
class Liquid:
    """A liquid that a tank can be sized for.

    Parameters
    ----------
    name : str
        For people.
    density_kg_m3, lightest_kg_m3, heaviest_kg_m3 : float
        Usual density and the ends of its range, at `density_c` [kg/m^3].
    density_c : float
        Temperature of those densities [°C].
    expansion : Expansion
        The law used for expansion space; where a range is sold, that of the one which expands most.
    coldest_c, hottest_c : float
        Range over which the expansion is used [°C].
    source : str
        Where the figures come from, and how well they are known.
    is_fuel : bool
        Whether it burns: brings the cautions about fire.
    """

    name: str
    density_kg_m3: float
    lightest_kg_m3: float
    heaviest_kg_m3: float
    density_c: float
    expansion: Expansion
    coldest_c: float
    hottest_c: float
    source: str
    is_fuel: bool = False


LIQUIDS: dict[str, Liquid] = {
    "petrol": Liquid(
        "Petrol", 745, 720, 775, 15, PetroleumExpansion(720), -20, 80,
        "density 720–775 kg/m³ at 15 °C: EN 228 (from memory); expansion: API MPMS 11.1 table 54B at "
        "720 kg/m³, the lightest and so the one that expands most",
        is_fuel=True,
    ),
    "diesel": Liquid(
        "Diesel", 832, 820, 845, 15, PetroleumExpansion(820), -20, 90,
        "density 820–845 kg/m³ at 15 °C: EN 590, temperate grades; expansion: API MPMS 11.1 table 54B at "
        "820 kg/m³",
        is_fuel=True,
    ),
    "engine_oil": Liquid(
        "Engine oil", 870, 850, 890, 15, PetroleumExpansion(850, lubricating_oil=True), -20, 150,
        "density 850–890 kg/m³ at 15 °C: usual range (from memory; Crane TP-410 example 7.24 has 858.6 for "
        "an SAE 10W oil); expansion: API MPMS 11.1 table 54D at 850 kg/m³",
    ),
    "water": Liquid(
        "Water", 998.2, 998.2, 998.2, 20, WaterExpansion(), 0, 99,
        "density and expansion: Kell, J. Chem. Eng. Data 20 (1975) 97",
    ),
    "coolant": Liquid(
        "Coolant, half glycol", 1075, 1065, 1080, 20, LinearExpansion(0.0006), -30, 115,
        "density 1065–1080 kg/m³ at 20 °C and expansion 0.0006 per °C: from memory, check the maker's sheet",
    ),
    "screenwash": Liquid(
        "Screenwash, one fifth alcohol", 968, 965, 999, 20, LinearExpansion(0.0005), -10, 60,
        "density 968 kg/m³ at 20 °C: water and ethanol table, 20 % by mass; expansion 0.0005 per °C: from "
        "memory",
    ),
}  # fmt: skip
"""Liquids by the name that a calc sheet stores."""


def measured_liquid(
    liquid: Liquid, specific_gravity: float | None = None, expansion_per_c: float | None = None
) -> Liquid:
    """A liquid with the figures of its own data sheet in place of the usual ones.

    Parameters
    ----------
    liquid : Liquid
        What it is.
    specific_gravity : float or None
        Density against that of water, 1000 kg/m^3, at 15 °C; that of the liquid where None [-].
    expansion_per_c : float or None
        Share by which its volume grows for each degree; as the liquid's where None [1/°C].

    Returns
    -------
    Liquid

    Raises
    ------
    TankInputError
        As `own_liquid`.

    Examples
    --------
    >>> measured_liquid(LIQUIDS["petrol"], 0.755).density_kg_m3
    755.0
    """
    if specific_gravity is None and expansion_per_c is None:
        return liquid
    own = own_liquid(
        liquid.name,
        liquid.density_kg_m3 / 1000 if specific_gravity is None else specific_gravity,
        0.001 if expansion_per_c is None else expansion_per_c,
        liquid.is_fuel,
    )
    if specific_gravity is not None:
        liquid = replace(
            liquid,
            density_kg_m3=own.density_kg_m3,
            lightest_kg_m3=own.density_kg_m3,
            heaviest_kg_m3=own.density_kg_m3,
            source=f"specific gravity as typed; otherwise {liquid.source}",
        )
    if expansion_per_c is not None:
        liquid = replace(
            liquid, expansion=own.expansion, source=f"expansion as typed; otherwise {liquid.source}"
        )
    return liquid


def own_liquid(name: str, specific_gravity: float, expansion_per_c: float, is_fuel: bool) -> Liquid:
    """A liquid that is in no table here.

    Parameters
    ----------
    name : str
        For people.
    specific_gravity : float
        Density against that of water, 1000 kg/m^3, at 15 °C [-].
    expansion_per_c : float
        Share by which its volume grows for each degree [1/°C].
    is_fuel : bool
        Whether it burns.

    Returns
    -------
    Liquid

    Raises
    ------
    TankInputError
        If the specific gravity is outside 0.5 to 2, or the expansion outside 0 to 0.005 per °C.

    Examples
    --------
    >>> own_liquid("Racing alcohol", 0.796, 0.0011, True).density_kg_m3
    796.0
    """
    if not math.isfinite(specific_gravity) or not LIGHTEST_SG <= specific_gravity <= HEAVIEST_SG:
        raise TankInputError(
            "specific_gravity",
            f"Specific gravity: {specific_gravity:g} is outside {LIGHTEST_SG:g} to {HEAVIEST_SG:g}, where "
            "water is 1 and petrol about 0.74; give it as the liquid's data sheet does.",
        )
    if not math.isfinite(expansion_per_c) or not 0 <= expansion_per_c <= MOST_EXPANSION_PER_C:
        raise TankInputError(
            "expansion_per_c",
            f"Expansion: {expansion_per_c:g} per °C is outside 0 to {MOST_EXPANSION_PER_C:g}; petrol has "
            "about 0.0013, water 0.0002.",
        )
    density = 1000 * specific_gravity
    return Liquid(
        name, density, density, density, 15, LinearExpansion(expansion_per_c), -40, 150,
        "density and expansion as given", is_fuel,
    )  # fmt: skip

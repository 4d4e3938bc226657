"""Sheet metals and safety foams."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Metal:
    """A sheet metal.

    Parameters
    ----------
    name : str
        For people.
    density_kg_m3 : float
        Density [kg/m^3].
    source : str
        Where the density comes from.
    """

    name: str
    density_kg_m3: float
    source: str


METALS: dict[str, Metal] = {
    "aluminium_5083": Metal("Aluminium 5083", 2660, "data sheets; some makers give 2650"),
    "aluminium_5251": Metal("Aluminium 5251", 2690, "EN 573 and makers' data, from memory"),
    "aluminium_5754": Metal("Aluminium 5754", 2670, "EN 573 and makers' data, from memory"),
    "aluminium_6082": Metal("Aluminium 6082", 2700, "EN 573 and makers' data, from memory"),
    "mild_steel": Metal("Mild steel", 7850, "usual handbook figure"),
    "stainless_304": Metal("Stainless steel 304", 8000, "upper end of 7900–8000, from memory"),
}
"""Metals by the name that a calc sheet stores."""


@dataclass(frozen=True)
class Foam:
    """A fully reticulated safety foam, by the limits of its specification.

    Parameters
    ----------
    name : str
        For people.
    displaced_percent, retained_percent : float
        Most liquid that the foam may displace, and may hold back when drained [% of the foamed volume].
    density_kg_m3 : float
        Upper end of the density of the dry foam [kg/m^3].
    """

    name: str
    displaced_percent: float
    retained_percent: float
    density_kg_m3: float


FOAM_SOURCE = (
    "MIL-DTL-83054C, Baffle and inerting material, aircraft fuel tank, most that each type may displace and "
    "hold back: limits from memory, its table could not be read. Held back is what a block still holds when "
    "it was drained at 500 cm³/min and two minutes more. A foam maker's published figure, 'three percent of "
    "the available tank volume', agrees. Give the figures of your foam's data sheet where you have it."
)
OWN_FOAM_SOURCE = "Displaced and held back as typed, from the data sheet of the foam."
MOST_FOAM_PERCENT = 15.0
"""Beyond what any open foam takes: a slip of the point."""

FOAMS: dict[str, Foam] = {
    "type_i": Foam("Type I, orange, polyester, coarse", 3.0, 2.5, 32),
    "type_ii": Foam("Type II, yellow, polyester, coarse", 2.5, 2.5, 23),
    "type_iii": Foam("Type III, red, polyester, fine", 2.5, 4.5, 23),
    "type_iv": Foam("Type IV, dark blue, polyether, coarse", 2.5, 2.5, 23),
    "type_v": Foam("Type V, light blue, polyether, fine", 2.5, 5.0, 23),
}
"""Foams by the name that a calc sheet stores; a tank without foam stores the empty name."""

"""Surface and mass of simple shapes, to price a lot and to rack it.

Each shape gives the surface that a finisher coats, inside and out, and the volume of its metal. Holes, slots
and weld beads are not counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite, pi

LARGEST_MM = 20_000.0
MM2_IN_M2 = 1e6
MM3_IN_M3 = 1e9

# Nominal densities [kg/m³]. From memory: steel EN 10220 (7.85 kg/dm³); aluminium EN 1999-1-1, 3.2.5, and the
# nominal densities of the Aluminum Association by alloy; stainless EN 10088-1; cast iron, copper, brass, zinc
# EN 1991-1-1, Table A.4; titanium grade 2 ASTM B265 data sheets; carbon and glass laminate: common practice,
# no source.
DENSITIES_KG_M3 = {
    "al_1xxx": 2705,
    "al_2xxx": 2780,
    "al_3xxx": 2730,
    "al_4xxx_wrought": 2690,
    "al_5xxx": 2670,
    "al_5xxx_low_mg": 2700,
    "al_5xxx_high_mg": 2660,
    "al_6xxx": 2700,
    "al_7xxx": 2810,
    "al_cast_mg": 2650,
    "al_cast_si_to_8": 2680,
    "al_cast_si_over_8": 2660,
    "al_diecast": 2740,
    "steel_mild": 7850,
    "steel_high_strength": 7850,
    "spring": 7850,
    "fastener_8_8": 7850,
    "fastener_10_9": 7850,
    "fastener_12_9": 7850,
    "galvanised_steel": 7850,
    "cast_iron": 7150,
    "stainless_austenitic": 7900,
    "stainless_martensitic_ferritic": 7700,
    "stainless_free_machining": 7900,
    "stainless_duplex_ph": 7800,
    "titanium": 4510,
    "nickel_alloy": 8400,
    "magnesium": 1800,
    "copper_brass_bronze": 8500,
    "zinc_diecast": 6700,
    "carbon_fibre": 1550,
    "grp": 1900,
}
DENSITY_SOURCE = (
    "nominal, from memory: EN 10220, EN 1999-1-1, EN 10088-1, EN 1991-1-1 Table A.4; "
    "laminates common practice, no source"
)


class ShapeError(ValueError):
    """A size cannot be right; `field` names it and the message says why, for people."""

    def __init__(self, field: str, message: str) -> None:
        self.field = field
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class Measured:
    """What was worked out.

    Parameters
    ----------
    area_mm2, volume_mm3 : float
        Surface inside and out [mm²], and volume of the metal [mm³].
    formula : str
        How, in the letters of the page.
    limits : str
        What is not counted.
    """

    area_mm2: float
    volume_mm3: float
    formula: str
    limits: str = "Holes, slots and weld beads are not counted."

    @property
    def area_m2(self) -> float:
        """Surface in square metres."""
        return self.area_mm2 / MM2_IN_M2

    def mass_kg(self, density_kg_m3: float) -> float:
        """Give the mass.

        Parameters
        ----------
        density_kg_m3 : float
            Of the material, from 10 to 25 000 [kg/m³].

        Returns
        -------
        float
            Mass of one piece [kg].

        Raises
        ------
        ShapeError
            If the density cannot be one of a solid.
        """
        if not 10 <= density_kg_m3 <= 25_000:
            raise ShapeError(
                "density_kg_m3", f"A density is from 10 to 25 000 kg/m³, not {density_kg_m3:g} kg/m³."
            )
        return self.volume_mm3 / MM3_IN_M3 * density_kg_m3


@dataclass(frozen=True, slots=True)
class Step:
    """One stretch of a turned part.

    Parameters
    ----------
    length_mm : float
        Along the axis [mm].
    from_mm, to_mm : float
        Diameter where it begins and where it ends [mm]: alike for a cylinder, 0 for a point.
    """

    length_mm: float
    from_mm: float
    to_mm: float


def sheet_blank(length_mm: float, width_mm: float, thickness_mm: float) -> Measured:
    """Measure a flat blank, both faces and the four edges.

    Parameters
    ----------
    length_mm, width_mm, thickness_mm : float
        Sizes [mm].

    Returns
    -------
    Measured
        Folding leaves both nearly as they are.

    Raises
    ------
    ShapeError
        If a size is not greater than 0 and up to 20 m.

    Examples
    --------
    >>> blank = sheet_blank(1000, 1000, 2)
    >>> blank.area_m2, blank.mass_kg(7850)
    (2.008, 15.7)
    """
    _check(length_mm=length_mm, width_mm=width_mm, thickness_mm=thickness_mm)
    area = 2 * (length_mm * width_mm + length_mm * thickness_mm + width_mm * thickness_mm)
    volume = length_mm * width_mm * thickness_mm
    return Measured(area, volume, "A = 2 (L W + L t + W t); V = L W t")


def round_tube(length_mm: float, diameter_mm: float, wall_mm: float | None = None) -> Measured:
    """Measure a round tube open at both ends, or a bar.

    Parameters
    ----------
    length_mm, diameter_mm : float
        Length and outside diameter [mm].
    wall_mm : float, optional
        Wall [mm]; without it the piece is solid.

    Returns
    -------
    Measured
        Outside, inside and the two end faces.

    Raises
    ------
    ShapeError
        If a size is not greater than 0, or the wall closes the bore.

    Examples
    --------
    >>> round(round_tube(1000, 48.3, 3.2).mass_kg(7850), 2)
    3.56
    """
    _check(length_mm=length_mm, diameter_mm=diameter_mm)
    bore = 0.0
    if wall_mm is not None:
        _check(wall_mm=wall_mm)
        bore = diameter_mm - 2 * wall_mm
        if bore <= 0:
            raise ShapeError(
                "wall_mm",
                f"A wall of {wall_mm:g} mm leaves no bore in {diameter_mm:g} mm. Leave it empty for a bar.",
            )
    section = pi / 4 * (diameter_mm**2 - bore**2)
    area = pi * (diameter_mm + bore) * length_mm + 2 * section
    return Measured(
        area, section * length_mm, "d = D − 2 t; A = π (D + d) L + π (D² − d²) / 2; V = π (D² − d²) L / 4"
    )


def box_section(
    length_mm: float,
    width_mm: float,
    height_mm: float,
    wall_mm: float | None = None,
    corner_mm: float = 0.0,
) -> Measured:
    """Measure a square or oblong tube open at both ends, or a block.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Length and outside of the section [mm].
    wall_mm : float, optional
        Wall [mm]; without it the piece is solid.
    corner_mm : float
        Outside radius of the corners [mm]; inside it is less by the wall, and not below 0. Cold-formed
        sections have about twice the wall (EN 10219-2, from memory).

    Returns
    -------
    Measured
        Outside, inside and the two end faces.

    Raises
    ------
    ShapeError
        If a size is not greater than 0, the wall closes the inside, or the corner does not fit.

    Examples
    --------
    >>> round(box_section(1000, 50, 50, 3, corner_mm=6).mass_kg(7850), 2)
    4.25
    """
    _check(length_mm=length_mm, width_mm=width_mm, height_mm=height_mm)
    smaller = min(width_mm, height_mm)
    if not 0 <= corner_mm <= smaller / 2:
        raise ShapeError(
            "corner_mm", f"A corner radius is from 0 to {smaller / 2:g} mm here, not {corner_mm:g} mm."
        )
    section, edge = _rounded(width_mm, height_mm, corner_mm)
    if wall_mm is not None:
        _check(wall_mm=wall_mm)
        if 2 * wall_mm >= smaller:
            raise ShapeError(
                "wall_mm",
                f"A wall of {wall_mm:g} mm leaves nothing open in {smaller:g} mm. "
                "Leave it empty for a block.",
            )
        inside, inner_edge = _rounded(
            width_mm - 2 * wall_mm, height_mm - 2 * wall_mm, max(0.0, corner_mm - wall_mm)
        )
        section, edge = section - inside, edge + inner_edge
    formula = "S = W H − (4 − π) r², less the same of the inside; U = edges of both; A = U L + 2 S; V = S L"
    return Measured(edge * length_mm + 2 * section, section * length_mm, formula)


def turned_part(steps: Sequence[Step], bore_mm: float = 0.0) -> Measured:
    """Measure a turned part: cylinders and cones one behind the other, with a plain bore through all.

    Parameters
    ----------
    steps : sequence of Step
        From one end to the other.
    bore_mm : float
        Diameter of the bore [mm]; 0 for none.

    Returns
    -------
    Measured
        Outside, shoulders, end faces and the bore.

    Raises
    ------
    ShapeError
        If there is no step, a size is not greater than 0, or the bore comes through the outside.

    Examples
    --------
    >>> cone = turned_part([Step(30, 0, 80)])
    >>> round(cone.volume_mm3), round(cone.area_mm2)
    (50265, 11310)
    """
    if not steps:
        raise ShapeError("steps", "A turned part has at least one step.")
    for number, step in enumerate(steps, start=1):
        _check_step(number, step, bore_mm)
    area, volume, last = 0.0, 0.0, 0.0
    for step in steps:
        first, end = step.from_mm / 2, step.to_mm / 2
        volume += pi * step.length_mm / 3 * (first**2 + first * end + end**2)
        area += pi * (first + end) * hypot(step.length_mm, end - first)
        area += pi * abs(first**2 - last**2)  # the shoulder, or the end face
        last = end
    area += pi * last**2
    length = sum(step.length_mm for step in steps)
    radius = bore_mm / 2
    if radius:
        area += 2 * pi * radius * length - 2 * pi * radius**2
        volume -= pi * radius**2 * length
    formula = "V = Σ π h (a² + a b + b²) / 3; A = Σ π (a + b) √(h² + (a − b)²) + shoulders + ends; a, b radii"
    return Measured(area, volume, formula)


def _rounded(width: float, height: float, radius: float) -> tuple[float, float]:
    """Area and edge of an oblong with rounded corners."""
    return width * height - (4 - pi) * radius**2, 2 * (width + height) - (8 - 2 * pi) * radius


def _check(**sizes: float) -> None:
    for field, size in sizes.items():
        if not (isfinite(size) and 0 < size <= LARGEST_MM):
            raise ShapeError(field, f"A size is greater than 0 and up to {LARGEST_MM:g} mm, not {size:g} mm.")


def _check_step(number: int, step: Step, bore_mm: float) -> None:
    where = f"Step {number}"
    if not (isfinite(step.length_mm) and 0 < step.length_mm <= LARGEST_MM):
        raise ShapeError("steps", f"{where}: a length is greater than 0, not {step.length_mm:g} mm.")
    for diameter in (step.from_mm, step.to_mm):
        if not (isfinite(diameter) and 0 <= diameter <= LARGEST_MM):
            raise ShapeError(
                "steps", f"{where}: a diameter is from 0 to {LARGEST_MM:g} mm, not {diameter:g} mm."
            )
    if max(step.from_mm, step.to_mm) == 0:
        raise ShapeError("steps", f"{where}: one of its diameters must be greater than 0.")
    if not (isfinite(bore_mm) and bore_mm >= 0):
        raise ShapeError("bore_mm", f"A bore is 0 or greater, not {bore_mm:g} mm.")
    if bore_mm and bore_mm >= min(step.from_mm, step.to_mm):
        raise ShapeError("bore_mm", f"{where}: a bore of {bore_mm:g} mm comes through the outside.")

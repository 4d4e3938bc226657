"""The words of the sheets of tanks of any shape: formulas, sources, limits and cautions."""

from engineering.sheets.kind import Notes
from engineering.sheets.tank import CAUTIONS, FUEL_CAUTIONS, RULES
from engineering.tank import FOAM_SOURCE, Foam, Liquid, Metal
from engineering.tank.materials import OWN_FOAM_SOURCE

FORMULAS = (
    "Volume below a surface: the closed skin of the tank is cut by the plane, every triangle as a prism "
    "down to it, whose clipping is a cubic in the level. No slices are taken.",
    "Bends take r² · (tan(φ/2) − φ/2) from their corner, φ the angle that the outline turns by.",
    "Inside = each face moved inwards by the sheet, corners mitred, bends about the same centre.",
    "Expansion space = the larger of the percentage of the brim, and brim · (1 − 1/r), r the volume of "
    "the hot liquid against that when filled.",
    "Usable = brim − expansion space − what lies below the plane through the pickup − what foam holds.",
    "Surge: the settled surface is square to what the liquid feels, tan θ = a/g; left is what lies below "
    "that plane through the pickup. The pot keeps what lies below the plane through the lowest edge of its "
    "mouth.",
    "Collector box in a bend: Q = C · A · √(2 · g · h) through each hole, C 0.61, between two settled "
    "surfaces; fed over its edge while one surface covers that.",
    "Reserve = what the pot keeps above the pickup ÷ (pump − return).",
    "Mass of the tank = (outside − inside volume) · density of the metal.",
    "Sheet and weld are those of the skin at mid-thickness, with all that is joined and cut.",
)

ASSUMPTIONS = (
    "One connected surface, and air that leaves every high spot.",
    "Depth is read along a stick upright in the tank, from the floor or the pot below it.",
    "Mass is bare sheet with what is joined to it: no flanges, bosses, sender or mounts. Weld is the length "
    "of all edges without a bend; those that are folded need none.",
    "What is joined counts to its end, a filler neck to its mouth.",
    "A collector box is taken as full when the bend begins, its holes at the foot of its walls in turn; for "
    "all else one surface goes through box and baffles.",
    "Faces are flat: thin sheet bulges under its own liquid.",
    "A sender of a straight tube gives equal steps of its signal for equal steps of depth.",
)

SOURCES = (
    "Cutting checked against a solid modeller and Monte Carlo; round shapes against D. Jones, “Compute "
    "Fluid Tank Volumes” (2002), and the fluids library.",
    "Relative equilibrium: White, Fluid Mechanics, 2.9; checked against problems of Bansal, Çengel, White.",
    "Expansion space of 5 %: common practice, no source. Aircraft: at least 2 % of capacity (14 CFR 25.969).",
    "Gallons: Weights and Measures Act 1985 Schedule 1 (imperial); NIST Handbook 44 Appendix C (US).",
    "Ranges of senders: common practice, no source. Measure the sender before it is fitted.",
)

LIMITS = (
    "Up to 5 m and 2000 L; sheet up to 20 mm; slopes up to 60°; accelerations up to 5 g.",
    "Quasi-static: no sloshing. A sudden step can nearly double the first rise; baffles and foam delay it.",
    "Where the plane cuts the tank into separate pools their real levels differ.",
    "No strength, no pressure, no mounting and no crash is worked out. Thermal growth of the tank is left "
    "out, which is on the safe side.",
)


def notes_of(liquid: Liquid, metal: Metal, foam: Foam | None, is_own_foam: bool) -> Notes:
    """The words stored with a result."""
    return Notes(
        formulas=FORMULAS,
        assumptions=ASSUMPTIONS,
        sources=(
            *SOURCES,
            f"{liquid.name}: {liquid.source}.",
            f"{metal.name}: {metal.density_kg_m3:g} kg/m³, {metal.source}.",
            *([f"Foam: {OWN_FOAM_SOURCE if is_own_foam else FOAM_SOURCE}"] if foam else []),
        ),
        limits=LIMITS,
        cautions=(*CAUTIONS, *(FUEL_CAUTIONS if liquid.is_fuel else ())),
        rules=RULES,
    )

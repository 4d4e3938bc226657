"""The tank sheet: from typed figures to the tank core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.forms import SHAPE_DIMENSIONS, TankForm
from engineering.sheets.cautions import FUEL_RULES, HOT_WORK, PRESSURE_TEST, VAPOUR, WELDER
from engineering.sheets.kind import Inputs, Notes, PartFacts, Results, SheetKind
from engineering.sheets.tank_drawing import dip_plot, sides_in_order, tank_sketch
from engineering.tank import (
    FOAM_SOURCE,
    FOAMS,
    LIQUIDS,
    METALS,
    Box,
    ExpansionRule,
    Foam,
    LyingCylinder,
    Measured,
    Shape,
    TankError,
    TankInputError,
    TankInputs,
    UprightCylinder,
    size_tank,
)
from engineering.tank.units import imperial_gallons, us_gallons

SHAPES: dict[str, type[Shape]] = {"box": Box, "upright": UprightCylinder, "lying": LyingCylinder}

SHAPE_FORMULAS = {
    "box": "Box: V = length × width × depth.",
    "upright": "Upright cylinder: V = π/4 · D² · depth.",
    "lying": "Lying cylinder: V = [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)] · L, h the depth, R half "
    "of D.",
}

FORMULAS = (
    "Inside = outside less twice the sheet thickness, in each direction.",
    "Brim = inside volume less what the foam displaces, a share given by its type.",
    "Expansion space = the larger of the percentage of the brim, and brim · (1 − 1/r), where r is the "
    "volume of the hot liquid divided by its volume when filled.",
    "Usable = brim − expansion space − liquid below the pickup − liquid that the foam above the pickup "
    "holds back.",
    "Mass of liquid = most to fill in × density. Mass of the empty tank = (outside − inside volume) × "
    "density of the metal.",
)

ASSUMPTIONS = (
    "The tank stands level and still, and is full of one liquid.",
    "Faces are flat, corners sharp and ends flat; sheet does not bulge.",
    "Depth is measured from the lowest point inside.",
    "Mass of the tank is bare sheet: no baffles, flanges, bosses, filler, sender or mounts.",
    "Sheet is measured at mid-thickness, without flanges, overlaps or waste; weld is the length of all outer "
    "edges, and those that are folded need none.",
)
FOAM_ASSUMPTION = "The foam fills the whole inside and is as dense and as greedy as its type allows."

SOURCES = (
    "Volumes: D. Jones, “Calculating Tank Volume” (also “Compute Fluid Tank Volumes”, Chemical Processing, "
    "2002); checked against the table of partly filled cylinders in Perry's Chemical Engineers' Handbook.",
    "Expansion space of 5 %: common practice, no source. Aircraft: at least 2 % of capacity (14 CFR 25.969).",
    "Gallons: Weights and Measures Act 1985 Schedule 1 (imperial, 4.54609 L); NIST Handbook 44 Appendix C "
    "(US, 3.785411784 L).",
)

LIMITS = (
    "Up to 5 m long and 2000 L; sheet up to 20 mm.",
    "No tilt, no braking or cornering, no slosh: a pickup may run dry with more left than shown here.",
    "No strength, no pressure, no mounting and no crash is worked out.",
    "Thermal growth of the tank is left out; it would add about 0.25 % for aluminium over 35 °C.",
)
SYSTEM_LIMIT = (
    "Expansion is that of the liquid in this tank alone. A header tank has to take the expansion of the "
    "whole system."
)
DRY_SUMP_LIMIT = (
    "A dry-sump tank needs room for froth besides: about a third of it air, or at least 1.5 L above the oil "
    "(common practice, no standard). Give that as the percentage."
)

CAUTIONS = (HOT_WORK, WELDER, PRESSURE_TEST)
FUEL_CAUTIONS = (
    VAPOUR,
    "Bond and earth filler neck, tank and body. Keep tank, filler and vent sealed from the cabin; spilt "
    "fuel must reach the ground and miss the exhaust. (UNECE Regulation 34, as summarised by the approval "
    "authority)",
)

_LIMITS_OF = {"water": (SYSTEM_LIMIT,), "coolant": (SYSTEM_LIMIT,), "engine_oil": (DRY_SUMP_LIMIT,)}

RULES = (
    FUEL_RULES,
    "DSEAR 2002 and HSG140 (storage and handling of flammable liquids); the rules of the sport, where it "
    "races",
)


def work_out(inputs: Inputs) -> Results:
    """Size the tank. Raises ValidationError by field."""
    try:
        given = _tank_inputs(inputs)
        result = size_tank(given)
    except TankInputError as error:
        raise ValidationError({error.field: error.message}) from error
    except TankError as error:
        raise ValidationError(str(error)) from error
    return {**asdict(result), "dip_chart": [asdict(row) for row in result.dip_chart],
            "notes": _notes(inputs, given).stored()}  # fmt: skip


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    by_temperature = results["expansion_governed_by"] == ExpansionRule.TEMPERATURE
    return {
        "usable": _three_units(results["usable_l"]),
        "volumes": [(words, _three_units(results[name])) for words, name in _volume_lines(inputs)],
        "expansion_why": _expansion_why(inputs, results, by_temperature),
        "filled_depth_mm": f"{results['filled_depth_mm']:.0f}",
        "inside_mm": " × ".join(f"{size:g}" for _, size in sides_in_order(results["inside"])),
        "masses": _mass_lines(inputs, results),
        "making": [
            ("Sheet", f"{results['sheet_m2']:.3f} m²"),
            ("Outer edges, weld or fold", f"{results['weld_m']:.2f} m"),
        ],
        "dip_rows": [_dip_line(row, inputs, results) for row in results["dip_chart"]],
        "sketch": tank_sketch(inputs, results),
        "plot": dip_plot(inputs, results),
    }


def _tank_inputs(inputs: Inputs) -> TankInputs:
    shape = inputs["shape"]
    return TankInputs(
        shape=SHAPES[shape](**{name: inputs[name] for name in SHAPE_DIMENSIONS[shape]}),
        measured=Measured(inputs["measured"]),
        thickness_mm=inputs["thickness_mm"],
        metal=METALS[inputs["metal"]],
        liquid=LIQUIDS[inputs["liquid"]],
        foam=_foam(inputs),
        expansion_percent=inputs["expansion_percent"],
        fill_c=inputs["fill_c"],
        hottest_c=inputs["hottest_c"],
        pickup_mm=inputs["pickup_mm"],
        dip_step_mm=inputs["dip_step_mm"],
    )


def _foam(inputs: Inputs) -> Foam | None:
    """The foam by its stored name; “none” is in no table."""
    return FOAMS.get(inputs["foam"])


def _notes(inputs: Inputs, given: TankInputs) -> Notes:
    liquid, foam = given.liquid, given.foam
    return Notes(
        formulas=(SHAPE_FORMULAS[inputs["shape"]], *FORMULAS),
        assumptions=(*ASSUMPTIONS, *([FOAM_ASSUMPTION] if foam else [])),
        sources=(
            *SOURCES,
            f"{liquid.name}: {liquid.source}.",
            f"{given.metal.name}: {given.metal.density_kg_m3:g} kg/m³, {given.metal.source}.",
            *([f"Foam: {FOAM_SOURCE}"] if foam else []),
        ),
        limits=(*LIMITS, *_LIMITS_OF.get(inputs["liquid"], ())),
        cautions=(*CAUTIONS, *(FUEL_CAUTIONS if liquid.is_fuel else ())),
        rules=RULES,
    )


def _volume_lines(inputs: Inputs) -> list[tuple[str, str]]:
    foam = [("Displaced by foam", "foam_displaced_l")] if _foam(inputs) else []
    held = [("Held back by foam above the pickup", "foam_retained_l")] if _foam(inputs) else []
    return [
        ("Inside volume", "gross_l"),
        *foam,
        ("To the brim", "brim_l"),
        ("Expansion space, to stay free", "expansion_l"),
        ("Most to fill in", "filled_l"),
        ("Below the pickup", "rest_l"),
        *held,
        ("Usable", "usable_l"),
    ]


def _expansion_why(inputs: Inputs, results: Results, by_temperature: bool) -> str:
    percentage = (
        f"{inputs['expansion_percent']:g} % of the brim is {results['expansion_by_percentage_l']:.2f} L"
    )
    warming = (
        f"warming from {inputs['fill_c']:g} to {inputs['hottest_c']:g} °C takes "
        f"{results['expansion_by_temperature_l']:.2f} L"
    )
    first, second = (warming, percentage) if by_temperature else (percentage, warming)
    return f"{first[0].upper()}{first[1:]} and governs; {second}."


def _mass_lines(inputs: Inputs, results: Results) -> list[tuple[str, str]]:
    liquid = f"{results['liquid_kg']:.1f} kg"
    if results["liquid_lightest_kg"] != results["liquid_heaviest_kg"]:
        liquid += f" ({results['liquid_lightest_kg']:.1f} to {results['liquid_heaviest_kg']:.1f})"
    lines = [("Empty tank, bare sheet", f"{results['empty_kg']:.2f} kg"), ("Most liquid to fill in", liquid)]
    if _foam(inputs):
        lines.append(("Dry foam, at most", f"{results['foam_kg']:.2f} kg"))
    return lines


def _three_units(litres: float) -> dict[str, str]:
    return {
        "litres": f"{litres:.2f}",
        "imperial": f"{imperial_gallons(litres):.2f}",
        "us": f"{us_gallons(litres):.2f}",
    }


def _dip_line(row: dict[str, float], inputs: Inputs, results: Results) -> dict[str, Any]:
    depth_mm = row["depth_mm"]
    remark = ""
    if depth_mm == results["dip_chart"][-1]["depth_mm"]:
        remark = "brim"
    elif depth_mm > results["filled_depth_mm"]:
        remark = "in the expansion space"
    elif depth_mm <= inputs["pickup_mm"]:
        remark = "below the pickup"
    return {
        "depth_mm": f"{depth_mm:.10g}",
        **_three_units(row["litres"]),
        "percent": f"{row['brim_percent']:.1f}",
        "remark": remark,
    }


def facts(inputs: Inputs, results: Results) -> PartFacts:
    """The bare tank: mass, outside sizes and blank area."""
    outside = results["outside"]
    across = outside.get("diameter_mm")
    return PartFacts(
        mass_kg=results["empty_kg"],
        length_mm=outside.get("length_mm", across),
        width_mm=outside.get("width_mm", across),
        height_mm=outside.get("height_mm", across),
        area_m2=results["sheet_m2"],
    )


def table(inputs: Inputs, results: Results) -> list[list[str]]:
    """The dip chart for a spreadsheet or a dash."""
    rows = [_dip_line(row, inputs, results) for row in results["dip_chart"]]
    names = ("depth_mm", "litres", "imperial", "us", "percent")
    return [
        ["depth mm", "litres", "imperial gallons", "US gallons", "% of brim"],
        *([row[name] for name in names] for row in rows),
    ]


TANK = SheetKind(
    key="tank",
    name="Tank",
    new_words="New tank sheet",
    form=TankForm,
    work_out=work_out,
    show=show,
    facts=facts,
    table=table,
)

"""The sheet of pipes and pump: from typed figures to the tank core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.sheets.cautions import FUEL_RULES, HOT_WORK, VAPOUR
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.sheets.lines_form import DUTIES, LinesForm, bore_mm
from engineering.sheets.lines_shown import show
from engineering.tank import TankInputError
from engineering.tank.pipes import (
    FLUIDS,
    FUELS,
    HIGHEST_M_S,
    Duty,
    Fluid,
    Line,
    check_between,
    flow_through,
    least_bore_mm,
    next_sizes,
    pump_duty,
)

FORMULAS = (
    "Engine burns = power · consumption / density. To deliver = that, with the margin.",
    "Suction and feed carry what the pump delivers, or what is to be delivered where that is not given; a "
    "return carries the same at idle, when next to nothing is burnt.",
    "Velocity = flow / area. Pressure lost = f · (length / bore) · ρ v² / 2 + ΣK · ρ v² / 2 + ρ g · rise.",
    "f = 64 / Re up to Re 2000; above, Colebrook for drawn tube.",
)
ASSUMPTIONS = (
    "The fluid is at about 20 °C and free of vapour; hot petrol boils in a suction line long before this sum "
    "says anything.",
    "Bores are the maker's: a dash number names the outside of a tube in sixteenths of an inch, taken "
    "here with "
    "a wall of 0.035 in (common practice, no source); the bore of a hose of that size is its maker's.",
    "K of fittings, on the velocity in the bore: sharp inlet 0.5, outlet 1, tight 90° hose end 1.5, swept "
    "one 0.4 (common practice, no source); filter and regulator by their makers' curves.",
)
SOURCES = (
    "Friction: Darcy and Weisbach with Colebrook, as in Crane TP-410; checked against its examples 7.1 and "
    "7.13.",
    "Velocities: 0.5 to 1.5 m/s in suction and 2 to 4 m/s in return lines as a hydraulics maker publishes "
    "them; "
    "at most 3 m/s for petrol under pressure is common practice, no source.",
    "Consumption 0.50 to 0.60 lb/hp h: two makers of engine electronics.",
)
LIMITS = (
    "Bores 1 to 150 mm, up to 50 m; steady flow of a liquid. Between Re 2000 and 4000 friction may be out "
    "by half.",
    "What a pump's inlet stands is its maker's figure; a rise is counted level, without bends and surge.",
    "The pump's own curve, its voltage and its wiring are not in here: hold the figure against the curve "
    "at that "
    "pressure and at the voltage that reaches it.",
)
CAUTIONS = (
    "A leak under pressure sprays: fuel hose and ends of one maker's system, made for this fuel and "
    "pressure, "
    "clipped, away from heat and moving parts. Relieve the pressure before opening anything.",
    "Hose that lies in the tank must be made for immersion (SAE J30 R10). Test with the system's own "
    "pressure "
    "before the engine runs, with an extinguisher at hand and the battery easy to cut off.",
    VAPOUR,
    HOT_WORK,
)
OTHER_CAUTIONS = (
    "Hot oil and hot coolant scald and are under pressure: let them cool before anything is opened; hose and "
    "ends made for that fluid, temperature and pressure.",
    "A hose that comes off at speed can set fire to the car or lock its engine: clip it, keep it off "
    "exhaust and "
    "moving parts, and look at it again after the first run.",
)
OTHER_RULES = ("The hose maker's own limits of fluid, pressure, temperature and age",)
RULES = (
    FUEL_RULES,
    "The hose maker's own limits of fuel, pressure, temperature and age; the rules of the sport, where it "
    "races",
)


def work_out(inputs: Inputs) -> Results:
    """Work out the pump and each line. Raises ValidationError by field."""
    fluid = FLUIDS[inputs["fluid"]]
    try:
        pump = _pump(inputs, fluid)
    except TankInputError as error:
        raise ValidationError({_FIELDS.get(error.field, error.field): error.message}) from error
    flow = inputs.get("delivers_l_h", pump["needed_l_h"])
    found = [_line(number, row, flow, fluid) for number, row in enumerate(inputs["lines"], start=1)]
    drops = {duty: sum(line["drop_kpa"] for line in found if line["duty"] == duty) for duty in Duty}
    has_suction = any(line["duty"] == Duty.SUCTION for line in found)
    has_return = any(line["duty"] == Duty.RETURN for line in found)
    return {
        "pump": pump
        | {
            "pressure_kpa": inputs["rail_kpa"] + drops[Duty.PRESSURE],
            "feed_drop_kpa": drops[Duty.PRESSURE],
            "suction_kpa": drops[Duty.SUCTION] if has_suction else None,
            "return_kpa": drops[Duty.RETURN] if has_return else None,
            "carried_l_h": flow,
        },
        "lines": found,
        "notes": _notes(inputs["fluid"]).stored(),
    }


_FIELDS = {"litres_per_h": "flow_l_h"}


def _pump(inputs: Inputs, fluid: Fluid) -> dict[str, Any]:
    """What the engine burns and what is to be delivered."""
    for name, words in (("flow_l_h", "Flow"), ("delivers_l_h", "The pump delivers")):
        if name in inputs:
            check_between(name, words, inputs[name], 0.1, 60_000.0, "L/h")
    if "flow_l_h" in inputs:
        check_between("rail_kpa", "Pressure", inputs["rail_kpa"], 0.0, 1000.0, "kPa")
        return {"engine_kg_h": None, "engine_l_h": None, "needed_l_h": inputs["flow_l_h"]}
    figures = {name: inputs[name] for name in ("power_kw", "consumption_g_kwh", "rail_kpa", "margin_percent")}
    return asdict(pump_duty(**figures, fluid=fluid))


def _line(number: int, row: dict[str, Any], flow_l_h: float, fluid: Fluid) -> dict[str, Any]:
    duty = DUTIES[row["duty"].casefold()]
    bore = bore_mm(row)
    try:
        found = flow_through(Line(duty, bore, row["length_m"], row["loss_k"], row["rise_m"]), flow_l_h, fluid)
    except TankInputError as error:
        raise ValidationError({"lines": f"Line {number}: {error.message}"}) from error
    least = least_bore_mm(flow_l_h, HIGHEST_M_S[duty])
    metric_mm, dash = next_sizes(least)
    return asdict(found) | {
        "name": row["name"],
        "duty": duty.value,
        "bore_mm": bore,
        "drop_kpa": found.drop_kpa,
        "least_bore_mm": least,
        "next_mm": metric_mm,
        "next_dash": dash,
    }


def _notes(fluid_key: str) -> Notes:
    fluid = FLUIDS[fluid_key]
    words = f"{fluid.name}: {fluid.density_kg_m3:g} kg/m³, {fluid.viscosity_mpa_s:g} mPa·s ({fluid.source})."
    burns = fluid_key in FUELS
    return Notes(
        FORMULAS,
        ASSUMPTIONS,
        (*SOURCES, words),
        LIMITS,
        CAUTIONS if burns else OTHER_CAUTIONS,
        RULES if burns else OTHER_RULES,
    )


LINES = SheetKind(
    key="lines",
    name="Pipes and pump",
    new_words="New sheet of pipes and pump",
    form=LinesForm,
    work_out=work_out,
    show=show,
)

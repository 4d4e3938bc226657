"""The sheet of pipes and pump: from typed figures to the tank core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.sheets.lines_form import DUTIES, LinesForm
from engineering.tank import TankInputError
from engineering.tank.pipes import (
    FLUIDS,
    HIGHEST_M_S,
    Duty,
    Fluid,
    Line,
    flow_through,
    least_bore_mm,
    pump_duty,
)

FORMULAS = (
    "Engine burns = power · consumption / density. To deliver = that, with the margin.",
    "Suction and feed carry what the pump delivers; a return carries it less what the engine burns at idle, "
    "taken as nothing.",
    "Velocity = flow / area. Pressure lost = f · (length / bore) · ρ v² / 2 + ΣK · ρ v² / 2 + ρ g · rise.",
    "f = 64 / Re up to Re 2000; above, Colebrook for drawn tube.",
)
ASSUMPTIONS = (
    "The fluid is at about 20 °C and free of vapour; hot petrol boils in a suction line long before this sum "
    "says anything.",
    "Bores are the maker's: a dash number names the outside of a tube, the hose's bore is less.",
    "K of fittings, on the velocity in the bore: sharp inlet 0.5, outlet 1, tight 90° hose end 1.5, swept "
    "one "
    "0.4 (common practice, no source); filter and regulator by their makers' curves.",
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
    "Petrol vapour burns at about 1 to 8 % in air, is heavier than air and gathers in pits. (HSG146)",
)
RULES = (
    "Construction and Use Regulations 1986, regulation 39; the IVA inspection manual; UNECE Regulation 34",
    "The hose maker's own limits of fuel, pressure, temperature and age; the rules of the sport, where it "
    "races",
)


def work_out(inputs: Inputs) -> Results:
    """Work out the pump and each line. Raises ValidationError by field."""
    fluid = FLUIDS[inputs["fluid"]]
    figures = {name: inputs[name] for name in ("power_kw", "consumption_g_kwh", "rail_kpa", "margin_percent")}
    try:
        bare = pump_duty(**figures, fluid=fluid)
    except TankInputError as error:
        raise ValidationError({error.field: error.message}) from error
    found = [
        _line(number, row, bare.needed_l_h, fluid) for number, row in enumerate(inputs["lines"], start=1)
    ]
    added = sum(line["drop_kpa"] for line in found if line["duty"] == Duty.PRESSURE)
    return {
        "pump": asdict(bare) | {"pressure_kpa": bare.pressure_kpa + added, "feed_drop_kpa": added},
        "lines": found,
        "notes": _notes(fluid).stored(),
    }


def _line(number: int, row: dict[str, Any], flow_l_h: float, fluid: Fluid) -> dict[str, Any]:
    duty = DUTIES[row["duty"].casefold()]
    line = Line(duty, row["bore_mm"], row["length_m"], row["loss_k"], row["rise_m"])
    try:
        found = flow_through(line, flow_l_h, fluid)
    except TankInputError as error:
        raise ValidationError({"lines": f"Line {number}: {error.message}"}) from error
    return asdict(found) | {
        "name": row["name"],
        "duty": duty.value,
        "drop_kpa": found.drop_kpa,
        "least_bore_mm": least_bore_mm(flow_l_h, HIGHEST_M_S[duty]),
    }


def _notes(fluid: Fluid) -> Notes:
    words = f"{fluid.name}: {fluid.density_kg_m3:g} kg/m³, {fluid.viscosity_mpa_s:g} mPa·s ({fluid.source})."
    return Notes(FORMULAS, ASSUMPTIONS, (*SOURCES, words), LIMITS, CAUTIONS, RULES)


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    pump = results["pump"]
    return {
        "needed": f"{pump['needed_l_h']:.0f}",
        "pressure": f"{pump['pressure_kpa']:.0f}",
        "bar": f"{pump['pressure_kpa'] / 100:.2f}",
        "burnt": f"{pump['engine_kg_h']:.1f} kg/h, {pump['engine_l_h']:.1f} L/h",
        "feed_drop": f"{pump['feed_drop_kpa']:.1f}",
        "lines": [
            _shown_line(row, line) for row, line in zip(inputs["lines"], results["lines"], strict=True)
        ],
    }


def _shown_line(row: dict[str, Any], line: dict[str, Any]) -> dict[str, str]:
    remarks = []
    if line["is_too_fast"]:
        remarks.append(f"faster than usual in a {line['duty']} line: {line['least_bore_mm']:.1f} mm or more")
    if line["is_between"]:
        remarks.append("neither laminar nor turbulent for certain: friction may be out by half")
    return {
        "name": line["name"],
        "duty": line["duty"],
        "size": f"{row['bore_mm']:g} mm × {row['length_m']:g} m",
        "velocity": f"{line['velocity_m_s']:.2f}",
        "reynolds": f"{line['reynolds']:.0f}",
        "drop": f"{line['drop_kpa']:.1f}",
        "remark": "; ".join(remarks),
    }


LINES = SheetKind(
    key="lines",
    name="Pipes and pump",
    new_words="New sheet of pipes and pump",
    form=LinesForm,
    work_out=work_out,
    show=show,
)

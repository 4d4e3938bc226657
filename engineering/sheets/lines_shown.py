"""What a sheet of pipes and pump shows, from its stored inputs and results."""

from typing import Any

from engineering.sheets.kind import Inputs, Results
from engineering.sheets.lines_drawing import scheme

PETROL_VAPOUR_KPA = 60.0
"""Highest vapour pressure of summer petrol at 37.8 °C, EN 228 class A (from memory) [kPa]."""
AIR_KPA = 101.3


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    pump = results["pump"]
    lines = [_shown_line(row, line) for row, line in zip(inputs["lines"], results["lines"], strict=True)]
    return {
        "needed": f"{pump['needed_l_h']:.0f}",
        "pressure": f"{pump['pressure_kpa']:.0f}",
        "bar": f"{pump['pressure_kpa'] / 100:.2f}",
        "burnt": _burnt(pump),
        "feed_drop": f"{pump['feed_drop_kpa']:.1f}",
        "verdict": _verdict(inputs, pump),
        "heads": [*_suction(inputs, pump), *_return(inputs, pump)],
        "lines": lines,
        "scheme": scheme(inputs, results, [line["size"] for line in lines]),
    }


def _burnt(pump: dict[str, Any]) -> str:
    if pump["engine_kg_h"] is None:
        return ""
    return f"{pump['engine_kg_h']:.1f} kg/h, {pump['engine_l_h']:.1f} L/h"


def _verdict(inputs: Inputs, pump: dict[str, Any]) -> str:
    """Whether the pump on the bench does it."""
    delivers = inputs.get("delivers_l_h")
    if delivers is None:
        return ""
    needed = pump["needed_l_h"]
    if delivers < needed:
        return f"The pump is too small: it delivers {delivers:g} L/h of the {needed:.0f} L/h that are needed."
    return f"The pump is large enough: {delivers:g} L/h, where {needed:.0f} L/h are needed."


def _suction(inputs: Inputs, pump: dict[str, Any]) -> list[str]:
    lost = pump.get("suction_kpa")  # sheets from before did not add it up
    if lost is None:
        return []
    if lost <= 0:
        return [f"The pump is flooded: fuel stands {-lost:.1f} kPa over its inlet while it runs."]
    words = f"At the pump’s inlet the pressure is {lost:.1f} kPa below that in the tank, height included."
    if inputs["fluid"] == "petrol":
        words += (
            f" Summer petrol at 38 °C boils when {AIR_KPA - PETROL_VAPOUR_KPA:.0f} kPa are missing, hotter "
            "petrol sooner: set the pump low and near the tank."
        )
    return [words]


def _return(inputs: Inputs, pump: dict[str, Any]) -> list[str]:
    lost = pump.get("return_kpa")
    if lost is None:
        return []
    words = f"The return puts {lost:.1f} kPa behind the regulator at idle: the rail rises by as much."
    if pump["engine_l_h"] is not None:
        left = pump["carried_l_h"] - pump["engine_l_h"]
        words += f" It carries {pump['carried_l_h']:.0f} L/h at idle, {max(left, 0):.0f} L/h at full power."
    return [words]


def _shown_line(row: dict[str, Any], line: dict[str, Any]) -> dict[str, str]:
    bore = line.get("bore_mm", row["bore_mm"])
    size = f"-{row['dash'].strip().lstrip('-−–')} ({bore:.1f} mm)" if row.get("dash") else f"{bore:g} mm"
    remarks = []
    if line["is_too_fast"]:
        remarks.append(f"faster than usual in a {line['duty']} line: {line['least_bore_mm']:.1f} mm or more")
    if line["is_between"]:
        remarks.append("neither laminar nor turbulent for certain: friction may be out by half")
    return {
        "name": line["name"],
        "duty": line["duty"],
        "size": f"{size} × {row['length_m']:g} m",
        "loss_k": f"{row['loss_k']:g}",
        "rise": f"{row['rise_m']:+g}" if row["rise_m"] else "0",
        "velocity": f"{line['velocity_m_s']:.2f}",
        "reynolds": f"{line['reynolds']:.0f}",
        "drop": f"{line['drop_kpa']:.1f}",
        "head": f"{line['rise_kpa']:.1f}",
        "least": _least(line),
        "remark": "; ".join(remarks),
    }


def _least(line: dict[str, Any]) -> str:
    """The smallest sizes that are sold at a usual velocity."""
    metric, dash = line.get("next_mm"), line.get("next_dash")
    words = [f"{metric:g} mm"] if metric else []
    return " or ".join([*words, f"-{dash}"] if dash else words)

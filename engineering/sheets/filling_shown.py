"""What a filling sheet shows, from its stored inputs and results."""

from typing import Any

from engineering.fields import KeptSheetField
from engineering.sheets.brimming import worst_way
from engineering.sheets.filling_drawing import neck_view
from engineering.sheets.kind import Inputs, Results

NOTHING_L = 0.05
FASTEST_L_MIN = 240


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    found = results["filling"]
    return {
        "verdict": "clicks off before the tank is full"
        if found["clicks_off"]
        else "fills without clicking off",
        "flow": f"{inputs['litres_per_min']:g}",
        "lift": f"{found['lift_mm']:.0f}",
        "room": f"{found['room_mm']:g}",
        "speed": f"{found['air']['velocity_m_s']:.1f}",
        "pressure": f"{found['back_pressure_pa']:.0f}",
        "most": _most_words(results.get("most_l_min")),
        "outlet": _outlet_words(inputs["outlet_over_nozzle_mm"]),
        "remarks": _remarks(found),
        "neck": neck_view(inputs, results),
        "breathing": _breathing_words(inputs, results["breathing"]),
        "brimming": _brimming(inputs, results.get("brimming")),
        "bores": [_bore(row) for row in results["bores"]],
    }


def _most_words(most_l_min: float | None) -> str:
    if most_l_min is None:
        return ""  # a sheet from before
    if most_l_min >= FASTEST_L_MIN:
        return "No forecourt nozzle is too fast for it."
    if most_l_min == 0:
        return "Even a trickle would reach the nozzle."
    return f"It fills without clicking off at up to {most_l_min:.0f} L/min."


def _outlet_words(over_mm: float) -> str:
    if over_mm < 0:
        return (
            f"The vent ends {-over_mm:g} mm below the nozzle’s mouth: overfilled, fuel leaves there first. "
            "Raise it."
        )
    return (
        f"The vent ends {over_mm:g} mm over the nozzle’s mouth: overfilled, fuel reaches the nozzle "
        f"before it "
        "leaves by the vent."
    )


def _remarks(found: dict[str, Any]) -> list[str]:
    remarks = []
    if found["air"]["is_between"]:
        remarks.append(
            "The air is neither laminar nor turbulent for certain: the pressure may be out by half."
        )
    return remarks


def _breathing_words(inputs: Inputs, breath: dict[str, float]) -> list[str]:
    lines = [
        f"{breath['in_l_min']:.2f} L/min of air come in at full power; at least {breath['out_l_min']:.2f} "
        f"L/min "
        f"leave when the tank warms by {inputs['warming_c_h']:g} °C in an hour, vapour on top of it."
    ]
    if "in_pa" in breath:
        lines.append(
            f"Through the breather of {inputs['breather_bore_mm']:g} mm × {inputs['breather_length_m']:g} m "
            f"that takes {breath['in_pa']:.0f} Pa of suction in the tank and {breath['out_pa']:.1f} Pa of "
            "pressure. A blocked one starves the pump and draws the panels in."
        )
    if "breather_valve_pa" not in inputs:
        lines.append("Add the roll-over valve by one point of its maker’s curve.")
    return lines


def _brimming(inputs: Inputs, brimming: dict[str, Any] | None) -> dict[str, Any] | None:
    if not brimming:
        return None
    return {
        "tank": KeptSheetField.words(inputs["tank_sheet"]),
        "sheet": inputs["tank_sheet"]["sheet"],
        "slope": f"{brimming['slope_percent']:g}",
        "answer": _brimmed_words(brimming),
        "alone": [_alone_words(number, ways) for number, ways in enumerate(brimming["alone"], start=1)],
        "vents": "; ".join(
            f"{number} at {x:g} / {y:g} / {z:g} mm"
            for number, (x, y, z) in enumerate(brimming["vents"], start=1)
        ),
        "ways": [
            {
                "words": way["words"],
                "litres": f"{way['litres']:.1f}",
                "trapped": f"{way['trapped_l']:.1f}",
                "vent": way["vent"],
            }
            for way in brimming["ways"]
        ],
        "fill_to": f"{brimming['filled_l']:.1f}",
    }


def _brimmed_words(brimming: dict[str, Any]) -> str:
    """How full can it be brimmed on the slope."""
    slope, brim = brimming["slope_percent"], brimming["brim_l"]
    worst = worst_way(brimming["ways"])
    if worst["trapped_l"] < NOTHING_L:
        return (
            f"However the car stands on a slope of {slope:g} %, the tank can be brimmed to its {brim:.1f} L."
        )
    return (
        f"On a slope of {slope:g} % at its worst, {worst['words']}, {worst['litres']:.1f} of {brim:.1f} L "
        f"go in; "
        f"{worst['trapped_l']:.1f} L of air stay."
    )


def _alone_words(number: int, ways: list[dict[str, Any]]) -> str:
    worst = worst_way(ways)
    return (
        f"With vent {number} alone: {worst['litres']:.1f} L at its worst, {worst['words']}, and "
        f"{worst['trapped_l']:.1f} L of air."
    )


def _bore(row: dict[str, Any]) -> dict[str, str]:
    most = row.get("most_l_min")  # sheets from before did not work it out
    return {
        "bore": f"{row['bore_mm']:g}",
        "lift": "too much" if row["lift_mm"] is None else f"{row['lift_mm']:.0f}",
        "verdict": "clicks off" if row["clicks_off"] else "fills",
        "most": "" if most is None else (f"{most:.0f}" if most < FASTEST_L_MIN else "any"),
    }

"""What the sheets of tanks of any shape show, from their stored inputs and results."""

from collections.abc import Mapping
from typing import Any

from engineering.sheets.fitted_words import fitted_words
from engineering.sheets.kind import Inputs, Results
from engineering.sheets.shaped_drawing import polar_plot, stick_plot, views
from engineering.tank import FOAMS, METALS, ExpansionRule, Measured
from engineering.tank.units import imperial_gallons, us_gallons


def put_together_lines(inputs: Inputs, results: Results, stretches: Mapping[str, str]) -> dict[str, Any]:
    """What is printed of a tank of a main body and what is fitted to it; `stretches` names its dimensions."""
    return {
        **common_lines(inputs, results),
        "stretched": _stretched_words(inputs, results, stretches),
        "views": views(inputs, results),
        "pot": _pot_lines(inputs, results),
        "box": _box_words(inputs, results),
        "fitted": fitted_words(inputs),
    }


def table(inputs: Inputs, results: Results) -> list[list[str]]:
    """Dip chart, and the sender's points below it, for a spreadsheet or a dash."""
    slope = results["on_slope"]
    on_slope = _slope_words(inputs)
    lines = [
        ["depth mm", "litres", "imperial gallons", "US gallons", "% of brim"]
        + ([f"litres, {on_slope}"] if slope else [])
    ]
    for row in _dip_rows(inputs, results):
        line = [row[name] for name in ("depth_mm", "litres", "imperial", "us", "percent")]
        lines.append(line + ([row["on_slope"]] if slope else []))
    sender = _sender_lines(inputs, results)
    if sender:
        lines += [[], ["dash shows %", "depth mm", f"sender {sender['unit']}", "litres"]]
        lines += [[row["share"], row["depth_mm"], row["reading"], row["litres"]] for row in sender["rows"]]
    return lines


def common_lines(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What is printed of a tank of any shape, however it was described."""
    return {
        "usable": _three_units(results["usable_l"]),
        "volumes": [(words, _three_units(results[name])) for words, name in _volume_lines(inputs)],
        "expansion_why": _expansion_why(inputs, results),
        "filled_depth_mm": f"{results['filled_depth_mm']:.0f}",
        "sheet": _sheet_lines(inputs, results),
        "facts": _fact_lines(inputs, results),
        "dip_rows": _dip_rows(inputs, results),
        "slope": _slope_words(inputs) if results["on_slope"] else "",
        "stick": stick_plot(results),
        "sender": _sender_lines(inputs, results),
        "brimming": [
            {
                "words": way["words"],
                "litres": f"{way['litres']:.2f}",
                "trapped": f"{way['trapped_l']:.2f}",
                "vent": way["vent"],
            }
            for way in results["brimming"]
        ],
        "vents": "; ".join(
            f"{number} at {row['x_mm']:g} / {row['y_mm']:g} / {row['z_mm']:g} mm"
            for number, row in enumerate(inputs.get("vents") or [], start=1)
        ),
        "vent_slope": f"{inputs.get('vent_slope_percent', 0):g}",
        "surge": _surge_lines(inputs, results),
        "polar": polar_plot(inputs, results),
    }


def _three_units(litres: float) -> dict[str, str]:
    return {
        "litres": f"{litres:.2f}",
        "imperial": f"{imperial_gallons(litres):.2f}",
        "us": f"{us_gallons(litres):.2f}",
    }


def _stretched_words(inputs: Inputs, results: Results, stretches: Mapping[str, str]) -> str:
    if results["stretched_mm"] is None:
        return ""
    skin = "outside" if inputs["measured"] == Measured.OUTSIDE else "inside"
    return (
        f"To take {inputs['wanted_l']:g} L {stretches[inputs['stretch']]} becomes "
        f"{results['stretched_mm']:.1f} mm, measured {skin}."
    )


def _volume_lines(inputs: Inputs) -> list[tuple[str, str]]:
    has_foam = inputs["foam"] in FOAMS
    foam = [("Displaced by foam", "foam_displaced_l")] if has_foam else []
    held = [("Held back by foam", "foam_retained_l")] if has_foam else []
    return [
        ("Inside volume", "gross_l"),
        *foam,
        ("To the brim", "brim_l"),
        ("Expansion space, to stay free", "expansion_l"),
        ("Most to fill in", "filled_l"),
        ("Out of the pickup's reach", "rest_l"),
        *held,
        ("Usable", "usable_l"),
    ]


def _expansion_why(inputs: Inputs, results: Results) -> str:
    share = f"{inputs['expansion_percent']:g} % of the brim is {results['expansion_by_percentage_l']:.2f} L"
    warming = (
        f"warming from {inputs['fill_c']:g} to {inputs['hottest_c']:g} °C takes "
        f"{results['expansion_by_temperature_l']:.2f} L"
    )
    by_temperature = results["expansion_governed_by"] == ExpansionRule.TEMPERATURE
    first, second = (warming, share) if by_temperature else (share, warming)
    return f"{first[0].upper()}{first[1:]} and governs; {second}."


def _sheet_lines(inputs: Inputs, results: Results) -> list[tuple[str, str]]:
    """What is cut and welded."""
    condition = f", condition {inputs['condition']}" if inputs.get("condition") else ""
    return [
        ("Sheet", f"{METALS[inputs['metal']].name}{condition}, {inputs['thickness_mm']:g} mm"),
        ("Outside over all", " × ".join(f"{size:.0f}" for size in results["outside_mm"]) + " mm"),
        ("Sheet, net", f"{results['sheet_m2']:.3f} m²"),
        ("Edges without a bend, weld or fold", f"{results['weld_m']:.2f} m"),
        ("Empty tank, bare sheet", f"{results['empty_kg']:.2f} kg"),
    ]


def _fact_lines(inputs: Inputs, results: Results) -> list[tuple[str, str]]:
    liquid = f"{results['liquid_kg']:.1f} kg"
    if results["liquid_lightest_kg"] != results["liquid_heaviest_kg"]:
        liquid += f" ({results['liquid_lightest_kg']:.1f} to {results['liquid_heaviest_kg']:.1f})"
    x, y, z = results["liquid_centre_mm"]
    across = "to the left" if "mesh" in inputs else "from the right"
    lines = [
        ("Most liquid to fill in", liquid),
        ("Its centre, when full", f"{x:.0f} forwards, {y:.0f} {across}, {z:.0f} mm up"),
    ]
    if inputs["foam"] in FOAMS:
        lines.append(("Dry foam, at most", f"{results['foam_kg']:.2f} kg"))
    return lines


def _slope_words(inputs: Inputs) -> str:
    words = []
    for name, up, down in (
        ("nose_up_percent", "nose up", "nose down"),
        ("left_up_percent", "left side up", "right side up"),
    ):
        slope = inputs.get(name, 0.0)
        if slope:
            words.append(f"{up if slope > 0 else down} {abs(slope):g} %")
    return ", ".join(words)


def _dip_rows(inputs: Inputs, results: Results) -> list[dict[str, Any]]:
    slope = results["on_slope"]
    rows = []
    for number, row in enumerate(results["dip_chart"]):
        remark = ""
        if row["litres"] >= results["brim_l"] - 1e-9:
            remark = "brim"
        elif row["depth_mm"] > results["filled_depth_mm"]:
            remark = "in the expansion space"
        elif row["depth_mm"] <= results["pickup_depth_mm"]:
            remark = "below the pickup"
        rows.append(
            {
                "depth_mm": f"{round(row['depth_mm'], 1):g}",
                **_three_units(row["litres"]),
                "percent": f"{row['brim_percent']:.1f}",
                "on_slope": f"{slope[number]:.2f}" if slope else "",
                "remark": remark,
            }
        )
    return rows


def _sender_lines(inputs: Inputs, results: Results) -> dict[str, Any] | None:
    sender = results["sender"]
    if not sender:
        return None
    linear, dash = sender["linear"], sender["with_points"]
    return {
        "unit": sender["unit"],
        "rows": [
            {
                "share": f"{100 * row['share']:.0f}",
                "depth_mm": f"{row['depth_mm']:.1f}",
                "reading": f"{row['reading']:.2f}" if sender["unit"] == "V" else f"{row['reading']:.1f}",
                "litres": f"{row['litres']:.2f}",
            }
            for row in sender["rows"]
        ],
        "linear": _wrong(linear),
        "dash": _wrong(dash),
        "ends": (
            f"At its lowest {sender['below_l']:.2f} L are still in the tank, at its highest "
            f"{sender['above_l']:.2f} L more go in to the brim."
        ),
    }


def _wrong(error: dict[str, float]) -> str:
    much, little = error["shows_too_much_l"], error["shows_too_little_l"]
    parts = []
    if much >= 0.05:
        parts.append(f"up to {much:.1f} L too much (with {error['at_too_much_l']:.1f} L in the tank)")
    if little >= 0.05:
        parts.append(f"up to {little:.1f} L too little (with {error['at_too_little_l']:.1f} L)")
    return " and ".join(parts) or "right within 0.05 L"


def _surge_lines(inputs: Inputs, results: Results) -> dict[str, Any]:
    surge = results["surge"]
    worst, bare, sloped = surge["worst"], surge["without_pot"], surge.get("on_slope")
    lines: dict[str, Any] = {
        "g": f"{inputs['surge_g']:g}",
        "worst_l": f"{worst['litres_left']:.1f}",
        "worst_when": _doing(worst["direction_deg"]),
        "without": f"{bare['worst']['litres_left']:.1f}" if bare else "",
        "slope": _slope_words(inputs) if sloped else "",
        "rows": _surge_rows(surge),
    }
    if sloped:
        lines["slope_l"] = f"{sloped['worst']['litres_left']:.1f}"
        lines["slope_when"] = _doing(sloped["worst"]["direction_deg"])
    return lines


def _surge_rows(surge: dict[str, Any]) -> list[dict[str, str]]:
    """Litres left by what the car does: level and on the slope, and the same without the pot."""
    columns = {
        name: dict((source or {}).get("here", []))
        for name, source in (
            ("level", surge),
            ("slope", surge.get("on_slope")),
            ("bare", surge["without_pot"]),
            ("bare_slope", surge.get("without_pot_on_slope")),
        )
    }
    return [
        {"words": words, **{name: _litres(found.get(float(turn))) for name, found in columns.items()}}
        for turn, words in DOINGS.items()
    ]


def _litres(litres: float | None) -> str:
    return "" if litres is None else f"{litres:.2f}"


DOINGS = {
    0: "gathering speed", 45: "gathering speed in a left-hand bend", 90: "in a left-hand bend",
    135: "braking in a left-hand bend", 180: "braking", 225: "braking in a right-hand bend",
    270: "in a right-hand bend", 315: "gathering speed in a right-hand bend",
}  # fmt: skip
"""What the car does when it accelerates that way."""


def _doing(direction_deg: float) -> str:
    return DOINGS[round(direction_deg / 45) % 8 * 45]


def _box_words(inputs: Inputs, results: Results) -> list[str]:
    """What the collector box does in its worst bend."""
    box = results.get("box")  # sheets from before know of no box
    if not box:
        return []
    slope = f", {_slope_words(inputs)}" if _slope_words(inputs) else ""
    begins = f"With {inputs['bend_l']:g} L in the tank the box starts the bend with {box['at_start_l']:.2f} L"
    fed = f"{box['refilled_l']:.2f} L come in through its holes and {box['leaked_l']:.2f} L go out"
    when = _doing(box["direction_deg"])
    if box["holds"]:
        verdict = f"The box holds the pump through a bend of {inputs['bend_s']:g} s."
    else:
        verdict = f"The box comes dry after {box['covered_s']:.1f} s of a bend of {inputs['bend_s']:g} s."
    return [f"{begins}; {fed}, at worst when {when}{slope}.", verdict]


def _pot_lines(inputs: Inputs, results: Results) -> dict[str, Any] | None:
    pot = results["pot"]
    if not pot:
        return None
    seconds = pot.get("seconds")
    lines = {
        "level_l": f"{pot['level_l']:.2f}",
        "worst_l": f"{pot['worst_l']:.2f}",
        "seconds": "",
        "verdict": "",
    }
    if "seconds" in pot:
        lines["seconds"] = "as long as the return feeds it" if seconds is None else f"{seconds:.1f} s"
        bend_s = inputs.get("bend_s")
        if bend_s is not None:
            holds = seconds is None or seconds >= bend_s
            lines["verdict"] = (
                f"It holds the pump through a bend of {bend_s:g} s."
                if holds
                else f"It does not hold the pump through a bend of {bend_s:g} s."
            )
    return lines

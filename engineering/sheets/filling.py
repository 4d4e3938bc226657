"""The filling sheet: vent and breather, from typed figures to the tank core and back to words."""

from dataclasses import asdict, replace
from typing import Any

from django.core.exceptions import ValidationError

from engineering.sheets.brimming import brimmed_ways, places_of
from engineering.sheets.cautions import FUEL_RULES, HOT_WORK, VAPOUR
from engineering.sheets.filling_form import FillingForm
from engineering.sheets.filling_shown import show
from engineering.sheets.fuel import built, named_tank
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.tank import TankInputError
from engineering.tank.filling import Filling, breathing_l_min, fill, most_l_min
from engineering.tank.vents import ValvePoint, Vent, air_through

BORES_MM = (6.0, 8.0, 9.5, 12.7, 14.3, 16.0, 19.0, 25.0)
USUAL_SLOPE_PERCENT = 5.0
LEAST_L_MIN = 0.01  # less than that moves no air that counts


NOTES = Notes(
    formulas=(
        "Air out = fuel in. Pressure in the tank = f · (length / bore) · ρ v² / 2 + ΣK · ρ v² / 2, with "
        "1.5 added to K for the entrance and the exit of the vent.",
        "A narrow fitting: K = (0.5 (1 − β²) + (1 − β²)²) / β⁴, β = its bore / bore of the line. A valve: "
        "its "
        "maker's point, growing with the square of the flow.",
        "Brimmed on a slope: the surface is level and rises until the highest vent is covered; what the tank "
        "holds above it stays air.",
        "Fuel rises in the filler neck by that pressure / (density · g). The nozzle clicks off when its "
        "mouth is "
        "reached.",
        "Breathing in = what the engine burns. Breathing out = air volume · warming / absolute temperature.",
    ),
    assumptions=(
        "Air at 20 °C without vapour or liquid in the vent, no foam in the neck, tank level.",
        "Several vents are alike and share the air; they are joined above the tank, so that air may leave by "
        "any of them.",
    ),
    sources=(
        "Friction as in Crane TP-410, checked against its example 7.16; K of entrance, exit and narrow "
        "places, "
        "the same, by the library fluids. K of hose ends: common practice, no source.",
        "Outlet at or over the filler: Boat Safety Scheme 2.3.2, for boats.",
        "Nozzles: 40 CFR 80.22(j), 10 US gal/min; European pumps about 45 L/min as a pump inspector lists "
        "them.",
        "Vents of boats: USCG Boatbuilder's Handbook on 33 CFR 183.520, ‘generally found’ enough at 9/16 "
        "in bore "
        "for 9 to 12 US gal/min; the sum stays far below its limit of pressure.",
        "Warming: law of Gay-Lussac. The usual 10 °C in an hour: common practice, no source.",
    ),
    limits=(
        "Up to 5 kPa in the tank. Foam, liquid in a sagging vent and fast vapour from warm petrol are what "
        "makes "
        "nozzles click off in practice: be generous with the bore and let the line rise all the way.",
        "Brim-full leaves no room to expand: fill to the level that the tank's own sheet gives.",
    ),
    cautions=(
        "The breather of a fuel tank needs a roll-over valve or a non-return valve, and so does the fill "
        "vent "
        "unless it closes with the cap; both end outside the cabin and away from exhaust and sparks, "
        "without a trap in which liquid can stand.",
        "Petrol vapour leaves by it whenever the tank is filled or warms: never in a closed shop.",
        VAPOUR,
        HOT_WORK,
        "Bond filler neck, tank and body.",
    ),
    rules=(
        FUEL_RULES,
        "Motorsport UK or FIA rules on vents and roll-over valves, where the car competes",
    ),
)


def work_out(inputs: Inputs) -> Results:
    """Hold the vent against the nozzle. Raises ValidationError by field."""
    tank = named_tank(inputs, "tank_sheet")
    try:
        found = _filled(inputs, _vent(inputs))
        brimming = _brimming(inputs, tank) if tank else None
        tank_l = tank.results["brim_l"] if tank else inputs["tank_l"]
        into, out = breathing_l_min(inputs["consumption_l_h"], tank_l, inputs["warming_c_h"], inputs["air_c"])
    except TankInputError as error:
        field = _FIELDS.get(error.field, error.field)
        raise ValidationError({field: error.message}) from error
    return {
        "filling": asdict(found),
        "most_l_min": _most(inputs, _vent(inputs)),
        "brimming": brimming,
        "breathing": {"in_l_min": into, "out_l_min": out, **_breather(inputs, into, out)},
        "bores": [_other(inputs, bore) for bore in sorted({*BORES_MM, inputs["bore_mm"]})],
        "notes": NOTES.stored(),
    }


_FIELDS = {"air_l": "tank_l", "loss_k": "fittings_k", "nose_up_deg": "slope_percent"} | {
    "left_up_deg": "slope_percent"
}
"""Where on the form a refusal of the core belongs, when the core calls it otherwise."""


def _vent(inputs: Inputs) -> Vent:
    return Vent(
        inputs["bore_mm"],
        inputs["length_m"],
        inputs["fittings_k"],
        inputs["outlet_over_nozzle_mm"],
        inputs.get("narrowest_mm"),
        inputs.get("narrow_places", 1),
        _valve(inputs, "valve_pa", "valve_l_min"),
    )


def _valve(inputs: Inputs, pressure: str, flow: str) -> ValvePoint | None:
    return ValvePoint(inputs[pressure], inputs[flow]) if pressure in inputs else None


def _filled(inputs: Inputs, vent: Vent) -> Filling:
    return fill(
        vent, inputs["litres_per_min"], inputs["nozzle_over_brim_mm"], inputs["liquid_kg_m3"], inputs["vents"]
    )


def _most(inputs: Inputs, vent: Vent) -> float:
    return most_l_min(vent, inputs["nozzle_over_brim_mm"], inputs["liquid_kg_m3"], inputs["vents"])


def _other(inputs: Inputs, bore_mm: float) -> dict[str, Any]:
    """The same line in another bore; too thin to be worked out counts as clicking off."""
    vent = replace(_vent(inputs), bore_mm=bore_mm)
    if vent.narrowest_mm is not None and vent.narrowest_mm > bore_mm:
        vent = replace(vent, narrowest_mm=None)
    row: dict[str, Any] = {"bore_mm": bore_mm, "most_l_min": _most(inputs, vent)}
    try:
        found = _filled(inputs, vent)
    except TankInputError:
        return row | {"lift_mm": None, "clicks_off": True}
    return row | {"lift_mm": found.lift_mm, "clicks_off": found.clicks_off}


def _brimming(inputs: Inputs, tank: Any) -> dict[str, Any]:
    """What goes in on a slope, with all vents and with each of them alone."""
    typed = places_of(inputs.get("vent_mouths"))
    places = typed or places_of(tank.inputs.get("vents"))
    if not places:
        raise ValidationError(
            {"vent_mouths": f"“{tank.title}” has no vents on its own sheet: say here where they begin."}
        )
    build, free = built(tank), tank.results["brim_l"] / tank.results["gross_l"]
    slope = inputs.get("slope_percent", USUAL_SLOPE_PERCENT)
    return {
        "slope_percent": slope,
        "brim_l": tank.results["brim_l"],
        "filled_l": tank.results["filled_l"],
        "vents": [list(place) for place in places],
        "ways": _ways(build, places, slope, free),
        "alone": [_ways(build, [place], slope, free) for place in places] if len(places) > 1 else [],
    }


def _ways(build: Any, places: list[Any], slope: float, free: float) -> list[dict[str, Any]]:
    try:
        return brimmed_ways(build, places, slope, free)
    except TankInputError as error:
        field = "vent_mouths" if error.field == "vents" else _FIELDS.get(error.field, error.field)
        raise ValidationError({field: error.message}) from error


def _breather(inputs: Inputs, into_l_min: float, out_l_min: float) -> dict[str, float]:
    """Suction and pressure in the tank that the breather takes, where it is given."""
    if "breather_bore_mm" not in inputs:
        return {}
    line = Vent(
        inputs["breather_bore_mm"],
        inputs["breather_length_m"],
        valve=_valve(inputs, "breather_valve_pa", "breather_valve_l_min"),
    )
    try:
        return {
            name: air_through(line, max(flow, LEAST_L_MIN)).drop_kpa * 1000
            for name, flow in (("in_pa", into_l_min), ("out_pa", out_l_min))
        }
    except TankInputError as error:
        raise ValidationError({f"breather_{error.field}": error.message}) from error


FILLING = SheetKind(
    key="filling",
    name="Filling and breathing",
    new_words="New filling sheet",
    form=FillingForm,
    work_out=work_out,
    show=show,
)

"""The filling sheet: vent and breather, from typed figures to the tank core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.fields import CountField, FigureField
from engineering.forms import SheetForm
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.tank import TankInputError
from engineering.tank.filling import Vent, breathing_l_min, fill

BORES_MM = (6.0, 8.0, 9.5, 12.7, 14.3, 16.0, 19.0, 25.0)


class FillingForm(SheetForm):
    litres_per_min = FigureField(
        words="Filling",
        unit="L/min",
        initial=45,
        help_text="A petrol nozzle: up to 38 in America (10 US gal/min), about 45 in Europe; diesel 70 and "
        "more.",
    )
    nozzle_over_brim_mm = FigureField(
        words="Nozzle mouth over the fuel at brim",
        unit="mm",
        help_text="How far fuel may rise in the neck before the nozzle clicks off.",
    )
    liquid_kg_m3 = FigureField(words="Density of the fuel", unit="kg/m³", initial=745)
    bore_mm = FigureField(words="Vent bore", unit="mm")
    length_m = FigureField(words="Vent length", unit="m")
    fittings_k = FigureField(
        words="Fittings of the vent, sum of K", unit="", initial=3, label="Fittings of the vent, sum of K",
        help_text="A tight 90° end 1.5; roll-over valve and flame gauze by their makers' curves.",
    )  # fmt: skip
    vents = CountField(words="Vent lines side by side", unit="", initial=1)
    outlet_over_nozzle_mm = FigureField(
        words="Vent outlet over the nozzle mouth", unit="mm", initial=50, help_text="Below it: a minus sign."
    )
    tank_l = FigureField(words="Tank, brim-full", unit="L")
    consumption_l_h = FigureField(words="Burnt at full power", unit="L/h")
    warming_c_h = FigureField(words="Warming in the sun", unit="°C/h", initial=10)
    air_c = FigureField(words="Air in the tank", unit="°C", initial=20)


NOTES = Notes(
    formulas=(
        "Air out = fuel in. Pressure in the tank = f · (length / bore) · ρ v² / 2 + ΣK · ρ v² / 2, with "
        "1.5 added "
        "to K for the entrance and the exit of the vent.",
        "Fuel rises in the filler neck by that pressure / (density · g). The nozzle clicks off when its "
        "mouth is "
        "reached.",
        "Breathing in = what the engine burns. Breathing out = air volume · warming / absolute temperature.",
    ),
    assumptions=(
        "Air at 20 °C without vapour or liquid in the vent, no foam in the neck, tank level.",
        "Several vents are alike and share the air.",
    ),
    sources=(
        "Friction as in Crane TP-410, checked against its example 7.16; K of entrance and exit, the same.",
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
        "What a slope keeps as air is worked out on the tank's own sheet.",
    ),
    cautions=(
        "The breather of a fuel tank needs a roll-over valve or a non-return valve, ends outside the cabin "
        "and away "
        "from exhaust and sparks, and has no trap in which liquid can stand.",
        "Petrol vapour leaves by it whenever the tank is filled or warms: never in a closed shop, never "
        "near a "
        "flame. (HSG146, Dispensing petrol)",
        "Bond filler neck, tank and body.",
    ),
    rules=(
        "Construction and Use Regulations 1986, regulation 39; UNECE Regulation 34; the IVA inspection "
        "manual, "
        "section 03A",
        "Motorsport UK or FIA rules on vents and roll-over valves, where the car competes",
    ),
)


def work_out(inputs: Inputs) -> Results:
    """Hold the vent against the nozzle. Raises ValidationError by field."""
    try:
        found = _filled(inputs, inputs["bore_mm"])
        into, out = breathing_l_min(
            inputs["consumption_l_h"], inputs["tank_l"], inputs["warming_c_h"], inputs["air_c"]
        )
    except TankInputError as error:
        field = {"air_l": "tank_l", "loss_k": "fittings_k"}.get(error.field, error.field)
        raise ValidationError({field: error.message}) from error
    return {
        "filling": asdict(found),
        "breathing": {"in_l_min": into, "out_l_min": out},
        "bores": [_other(inputs, bore) for bore in sorted({*BORES_MM, inputs["bore_mm"]})],
        "notes": NOTES.stored(),
    }


def _filled(inputs: Inputs, bore_mm: float) -> Any:
    vent = Vent(bore_mm, inputs["length_m"], inputs["fittings_k"], inputs["outlet_over_nozzle_mm"])
    return fill(
        vent, inputs["litres_per_min"], inputs["nozzle_over_brim_mm"], inputs["liquid_kg_m3"], inputs["vents"]
    )


def _other(inputs: Inputs, bore_mm: float) -> dict[str, Any]:
    """The same line in another bore; too thin to be worked out counts as clicking off."""
    try:
        found = _filled(inputs, bore_mm)
    except TankInputError:
        return {"bore_mm": bore_mm, "lift_mm": None, "clicks_off": True}
    return {"bore_mm": bore_mm, "lift_mm": found.lift_mm, "clicks_off": found.clicks_off}


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    found, breath = results["filling"], results["breathing"]
    verdict = "clicks off before the tank is full" if found["clicks_off"] else "fills without clicking off"
    remarks = []
    if found["spills_at_vent"]:
        remarks.append(
            "The vent ends below the nozzle's mouth: overfilled, fuel leaves there first. Raise it."
        )
    if found["air"]["is_between"]:
        remarks.append(
            "The air is neither laminar nor turbulent for certain: the pressure may be out by half."
        )
    return {
        "verdict": verdict,
        "lift": f"{found['lift_mm']:.0f}",
        "room": f"{found['room_mm']:g}",
        "speed": f"{found['air']['velocity_m_s']:.1f}",
        "pressure": f"{found['back_pressure_pa']:.0f}",
        "remarks": remarks,
        "breath_in": f"{breath['in_l_min']:.2f}",
        "breath_out": f"{breath['out_l_min']:.2f}",
        "bores": [
            {
                "bore": f"{row['bore_mm']:g}",
                "lift": "too much" if row["lift_mm"] is None else f"{row['lift_mm']:.0f}",
                "verdict": "clicks off" if row["clicks_off"] else "fills",
            }
            for row in results["bores"]
        ],
    }


FILLING = SheetKind(
    key="filling",
    name="Filling and breathing",
    new_words="New filling sheet",
    form=FillingForm,
    work_out=work_out,
    show=show,
)

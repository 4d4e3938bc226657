"""The sheet of battery and starter cable: both sides, and what is left at the starter."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.loom import INSULATIONS, SYSTEMS_V, WIRE_SOURCES, LoomError, Series
from engineering.loom.battery import (
    LEAST_AT_STARTER_V,
    PLUS_LIMIT_V,
    REST_V,
    RETURN_LIMIT_V,
    StarterCable,
    StarterInputs,
    StarterSide,
    size_starter_cable,
)
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.sheets.starter_drawing import ladder

FORMULAS = (
    "Drop of a side = I · R20 · (1 + 0.00393 · (T − 20)) · length, plus what body and joints lose on the way "
    "back; T is the temperature of the cable as the cranking ends.",
    "The cable keeps all its heat meanwhile: T = (234.5 + start) · exp(I²t / (226 · S)²) − 234.5.",
    f"Battery while it cranks = {REST_V:g} V less ({REST_V:g} − 7.5) V · current / rated cold current, "
    "for 12 V, in proportion for 24 and 48 V. The starter gets that less both drops.",
)
ASSUMPTIONS = (
    "A full and sound battery, as cold as in its cold test; a warm one gives more. Steady current: the first "
    "tenth of a second, before the engine turns, draws more.",
    "Each side by itself takes the thinnest cable that loses no more than it may and whose insulation bears "
    "the heat.",
)
SOURCES = (
    f"Allowed drop: {PLUS_LIMIT_V:g} V on the plus side, {RETURN_LIMIT_V:g} V on the return (starter "
    "testers' and two makers' workshop manuals; stricter ones say 0.2 V).",
    "Copper: IEC 60028. Heat: adiabatic equation, IEC 60364-5-54 Annex A. Battery: 7.5 V after 10 s at the "
    f"rated cold current, EN 50342-1, from memory. {LEAST_AT_STARTER_V:g} V wanted at a 12 V starter: common "
    "practice, no source.",
)
LIMITS = (
    "12, 24 and 48 V direct current; up to 1500 A, 60 s and 20 m on a side; surroundings from −40 °C to "
    "below the class of the insulation.",
    "One cable on each side. Every bolted joint may lose 0.1 V besides: clean metal, right lugs, tight.",
)
CAUTIONS = (
    "No fuse is usual in a starter cable: a short along it burns the car. Lead it clear of edges and heat, "
    "sleeve it and clip it every 300 mm (common practice, no source), and cover its ends.",
    "Disconnect the battery, earth side first, before working on it. Rings and watches off: a spanner across "
    "the terminals melts. No spark near a battery on charge. (HSE INDG139, Using electric storage batteries "
    "safely)",
    "Crank no longer than the maker of the starter allows, and let it cool between goes.",
)
RULES = (
    "The makers' sheets of starter, battery, cable and lugs",
    "The IVA inspection manual; the rules for boats or caravans where they apply; the rules of the sport, "
    "where it races (battery master switch)",
)


class StarterForm(SheetForm):
    system_v = forms.TypedChoiceField(
        label="System", coerce=int, choices=[(volts, f"{volts} V") for volts in SYSTEMS_V], initial=12
    )
    cranking_a = FigureField(
        words="Cranking current", unit="A",
        help_text="By a clamp meter, or the maker's sheet. Petrol 150 to 350, diesel 450 to 800, the more "
        "the colder.",
    )  # fmt: skip
    cranking_s = FigureField(words="Longest at one go", unit="s", initial=10)
    cold_a = FigureField(
        words="Battery's rated cold current", unit="A", required=False,
        help_text="On its label, by EN. Without it nothing is said of the voltage at the starter.",
    )  # fmt: skip
    plus_m = FigureField(
        words="Cable battery plus to starter", unit="m", help_text="Along its way, switch included."
    )
    return_m = FigureField(
        words="Cable engine to battery minus", unit="m",
        help_text="Straps and cables together; what the body carries in between counts as volts.",
    )  # fmt: skip
    body_v = FigureField(words="Lost in body and joints of the return", unit="V", initial=0.1)
    plus_limit_v = FigureField(
        words="Plus side may lose", unit="V", required=False,
        help_text="Empty: 0.5 V at 12 V, in proportion above.",
    )  # fmt: skip
    return_limit_v = FigureField(
        words="Return may lose", unit="V", required=False,
        help_text="Empty: 0.3 V at 12 V, in proportion above.",
    )  # fmt: skip
    ambient_c = FigureField(words="Hottest surroundings of the cables", unit="°C", initial=85)
    insulation = forms.ChoiceField(
        label="Insulation", choices=[(key, each.name) for key, each in INSULATIONS.items()], initial="c"
    )
    series = forms.ChoiceField(
        label="Cable sold in",
        choices=[
            (Series.METRIC.value, "mm² (road-vehicle cable)"),
            (Series.AWG.value, "AWG (gauge numbers)"),
        ],
        initial=Series.METRIC.value,
    )


def work_out(inputs: Inputs) -> Results:
    """Size both cables. Raises ValidationError by field."""
    try:
        cable = size_starter_cable(_given(inputs))
    except LoomError as error:
        raise ValidationError({error.field: error.message}) from error
    return {
        "plus": _side(cable.plus),
        "back": _side(cable.back),
        "rest_v": REST_V * inputs["system_v"] / 12,
        "least_v": LEAST_AT_STARTER_V * inputs["system_v"] / 12,
        "battery_v": cable.battery_v,
        "at_starter_v": cable.at_starter_v,
        "remarks": [*cable.remarks, *_unsaid(cable)],
        "notes": Notes(
            FORMULAS, ASSUMPTIONS, (*SOURCES, f"Cable: {WIRE_SOURCES[Series(inputs['series'])]}."), LIMITS,
            CAUTIONS, RULES,
        ).stored(),
    }  # fmt: skip


def _given(inputs: Inputs) -> StarterInputs:
    figures = ("cranking_a", "cranking_s", "plus_m", "return_m", "body_v", "ambient_c")
    return StarterInputs(
        system_v=inputs["system_v"],
        **{name: inputs[name] for name in figures},
        insulation=INSULATIONS[inputs["insulation"]],
        **{name: inputs.get(name) for name in ("cold_a", "plus_limit_v", "return_limit_v")},
        series=Series(inputs["series"]),
    )


def _unsaid(cable: StarterCable) -> list[str]:
    if cable.at_starter_v is not None:
        return []
    return [
        "The battery's rated cold current is not given, so nothing is said of the voltage at the starter."
    ]


def _side(side: StarterSide) -> dict[str, Any]:
    return {
        "size": side.wire.name,
        "drop_v": side.drop_v,
        "limit_v": side.limit_v,
        "after_c": side.after_c,
        "why": side.why,
    }


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    has_battery = results["at_starter_v"] is not None
    sides = (("Plus side", "plus", "plus_m"), ("Return", "back", "return_m"))
    return {
        "plus": results["plus"]["size"],
        "back": results["back"]["size"],
        "current": f"{inputs['cranking_a']:g}",
        "at_starter": f"{results['at_starter_v']:.1f}" if has_battery else "",
        "battery": f"{results['battery_v']:.1f}" if has_battery else "",
        "sides": [
            {
                "name": name,
                "size": results[key]["size"],
                "length": f"{inputs[length]:g}",
                "drop": f"{results[key]['drop_v']:.2f}",
                "limit": f"{results[key]['limit_v']:.2f}",
                "after": f"{results[key]['after_c']:.0f}",
                "why": results[key]["why"],
            }
            for name, key, length in sides
        ],
        "remarks": results["remarks"],
        "ladder": ladder(results) if has_battery else None,
    }


STARTER = SheetKind(
    key="starter",
    name="Battery and starter cable",
    new_words="New starter cable",
    form=StarterForm,
    work_out=work_out,
    show=show,
)

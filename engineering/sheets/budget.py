"""The sheet of alternator and battery: the balance of each situation, a start, and the car parked."""

import math
from typing import Any

from django.core.exceptions import ValidationError

from engineering.loom import LoomError
from engineering.loom.budget import (
    Balance,
    Plant,
    Situation,
    alternator_for,
    balances,
    parked_days,
    reserve_ah,
    start_takes_ah,
    watts_to_amperes,
)
from engineering.loom.wire_list import Component, LoomList, Pin
from engineering.sheets.budget_drawing import balance_rules
from engineering.sheets.budget_form import BudgetForm
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind

RATED_V = 13.5  # at which filament lamps state their power, of 12 V: from memory
SITUATIONS = (("Idle at night in rain", "idle"), ("Cruise by day", "cruise"), ("Cranking", "crank"))
FIELDS = {"alternator_a": "alternator_a", "battery_ah": "battery_ah", "usable_share": "usable_percent",
          "drain_a": "drain_ma", "volts": "rated_v"}  # fmt: skip

FORMULAS = (
    "Drawn = sum of current · share of the time on; current = power / voltage where a power is given.",
    "Balance = rating · share that the alternator gives there, less what is drawn. Where it is below 0 the "
    "battery lasts usable charge / what is missing; where it is above 0 it is charged.",
    "Parked = usable charge / parked drain. One go of the starter = (cranking current + what is on) · time. "
    "Put back = that charge / balance at cruise. Reserve = minutes · 25 A / 60.",
)
ASSUMPTIONS = (
    "Average currents; a battery takes a charge only as fast as its state and its cold let it, and gives "
    "less than its rating when it is old, cold or drawn on hard. Losses of charging are not counted.",
    "Self-discharge while parked is not counted: some hundredths of the charge each month (common practice).",
)
SOURCES = (
    "Arithmetic of charge. Reserve capacity: minutes at 25 A, 27 °C, down to 10.5 V.",
    "Half the charge usable, 40 to 60 % of the rating at hot idle, 50 mA parked, shares of the time: common "
    "practice, no source. Typical currents: published lists, to be measured on this car.",
)
LIMITS = (
    "12, 24 and 48 V direct current; up to 200 loads; alternators up to 500 A, batteries up to 1000 Ah.",
    "It says nothing of how hot the alternator runs, nor of a charge between two batteries.",
)
CAUTIONS = (
    "A battery gives off hydrogen as it charges: no spark, no flame, air about it. Acid burns: eyes and "
    "hands covered. (HSE INDG139, Using electric storage batteries safely)",
    "Disconnect the battery, earth side first, before the alternator or its cable is touched; never run an "
    "alternator with the battery off.",
    "A larger alternator wants a thicker cable and a larger main fuse: size them before it goes in.",
)
RULES = (
    "The makers' sheets of alternator and battery",
    "The IVA inspection manual; the rules for boats or caravans where they apply",
)


def work_out(inputs: Inputs) -> Results:
    """Add the situations up. Raises ValidationError by field."""
    try:
        plant = _plant(inputs)
        loads = _loads(inputs)
        found = balances(loads, plant, tuple(_situation(inputs, name, key) for name, key in SITUATIONS))
        parked = parked_days(plant)
    except LoomError as error:
        raise ValidationError({FIELDS.get(error.field, "loads"): error.message}) from error
    return {
        "situations": [
            {
                "name": balance.name,
                "drawn_a": balance.drawn_a,
                "given_a": balance.given_a,
                "charge_a": balance.charge_a,
                "lasts_h": balance.lasts_h,
                "largest": [list(pair) for pair in balance.largest],
            }
            for balance in found
        ],
        "usable_ah": plant.battery_ah * plant.usable_share,
        "parked_days": parked if math.isfinite(parked) else None,
        "start": _start(inputs, found),
        "needed_a": _needed_a(inputs, found[0]),
        "averages": [
            [component.name, component.steady_a, *(_share(row, key) for _, key in SITUATIONS)]
            for component, row in zip(loads.components, inputs["loads"], strict=True)
        ],
        "notes": Notes(FORMULAS, ASSUMPTIONS, SOURCES, LIMITS, CAUTIONS, RULES).stored(),
    }


def _plant(inputs: Inputs) -> Plant:
    minutes = inputs.get("reserve_min")
    if minutes is not None and not 0 < minutes <= 1000:
        raise ValidationError({"reserve_min": f"Reserve: {minutes:g} min is not between 0 and 1000 min."})
    for name in ("idle_percent", "cruise_percent", "usable_percent"):
        if not 0 <= inputs[name] <= 100:
            raise ValidationError({name: f"Give 0 to 100 %, not {inputs[name]:g} %."})
    return Plant(
        alternator_a=inputs["alternator_a"],
        battery_ah=reserve_ah(minutes) if minutes is not None else inputs["battery_ah"],
        usable_share=inputs["usable_percent"] / 100,
        drain_a=inputs["drain_ma"] / 1000,
    )


def _loads(inputs: Inputs) -> LoomList:
    volts = inputs.get("rated_v", RATED_V * inputs["system_v"] / 12)
    return LoomList(
        system_v=inputs["system_v"],
        wires=(),
        runs=(),
        components=tuple(
            Component(
                row["name"],
                Pin("-"),
                None,
                row["steady_a"] if row["steady_a"] is not None else watts_to_amperes(row["power_w"], volts),
            )
            for row in inputs["loads"]
        ),
    )


def _share(row: dict[str, Any], key: str) -> float:
    return float(row[f"{key}_percent"]) / 100


def _situation(inputs: Inputs, name: str, key: str) -> Situation:
    gives = 0.0 if key == "crank" else inputs[f"{key}_percent"] / 100
    return Situation(name, {row["name"]: _share(row, key) for row in inputs["loads"]}, gives)


def _start(inputs: Inputs, found: tuple[Balance, ...]) -> dict[str, float | None] | None:
    amperes, seconds = inputs.get("cranking_a"), inputs.get("cranking_s")
    if amperes is None or seconds is None:
        return None
    if not 0 < amperes <= 1500:
        raise ValidationError({"cranking_a": f"Cranking current: {amperes:g} A is not between 0 and 1500 A."})
    if not 0 < seconds <= 60:
        raise ValidationError({"cranking_s": f"Longest at one go: {seconds:g} s is not between 0 and 60 s."})
    _, cruise, crank = found
    takes_ah = start_takes_ah(amperes + crank.drawn_a, seconds)
    back_min = 60 * takes_ah / cruise.charge_a if cruise.charge_a > 0 else None
    return {"takes_ah": takes_ah, "back_min": back_min, "total_a": amperes + crank.drawn_a}


def _needed_a(inputs: Inputs, idle: Balance) -> float | None:
    """Rating that would just hold the battery at idle, where this one does not."""
    if idle.charge_a >= 0 or not inputs["idle_percent"]:
        return None
    return alternator_for(idle.drawn_a, inputs["idle_percent"] / 100)


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    idle = results["situations"][0]
    start, needed_a = results["start"], results["needed_a"]
    return {
        "headline": _balance_words(idle["charge_a"]),
        "needed": f"{math.ceil(needed_a)}" if needed_a else "",
        "situations": [_situation_line(each, results) for each in results["situations"]],
        "usable": f"{results['usable_ah']:g}",
        "drain": f"{inputs['drain_ma']:g}",
        "parked": _days(results["parked_days"]),
        "start": {
            "total": f"{start['total_a']:.0f}",
            "takes": f"{start['takes_ah']:.2f}",
            "back": f"{start['back_min']:.1f}" if start["back_min"] is not None else "",
        }
        if start
        else None,
        "rules": balance_rules(results["situations"][:2]),
    }


def _balance_words(charge_a: float) -> str:
    if charge_a < 0:
        return f"{-charge_a:.1f} A short at idle at night in rain"
    return f"{charge_a:.1f} A left at idle at night in rain"


def _days(days: float | None) -> str:
    if days is None:
        return "without end"
    return f"{days:.0f} days" if days >= 2 else f"{days * 24:.1f} hours"


def _situation_line(each: dict[str, Any], results: Results) -> dict[str, Any]:
    is_crank = each["name"] == "Cranking"
    total = (
        f" and {results['start']['total_a']:.0f} with the starter" if is_crank and results["start"] else ""
    )
    lasts = "charged" if each["lasts_h"] is None else f"{each['lasts_h']:.1f} h"
    return {
        "name": each["name"],
        "drawn": f"{each['drawn_a']:.1f}{total}",
        "given": f"{each['given_a']:.1f}",
        "charge": f"{each['charge_a']:+.1f}".replace("-", "−"),
        "lasts": "" if is_crank else lasts,
        "largest": ", ".join(f"{name} {amperes:.1f} A" for name, amperes in each["largest"] if amperes > 0),
    }


def table(inputs: Inputs, results: Results) -> list[list[str]]:
    """Each load with its average current in each situation."""
    headings = ["load", "current A", *(f"{name} A" for name, _ in SITUATIONS)]
    return [
        headings,
        *(
            [name, f"{amperes:.3g}", *(f"{amperes * share:.3g}" for share in shares)]
            for name, amperes, *shares in results["averages"]
        ),
    ]


BUDGET = SheetKind(
    key="budget",
    name="Alternator and battery",
    new_words="New load budget",
    form=BudgetForm,
    work_out=work_out,
    show=show,
    table=table,
)

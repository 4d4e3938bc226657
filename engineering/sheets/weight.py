"""The weight sheet: from typed lists to the weight core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.rows import row_errors
from engineering.sheets.cautions import FUEL_RULES, HOT_WORK, VAPOUR
from engineering.sheets.fuel import FuelTank, fuel_tank
from engineering.sheets.hung_loom import LOOM_ASSUMPTION, loom_items
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.sheets.weight_form import LIFTED, SCALES, STATES, WeightForm
from engineering.sheets.weight_shown import show, table
from engineering.weight import (
    Balance,
    Change,
    Corners,
    Item,
    Swap,
    WeightError,
    WeightInputError,
    Wheels,
    balance,
    change,
    chosen,
    height_by_lifting,
    levers,
    unlisted,
)

NOTES = Notes(
    formulas=(
        "Centre of gravity = Σ mass · place / Σ mass, in each direction.",
        "Rear axle = mass · distance behind the front axle / wheelbase; front axle = the rest.",
        "Corners = a + b · x + c · y at each wheel, with a, b and c such that forces and moments balance.",
        "Moving one item: shift of the centre of gravity = its mass · distance / mass of the car.",
        "What scales and list do not agree on = scales − list, and where that mass would have to sit.",
        "Height by lifting the rear: axle height + (front lifted − front level) · wheelbase / (car · tan θ), "
        "sin θ = lift / wheelbase.",
    ),
    assumptions=(
        "The car stands level and still; each item is a point at its own centre of mass.",
        "The corners are those of a rigid car on four equal springs. A wound-up spring, a twisted chassis or "
        "an anti-roll bar under load shifts them between the diagonals; axles and sides stay as they are.",
        "Load transfer under braking and cornering is not worked out.",
    ),
    sources=(
        "Statics of a rigid body, any textbook; checked against exercises printed in Halliday, Resnick, "
        "Walker ‘Fundamentals of Physics’ ch. 12, R. N. Jazar ‘Vehicle Dynamics’ ch. 2 and a lorry maker's "
        "body-builder manual.",
        "Corners: checked against the least-energy solution by numpy's least squares.",
        "Moving an item: FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, weight and balance; "
        "checked against its example. Height: Milliken ‘Race Car Vehicle Dynamics’ ch. 18 (from memory), "
        "checked by turning a rigid body.",
    ),
    limits=(
        "Wheelbase 1 to 6 m, track 0.5 to 2.5 m; items up to 2.5 m beyond an axle and 1.5 m aside.",
        "As good as the masses and places typed: weigh the finished car before anything is set by it.",
    ),
    cautions=(
        "A car on jacks or scales can fall: level ground, chocks, stands; nobody under it or in its way "
        "while it is lifted or lowered.",
        "With the rear raised it wants to roll: chock the front wheels on the scales, lock the springs, "
        "lift by the axle on a rated hoist with a second person watching.",
        "Axle loads, tyre loads and brake balance must suit the car as built: have them checked by a "
        "competent person.",
    ),
    rules=(
        "The plated or stated maximum axle loads of the car, the load index of its tyres, and the approval "
        "or inspection rules under which it is registered",
    ),
)


FUEL_CAUTION = (
    "A car with fuel in it on jacks, scales or a hoist: battery off, no flame, no spark, no hot work, an "
    "extinguisher at hand and nobody smoking. " + VAPOUR
)
FUEL_ASSUMPTION = (
    "Fuel lies level in its tank as the tank's own sheet has it; its mass and centre are worked out anew at "
    "every level, by the density of that sheet. The tank itself belongs among the items."
)


def work_out(inputs: Inputs) -> Results:
    """Balance the car. Raises ValidationError by field, and by line where it is one of a table."""
    try:
        wheels = Wheels(*(inputs[name] for name in ("wheelbase_mm", "track_front_mm", "track_rear_mm")))
    except WeightInputError as error:
        raise ValidationError({error.field: error.message}) from error
    tank = fuel_tank(inputs)
    least, most = (_items(inputs, state, tank) for state in STATES)
    loaded = _worked(inputs, lambda: change(least, most, wheels))
    results: Results = {"loaded": _change(loaded), "notes": NOTES.stored()}
    if tank:
        results["fuel"] = _worked(inputs, lambda: _fuel(tank, most, wheels))
        results["notes"]["assumptions"].append(FUEL_ASSUMPTION)
        results["notes"]["cautions"] += [FUEL_CAUTION, HOT_WORK]
        results["notes"]["rules"].append(FUEL_RULES)
    if inputs.get("loom_sheet"):
        results["loom"] = [asdict(item) for item in loom_items(inputs)]
        results["notes"]["assumptions"].append(LOOM_ASSUMPTION)
    results["levers"] = [asdict(lever) for lever in levers(most, wheels)]
    if inputs.get("instead"):
        results["choices"] = _choices(inputs, most, wheels)
    if all(name in inputs for name in SCALES):
        weighed = least if inputs["weighed"] == "least" else most
        results |= _worked(inputs, lambda: _weighed(inputs, weighed, wheels))
    return results


def _items(inputs: Inputs, state: str, tank: FuelTank | None) -> list[Item]:
    fixed = [Item(**row) for row in inputs["items"]]
    places = ("x_mm", "y_mm", "z_mm")
    changing = [
        Item(row["name"], row[f"{state}_kg"], *(row[axis] for axis in places))
        for row in inputs.get("changing") or []
    ]
    fuel = [tank.item(tank.least_l if state == "least" else tank.most_l)] if tank else []
    return [*fixed, *changing, *loom_items(inputs), *fuel]


def _fuel(tank: FuelTank, most: list[Item], wheels: Wheels) -> list[dict[str, Any]]:
    """The car from full to empty tank, all else that changes at its most."""
    rows = []
    for litres in tank.steps_l():
        fuel = tank.item(litres)
        rows.append({"litres": litres, "item": asdict(fuel), **_balance(balance([*most[:-1], fuel], wheels))})
    return rows


def _choices(inputs: Inputs, items: list[Item], wheels: Wheels) -> list[dict[str, Any]]:
    """How the car stands after each choice, with the most of what changes."""
    lines: dict[str, list[tuple[int, dict[str, Any]]]] = {}
    for number, row in enumerate(inputs["instead"], start=1):
        lines.setdefault(row["choice"], []).append((number, row))
    return [
        {"name": name, "after": _balance(_after(name, rows, items, wheels))} for name, rows in lines.items()
    ]


def _after(
    choice: str, lines: list[tuple[int, dict[str, Any]]], items: list[Item], wheels: Wheels
) -> Balance:
    swaps = [Swap(**{name: value for name, value in row.items() if name != "choice"}) for _, row in lines]
    try:
        return balance(chosen(items, swaps), wheels)
    except WeightInputError as error:
        before, _, rest = error.field.partition("[")
        line = f"Line {lines[int(rest.partition(']')[0])][0]}: " if before == "swaps" else f"{choice}: "
        raise ValidationError({"instead": f"{line}{error.message}"}) from error


def _weighed(inputs: Inputs, weighed: list[Item], wheels: Wheels) -> dict[str, Any]:
    """What four scales say beside the list, and the height if the rear was lifted as well."""
    readings = Corners(*(inputs[name] for name in SCALES))
    found = {
        "scales": asdict(unlisted(weighed, readings, wheels)),
        "diagonal_share": readings.diagonal_share,
        "weighed": _balance(balance(weighed, wheels)),
    }
    if all(name in inputs for name in LIFTED):
        found["height_mm"] = height_by_lifting(
            total_kg=readings.total, front_level_kg=readings.front, wheels=wheels,
            **{name: inputs[name] for name in LIFTED},
        )  # fmt: skip
    return found


def _worked(inputs: Inputs, work: Any) -> Any:
    """Do it, and turn what the core refuses into an error of the field, the table and the line."""
    try:
        return work()
    except WeightInputError as error:
        raise _refusal(inputs, error) from error
    except WeightError as error:
        raise ValidationError(str(error)) from error


def _refusal(inputs: Inputs, error: WeightInputError) -> ValidationError:
    before, bracket, rest = error.field.partition("[")
    if before != "items" or not bracket:
        return ValidationError({error.field: error.message})
    number = int(rest.partition("]")[0])
    fixed = len(inputs["items"])
    if number < fixed:
        return row_errors("items", error.field, error.message)
    beyond = number - fixed - len(inputs.get("changing") or [])
    if beyond >= 0:
        kept = [name for name in ("loom_sheet", "fuel_sheet") if inputs.get(name)]
        return ValidationError({kept[beyond]: error.message})
    return row_errors("changing", f"changing[{number - fixed}]", error.message)


def _change(found: Change) -> dict[str, Any]:
    return {"before": _balance(found.before), "after": _balance(found.after)}


def _balance(found: Balance) -> dict[str, Any]:
    return asdict(found) | {"front_share": found.front_share, "left_share": found.left_share}


WEIGHT = SheetKind(
    key="weight",
    name="Weight",
    new_words="New weight sheet",
    form=WeightForm,
    work_out=work_out,
    show=show,
    table=table,
)

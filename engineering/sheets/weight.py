"""The weight sheet: from typed lists to the weight core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.fields import KeptSheetField
from engineering.rows import row_errors
from engineering.sheets.fuel import FuelTank, fuel_tank
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind
from engineering.sheets.weight_drawing import plan_view
from engineering.sheets.weight_form import SCALES, STATES, WeightForm
from engineering.weight import (
    Balance,
    Change,
    Corners,
    Item,
    Unlisted,
    WeightError,
    WeightInputError,
    Wheels,
    balance,
    change,
    unlisted,
)

NOTES = Notes(
    formulas=(
        "Centre of gravity = Σ mass · place / Σ mass, in each direction.",
        "Rear axle = mass · distance behind the front axle / wheelbase; front axle = the rest.",
        "Corners = a + b · x + c · y at each wheel, with a, b and c such that forces and moments balance.",
        "What scales and list do not agree on = scales − list, and where that mass would have to sit.",
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
    ),
    limits=(
        "Wheelbase 1 to 6 m, track 0.5 to 2.5 m; items up to 2.5 m beyond an axle and 1.5 m aside.",
        "As good as the masses and places typed: weigh the finished car before anything is set by it.",
    ),
    cautions=(
        "A car on jacks or scales can fall: level ground, chocks, stands; nobody under it or in its way "
        "while it is lifted or lowered.",
        "Axle loads, tyre loads and brake balance must suit the car as built: have them checked by a "
        "competent person.",
    ),
    rules=(
        "The plated or stated maximum axle loads of the car, the load index of its tyres, and the approval "
        "or inspection rules under which it is registered",
    ),
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
    if inputs.get("instead"):
        results["instead"] = _change(_worked(inputs, lambda: _instead(inputs, most, wheels), "instead"))
    if all(name in inputs for name in SCALES):
        readings = Corners(*(inputs[name] for name in SCALES))
        weighed = least if inputs["weighed"] == "least" else most
        results["scales"] = asdict(_worked(inputs, lambda: unlisted(weighed, readings, wheels)))
        results["diagonal_share"] = readings.diagonal_share
    return results


def _items(inputs: Inputs, state: str, tank: FuelTank | None) -> list[Item]:
    fixed = [Item(**row) for row in inputs["items"]]
    places = ("x_mm", "y_mm", "z_mm")
    changing = [
        Item(row["name"], row[f"{state}_kg"], *(row[axis] for axis in places))
        for row in inputs.get("changing") or []
    ]
    fuel = [tank.item(tank.least_l if state == "least" else tank.most_l)] if tank else []
    return [*fixed, *changing, *fuel]


def _fuel(tank: FuelTank, most: list[Item], wheels: Wheels) -> list[dict[str, Any]]:
    """The car from full to empty tank, all else that changes at its most."""
    rows = []
    for litres in tank.steps_l():
        fuel = tank.item(litres)
        rows.append({"litres": litres, "item": asdict(fuel), **_balance(balance([*most[:-1], fuel], wheels))})
    return rows


def _instead(inputs: Inputs, items: list[Item], wheels: Wheels) -> Change:
    """The full car as it is, and with the other choice."""
    other = {row["name"].casefold(): Item(**row) for row in inputs["instead"]}
    after = [other.pop(item.name.casefold(), item) for item in items]
    return change(items, [*after, *other.values()], wheels)


def _worked(inputs: Inputs, work: Any, table: str = "") -> Any:
    """Do it, and turn what the core refuses into an error of the field, the table and the line."""
    try:
        return work()
    except WeightInputError as error:
        raise _refusal(inputs, error, table) from error
    except WeightError as error:
        raise ValidationError(str(error)) from error


def _refusal(inputs: Inputs, error: WeightInputError, table: str) -> ValidationError:
    if table:
        return ValidationError({table: error.message})
    before, bracket, rest = error.field.partition("[")
    if before != "items" or not bracket:
        return ValidationError({error.field: error.message})
    number = int(rest.partition("]")[0])
    fixed = len(inputs["items"])
    if number < fixed:
        return row_errors("items", error.field, error.message)
    if number == fixed + len(inputs.get("changing") or []):
        return ValidationError({"fuel_sheet": error.message})
    return row_errors("changing", f"changing[{number - fixed}]", error.message)


def _change(found: Change) -> dict[str, Any]:
    return {"before": _balance(found.before), "after": _balance(found.after)}


def _balance(found: Balance) -> dict[str, Any]:
    return asdict(found) | {"front_share": found.front_share, "left_share": found.left_share}


# Words


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    loaded = results["loaded"]
    both = {
        "is_changing": bool(inputs.get("changing") or "fuel" in results),
        "states": [_column(loaded["before"]), _column(loaded["after"])],
    }
    shown: dict[str, Any] = {
        **both,
        "rows": _rows(loaded["before"], loaded["after"]),
        "items": inputs["items"],
        "changing": inputs.get("changing") or [],
        "plan": plan_view(inputs, results),
        "lifted": loaded["after"]["lifted"] or loaded["before"]["lifted"],
    }
    if "fuel" in results:
        shown["fuel_tank"] = KeptSheetField.words(inputs["fuel_sheet"])
        shown["fuel_sheet"] = inputs["fuel_sheet"]["sheet"]
        shown["fuel"] = [_fuel_row(row) for row in results["fuel"]]
    if "instead" in results:
        other = results["instead"]
        shown["instead"] = _rows(other["before"], other["after"])
        shown["instead_items"] = inputs["instead"]
    if "scales" in results:
        shown["scales"] = _scales_words(Unlisted(**results["scales"]), results["diagonal_share"])
    return shown


def _column(found: dict[str, Any]) -> dict[str, str]:
    return {"mass": f"{found['mass_kg']:.1f}", "front": f"{100 * found['front_share']:.1f}"}


def _fuel_row(row: dict[str, Any]) -> list[str]:
    """Litres, their mass, axles, and the centre of gravity of the car."""
    corners = row["corners"]
    return [
        f"{row['litres']:.1f}",
        f"{row['item']['mass_kg']:.1f}",
        f"{corners['front_left'] + corners['front_right']:.1f}",
        f"{corners['rear_left'] + corners['rear_right']:.1f}",
        f"{row['x_mm']:.0f}",
        f"{row['y_mm'] + 0.0:.0f}",
        f"{row['z_mm']:.0f}",
    ]


def _rows(before: dict[str, Any], after: dict[str, Any]) -> list[tuple[str, str, str, str]]:
    """Words, one state, the other, the difference."""
    lines = [("Whole car, kg", before["mass_kg"], after["mass_kg"], 1)]
    for words, names in (
        ("Front axle, kg", ("front_left", "front_right")),
        ("Rear axle, kg", ("rear_left", "rear_right")),
        ("Left side, kg", ("front_left", "rear_left")),
        ("Right side, kg", ("front_right", "rear_right")),
        ("Front left, kg", ("front_left",)),
        ("Front right, kg", ("front_right",)),
        ("Rear left, kg", ("rear_left",)),
        ("Rear right, kg", ("rear_right",)),
    ):
        lines.append(
            (words, *(sum(state["corners"][name] for name in names) for state in (before, after)), 1)
        )
    lines.append(("Front share, %", 100 * before["front_share"], 100 * after["front_share"], 1))
    lines.append(("Left share, %", 100 * before["left_share"], 100 * after["left_share"], 1))
    for words, axis in (
        ("Centre of gravity behind the front axle, mm", "x_mm"),
        ("right of the middle, mm", "y_mm"),
        ("above the ground, mm", "z_mm"),
    ):
        lines.append((words, before[axis], after[axis], 0))
    return [
        (words, f"{one:.{digits}f}", f"{two:.{digits}f}", f"{round(two - one, digits) + 0.0:+.{digits}f}")
        for words, one, two, digits in lines
    ]


def _scales_words(found: Unlisted, diagonal_share: float) -> list[str]:
    sides = (
        f"Scales less list: front {found.front_kg:+.1f} kg, rear {found.rear_kg:+.1f} kg, left "
        f"{found.left_kg:+.1f} kg, right {found.right_kg:+.1f} kg."
    )
    diagonal = f"Front right and rear left carry {100 * diagonal_share:.1f} % of the whole."
    if found.x_mm is None or found.y_mm is None:
        return ["Scales and list agree to what the scales can tell apart.", sides, diagonal]
    side = "right" if found.y_mm >= 0 else "left"
    place = f"{found.x_mm:.0f} mm behind the front axle and {abs(found.y_mm):.0f} mm to the {side}"
    if found.mass_kg > 0:
        first = f"{found.mass_kg:.1f} kg is not on the list; it would sit {place}."
    else:
        first = f"The list is {-found.mass_kg:.1f} kg too heavy; what is too much would sit {place}."
    if not found.is_inside:
        first += " That is outside the car: an item is in the wrong place, or more than one mass is wrong."
    return [first, sides, diagonal]


WEIGHT = SheetKind(
    key="weight", name="Weight", new_words="New weight sheet", form=WeightForm, work_out=work_out, show=show
)

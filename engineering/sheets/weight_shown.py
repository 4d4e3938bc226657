"""What a weight sheet shows, from its stored inputs and results."""

from typing import Any

from engineering.fields import KeptSheetField
from engineering.sheets.kind import Inputs, Results
from engineering.sheets.weight_drawing import plan_view
from engineering.sheets.weight_form import LIFTED, OTHER_CHOICE
from engineering.weight import LEVER_MM, Unlisted

POUNDS = (2.0, 2.4)
"""Scales that show so many times the list are read in pounds: a kilogram is 2.205 of them."""


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
        "list": _list(inputs, results),
        "lever": f"{LEVER_MM:g}",
        "plan": plan_view(inputs, results),
        "lifted": loaded["after"]["lifted"] or loaded["before"]["lifted"],
    }
    if "fuel" in results:
        shown["fuel_tank"] = KeptSheetField.words(inputs["fuel_sheet"])
        shown["fuel_sheet"] = inputs["fuel_sheet"]["sheet"]
        shown["fuel"] = [_fuel_row(row) for row in results["fuel"]]
    if "loom" in results:
        shown["loom"] = KeptSheetField.words(inputs["loom_sheet"])
        shown["loom_sheet"] = inputs["loom_sheet"]["sheet"]
        shown["loom_kg"] = f"{results['loom'][0]['mass_kg']:.2f}"
    choices = _kept_choices(results)
    if choices:
        shown["choices"] = [_choice_words(loaded["after"], choice, inputs) for choice in choices]
        shown["beside"] = _beside(loaded["after"], choices)
    if "scales" in results:
        shown["scales"] = _scales_words(Unlisted(**results["scales"]), results["diagonal_share"])
        shown["scales"] += _mistaken_words(inputs, results) + _height_words(inputs, results)
    return shown


def table(inputs: Inputs, results: Results) -> list[list[str]]:
    """The list, and below it how the car stands, for a spreadsheet."""
    lines = [["item", "kg", "mm behind front axle", "mm right of middle", "mm above ground"]]
    lines += [[item["name"], item["mass"], *item["place"]] for item in _list(inputs, results)]
    loaded = results["loaded"]
    choices = _kept_choices(results)
    columns = [_rows(loaded["after"], choice["after"]) for choice in choices]
    lines += [[], ["", "least", "most", *(choice["name"] for choice in choices)]]
    for number, (words, least, most, _) in enumerate(_rows(loaded["before"], loaded["after"])):
        lines.append([words, least, most, *(column[number][2] for column in columns)])
    return lines


def _kept_choices(results: Results) -> list[dict[str, Any]]:
    """The choices; sheets from before knew one only, without a name."""
    if "instead" in results:
        return [{"name": OTHER_CHOICE, "after": results["instead"]["after"]}]
    return list(results.get("choices", []))


def _choice_words(before: dict[str, Any], choice: dict[str, Any], inputs: Inputs) -> dict[str, Any]:
    """Its name, what it does to which item, and what the car does."""
    after = choice["after"]
    corners = [
        sum(state["corners"][name] for name in ("front_left", "front_right")) for state in (before, after)
    ]
    front = corners[1] - corners[0]
    rear = after["mass_kg"] - before["mass_kg"] - front
    ways = [
        _way(after[axis] - before[axis], *words)
        for axis, words in (("x_mm", ("back", "forward")), ("y_mm", ("to the right", "to the left")),
                            ("z_mm", ("up", "down")))
    ]  # fmt: skip
    moved = ", ".join(way for way in ways if way) or "less than half a millimetre"
    rows = [row for row in inputs["instead"] if row.get("choice", OTHER_CHOICE) == choice["name"]]
    return {
        "name": choice["name"],
        "lines": [_swap_words(row) for row in rows],
        "moves": f"The centre of gravity moves {moved}; front axle {front:+.1f} kg, rear axle "
        f"{rear:+.1f} kg.",
        "lifted": after["lifted"],
    }


def _way(far_mm: float, more: str, less: str) -> str:
    return f"{abs(far_mm):.0f} mm {more if far_mm > 0 else less}" if abs(far_mm) >= 0.5 else ""


_PLACES = (
    ("x_mm", "behind the front axle", "before the front axle"),
    ("y_mm", "right of the middle", "left of the middle"),
    ("z_mm", "above the ground", ""),
)


def _swap_words(row: dict[str, Any]) -> str:
    mass = row["mass_kg"]
    if mass == 0:
        return f"{row['name']}: taken off"
    said = [f"{mass:g} kg"] if mass is not None else []
    for axis, more, less in _PLACES:
        if row[axis] is not None:
            said.append(f"{abs(row[axis]):g} mm {more if row[axis] >= 0 else less}")
    return f"{row['name']}: {', '.join(said) or 'as listed'}"


def _beside(before: dict[str, Any], choices: list[dict[str, Any]]) -> dict[str, Any]:
    """As listed, and each choice with its difference, line by line."""
    columns = [_rows(before, choice["after"]) for choice in choices]
    return {
        "names": [choice["name"] for choice in choices],
        "rows": [
            (words, listed, [(column[line][2], column[line][3]) for column in columns])
            for line, (words, listed, _, _) in enumerate(columns[0])
        ],
    }


def _mistaken_words(inputs: Inputs, results: Results) -> list[str]:
    listed = results.get("weighed")  # sheets from before did not keep it
    if not listed:
        return []
    times = 1 + results["scales"]["mass_kg"] / listed["mass_kg"]
    if POUNDS[0] <= times <= POUNDS[1]:
        return [f"The scales show {times:.2f} times the list: are they set to pounds? Enter kilograms."]
    return []


def _height_words(inputs: Inputs, results: Results) -> list[str]:
    if "height_mm" not in results:
        return []
    lifted, lift, _ = (inputs[name] for name in LIFTED)
    return [
        f"With the rear lifted by {lift:g} mm the front axle shows {lifted:g} kg: the centre of gravity is "
        f"{results['height_mm']:.0f} mm above the ground, by the list {results['weighed']['z_mm']:.0f} mm. "
        f"One kilogram on the scales is {_mm_for_a_kg(inputs, results):.0f} mm of height."
    ]


def _mm_for_a_kg(inputs: Inputs, results: Results) -> float:
    """By how much the height changes for a kilogram that the lifted front axle shows more or less."""
    level = inputs["front_left_kg"] + inputs["front_right_kg"]
    rise: float = results["height_mm"] - inputs["wheel_radius_mm"]
    return rise / (inputs["front_lifted_kg"] - level)


def _list(inputs: Inputs, results: Results) -> list[dict[str, Any]]:
    """Each item with its place, and what moving it does."""
    # sheets from before worked out no levers
    found = {lever["name"]: lever for lever in results.get("levers", [])}
    rows = [(row, f"{row['mass_kg']:.3g}" if row["mass_kg"] < 1 else f"{row['mass_kg']:.1f}")
            for row in inputs["items"]]  # fmt: skip
    rows += [(row, f"{row['least_kg']:.1f} to {row['most_kg']:.1f}") for row in inputs.get("changing") or []]
    rows += [(loom, f"{loom['mass_kg']:.1f}") for loom in results.get("loom", [])]
    rows += [(fuel["item"], f"{fuel['item']['mass_kg']:.1f}") for fuel in results.get("fuel", [])[:1]]
    lines = []
    for number, (row, mass) in enumerate(rows, start=1):
        lever = found.get(row["name"])
        lines.append(
            {
                "number": number,
                "name": row["name"],
                "mass": mass,
                "place": [f"{row[axis] + 0.0:.0f}" for axis in ("x_mm", "y_mm", "z_mm")],
                "shift": f"{lever['shift_mm']:.1f}" if lever else "",
                "axle": f"{lever['axle_kg']:.2f}" if lever else "",
            }
        )
    return lines


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

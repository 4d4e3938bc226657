"""What is fitted to a tank, in words, one line for each thing."""

from engineering.sheets.fitted_parts import words as joined_and_cut
from engineering.sheets.kind import Inputs


def fitted_words(inputs: Inputs) -> list[str]:
    """Pot, joined bodies and recesses, necks, baffles, collector box: as made, and where they sit."""
    return [*_pot(inputs), *joined_and_cut(inputs), *_baffles(inputs), *_box(inputs)]


def _pot(inputs: Inputs) -> list[str]:
    if inputs.get("pot_depth_mm") is None:
        return []
    return [
        f"Pot {inputs['pot_length_mm']:g} × {inputs['pot_width_mm']:g}, {inputs['pot_depth_mm']:g} mm below "
        f"the lowest point; rear edge at {inputs['pot_x_mm']:g}, {inputs['pot_y_mm']:g} mm from the right."
    ]


def _baffles(inputs: Inputs) -> list[str]:
    lines = []
    for row in inputs.get("baffles") or []:
        at = "forwards" if row["way"].strip().casefold() == "across" else "from the right"
        lines.append(
            f"Baffle {row['way'].strip().casefold()} the car at {row['at_mm']:g} mm {at}, "
            f"{row['clear_mm']:g} mm clear of the walls, {row['open_percent']:g} % open."
        )
    return lines


def _box(inputs: Inputs) -> list[str]:
    if inputs.get("box_height_mm") is None:
        return []
    holes = ""
    if inputs.get("box_holes"):
        holes = f", {inputs['box_holes']} holes ⌀ {inputs.get('box_hole_mm', 0):g} mm at its foot"
    return [
        f"Collector box {inputs['box_length_mm']:g} × {inputs['box_width_mm']:g} × "
        f"{inputs['box_height_mm']:g} mm inside; rear edge at {inputs['box_x_mm']:g}, "
        f"{inputs['box_y_mm']:g} mm from the right{holes}."
    ]

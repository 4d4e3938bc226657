"""The loom on the weight sheet: mass of what a kept wire list cuts, at one place of the car."""

from django.core.exceptions import ValidationError

from engineering.kept_tanks import tank_sheet
from engineering.sheets.kind import Inputs
from engineering.sheets.loom_mass import loom_mass
from engineering.sheets.weight_form import LOOM_PLACE
from engineering.weight import Item

LOOM_ASSUMPTION = (
    "The loom counts with the copper and insulation of its kept wire list, at the one place given; contacts, "
    "connectors, sleeves and tape are items of their own."
)


def loom_items(inputs: Inputs) -> list[Item]:
    """The loom that the inputs name, as one item, if any. Raises ValidationError by field."""
    if not inputs.get("loom_sheet"):
        return []
    sheet = tank_sheet(inputs["loom_sheet"])
    if sheet is None:
        raise ValidationError({"loom_sheet": "That wire list is there no more. Choose another, or none."})
    mass_kg = loom_mass(sheet.results).total_kg
    if mass_kg <= 0:
        raise ValidationError({"loom_sheet": "That wire list has no wire with a size yet."})
    return [Item(f"{sheet.title}, copper and insulation", mass_kg, *(inputs[name] for name in LOOM_PLACE))]

"""The weight sheet of a car: centre of gravity, axles and corners, and what scales say. Knows no Django."""

from engineering.weight.balance import NEWTON_PER_KGF, Balance, Corners, balance
from engineering.weight.changes import LEVER_MM, Change, Lever, Swap, change, chosen, levers
from engineering.weight.errors import WeightError, WeightInputError
from engineering.weight.items import Item, Wheels, checked_items
from engineering.weight.scales import Unlisted, height_by_lifting, standing, unlisted

__all__ = [
    "LEVER_MM",
    "NEWTON_PER_KGF",
    "Balance",
    "Change",
    "Corners",
    "Item",
    "Lever",
    "Swap",
    "Unlisted",
    "WeightError",
    "WeightInputError",
    "Wheels",
    "balance",
    "change",
    "checked_items",
    "chosen",
    "height_by_lifting",
    "levers",
    "standing",
    "unlisted",
]

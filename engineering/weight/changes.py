"""What a change does: one item moved, a tank from full to empty, one choice beside another."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engineering.weight.balance import Balance, Corners, balance
from engineering.weight.errors import WeightInputError
from engineering.weight.items import Item, Wheels


@dataclass(frozen=True)
class Change:
    """One state beside another.

    Parameters
    ----------
    before, after : Balance
        How the car stands in each.
    """

    before: Balance
    after: Balance

    @property
    def mass_kg(self) -> float:
        """How much heavier it becomes [kg]."""
        return self.after.mass_kg - self.before.mass_kg

    @property
    def shift_mm(self) -> tuple[float, float, float]:
        """How far the centre of gravity moves: aft, to the right, up [mm]."""
        return (
            self.after.x_mm - self.before.x_mm,
            self.after.y_mm - self.before.y_mm,
            self.after.z_mm - self.before.z_mm,
        )

    @property
    def corners(self) -> Corners:
        """What each wheel carries more [kg]."""
        before, after = self.before.corners, self.after.corners
        return Corners(
            after.front_left - before.front_left,
            after.front_right - before.front_right,
            after.rear_left - before.rear_left,
            after.rear_right - before.rear_right,
        )


def change(before: Iterable[Item], after: Iterable[Item], wheels: Wheels) -> Change:
    """Lay one list beside another.

    Parameters
    ----------
    before, after : iterable of Item
        Two whole lists of the same car.
    wheels : Wheels
        Its wheelbase and tracks [mm].

    Returns
    -------
    Change
        Both, and the differences.

    Raises
    ------
    WeightInputError
        If one of the lists cannot be meant.

    Examples
    --------
    >>> car, fuel = Item("car", 900, 1100, 0, 500), Item("fuel", 44.7, 2900, 0, 450)
    >>> found = change([car], [car, fuel], Wheels(2400, 1300, 1300))
    >>> round(found.corners.front, 2), round(found.corners.rear, 2)
    (-9.31, 54.01)
    """
    return Change(balance(before, wheels), balance(after, wheels))


def moving(
    items: Sequence[Item],
    name: str,
    wheels: Wheels,
    *,
    x_mm: float = 0.0,
    y_mm: float = 0.0,
    z_mm: float = 0.0,
) -> Change:
    """Move one item and see what it does.

    Parameters
    ----------
    items : sequence of Item
        The list.
    name : str
        The item to move.
    wheels : Wheels
        Wheelbase and tracks [mm].
    x_mm, y_mm, z_mm : float, optional
        How far: aft, to the right, up [mm].

    Returns
    -------
    Change
        The car as it is, and with the item moved.

    Raises
    ------
    WeightInputError
        If no item has that name, or it would end outside the car.

    Examples
    --------
    >>> car = [Item("car", 886, 1100, 0, 500), Item("battery", 14, 100, 0, 700)]
    >>> round(moving(car, "battery", Wheels(2400, 1300, 1300), x_mm=2700).shift_mm[0], 1)
    42.0
    """
    if name not in {item.name for item in items}:
        raise WeightInputError("name", f"There is no “{name}” on the list: choose an item that is.")
    after = [item.moved(x_mm=x_mm, y_mm=y_mm, z_mm=z_mm) if item.name == name else item for item in items]
    return change(items, after, wheels)

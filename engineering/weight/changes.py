"""What a change does: an item moved, a tank from full to empty, one choice beside another."""

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


@dataclass(frozen=True)
class Swap:
    """What a choice does with one item: move it, make it lighter, take it off, or put it on.

    Parameters
    ----------
    name : str
        An item of the list, or a new one.
    mass_kg : float or None
        Its mass then; None: as listed; 0: it is taken off [kg].
    x_mm, y_mm, z_mm : float or None
        Where its centre of mass is then; None: where it is listed [mm].
    """

    name: str
    mass_kg: float | None = None
    x_mm: float | None = None
    y_mm: float | None = None
    z_mm: float | None = None


_FIGURES = {
    "mass_kg": "mass",
    "x_mm": "distance behind the front axle",
    "y_mm": "distance right of the middle",
    "z_mm": "height above the ground",
}


def chosen(items: Sequence[Item], swaps: Sequence[Swap]) -> list[Item]:
    """The list as it is after a choice.

    Parameters
    ----------
    items : sequence of Item
        The list as it is.
    swaps : sequence of Swap
        What the choice does. Names are told apart without regard to capitals.

    Returns
    -------
    list of Item
        The same items in the same order, changed; new ones at the end.

    Raises
    ------
    WeightInputError
        Of ``swaps[n]``, if an item is named twice, or a new one has not all its figures.

    Examples
    --------
    The battery goes behind the rear axle:

    >>> car = [Item("car", 886, 1100, 0, 500), Item("battery", 14, 100, 0, 700)]
    >>> after = chosen(car, [Swap("battery", x_mm=2800)])
    >>> round(change(car, after, Wheels(2400, 1300, 1300)).shift_mm[0], 1)
    42.0
    """
    listed = {_folded(item.name): item for item in items}
    found: dict[str, Item] = {}
    for number, swap in enumerate(swaps):
        name = _folded(swap.name)
        if name in found:
            raise WeightInputError(
                f"swaps[{number}].name", f"“{swap.name}” stands twice in this choice: leave one line."
            )
        found[name] = _swapped(listed[name], swap) if name in listed else _new_item(number, swap)
    return [found.pop(_folded(item.name), item) for item in items] + list(found.values())


def _swapped(item: Item, swap: Swap) -> Item:
    figures = (
        getattr(item, axis) if getattr(swap, axis) is None else float(getattr(swap, axis))
        for axis in _FIGURES
    )
    return Item(item.name, *figures)


def _new_item(number: int, swap: Swap) -> Item:
    lacking = [words for axis, words in _FIGURES.items() if getattr(swap, axis) is None]
    if lacking:
        raise WeightInputError(
            f"swaps[{number}].mass_kg",
            f"“{swap.name}” is not on the list: write the name as it is listed, or give its "
            f"{', '.join(lacking)} too.",
        )
    return Item(swap.name, *(float(getattr(swap, axis)) for axis in _FIGURES))


def _folded(name: str) -> str:
    return name.strip().casefold()


@dataclass(frozen=True)
class Lever:
    """What moving one item by 100 mm does.

    Parameters
    ----------
    name : str
        The item.
    shift_mm : float
        How far the centre of gravity of the car follows, in whichever direction [mm].
    axle_kg : float
        What goes from one axle to the other, when it is moved along the car [kg].
    """

    name: str
    shift_mm: float
    axle_kg: float


LEVER_MM = 100.0


def levers(items: Sequence[Item], wheels: Wheels) -> tuple[Lever, ...]:
    """Say of each item how far moving it shifts the car.

    Parameters
    ----------
    items : sequence of Item
        The list.
    wheels : Wheels
        Wheelbase and tracks [mm].

    Returns
    -------
    tuple of Lever
        In the order of the list.

    Raises
    ------
    WeightInputError
        If the list cannot be meant.

    Notes
    -----
    Mass moved / total mass = shift of the centre of gravity / distance moved: Pilot's Handbook of
    Aeronautical Knowledge, FAA-H-8083-25, chapter on weight and balance. Axles: mass · distance / wheelbase.

    Examples
    --------
    >>> levers([Item("car", 880, 1100, 0, 500), Item("battery", 20, 0, 0, 700)], Wheels(2500, 1300, 1300))[1]
    Lever(name='battery', shift_mm=2.2222222222222223, axle_kg=0.8)
    """
    mass = balance(items, wheels).mass_kg
    return tuple(
        Lever(item.name, LEVER_MM * item.mass_kg / mass, LEVER_MM * item.mass_kg / wheels.wheelbase_mm)
        for item in items
    )

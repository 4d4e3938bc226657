"""One plan: which units leave on which day, what that costs and what each car loses."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from parts.batching.grid import Grid
from parts.batching.packing import Numbers, Packer


@dataclass(frozen=True)
class Plan:
    """Units by leaving day.

    Parameters
    ----------
    leaving : mapping of int to frozenset of int
        Number of the leaving day to the numbers of the units that leave then.
    """

    leaving: Mapping[int, Numbers]

    @classmethod
    def of_trips(cls, grid: Grid, trips: Iterable[int]) -> "Plan":
        """Send each unit with the first trip that it can catch.

        Parameters
        ----------
        grid : Grid
            The units.
        trips : iterable of int
            Numbers of leaving days; the last day of the grid is always one.

        Returns
        -------
        Plan
            Trips that nothing catches are left out.
        """
        days = sorted({*trips, len(grid.days) - 1})
        leaving: dict[int, set[int]] = {}
        for number, first in enumerate(grid.first):
            leaving.setdefault(next(day for day in days if day >= first), set()).add(number)
        return cls({day: frozenset(numbers) for day, numbers in sorted(leaving.items())})

    def cost(self, packer: Packer) -> int:
        """Give the cost beside the prices of the pieces.

        Parameters
        ----------
        packer : Packer
            Shares each day's units out into lots.

        Returns
        -------
        int
            Trips, set-ups, and what lots lack of the minimum [p].
        """
        carriage = packer.grid.finisher.tariff.carriage_pence
        return sum(carriage + packer.charge(numbers) for numbers in self.leaving.values())

    def lost(self, grid: Grid) -> list[int]:
        """Give the days that each car loses.

        Parameters
        ----------
        grid : Grid
            The units.

        Returns
        -------
        list of int
            In the order of the grid's cars [d].
        """
        lost = [0] * len(grid.cars)
        for day, numbers in self.leaving.items():
            for car, days in grid.lost(numbers, day).items():
                lost[car] = max(lost[car], days)
        return lost

    def days(self, grid: Grid) -> int:
        """Give the days lost by all cars beside the unavoidable ones.

        Parameters
        ----------
        grid : Grid
            The units.

        Returns
        -------
        int
            The sum [d].
        """
        return sum(self.lost(grid)) - int(grid.unavoidable.sum())


def settled(plan: Plan, packer: Packer, tries: int) -> tuple[Plan, int]:
    """Let single units wait for a later trip, or go with an earlier one, where that saves money.

    No car loses more than before.

    Parameters
    ----------
    plan : Plan
        Where to start.
    packer : Packer
        Shares each day's units out into lots.
    tries : int
        The most moves to look at.

    Returns
    -------
    Plan, int
        The better plan, and the tries that are left.
    """
    grid = packer.grid
    carriage = grid.finisher.tariff.carriage_pence
    allowed = plan.lost(grid)
    leaving = dict(plan.leaving)
    cost = {day: carriage + packer.charge(numbers) for day, numbers in leaving.items()}
    improved = True
    while improved and tries > 0:
        improved = False
        for number, at, to in _moves(grid, leaving, allowed):
            if number not in leaving.get(at, ()) or to not in leaving:
                continue
            tries -= 1
            less, more = leaving[at] - {number}, leaving[to] | {number}
            new_at = carriage + packer.charge(less) if less else 0
            new_to = carriage + packer.charge(more)
            if new_at + new_to < cost[at] + cost[to]:
                leaving[at], leaving[to], cost[at], cost[to] = less, more, new_at, new_to
                if not less:
                    del leaving[at], cost[at]
                improved = True
            if tries <= 0:
                break
    return Plan(dict(sorted(leaving.items()))), tries


def _moves(grid: Grid, leaving: Mapping[int, Numbers], allowed: Sequence[int]) -> list[tuple[int, int, int]]:
    """Unit, its day and another day on which it could go without costing any car a day more."""
    minimum = grid.finisher.tariff.minimum_pence
    price = {day: sum(grid.units[n].price_pence for n in numbers) for day, numbers in leaving.items()}
    found = []
    for at, numbers in leaving.items():
        gives = price[at] > minimum or len(numbers) == 1 or not grid.one_lot_always_fits
        for number in sorted(numbers, key=lambda n: grid.units[n].price_pence) if gives else ():
            for to in leaving:
                takes = price[to] < minimum or len(numbers) == 1 or not grid.one_lot_always_fits
                if to == at or to < grid.first[number] or not takes:
                    continue
                if all(days <= allowed[car] for car, days in grid.lost([number], to).items()):
                    found.append((number, at, to))
    return found

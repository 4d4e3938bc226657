"""Lots of one day: how units that leave together are shared out within the limits of a lot."""

from collections.abc import Iterable
from itertools import combinations

from parts.batching.grid import Grid

MOST_EXACT = 10  # units that are shared out exactly; above, first fit by falling size, then evened out

Numbers = frozenset[int]


class Packer:
    """Shares units out into lots and remembers what it found.

    Two lots that together are within the limits never cost less apart: the set-up is paid once less, and
    what one lot lacks of the minimum the other may fill. So units that fit into one lot go in one.

    Parameters
    ----------
    grid : Grid
        The units.
    """

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self._known: dict[Numbers, tuple[Numbers, ...]] = {}

    def lots(self, numbers: Numbers) -> tuple[Numbers, ...]:
        """Share units out.

        Parameters
        ----------
        numbers : frozenset of int
            Numbers of units, each within the limits by itself.

        Returns
        -------
        tuple of frozenset of int
            Lots at the lowest charge for up to ten units; for more at a low one.
        """
        found = self._known.get(numbers)
        if found is None:
            if not numbers:
                found = ()
            elif self.fits(numbers):
                found = (numbers,)
            elif len(numbers) <= MOST_EXACT:
                found = self._exact(numbers)
            else:
                found = self._first_fit(numbers)
            self._known[numbers] = found
        return found

    def fits(self, numbers: Numbers) -> bool:
        """Say whether units are within the limits of one lot.

        Parameters
        ----------
        numbers : frozenset of int
            Numbers of units.

        Returns
        -------
        bool
            Whether they are.
        """
        return self.grid.one_lot_always_fits or self.grid.lots_by_room(numbers) == 1

    def is_exact_for(self, numbers: Numbers) -> bool:
        """Say whether these units, and any of them, are shared out at the lowest charge.

        Parameters
        ----------
        numbers : frozenset of int
            Numbers of units.

        Returns
        -------
        bool
            Whether they are few, or go into one lot anyway.
        """
        return len(numbers) <= MOST_EXACT or self.fits(numbers)

    def charge(self, numbers: Numbers) -> int:
        """Give what the lots of these units cost beside the prices.

        Parameters
        ----------
        numbers : frozenset of int
            Numbers of units that leave on one day.

        Returns
        -------
        int
            Set-ups, and what each lot lacks of the minimum [p].
        """
        return sum(self.lot_charge(lot) for lot in self.lots(numbers))

    def lot_charge(self, lot: Numbers) -> int:
        """Give what one lot costs beside the prices.

        Parameters
        ----------
        lot : frozenset of int
            Numbers of its units.

        Returns
        -------
        int
            Set-up, and what it lacks of the minimum [p].
        """
        tariff = self.grid.finisher.tariff
        price = sum(self.grid.units[number].price_pence for number in lot)
        return tariff.setup_pence + max(tariff.minimum_pence - price, 0)

    def _exact(self, numbers: Numbers) -> tuple[Numbers, ...]:
        first, *others = sorted(numbers)
        best: tuple[Numbers, ...] = ()
        cost = -1
        for size in range(len(others) + 1):
            for more in combinations(others, size):
                lot = frozenset((first, *more))
                if not self.fits(lot):
                    continue
                rest = self.lots(numbers - lot)
                total = self.lot_charge(lot) + sum(map(self.lot_charge, rest))
                if cost < 0 or total < cost:
                    cost, best = total, (lot, *rest)
        return best

    def _first_fit(self, numbers: Numbers) -> tuple[Numbers, ...]:
        lots: list[Numbers] = []
        for number in sorted(numbers, key=self._bulk, reverse=True):
            home = next((i for i, lot in enumerate(lots) if self.fits(lot | {number})), None)
            if home is None:
                lots.append(frozenset({number}))
            else:
                lots[home] |= {number}
        return tuple(self._evened(lots))

    def _evened(self, lots: list[Numbers]) -> list[Numbers]:
        """Move units to lots below the minimum for as long as that saves something."""
        cost = list(map(self.lot_charge, lots))
        for to in sorted(range(len(lots)), key=lambda i: -cost[i]):
            for number in self._spare(lots, to):
                giver = next(i for i, lot in enumerate(lots) if number in lot)
                less, more = lots[giver] - {number}, lots[to] | {number}
                if giver == to or not less or not self.fits(more):
                    continue
                new = self.lot_charge(less), self.lot_charge(more)
                if sum(new) < cost[giver] + cost[to]:
                    lots[giver], lots[to] = less, more
                    cost[giver], cost[to] = new
        return lots

    def _spare(self, lots: list[Numbers], to: int) -> Iterable[int]:
        others = (number for i, lot in enumerate(lots) if i != to for number in lot)
        return sorted(others, key=lambda number: (-self.grid.units[number].price_pence, number))

    def _bulk(self, number: int) -> tuple[float, int]:
        unit, limits = self.grid.units[number], self.grid.finisher.limits
        shares = [
            used / most
            for used, most in (
                (unit.area_cm2, limits.area_cm2),
                (unit.mass_g, limits.mass_g),
                (unit.count, limits.pieces),
            )
            if most
        ]
        return max(shares, default=0.0), -number

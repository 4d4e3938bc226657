"""Leaving days against units, as arrays: what each day's trip would cost and lose.

The days on which it is worth leaving are those on which some unit becomes free to leave: a trip on any
other day can be moved to the last such day before it, and then nothing is back later, nothing is left
behind, and no trip is added.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from parts.batching.errors import TripsCross
from parts.batching.pieces import DAY_MIN, Finisher, LotLimits, Tariff, Unit, days_late

Ints = NDArray[np.int64]
FAR = 1 << 40  # a limit that nobody will reach


@dataclass(frozen=True)
class Grid:
    """Units by the leaving day on which each can first go.

    Parameters
    ----------
    units : tuple of Unit
        In order of readiness.
    finisher : Finisher
        Charges, limits and days.
    days : tuple of int
        Days on which it is worth leaving, ascending.
    cars : tuple of str
        Every car that waits for a unit.
    """

    units: tuple[Unit, ...]
    finisher: Finisher
    days: tuple[int, ...]
    cars: tuple[str, ...]

    @classmethod
    def of(cls, units: Sequence[Unit], finisher: Finisher, cars: tuple[str, ...] | None = None) -> "Grid":
        """Lay units out.

        Parameters
        ----------
        units : sequence of Unit
            What is to be finished.
        finisher : Finisher
            Who finishes it.
        cars : tuple of str or None
            The cars, if there are more than those that wait for these units.

        Returns
        -------
        Grid
            The units in order of readiness and the days that matter.

        Raises
        ------
        TripsCross
            If goods that leave later would be back earlier, or before they left.
        """
        open_days = sorted(finisher.back_on)
        back = [finisher.back_at(day) for day in open_days]
        for day, this, next_one in zip(open_days, back, [*back[1:], FAR], strict=True):
            if this < day * DAY_MIN or next_one < this:
                raise TripsCross(day)
        first = {unit.ready_day: open_days[bisect_left(open_days, unit.ready_day)] for unit in units}
        return cls(
            units=tuple(sorted(units, key=lambda unit: (unit.ready_day, unit.pieces[0].piece_id))),
            finisher=finisher,
            days=tuple(sorted(set(first.values()))),
            cars=cars or tuple(sorted({car for unit in units for car, _ in unit.limits})),
        )

    @cached_property
    def back(self) -> Ints:
        """Moment back for each leaving day [min]."""
        return np.array([self.finisher.back_at(day) for day in self.days], np.int64)

    @cached_property
    def first(self) -> tuple[int, ...]:
        """For each unit the number of the leaving day on which it can first go."""
        return tuple(bisect_left(self.days, unit.ready_day) for unit in self.units)

    @cached_property
    def price(self) -> Ints:
        """Price that becomes free to leave on each leaving day [p]."""
        return np.bincount(
            self.first, [unit.price_pence for unit in self.units], minlength=len(self.days)
        ).astype(np.int64)

    @cached_property
    def total_pence(self) -> int:
        """Price of everything, whatever leaves with what [p]."""
        return sum(unit.price_pence for unit in self.units)

    @cached_property
    def lines_pence(self) -> int:
        """Charges for each line, which no choice changes [p]."""
        lines = sum(len(unit.pieces) for unit in self.units)
        return lines * self.finisher.tariff.per_line_pence

    @cached_property
    def unavoidable(self) -> Ints:
        """Days that each car loses even if every unit leaves as soon as it can."""
        lost = np.zeros(len(self.cars), np.int64)
        for number, first in enumerate(self.first):
            for car, days in self.lost([number], first).items():
                lost[car] = max(lost[car], days)
        return lost

    @cached_property
    def last(self) -> Ints:
        """For each car the number of the last leaving day on which a unit of it becomes free."""
        last = np.full(len(self.cars), -1, np.int64)
        for unit, at in zip(self.units, self.first, strict=True):
            for car, _ in unit.limits:
                index = self.cars.index(car)
                last[index] = max(last[index], at)
        return last

    @cached_property
    def lost_by_trip(self) -> tuple[Ints, ...]:
        """Days lost by each car if what became free on days j to k leaves on day k: entry [k][j, car]."""
        tightest = np.full((len(self.days), len(self.cars)), FAR, np.int64)
        for unit, at in zip(self.units, self.first, strict=True):
            for car, limit in unit.limits:
                index = self.cars.index(car)
                tightest[at, index] = min(tightest[at, index], limit)
        found = []
        for k in range(len(self.days)):
            limit_at = np.minimum.accumulate(tightest[k::-1], axis=0)[::-1]
            found.append(np.maximum(days_late(self.back[k : k + 1], limit_at), self.unavoidable))
        return tuple(found)

    @cached_property
    def least_lots(self) -> int:
        """Lots that there must be at least, by the limits of one lot."""
        return self.lots_by_room(range(len(self.units)))

    @cached_property
    def one_lot_always_fits(self) -> bool:
        """Everything together is within the limits of one lot."""
        return self.least_lots == 1

    @cached_property
    def minimum_never_matters(self) -> bool:
        """No minimum, or one so high that no lot passes it: a further lot always costs the same."""
        minimum = self.finisher.tariff.minimum_pence
        return minimum == 0 or self.total_pence <= minimum

    def thinned(self) -> "Grid":
        """Keep only what can set a loss, for counting trips.

        A unit that is ready no later than another and, for each of its cars, may be back no earlier never
        loses more than that one, if each goes with the first trip that it can catch. A trip on a day on
        which only such units become free can be moved to the last day before it that matters.

        Returns
        -------
        Grid
            The units that set losses and one of the last day, with a charge of 1 for each trip.
        """
        latest = len(self.days) - 1
        tightest: dict[str, int] = {}  # of all that become free later, or on the same day and already kept
        kept: list[Unit] = []
        for number in sorted(range(len(self.units)), key=self._thinning_order, reverse=True):
            unit = self.units[number]
            matters = [(car, limit) for car, limit in unit.limits if limit < tightest.get(car, FAR)]
            tightest |= dict(matters)
            if matters or (self.first[number] == latest and not kept):
                kept.append(unit)
        counting = replace(self.finisher, tariff=Tariff(setup_pence=1), limits=LotLimits())
        return Grid.of(kept, counting, self.cars)

    def _thinning_order(self, number: int) -> tuple[int, int]:
        unit = self.units[number]
        return self.first[number], -min((limit for _, limit in unit.limits), default=FAR)

    def lots_by_room(self, numbers: Iterable[int]) -> int:
        """Give the number of lots that units need at least by area, mass and count.

        Parameters
        ----------
        numbers : iterable of int
            Numbers of units.

        Returns
        -------
        int
            At least 1.
        """
        chosen = [self.units[number] for number in numbers]
        limits = self.finisher.limits
        lots = 1
        for used, most in (
            (sum(unit.area_cm2 for unit in chosen), limits.area_cm2),
            (sum(unit.mass_g for unit in chosen), limits.mass_g),
            (sum(unit.count for unit in chosen), limits.pieces),
        ):
            if most and used:
                lots = max(lots, -(-used // most))
        return lots

    def lots_between(self, j: int, k: int) -> int:
        """Give the number of lots that what becomes free on some leaving days needs at least.

        Parameters
        ----------
        j, k : int
            Numbers of the first and last of the leaving days.

        Returns
        -------
        int
            At least 1.
        """
        if self.one_lot_always_fits:
            return 1
        return self.lots_by_room(range(bisect_left(self.first, j), bisect_right(self.first, k)))

    def lost(self, numbers: Iterable[int], day: int) -> dict[int, int]:
        """Say what each car loses if units leave on a day.

        Parameters
        ----------
        numbers : iterable of int
            Numbers of units.
        day : int
            Number of the leaving day.

        Returns
        -------
        dict of int to int
            Number of the car to days; cars that lose nothing are left out.
        """
        found: dict[int, int] = {}
        back_at = self.finisher.back_at(self.days[day])
        for number in numbers:
            for car, limit in self.units[number].limits:
                if back_at > limit:
                    index = self.cars.index(car)
                    found[index] = max(found.get(index, 0), days_late(back_at, limit))
        return found

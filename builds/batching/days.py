"""Working days of the workshop by number, and when a finisher gives goods back."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.model import Model
from builds.schedule.calendar import WorkCalendar, from_minutes
from parts.batching.pieces import Finisher

MOST_DAYS = 900  # of the workshop, over three years: nobody plans a finish for later


@dataclass(frozen=True)
class ShopDays:
    """The working days of the workshop from today on."""

    days: tuple[date, ...]

    @classmethod
    def of(cls, model: Model) -> ShopDays:
        found, day = [], model.today
        while len(found) < MOST_DAYS and day < model.shop.last:
            following = day + timedelta(days=1)
            if model.shop.days_between(day, following):
                found.append(day)
            day = following
        return cls(tuple(found))

    def day(self, number: int) -> date:
        """The day of a number; a number before the first or past the last is taken as that one."""
        return self.days[min(max(number, 0), len(self.days) - 1)]

    def by_end_of(self, day: date) -> int:
        """The last working day that is over when this day is; -1 if that is before them all."""
        return bisect_right(self.days, day) - 1

    def from_day(self, day: date) -> int:
        """The first working day from a day on; their number if that is past them all."""
        return bisect_left(self.days, day)

    def at(self, moment: int) -> int:
        """A minute of the core in minutes of working days: of a day off, the beginning of the next."""
        when = from_minutes(moment)
        number = self.from_day(when.date())
        is_worked = self.days[number : number + 1] == (when.date(),)
        return number * DAY_MIN + (moment % DAY_MIN if is_worked else 0)

    def at_many(self, moments: NDArray[np.int64]) -> NDArray[np.int64]:
        """The same for many at once."""
        number = np.searchsorted(self.midnights + DAY_MIN, moments, side="right")
        begins = self.midnights[np.minimum(number, len(self.days) - 1)]
        return number * DAY_MIN + np.clip(moments - begins, 0, DAY_MIN - 1)

    @cached_property
    def midnights(self) -> NDArray[np.int64]:
        """The minute at which each day begins."""
        return np.array([at_midnight(day) for day in self.days], np.int64)


def trips(
    days: ShopDays,
    calendar: WorkCalendar,
    lead_days: int,
    last: int,
    leaves_at: Mapping[int, int] | None = None,
) -> Finisher:
    """For each number of a day on which goods can leave, up to `last`, when they are back; no charges.

    They leave on days on which the workshop and the finisher work: as the day begins, or in the minute of it
    that `leaves_at` gives.
    """
    back_at = {}
    for number, day in enumerate(days.days[: last + 1]):
        if not calendar.first <= day < calendar.last or not calendar.days_between(
            day, day + timedelta(days=1)
        ):
            continue
        found = back(days, calendar, lead_days, number, (leaves_at or {}).get(number, 0))
        if found is None:
            break
        back_at[number] = found
    return Finisher(
        {number: at // DAY_MIN for number, at in back_at.items()},
        back_minute={number: at % DAY_MIN for number, at in back_at.items() if at % DAY_MIN},
    )


def back(days: ShopDays, calendar: WorkCalendar, lead_days: int, number: int, minute: int) -> int | None:
    """When goods are back that leave in a minute of a day; None if that is past all known days.

    They take that many of the finisher's working days, carriage in both directions among them, counted as
    the network counts them: what leaves at midday is back at midday.
    """
    leaves = at_midnight(days.days[number]) + minute
    if calendar.between(leaves, calendar.closes) < lead_days * DAY_MIN:
        return None
    found = days.at(calendar.add(leaves, lead_days * DAY_MIN))
    return found if found < len(days.days) * DAY_MIN else None

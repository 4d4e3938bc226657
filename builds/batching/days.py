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

    def from_moment(self, moment: int) -> int:
        """The first working day that begins at this minute of the core or later."""
        begins = from_minutes(moment)
        whole = moment % DAY_MIN == 0
        return (bisect_left if whole else bisect_right)(self.days, begins.date())

    @cached_property
    def midnights(self) -> NDArray[np.int64]:
        """The minute at which each day begins."""
        return np.array([at_midnight(day) for day in self.days], np.int64)


def trips(days: ShopDays, calendar: WorkCalendar, lead_days: int, last: int) -> Mapping[int, int]:
    """For each number of a day on which goods can leave, up to `last`, the number of the day they are back.

    They leave on days on which the workshop and the finisher work, and take that many of the finisher's
    working days, carriage in both directions among them.
    """
    found = {}
    for number, day in enumerate(days.days[: last + 1]):
        if not calendar.first <= day < calendar.last or not calendar.days_between(
            day, day + timedelta(days=1)
        ):
            continue
        begins = at_midnight(day)
        if calendar.between(begins, calendar.closes) < lead_days * DAY_MIN:
            break
        finish = calendar.add(begins, lead_days * DAY_MIN)
        found[number] = max(number, days.by_end_of(from_minutes(max(finish - 1, begins)).date()))
    return found

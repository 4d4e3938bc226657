"""The working time of the workshop, of each supplier and of each car, as calendars of the core."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache

import holidays

from builds.schedule.calendar import WorkCalendar, to_minutes

from .rows import AwayRow, Rows, SupplierRow

CLOCK = "clock"  # every minute, for days that are promised
SHOP = "shop"  # the hours of the workshop
SHOP_DAYS = "shop days"  # its whole working days, for lead times of our own
MIDDAY = time(12)  # goods and cars are taken to come in about midday
YEARS_AHEAD = 6
DAY_MIN = 1440

Spans = tuple[tuple[date, date], ...]


def at_midday(day: date) -> int:
    """Midday of a day in the core's minutes."""
    return to_minutes(datetime.combine(day, MIDDAY))


def at_midnight(day: date) -> int:
    """The beginning of a day in the core's minutes."""
    return to_minutes(datetime.combine(day, time()))


def shop_calendars(rows: Rows, today: date) -> dict[str, WorkCalendar]:
    """The workshop's own calendar in hours and in whole days."""
    first, last = horizon(today)
    hours = _hours(tuple(rows.hours), rows.day_starts)
    weekdays = shop_weekdays(rows)
    closed = _unless_for_good(weekdays, _closed(rows, rows.closures, today), today)
    return {
        SHOP: _hourly(hours, closed, first, last),
        SHOP_DAYS: _daily(weekdays, closed, first, last),
    }


def clock(today: date) -> WorkCalendar:
    """Every minute of the horizon, for days that are promised rather than worked."""
    return _daily(frozenset(range(7)), frozenset(), *horizon(today))


def supplier_calendar(rows: Rows, supplier: SupplierRow, today: date) -> WorkCalendar:
    """A supplier's whole working days, less its own closures and the public holidays."""
    closed = _unless_for_good(supplier.weekdays, _closed(rows, supplier.closures, today), today)
    return _daily(supplier.weekdays, closed, *horizon(today))


def shop_weekdays(rows: Rows) -> frozenset[int]:
    return frozenset(day for day, worked in enumerate(rows.hours) if worked > 0)


def is_shut_for_good(rows: Rows, weekdays: frozenset[int], closures: Spans, today: date) -> bool:
    """Whether closures leave no day to work on after today: then they count for nothing, and pages say so."""
    closed = _closed(rows, closures, today)
    return _unless_for_good(weekdays, closed, today) is not closed


def _closed(rows: Rows, closures: Spans, today: date) -> frozenset[date]:
    first, last = horizon(today)
    within = tuple((max(begins, first), min(ends, last)) for begins, ends in closures)
    return closed_days(within) | public_holidays(rows.country, rows.region, first.year, last.year)


def _unless_for_good(weekdays: frozenset[int], closed: frozenset[date], today: date) -> frozenset[date]:
    """The closed days, or none where nobody would ever work again: a page with no dates helps nobody."""
    last = horizon(today)[1]
    for number in range(1, (last - today).days + 1):
        day = today + timedelta(days=number)
        if day.weekday() in weekdays and day not in closed:
            return closed
    return frozenset()


def car_calendar(shop: WorkCalendar, aways: Iterable[AwayRow], today: date) -> WorkCalendar:
    """The workshop's hours less those in which the car is away."""
    return _without(
        shop, tuple((at_midnight(away.leaves_on), at_midday(due_back(away, today))) for away in aways)
    )


def due_back(away: AwayRow, today: date) -> date:
    """When the car should be back; overdue without word, not before tomorrow."""
    return max(away.due_back_on, today + timedelta(days=1)) if away.due_back_on < today else away.due_back_on


def horizon(today: date) -> tuple[date, date]:
    """From the beginning of last year, so that the cached calendars serve for months."""
    return date(today.year - 1, 1, 1), date(today.year + YEARS_AHEAD, 12, 31)


def closed_days(spans: Spans) -> frozenset[date]:
    """Every day of the closures, first and last included."""
    return frozenset(
        first + timedelta(days=number) for first, last in spans for number in range((last - first).days + 1)
    )


@lru_cache(maxsize=32)
def public_holidays(country: str, region: str, first_year: int, last_year: int) -> frozenset[date]:
    """Public holidays by ISO 3166 codes; none where the library does not know the country."""
    try:
        found = holidays.country_holidays(
            country, subdiv=region or None, years=range(first_year, last_year + 1)
        )
    except NotImplementedError:
        return frozenset()
    return frozenset(found)


def _hours(hours: tuple[Decimal, ...], starts: time) -> tuple[tuple[int, int, int], ...]:
    """(weekday, first minute, last minute) for each day worked; a long day ends at midnight at the latest."""
    begin = starts.hour * 60 + starts.minute
    return tuple(
        (day, begin, min(DAY_MIN, begin + round(worked * 60)))
        for day, worked in enumerate(hours)
        if worked > 0
    )


@lru_cache(maxsize=64)
def _hourly(
    hours: tuple[tuple[int, int, int], ...], closed: frozenset[date], first: date, last: date
) -> WorkCalendar:
    week = {day: ((begin, end),) for day, begin, end in hours}
    return WorkCalendar.build(week, closed, first, last)


@lru_cache(maxsize=512)
def _daily(weekdays: frozenset[int], closed: frozenset[date], first: date, last: date) -> WorkCalendar:
    return WorkCalendar.whole_days(weekdays, closed, first, last)


@lru_cache(maxsize=256)
def _without(shop: WorkCalendar, spans: tuple[tuple[int, int], ...]) -> WorkCalendar:
    return shop.without(spans)

"""Days of the workshop as an iCalendar stream that a phone's calendar can subscribe to.

IETF (2009) RFC 5545 'Internet Calendaring and Scheduling Core Object Specification (iCalendar)'; name and
refresh interval as in IETF (2016) RFC 7986.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event

ASK_AGAIN = timedelta(hours=2)


@dataclass(frozen=True)
class Entry:
    """One day, or several, on which something is to happen.

    Parameters
    ----------
    key : str
        Names the thing and stays the same while its days change, so that a phone moves it.
    first_day, last_day : date
        First and last day, both included.
    title : str
        One line.
    lines : tuple of str
        What stands below it.
    url : str
        Address of the page it is on.
    """

    key: str
    first_day: date
    last_day: date
    title: str
    lines: tuple[str, ...] = ()
    url: str = ""


def calendar_stream(entries: Iterable[Entry], *, name: str, host: str, made_at: datetime) -> bytes:
    """Write the stream. `host` ends each entry's identity; `made_at` must be in UTC."""
    calendar = Calendar()
    calendar.add("prodid", "-//Firing Order//Workshop days//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)  # read by calendars that are older than RFC 7986
    calendar.add("refresh-interval", ASK_AGAIN, parameters={"VALUE": "DURATION"})
    for entry in entries:
        calendar.add_component(_event(entry, host, made_at))
    return bytes(calendar.to_ical())


def _event(entry: Entry, host: str, made_at: datetime) -> Event:
    event = Event()
    event.add("uid", f"{entry.key}@{host}")
    event.add("dtstamp", made_at)
    event.add("dtstart", entry.first_day)
    event.add("dtend", entry.last_day + timedelta(days=1))  # the first day after it, section 3.6.1
    event.add("summary", entry.title)
    if entry.lines:
        event.add("description", "\n".join(entry.lines))
    if entry.url:
        event.add("url", entry.url)
    event.add("transp", "TRANSPARENT")  # it does not make anybody busy
    return event

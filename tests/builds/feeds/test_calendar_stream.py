"""The stream is RFC 5545 as another library reads it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import vobject
from hypothesis import given
from hypothesis import strategies as st

from builds.exporting.calendar import Entry, calendar_stream

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=200)


def read_back(entries: list[Entry]) -> list[object]:
    stream = calendar_stream(entries, name="Saltmarsh", host="ab12cd34", made_at=NOW)
    return list(vobject.readOne(stream.decode()).contents.get("vevent", []))


def test_a_day_comes_back_as_a_whole_day_with_its_words() -> None:
    entry = Entry(
        "in-4-20261209",
        date(2026, 12, 9),
        date(2026, 12, 9),
        "Promised: Radiator",
        ("Tern, 1 off",),
        "http://host/waiting/",
    )
    (event,) = read_back([entry])
    assert event.uid.value == "in-4-20261209@ab12cd34"
    assert event.dtstart.value == date(2026, 12, 9)
    assert event.dtend.value == date(2026, 12, 10)  # section 3.6.1: the end is not part of the event
    assert (event.summary.value, event.description.value) == ("Promised: Radiator", "Tern, 1 off")
    assert (event.url.value, event.dtstamp.value) == ("http://host/waiting/", NOW)


def test_no_entries_are_an_empty_calendar() -> None:
    assert read_back([]) == []


def test_lines_are_folded_at_75_octets_and_end_as_the_standard_says() -> None:
    long = Entry("x", date(2026, 1, 1), date(2026, 1, 1), "é" * 300, ("a; b, c\\d\nnext",))
    stream = calendar_stream([long], name="Saltmarsh", host="h", made_at=NOW)
    assert stream.endswith(b"END:VCALENDAR\r\n")
    assert max(len(line) for line in stream.split(b"\r\n")) <= 75  # section 3.1


@given(title=WORDS, line=WORDS, first=st.dates(date(1990, 1, 1), date(2090, 1, 1)), days=st.integers(0, 60))
def test_whatever_is_written_comes_back(title: str, line: str, first: date, days: int) -> None:
    last = first + timedelta(days=days)
    (event,) = read_back([Entry("key", first, last, title, (line,))])
    assert (event.summary.value, event.description.value) == (title, line)
    assert event.dtend.value - event.dtstart.value == timedelta(days=days + 1)

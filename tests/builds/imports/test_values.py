"""Numbers, hours, masses, lengths and dates as people write them.

Decimal comma and point as in ISO 80000-1:2022, 7.3.2; clock times as in ISO 8601-1:2019. Expected values are
worked by hand. What a spreadsheet user may type beside that is common practice, no source.
"""

from __future__ import annotations

import csv
import io
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.importing.cells import RISKY, guarded, unguarded
from builds.importing.faults import BadValue
from builds.importing.values import (
    date_of,
    days_of,
    decimal_of,
    hours_of,
    length_mm_of,
    lines_of,
    mass_kg_of,
    text_of,
    whole_of,
    words_of,
    yes_or_no,
)

hundredths = st.integers(0, 999_900).map(lambda n: Decimal(n) / 100)


@pytest.mark.parametrize(
    ("cell", "hours"),
    [
        ("2.5", "2.5"),
        ("2,5", "2.5"),
        ("2,5 h", "2.5"),
        ("2.5 hours", "2.5"),
        ("2.5hrs.", "2.5"),
        ("½".replace("½", ".5"), "0.5"),
        ("5.", "5"),
        ("2:30", "2.5"),
        ("2:30:00", "2.5"),
        ("2 h 30 min", "2.5"),
        ("2h30", "2.5"),
        ("1 hour and 45 minutes", "1.75"),
        ("90 min", "1.5"),
        ("1 250", "1250"),
        ("1\u00a0250,5", "1250.5"),
        ("1,250.5", "1250.5"),
        ("1.250,50", "1250.5"),
        ("0,125", "0.13"),
        ("1.250", "1.25"),
        (2.6666666666, "2.67"),
        (8, "8"),
        (time(2, 30), "2.5"),
        (timedelta(hours=26), "26"),
    ],
)
def test_hours_are_understood(cell: object, hours: str) -> None:
    assert hours_of(cell) == Decimal(hours)


@pytest.mark.parametrize(
    "cell",
    [
        "",
        "h",
        "two",
        "-1",
        "−1",
        "1,250",
        "12,345",
        "1..2",
        "1,2,3",
        "1.2.3",
        "1 25",
        "2 days",
        "2 m",
        "1e3",
        "2:75",
        "9999.01",
        "nan",
        "inf",
        float("nan"),
        float("inf"),
        -0.5,
        True,
        datetime(2026, 5, 2),
        date(2026, 5, 2),
        "9" * 500,
        "٣" * 41,
        "1\x00",
    ],
)
def test_what_is_no_number_of_hours_is_refused(cell: object) -> None:
    with pytest.raises(BadValue):
        hours_of(cell)


@given(hundredths)
def test_hours_read_back_however_they_are_written(hours: Decimal) -> None:
    assert hours_of(f"{hours:.2f}") == hours
    assert hours_of(f"{hours:.2f}".replace(".", ",")) == hours
    assert hours_of(f" {hours:.2f} h ") == hours
    assert hours_of(f"{hours:,.2f}") == hours
    assert hours_of(float(hours)) == hours


@given(st.integers(0, 9998), st.integers(0, 59))
def test_hours_and_minutes_agree_with_the_clock(hours: int, minutes: int) -> None:
    exact = (Decimal(hours) + Decimal(minutes) / 60).quantize(Decimal("0.01"))
    for text in (f"{hours}:{minutes:02}", f"{hours} h {minutes} min", f"{hours * 60 + minutes} min"):
        assert abs(hours_of(text) - exact) <= Decimal("0.01")


@given(st.text(max_size=60) | st.integers() | st.floats() | st.booleans() | st.dates() | st.times())
def test_any_cell_gives_a_number_in_range_or_words(cell: object) -> None:
    for read, most in ((hours_of, 9999), (days_of, 500), (mass_kg_of, 5000), (length_mm_of, 20_000)):
        with suppress(BadValue):
            assert 0 <= read(cell) <= most


@given(st.text(max_size=200))
def test_any_text_gives_a_date_or_words(text: str) -> None:
    with suppress(BadValue):
        assert 1990 <= date_of(text).year <= 2100


@given(st.integers(1, 10**9))
def test_thousands_are_understood_in_every_common_form(number: int) -> None:
    grouped = f"{number:,}"
    for sign in (" ", "\u00a0", "\u202f", "'", "’"):
        assert decimal_of(grouped.replace(",", sign)) == number
    assert decimal_of(grouped + ".5") == number + Decimal("0.5")
    assert decimal_of(grouped.replace(",", ".") + ",5") == number + Decimal("0.5")


@pytest.mark.parametrize(
    ("cell", "mm"),
    [("900", 900), ("900 mm", 900), ("12.5", 13), ("90 cm", 900), ("1,2 m", 1200), (12.01, 13)],
)
def test_lengths(cell: object, mm: int) -> None:
    assert length_mm_of(cell) == mm


@pytest.mark.parametrize("cell", ["0", "-5", "3 in", '3"', "20001", "long"])
def test_lengths_that_cannot_be(cell: object) -> None:
    with pytest.raises(BadValue):
        length_mm_of(cell)


@pytest.mark.parametrize(("cell", "kg"), [("9.5", "9.5"), ("9,5 kg", "9.5"), ("850 g", "0.85"), (1, "1")])
def test_masses(cell: object, kg: str) -> None:
    assert mass_kg_of(cell) == Decimal(kg)


@pytest.mark.parametrize("cell", ["0", "-1", "3 lb", "5001", "0.1 g"])
def test_masses_that_cannot_be(cell: object) -> None:
    with pytest.raises(BadValue):
        mass_kg_of(cell)


@pytest.mark.parametrize(
    ("cell", "number"), [("4", 4), ("4 off", 4), ("4 pcs", 4), (4.0, 4), ("1 200", 1200)]
)
def test_counts(cell: object, number: int) -> None:
    assert whole_of(cell, least=1, most=10_000) == number


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-12",
        "12/03/2027",
        "12.03.2027",
        "12-3-2027",
        "12/3/27",
        "12 Mar 2027",
        "12 March 2027",
        "Fri 12 Mar 2027",
        "Friday, 12 March 2027",
    ],
)
def test_dates_are_read_day_first(text: str) -> None:
    assert date_of(text) == date(2027, 3, 12)


@pytest.mark.parametrize(
    "cell", ["03/25/2027", "31/02/2027", "soon", "46458", 46458, "12/03/1827", "", "2027"]
)
def test_dates_that_cannot_be(cell: object) -> None:
    with pytest.raises(BadValue):
        date_of(cell)


@pytest.mark.parametrize(
    ("cell", "answer"), [("yes", True), ("X", True), (True, True), ("no", False), ("", False), (0, False)]
)
def test_yes_and_no(cell: object, answer: bool) -> None:
    assert yes_or_no(cell) is answer


def test_a_list_is_parted_by_semicolons_and_line_breaks() -> None:
    assert words_of("a; b\n c ;;a") == ["a", "b", "c"]


def test_text_keeps_its_lines_only_where_they_are_wanted() -> None:
    assert (lines_of(" one\r\ntwo "), text_of(" one\r\n two ")) == ("one\ntwo", "one two")
    assert text_of(12.0) == "12"
    with pytest.raises(BadValue):
        text_of("a\x07b")


@given(st.text())
def test_guarded_text_reads_back_unchanged_and_is_no_formula(text: str) -> None:
    safe = guarded(text)
    assert unguarded(safe) == text
    assert not safe.startswith(tuple(RISKY.replace("\\", "")))


@given(
    st.lists(
        st.sampled_from(["=1+1", "+44 1632", "-5", "@x", "'=a", "''=a", "'", "plain", "\t=x"]), min_size=1
    )
)
def test_guarded_text_survives_a_csv_file(texts: list[str]) -> None:
    file = io.StringIO()
    csv.writer(file).writerow([guarded(text) for text in texts])
    assert [unguarded(cell) for cell in next(csv.reader(io.StringIO(file.getvalue())))] == texts

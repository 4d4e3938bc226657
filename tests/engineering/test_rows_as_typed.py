"""A table of lines: blank ones are skipped, bad ones named by their number, pasted ones added."""

from __future__ import annotations

import pytest
from django import forms
from django.http import QueryDict

from engineering.rows import BLANK_LINES, MOST_LINES, Column, RowsField

COLUMNS = (
    Column("name", "Item", is_figure=False),
    Column("mass_kg", "Mass", "kg"),
    Column("y_mm", "Right of the middle", "mm", default=0.0),
)


class ListForm(forms.Form):
    things = RowsField(label="Things", columns=COLUMNS)


def typed(*rows: tuple[str, str, str], pasted: str = "") -> ListForm:
    data = QueryDict(mutable=True)
    for number, row in enumerate(rows):
        for column, cell in zip(COLUMNS, row, strict=True):
            data[f"things-{number}-{column.key}"] = cell
    data["things-pasted"] = pasted
    return ListForm(data)


def test_lines_are_read_with_their_units_and_blank_ones_skipped() -> None:
    form = typed(("engine", "160 kg", "-20"), ("", "", ""), ("gearbox", "42,5", ""))
    assert form.is_valid(), form.errors
    assert form.cleaned_data["things"] == [
        {"name": "engine", "mass_kg": 160.0, "y_mm": -20.0},
        {"name": "gearbox", "mass_kg": 42.5, "y_mm": 0.0},
    ]


@pytest.mark.parametrize("between", ["\t", ";", " ; "])
def test_lines_of_a_spreadsheet_are_pasted_below(between: str) -> None:
    text = "\r\n".join(between.join(row) for row in (("engine", "160", "5"), ("gearbox", "42", "")))
    form = typed(("axle", "80", ""), pasted=text)
    assert form.is_valid(), form.errors
    assert [row["name"] for row in form.cleaned_data["things"]] == ["axle", "engine", "gearbox"]


def test_every_mistake_is_named_by_its_line() -> None:
    form = typed(("engine", "heavy", ""), ("", "42", ""), ("axle", "", ""))
    assert form.errors["things"] == [
        "Line 1: Mass: “heavy” is not a number in kg; write it like 12.5, without any other unit.",
        "Line 2: Item: say what it is.",
        "Line 3: Mass: give it in kg.",
    ]


def test_an_empty_table_is_asked_for() -> None:
    assert "required" in str(typed().errors["things"])


def test_more_lines_than_it_can_hold_are_refused() -> None:
    form = typed(pasted="\n".join(f"thing {number}; 1; 0" for number in range(MOST_LINES)))
    assert form.is_valid()
    form = typed(("one more", "1", "0"), pasted="\n".join(f"thing {n}; 1; 0" for n in range(MOST_LINES)))
    assert "Split the list" in str(form.errors["things"])


def test_what_was_typed_comes_back_with_blank_lines_below() -> None:
    page = str(typed(("engine", "heavy", ""))["things"])
    assert 'value="heavy"' in page
    assert page.count("<tr>") == 1 + 1 + BLANK_LINES  # head, the line, the blanks


def test_what_is_typed_is_escaped() -> None:
    assert "<script>" not in str(typed(("<script>", "1", ""))["things"])

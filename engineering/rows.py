"""A field that is a ruled table: one line for each thing, typed by keyboard or pasted from a spreadsheet.

Empty lines are skipped; a line with a mistake is named by its number. There are always a few blank lines
below what is filled in, so that the table grows each time the sheet is worked out, without any script.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from engineering.fields import FigureField

BLANK_LINES = 4
MOST_LINES = 200
PASTED = "pasted"


@dataclass(frozen=True)
class Column:
    """One column: a figure in its unit, or words where `is_figure` is off."""

    key: str
    words: str
    unit: str = ""
    is_figure: bool = True
    default: float | str | None = None  # None: it must be given,
    may_be_blank: bool = False  # unless nothing at all may stand there
    offered: tuple[tuple[str, str], ...] = ()  # what may be chosen there, with what it means
    longest: int = 80  # letters of its words

    @property
    def heading(self) -> str:
        return f"{self.words}, {self.unit}" if self.unit else self.words


class RowsWidget(forms.Widget):
    """Inputs named `items-0-mass_kg`, and one box `items-pasted` for lines from a spreadsheet."""

    template_name = "engineering/rows.html"

    def __init__(self, columns: Sequence[Column], most: int = MOST_LINES) -> None:
        super().__init__()
        self.columns, self.most = tuple(columns), most

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> list[dict[str, str]]:
        rows = []
        for number in range(self.most + 2 * BLANK_LINES):
            cells = {column.key: data.get(f"{name}-{number}-{column.key}") for column in self.columns}
            if all(cell is None for cell in cells.values()):
                break
            rows.append({key: str(cell or "").strip() for key, cell in cells.items()})
        return [row for row in rows if any(row.values())] + self._pasted(data.get(f"{name}-{PASTED}") or "")

    def value_omitted_from_data(self, data: Mapping[str, Any], files: Any, name: str) -> bool:
        return f"{name}-0-{self.columns[0].key}" not in data

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        filled = list(value or [])
        blanks = [{} for _ in range(BLANK_LINES)]
        context["columns"] = self.columns
        context["lines"] = [
            {
                "number": number + 1,
                "cells": [self._cell(name, number, column, row) for column in self.columns],
            }
            for number, row in enumerate([*filled, *blanks])
        ]
        context["pasted"] = f"{name}-{PASTED}"
        context["offers"] = [
            (_offer(name, column), column.offered) for column in self.columns if column.offered
        ]
        return context

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        # by the project's own templates: those of Django's forms know only Django's
        return render_to_string(self.template_name, self.get_context(name, value, attrs))

    def overwrite(self, data: QueryDict, name: str, rows: Sequence[Mapping[str, str]]) -> None:
        """Put lines in the place of those that were typed."""
        for key in [key for key in data if key.startswith(f"{name}-")]:
            del data[key]
        for number, row in enumerate(rows):
            for column in self.columns:
                data[f"{name}-{number}-{column.key}"] = row.get(column.key, "")

    def _cell(self, name: str, number: int, column: Column, row: Mapping[str, Any]) -> dict[str, Any]:
        value = "" if row.get(column.key) is None else row[column.key]
        shown = f"{value:.9g}" if isinstance(value, int | float) else value
        key = f"{name}-{number}-{column.key}"
        return {
            "name": key,
            "value": shown,
            "column": column,
            "label": f"{column.heading}, line {number + 1}",
            "offer": _offer(name, column) if column.offered else "",
        }

    def _pasted(self, text: str) -> list[dict[str, str]]:
        """Lines as a spreadsheet copies them: cells apart by tabs; semicolons are taken too."""
        rows = []
        for line in text.splitlines()[: self.most + 1]:
            cells = [cell.strip() for cell in (line.split("\t") if "\t" in line else line.split(";"))]
            if any(cells):
                padded = [*cells, *([""] * len(self.columns))]
                rows.append({column.key: padded[at] for at, column in enumerate(self.columns)})
        return rows


def _offer(name: str, column: Column) -> str:
    """Id of the list of what may be chosen in a column."""
    return f"{name}-{column.key}-offered"


class RowsField(forms.Field):
    """A list of dictionaries, one for each line that is filled in, with figures as numbers."""

    def __init__(self, *, columns: Sequence[Column], most: int = MOST_LINES, **kwargs: Any) -> None:
        self.columns, self.most = tuple(columns), most
        super().__init__(widget=RowsWidget(columns, most), **kwargs)

    def to_python(self, value: Any) -> list[dict[str, Any]]:
        rows = list(value or [])
        if len(rows) > self.most:
            raise ValidationError(f"{self.label}: more than {self.most} lines. Split the list.")
        errors: list[str] = []
        found = [self._row(number, row, errors) for number, row in enumerate(rows, start=1)]
        if errors:
            raise ValidationError(errors)
        return found

    def _row(self, number: int, row: Mapping[str, Any], errors: list[str]) -> dict[str, Any]:
        read: dict[str, Any] = {}
        for column in self.columns:
            try:
                read[column.key] = self._cell(column, str(row.get(column.key, "") or ""))
            except ValidationError as error:
                errors.extend(f"Line {number}: {sentence}" for sentence in error.messages)
        return read

    def _cell(self, column: Column, typed: str) -> Any:
        if not column.is_figure:
            if not typed and column.default is None:
                raise ValidationError(f"{column.words}: say what it is.")
            if len(typed) > column.longest:
                raise ValidationError(f"{column.words}: longer than {column.longest} letters; shorten it.")
            return typed or column.default
        is_required = column.default is None and not column.may_be_blank
        field = FigureField(words=column.words, unit=column.unit, required=is_required)
        figure = field.clean(typed)
        return column.default if figure is None else figure


def row_errors(name: str, field: str, message: str) -> ValidationError:
    """What a core refused about `items[3].mass_kg`, put beside the table `items` with its line."""
    before, bracket, rest = field.partition("[")
    if before == name and bracket:
        line = int(rest.partition("]")[0]) + 1
        return ValidationError({name: f"Line {line}: {message}"})
    return ValidationError({field: message})

"""The columns of a list, what people may call them, and where the headings stand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from .faults import Fault, FileRefused
from .tables import HEADINGS_WITHIN, MOST_ROWS, Row, Sheet
from .workbooks import NEVER_WORKED_OUT

_UNIT = re.compile(r"[(\[]([^)\]]*)[)\]]")


@dataclass(frozen=True)
class Column:
    name: str
    help: str
    also: tuple[str, ...] = ()
    required: bool = False
    unit: tuple[str, ...] = ()  # what may stand in brackets behind the heading, the usual one first

    @property
    def heading(self) -> str:
        return f"{self.name} ({self.unit[0]})" if self.unit else self.name


@dataclass(frozen=True)
class Record:
    """One row of a list, its cells by the name of their column."""

    row: int
    cells: Mapping[str, object]

    def __getitem__(self, column: str) -> object:
        return self.cells.get(column)

    def has(self, column: str) -> bool:
        return column in self.cells


@dataclass(frozen=True)
class Table:
    """A list found in a file."""

    sheet: str
    columns: frozenset[str]
    records: Sequence[Record]
    notes: Sequence[str]
    faults: Sequence[Fault] = field(default=())


def table_find(sheets: Sequence[Sheet], columns: Sequence[Column]) -> Table | None:
    """The first sheet with headings for all the required columns, read as a list; None if there is none.

    Raises FileRefused if that sheet has a heading twice, or asks to be read in another unit.
    """
    for sheet in sheets:
        heading_row = _heading_row(sheet, columns)
        if heading_row is not None:
            return _table(sheet, heading_row, columns)
    return None


def headings_refused(sheets: Sequence[Sheet], columns: Sequence[Column]) -> FileRefused:
    """What to tell somebody whose file has no list of this kind."""
    wanted = " and ".join(f"“{column.name}”" for column in columns if column.required)
    first = sheets[0].rows[0] if sheets and sheets[0].rows else None
    found = [str(cell).strip() for cell in first.cells if cell not in (None, "")][:8] if first else []
    there = f" The first row says: {', '.join(found)}." if found else ""
    return FileRefused(f"No row with the headings {wanted} was found.{there} Compare with the example file.")


def _heading_row(sheet: Sheet, columns: Sequence[Column]) -> Row | None:
    names = _names(columns)
    required = {column.name for column in columns if column.required}
    for row in sheet.rows[:HEADINGS_WITHIN]:
        if required <= {names.get(_plain(cell), "") for cell in row.cells}:
            return row
    return None


def _table(sheet: Sheet, headings: Row, columns: Sequence[Column]) -> Table:
    places, unused = _places(headings, columns)
    below = [row for row in sheet.rows if row.number > headings.number]
    if len(below) > MOST_ROWS:
        raise FileRefused(f"The list has more than {MOST_ROWS:,} rows. Split it into smaller lists.")
    records = [record for row in below if (record := _record(row, places)).cells]
    notes = [*sheet.notes, *([f"Columns not used: {'; '.join(unused)}."] if unused else [])]
    faults = (*_without_heading(below, headings), *_never_worked_out(records))
    return Table(sheet.name, frozenset(places.values()), records, tuple(notes), faults)


def _places(headings: Row, columns: Sequence[Column]) -> tuple[dict[int, str], list[str]]:
    """Which column stands at which place, and the headings that say nothing to us."""
    names = _names(columns)
    places: dict[int, str] = {}
    unused: list[str] = []
    for place, cell in enumerate(headings.cells):
        name = names.get(_plain(cell))
        if name is None:
            if str(cell or "").strip():
                unused.append(_unused(str(cell).strip(), names))
            continue
        if name in places.values():
            raise FileRefused(f"Row {headings.number}: two columns are headed “{name}”. Leave one.")
        _check_unit(headings, cell, next(column for column in columns if column.name == name))
        places[place] = name
    return places, unused


def _record(row: Row, places: Mapping[int, str]) -> Record:
    """The filled cells of a row that stand under a heading we know."""
    cells = {name: row.cells[place] for place, name in places.items() if place < len(row.cells)}
    filled = {name: cell for name, cell in cells.items() if cell == 0 or str(cell or "").strip()}
    return Record(row.number, filled)


def _without_heading(below: Sequence[Row], headings: Row) -> Iterator[Fault]:
    """Cells that stand to the right of the last heading: nobody can say what they mean."""
    last = max(place for place, cell in enumerate(headings.cells) if str(cell or "").strip())
    for row in below:
        beyond = [cell for cell in row.cells[last + 1 :] if str(cell or "").strip()]
        if beyond:
            text = (
                f"“{str(beyond[0]).strip()[:40]}” stands to the right of the last heading. "
                "In a CSV file, put a cell that holds the separator in quotation marks"
            )
            yield Fault(row.number, f"cell {last + 2}", text)


def _never_worked_out(records: Sequence[Record]) -> Iterator[Fault]:
    for record in records:
        for name, cell in record.cells.items():
            if cell is NEVER_WORKED_OUT:
                yield Fault(
                    record.row,
                    name,
                    "holds a formula that was never worked out: open the file in a spreadsheet program, "
                    "save it and send it again, or type the value",
                )


def _unused(heading: str, names: Mapping[str, str]) -> str:
    near = get_close_matches(_plain(heading), names, n=1, cutoff=0.75)
    return f"“{heading[:40]}” (did you mean “{names[near[0]]}”?)" if near else f"“{heading[:40]}”"


def _check_unit(headings: Row, cell: object, column: Column) -> None:
    found = _UNIT.search(str(cell))
    if found and column.unit and found[1].strip().lower() not in column.unit:
        raise FileRefused(
            f"Row {headings.number}: the column “{str(cell).strip()[:40]}” is read in {column.unit[0]}. "
            f"Change the figures and head it “{column.heading}”."
        )


def _names(columns: Sequence[Column]) -> dict[str, str]:
    return {_plain(name): column.name for column in columns for name in (column.name, *column.also)}


def _plain(cell: object) -> str:
    """A heading without its unit, case and signs, so that 'Hours_Likely (h):' is 'hours likely'."""
    text = _UNIT.sub("", str(cell if cell is not None else ""))
    return " ".join(re.sub(r"[_\-:*.\s]+", " ", text).lower().split())

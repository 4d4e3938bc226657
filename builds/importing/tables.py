"""From the bytes of a file to tables: headings, and rows as the spreadsheet numbers them."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field

from .cells import unguarded
from .faults import FileRefused

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 60
HEADINGS_WITHIN = 20  # a title or an address may stand above the headings

ZIP_MARK = b"PK\x03\x04"
OLD_WORKBOOK_MARK = b"\xd0\xcf\x11\xe0"
_SEPARATORS = (";", ",", "\t")
_UNREADABLE = (
    "This does not look like a list: save it from the spreadsheet as XLSX or as CSV and send that file."
)


@dataclass(frozen=True)
class Row:
    number: int  # as the spreadsheet shows it, from 1
    cells: Sequence[object]

    def is_empty(self) -> bool:
        return all(cell is None or cell == "" or str(cell).strip() == "" for cell in self.cells)


@dataclass(frozen=True)
class Sheet:
    """One sheet of a workbook, or the whole of a CSV file; its rows without the empty ones."""

    name: str
    rows: Sequence[Row]
    notes: Sequence[str] = field(default=())  # what the reader should be told


def sheets_of(content: bytes) -> list[Sheet]:
    """Every sheet of a CSV or XLSX file, told apart by content and not by name.

    Raises FileRefused, with what to do, for anything that is neither.
    """
    if len(content) > MOST_BYTES:
        raise FileRefused(
            f"The file is larger than {MOST_BYTES // 1024 // 1024} MB. Split it into smaller lists."
        )
    if not content.strip():
        raise FileRefused("The file is empty.")
    if content.startswith(ZIP_MARK):
        from .workbooks import workbook_sheets

        return workbook_sheets(content)
    if content.startswith(OLD_WORKBOOK_MARK):
        raise FileRefused(
            "This is a workbook of the old kind (XLS), or one locked with a password. "
            "Save it as XLSX without a password and send that."
        )
    return _csv_sheets(content)


def _csv_sheets(content: bytes) -> list[Sheet]:
    """The file as read with each separator that it could have, the likeliest first.

    Titles hold commas and notes hold semicolons: the headings, which the caller knows, tell which is right.
    """
    text, notes = _decoded(content)
    first_lines = "\n".join(text.split("\n", HEADINGS_WITHIN)[:HEADINGS_WITHIN])
    likely = sorted(
        (sign for sign in _SEPARATORS if sign in first_lines), key=first_lines.count, reverse=True
    )
    sheets, refusals = [], []
    for separator in likely or [","]:
        try:
            sheets.append(_csv_sheet(text, separator, notes))
        except FileRefused as refusal:
            refusals.append(refusal)
    if not sheets:
        raise refusals[0]
    return sheets


def _csv_sheet(text: str, separator: str, notes: Sequence[str]) -> Sheet:
    rows: list[Row] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        # counted by rows and not by lines, as a spreadsheet does: a cell may run over several lines
        for number, cells in enumerate(reader, start=1):
            row = Row(number, [unguarded(cell) for cell in cells])
            if not row.is_empty():
                rows.append(_checked(row))
            check_count(rows)
    except csv.Error as fault:
        raise FileRefused(f"Line {reader.line_num} cannot be read as CSV. {_UNREADABLE}") from fault
    return Sheet("", rows, notes)


def _checked(row: Row) -> Row:
    if len(row.cells) > MOST_COLUMNS:
        raise FileRefused(f"Row {row.number} has more than {MOST_COLUMNS} columns. {_UNREADABLE}")
    return row


def check_count(rows: Sequence[Row]) -> None:
    """Raise FileRefused once there are more rows than a list may have."""
    if len(rows) > MOST_ROWS + HEADINGS_WITHIN:
        raise FileRefused(f"The list has more than {MOST_ROWS:,} rows. Split it into smaller lists.")


def _decoded(content: bytes) -> tuple[str, list[str]]:
    """The text, and a note where the encoding had to be guessed."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _plain(_decode(content, "utf-16")), []
    try:
        return _plain(content.decode("utf-8-sig")), []
    except UnicodeDecodeError:
        note = "The file is not in UTF-8; it was read as Windows-1252. Look at the accents and signs below."
        return _plain(_decode(content, "cp1252")), [note]


def _decode(content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as fault:
        raise FileRefused(_UNREADABLE) from fault


def _plain(text: str) -> str:
    """The text, unless it holds signs that no list holds: a picture under another name, for example."""
    if any(ord(sign) < 32 and sign not in "\t\r\n" for sign in text):
        raise FileRefused(_UNREADABLE)
    return text

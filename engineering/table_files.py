"""From the bytes of a CSV or XLSX file to numbered rows, with limits, refused in words."""

import csv
import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

MOST_BYTES = 2 * 1024 * 1024
MOST_UNPACKED_BYTES = 25 * 1024 * 1024
MOST_MEMBERS = 200
MOST_SHEETS = 30
MOST_ROWS = 2_000
MOST_COLUMNS = 60
_SEPARATORS = ("\t", ";", ",")
_SAVE_AGAIN = "save it from the spreadsheet as XLSX or CSV and send that file."

NumberedRows = list[tuple[int, list[object]]]


class FileRefusedError(Exception):
    """A file that cannot be read; the message is a sentence for people."""


@dataclass(frozen=True)
class FileSheet:
    """One sheet of a workbook, or the whole of a CSV file, named like the file."""

    file: str
    name: str
    rows: NumberedRows  # as the spreadsheet numbers them; a merged cell stands in all it covers

    @property
    def place(self) -> str:
        return f"{self.file}, sheet “{self.name}”" if self.file.lower().endswith(".xlsx") else self.file


def sheets_of(name: str, content: bytes) -> list[FileSheet]:
    """Every visible sheet that is not empty. Raises FileRefusedError."""
    name = PurePath(name).name[:80]
    if len(content) > MOST_BYTES:
        raise FileRefusedError(f"{name}: larger than {MOST_BYTES // 1024 // 1024} MB. Send only the tables.")
    if not content.strip():
        raise FileRefusedError(f"{name}: the file is empty.")
    if content.startswith(b"PK\x03\x04"):
        found = _workbook(name, content)
    elif content.startswith(b"\xd0\xcf\x11\xe0"):
        raise FileRefusedError(f"{name}: an old XLS workbook or one with a password; {_SAVE_AGAIN}")
    else:
        found = [FileSheet(name, PurePath(name).stem, _csv_rows(name, content))]
    filled = [sheet for sheet in found if sheet.rows]
    if not filled:
        raise FileRefusedError(f"{name}: there is nothing in it.")
    return filled


def _csv_rows(name: str, content: bytes) -> NumberedRows:
    text = _decoded(name, content)
    first_lines = "\n".join(text.split("\n", 20)[:20])
    separator = max(_SEPARATORS, key=first_lines.count)
    rows: NumberedRows = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        for number, cells in enumerate(reader, start=1):
            _add(rows, name, number, [cell.removeprefix("'") for cell in cells])
    except csv.Error as error:
        raise FileRefusedError(f"{name}: line {reader.line_num} is no CSV; {_SAVE_AGAIN}") from error
    return rows


def _decoded(name: str, content: bytes) -> str:
    try:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = content.decode("utf-16")
        else:
            text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    if any(ord(sign) < 32 and sign not in "\t\r\n" for sign in text):
        raise FileRefusedError(f"{name}: this is no table; {_SAVE_AGAIN}")
    return text


def _add(rows: NumberedRows, place: str, number: int, cells: list[object]) -> None:
    if not any(cell is not None and str(cell).strip() for cell in cells):
        return
    if len(cells) > MOST_COLUMNS:
        raise FileRefusedError(f"{place}: row {number} has more than {MOST_COLUMNS} columns.")
    if len(rows) == MOST_ROWS:
        raise FileRefusedError(f"{place}: more than {MOST_ROWS} rows. Split the list.")
    rows.append((number, cells))


def _workbook(name: str, content: bytes) -> list[FileSheet]:
    from openpyxl import load_workbook  # loads slowly, and few pages need it

    _check_members(name, content)
    try:
        values = load_workbook(io.BytesIO(content), data_only=True)
        written = load_workbook(io.BytesIO(content))
        return [
            FileSheet(name, sheet.title, _sheet_rows(f"{name}, sheet “{sheet.title}”", sheet, written))
            for sheet in values.worksheets[:MOST_SHEETS]
            if sheet.sheet_state == "visible"
        ]
    except FileRefusedError:
        raise
    except Exception as error:  # openpyxl raises whatever a broken file makes it run into
        raise FileRefusedError(f"{name}: the workbook cannot be read; {_SAVE_AGAIN}") from error


def _check_members(name: str, content: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as error:
        raise FileRefusedError(f"{name}: the workbook is broken; {_SAVE_AGAIN}") from error
    if "xl/workbook.xml" not in {member.filename for member in members}:
        raise FileRefusedError(f"{name}: this is no XLSX workbook; {_SAVE_AGAIN}")
    if any(member.flag_bits & 1 for member in members):
        raise FileRefusedError(f"{name}: locked with a password. Save it without one.")
    if len(members) > MOST_MEMBERS or sum(member.file_size for member in members) > MOST_UNPACKED_BYTES:
        raise FileRefusedError(f"{name}: unpacks to far more than tables need. Copy them to a new workbook.")


def _sheet_rows(place: str, sheet: Any, written: Any) -> NumberedRows:
    if sheet.max_column > MOST_COLUMNS:
        raise FileRefusedError(f"{place}: more than {MOST_COLUMNS} columns. Take out what is not needed.")
    merged = dict(_merged(sheet))
    rows: NumberedRows = []
    for number, cells in enumerate(sheet.iter_rows(values_only=True), start=1):
        filled = [merged.get((number, at), cell) for at, cell in enumerate(cells, start=1)]
        for at, cell in enumerate(cells, start=1):
            formula = written[sheet.title].cell(number, at)
            if cell is None and formula.data_type == "f":
                raise FileRefusedError(
                    f"{place}, row {number}, column {formula.column_letter}: a formula that was never worked "
                    "out. Open the file in a spreadsheet, save it there and send it again."
                )
        _add(rows, place, number, filled)
    return rows


def _merged(sheet: Any) -> Iterator[tuple[tuple[int, int], object]]:
    for cells in sheet.merged_cells.ranges:
        value = sheet.cell(cells.min_row, cells.min_col).value
        for row in range(cells.min_row, min(cells.max_row, MOST_ROWS) + 1):
            yield (row, cells.min_col), value  # across, the columns beside stay empty

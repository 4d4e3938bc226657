"""Reading XLSX workbooks, with limits, so that a hostile file costs neither time nor memory."""

from __future__ import annotations

import io
import re
import zipfile
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils.cell import range_boundaries

from .faults import FileRefused
from .tables import MOST_COLUMNS, Row, Sheet, check_count

# A list of 5,000 rows and 20 columns unpacks to about 6 MB.
MOST_UNPACKED_BYTES = 25 * 1024 * 1024
MOST_MEMBERS = 500
MOST_SHEETS = 60
MOST_MERGES = 2_000
LAST_ROW = 50_000
NEVER_WORKED_OUT = object()  # stands for a formula that was saved without its value

_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\b[^>]*?\bref="([A-Z]{1,3}\d{1,7}:[A-Z]{1,3}\d{1,7})"')
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_BROKEN = "The workbook cannot be read: open it in a spreadsheet program, save it as XLSX and send that file."


def workbook_sheets(content: bytes) -> list[Sheet]:
    """The sheets of a workbook that can be seen, with values in place of formulas.

    A cell merged over several rows counts for each of them. Raises FileRefused for what is no workbook,
    is broken, or unpacks to more than a list can hold.
    """
    members = _checked_members(content)
    try:
        return [sheet for sheet in _sheets(content, members) if sheet.rows]
    except FileRefused:
        raise
    except Exception as fault:  # openpyxl raises whatever a broken file makes it run into
        raise FileRefused(_BROKEN) from fault


def _checked_members(content: bytes) -> set[str]:
    """The names of the files inside. Their sizes are held to what they declare when they are unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as fault:
        raise FileRefused(_BROKEN) from fault
    if len(members) > MOST_MEMBERS or sum(member.file_size for member in members) > MOST_UNPACKED_BYTES:
        raise FileRefused(
            "The workbook unpacks to far more than a list needs. Copy the list into a new workbook."
        )
    names = {member.filename for member in members}
    if "xl/workbook.xml" not in names:
        raise FileRefused("This is no XLSX workbook. Save the list as XLSX or CSV and send that file.")
    if any(member.flag_bits & 1 for member in members):
        raise FileRefused("The workbook is locked with a password. Save it without one and send that file.")
    return names


def _sheets(content: bytes, members: set[str]) -> Iterator[Sheet]:
    values = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    formulas: Any = None
    for name in values.sheetnames[:MOST_SHEETS]:
        sheet = values[name]
        if not hasattr(sheet, "iter_rows") or sheet.sheet_state != "visible":
            continue  # a chart, or a sheet that its owner has hidden
        xml = _xml(content, sheet, members)
        rows = list(_rows(sheet))
        if _FORMULA.search(xml):
            formulas = formulas or load_workbook(io.BytesIO(content), read_only=True)
            rows = _with_unworked(rows, formulas[name])
        yield Sheet(name, [row for row in _filled_down(rows, xml) if not row.is_empty()])


def _xml(content: bytes, sheet: Any, members: set[str]) -> bytes:
    path = sheet._worksheet_path.lstrip("/")  # openpyxl's reading mode tells neither merges nor formulas
    if path not in members:
        raise FileRefused(_BROKEN)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return archive.read(path)


def _rows(sheet: Any) -> Iterator[Row]:
    sheet.reset_dimensions()  # what the file says of its own size may be wrong
    filled: list[Row] = []
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), start=1):
        if number > LAST_ROW:
            raise FileRefused(
                f"Sheet “{sheet.title}” goes on beyond row {LAST_ROW:,}. "
                "Delete the empty rows below the list, or copy the list into a new workbook."
            )
        row = Row(number, cells)
        if not row.is_empty():
            filled.append(row)
            check_count(filled)
        yield row


def _with_unworked(rows: list[Row], formulas: Any) -> list[Row]:
    """Mark the cells that hold a formula and no value: they must not pass for empty ones."""
    formulas.reset_dimensions()
    marked = []
    for row, written in zip(rows, formulas.iter_rows(max_col=MOST_COLUMNS, values_only=True), strict=False):
        cells = [
            NEVER_WORKED_OUT if value is None and was is not None else value
            for value, was in zip(row.cells, written, strict=False)
        ]
        marked.append(Row(row.number, cells))
    return marked


def _filled_down(rows: list[Row], xml: bytes) -> Iterable[Row]:
    """The rows, each with the value of the cells that are merged down into it."""
    merged = _merged_columns(xml)
    cells = {row.number: list(row.cells) for row in rows if not row.is_empty()}
    numbers = sorted(cells)
    for column, first, last in merged:
        top = cells.get(first, [])
        value = top[column] if column < len(top) else None
        for number in numbers[bisect_right(numbers, first) : bisect_right(numbers, last)]:
            below = cells[number]
            below.extend([None] * (column + 1 - len(below)))
            below[column] = value
    return [Row(number, filled) for number, filled in cells.items()]


def _merged_columns(xml: bytes) -> list[tuple[int, int, int]]:
    """Column (from 0), first and last row of each merge that goes down over several rows."""
    found = []
    for reference in _MERGED.findall(xml):
        left, top, _, bottom = range_boundaries(reference.decode("ascii"))
        if bottom > top and left <= MOST_COLUMNS:
            found.append((left - 1, top, bottom))
    if len(found) > MOST_MERGES:
        raise FileRefused(f"The sheet has more than {MOST_MERGES:,} merged cells. Unmerge them.")
    return found

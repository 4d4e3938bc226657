"""Writing sheets to a workbook or to CSV files, with no cell that a spreadsheet could take for a formula."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from builds.importing.cells import guarded

from .sheets import ExportSheet, Value

DAY_FORMAT, MOMENT_FORMAT = "yyyy-mm-dd", "yyyy-mm-dd hh:mm"
WIDE = {"title": 60, "part": 32, "after": 40, "needs": 40, "note": 50}  # in signs; other columns are 16
LONGEST_CELL = 32_767  # a limit of spreadsheets (ECMA-376-1, 18.18.37 leaves it to them; common practice)


def workbook_bytes(sheets: Iterable[ExportSheet]) -> bytes:
    """An XLSX workbook, one sheet after another."""
    book = Workbook(write_only=True)
    for sheet in sheets:
        page = book.create_sheet(sheet.name)
        page.freeze_panes = "A2"
        for place, heading in enumerate(sheet.headings, start=1):
            page.column_dimensions[get_column_letter(place)].width = WIDE.get(heading, 16)
        page.append([_heading(page, heading) for heading in sheet.headings])
        for row in sheet.rows:
            page.append([_cell(page, value) for value in row])
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def zip_bytes(sheets: Iterable[ExportSheet]) -> bytes:
    """A ZIP with a CSV file for each sheet."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for sheet in sheets:
            archive.writestr(f"{sheet.name.lower().replace(' ', '-')}.csv", csv_bytes(sheet))
    return file.getvalue()


def csv_bytes(sheet: ExportSheet) -> bytes:
    """The sheet as CSV in UTF-8, with the mark by which spreadsheets know it."""
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow(sheet.headings)
    for row in sheet.rows:
        writer.writerow([_text(value) for value in row])
    return b"\xef\xbb\xbf" + file.getvalue().encode()


def _heading(page: Any, heading: str) -> Any:
    cell = _text_cell(page, heading)
    cell.font = Font(bold=True)
    return cell


def _cell(page: Any, value: Value) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        cell = WriteOnlyCell(page, _local(value).replace(tzinfo=None))
        cell.number_format = MOMENT_FORMAT
        return cell
    if isinstance(value, date):
        cell = WriteOnlyCell(page, value)
        cell.number_format = DAY_FORMAT
        return cell
    if value is None or isinstance(value, int | float | Decimal):
        return value
    return _text_cell(page, str(value))


def _text_cell(page: Any, text: str) -> Any:
    clean = ILLEGAL_CHARACTERS_RE.sub("\N{REPLACEMENT CHARACTER}", text)[:LONGEST_CELL]
    cell = WriteOnlyCell(page, "")
    cell._value, cell.data_type = (
        clean,
        "s",
    )  # the public setter would make a formula of a text with = in front
    cell.quotePrefix = guarded(clean) != clean  # stays text when somebody opens and edits the cell
    return cell


def _text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return _local(value).isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float | Decimal):
        return f"{value}"
    return guarded(str(value).replace("\0", "\N{REPLACEMENT CHARACTER}"))


def _local(moment: datetime) -> datetime:
    return timezone.localtime(moment) if timezone.is_aware(moment) else moment

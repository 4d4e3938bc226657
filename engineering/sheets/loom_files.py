"""The tables of a loom from files, and as a workbook: all of a file is understood, or nothing is taken."""

import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from engineering.loom.reading import (
    PlaceKind,
    read_boxes,
    read_components,
    read_devices,
    read_links,
    read_places,
    read_runs,
    read_wires,
)
from engineering.loom.reading_rows import ReadRows
from engineering.sheets.loom_tables import TABLES
from engineering.table_files import FileRefusedError, FileSheet, sheets_of

Row = dict[str, str]
Reader = Callable[[Any], ReadRows[Any]]

TITLES = {
    "runs": "Runs", "places": "Connectors and studs", "components": "Components", "devices": "Fuses",
    "boxes": "Boxes", "links": "Switches", "wires": "Wires",
}  # fmt: skip
"""Sheets of our own workbook."""

READERS: dict[str, tuple[str, Reader]] = {
    "fuses": ("devices", read_devices),
    "devices": ("devices", read_devices),
    "outputs": ("devices", read_devices),
    "components": ("components", read_components),
    "loads": ("components", read_components),
    "runs": ("runs", read_runs),
    "joints": ("runs", read_runs),
    "joints and runs": ("runs", read_runs),
    "measured runs": ("runs", read_runs),
    "switches": ("links", read_links),
    "relays": ("links", read_links),
    "links": ("links", read_links),
    "switches and relays": ("links", read_links),
    "wires": ("wires", read_wires),
    "wire list": ("wires", read_wires),
    "boxes": ("boxes", read_boxes),
    "fuse boxes": ("boxes", read_boxes),
    "connectors and studs": ("places", read_places),
    "connectors": ("places", partial(read_places, joint_needed=False)),
    "pins": ("places", partial(read_places, joint_needed=False)),
    "cavities": ("places", partial(read_places, joint_needed=False)),
    "splices": ("places", partial(read_places, kind=PlaceKind.SPLICE)),
    "grounds": ("places", partial(read_places, kind=PlaceKind.GROUND)),
    "earths": ("places", partial(read_places, kind=PlaceKind.GROUND)),
    "supplies": ("places", partial(read_places, kind=PlaceKind.SUPPLY)),
}
"""What a sheet or a CSV file of that name holds."""

BY_HEADINGS: tuple[tuple[str, Reader], ...] = (
    ("devices", read_devices),
    ("components", read_components),
    ("runs", read_runs),
    ("links", read_links),
    ("wires", read_wires),
    ("places", read_places),
    ("boxes", read_boxes),
)
"""How a sheet of another name is told; the first whose headings are all there."""


@dataclass
class Taken:
    """What files gave: rows by table, and what the reader should be told."""

    tables: dict[str, list[Row]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def take_files(files: Iterable[tuple[str, bytes]]) -> Taken:
    """Read files; where anything is refused, `refused` names file, sheet, row and column."""
    taken = Taken()
    for name, content in files:
        try:
            for sheet in sheets_of(name, content):
                _take_sheet(sheet, taken)
        except FileRefusedError as error:
            taken.refused.append(str(error))
    if "places" in taken.tables:
        taken.tables["places"] = _with_pins(taken.tables["places"], taken.refused)
    if not taken.tables and not taken.refused:
        names = ", ".join(f"“{title}”" for title in TITLES.values())
        taken.refused.append(f"No table of a loom was found. Name the sheets {names}, or take our headings.")
    return taken


def _take_sheet(sheet: FileSheet, taken: Taken) -> None:
    name = " ".join(sheet.name.lower().replace("_", " ").replace("-", " ").split())
    known = READERS.get(name)
    read = known[1](sheet.rows) if known else None
    if known is None:
        known, read = _by_headings(sheet)
    if known is None or read is None:
        taken.notes.append(f"{sheet.place}: not read, it has the headings of none of the tables.")
        return
    table = known[0]
    if read.is_empty:
        return  # a sheet of our own workbook that was left as it was
    for fault in read.faults:
        place = f"row {fault.row}, {fault.column}" if fault.column else f"row {fault.row}"
        taken.refused.append(f"{sheet.place}{f', {place}' if fault.row else ''}: {fault.message}")
    if read.left_out:
        taken.notes.append(f"{sheet.place}: columns not read: {', '.join(read.left_out)}.")
    taken.tables.setdefault(table, []).extend(
        _line(table, entry, cells) for entry, cells in zip(read.entries, read.cells, strict=True)
    )


def _by_headings(sheet: FileSheet) -> tuple[tuple[str, Reader] | None, ReadRows[Any] | None]:
    for table, reader in BY_HEADINGS:
        read = reader(sheet.rows)
        if read.has_headings:
            return (table, reader), read
    return None, None


def _line(table: str, entry: Any, cells: Row) -> Row:
    """A line as it would be typed: what was written, with what the sheet's own layout said besides."""
    said = dict(cells)
    if table == "wires":  # connector and cavity may stand in columns of their own
        said |= {"start": str(entry.start), "end": str(entry.end)}
    if table == "places":
        said["kind"] = str(entry.kind)
    return {
        column.key: said.get(column.key, "").removesuffix(f" {column.unit or None}")
        for column in TABLES[table]
    }


def _with_pins(lines: list[Row], refused: list[str]) -> list[Row]:
    """Lines of connectors without cavities give joint and tail to the lines of their pins."""
    whole = {line["name"]: line for line in lines if line["joint"]}
    with_cavities = {line["name"] for line in lines if line["cavities"]}
    found = []
    for line in lines:
        if line["kind"] == PlaceKind.CONNECTOR and not line["cavities"] and line["name"] in with_cavities:
            continue
        if not line["joint"] and line["name"] not in whole:
            refused.append(f"Connector {line['name']}: no line says at which joint it sits.")
        if not line["joint"] and line["name"] in whole:
            line = line | {key: whole[line["name"]][key] for key in ("joint", "tail_mm")}
        found.append(line)
    return _merged_pins(found)


def _merged_pins(lines: list[Row]) -> list[Row]:
    """Cavities of one connector that are alike, one line each in the file, in one line."""
    merged: dict[tuple[str, ...], Row] = {}
    for number, line in enumerate(lines):
        alike = tuple(cell for key, cell in line.items() if key != "cavities")
        key = alike if line["cavities"] else (*alike, str(number))
        if key in merged:
            line = line | {"cavities": f"{merged[key]['cavities']} {line['cavities']}"}
        merged[key] = line
    return list(merged.values())


def workbook_of(tables: dict[str, list[Row]]) -> bytes:
    """A workbook with a sheet for each table under our headings: filled in, or empty to be filled in."""
    from openpyxl import Workbook  # loads slowly, and few pages need it
    from openpyxl.styles import Font

    book = Workbook()
    book.remove(book.active)
    for table, columns in TABLES.items():
        sheet = book.create_sheet(TITLES[table])
        rows = [[row.get(column.key, "") for column in columns] for row in tables.get(table) or []]
        for number, cells in enumerate([[column.heading for column in columns], *rows], start=1):
            for at, text in enumerate(cells, start=1):
                cell = sheet.cell(number, at)
                cell.number_format = "@"  # text, so that 1.10 stays 1.10 and no label becomes a date
                if text:
                    cell.value, cell.data_type = text, "s"  # nor a formula
        for at, column in enumerate(columns, start=1):
            sheet.cell(1, at).font = Font(bold=True)
            widest = max([len(column.heading), *(len(row[at - 1]) for row in rows)])
            sheet.column_dimensions[sheet.cell(1, at).column_letter].width = min(widest + 2, 44)
        sheet.freeze_panes = "B2"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()

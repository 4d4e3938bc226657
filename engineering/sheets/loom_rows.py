"""The typed tables of a loom to the core's wire list, refusals back to lines, and the generic car."""

from collections.abc import Callable, Collection
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError

from engineering.loom import Fault, FaultyListError, Return, Series
from engineering.loom.figures import FigureError
from engineering.loom.generic import generic_loom
from engineering.loom.reading import (
    PlaceKind,
    PlaceLine,
    read_boxes,
    read_components,
    read_devices,
    read_links,
    read_places,
    read_runs,
    read_wires,
)
from engineering.loom.reading_rows import ReadRows
from engineering.loom.wire_list import (
    Cavity,
    Connector,
    Ground,
    GroundKind,
    LoomList,
    Splice,
    Supply,
    WireLine,
)
from engineering.rows import Column
from engineering.sheets.kind import Inputs
from engineering.sheets.loom_tables import PLACES, TABLES

Row = dict[str, str]

GROUNDS = {
    PlaceKind.GROUND: GroundKind.BODY,
    PlaceKind.MINUS: GroundKind.BATTERY,
    PlaceKind.UNIT: GroundKind.UNIT,
}


def loom_of(inputs: Inputs) -> LoomList:
    """The wire list that was typed. Raises ValidationError by table, with the line of what is unreadable."""
    refused: dict[str, list[str]] = {}
    runs = _read("runs", read_runs, inputs, refused)
    components = _read("components", read_components, inputs, refused)
    devices = _read("devices", read_devices, inputs, refused)
    wires = _read("wires", read_wires, inputs, refused)
    boxes = _read("boxes", read_boxes, inputs, refused)
    links = _read("links", read_links, inputs, refused)
    places = Places()
    for number, line in enumerate(_read("places", read_places, inputs, refused), start=1):
        try:
            places.add(line)
        except FigureError as error:
            refused.setdefault("places", []).append(f"Line {number}, {error.field}: {error.message}.")
    if refused:
        raise ValidationError(refused)
    joints = {joint for run in runs for joint in (run.start, run.end)}
    names = {run.name for run in runs}
    return LoomList(
        system_v=inputs["system_v"],
        wires=tuple(
            _laid(wire, row, inputs["insulation"], joints, names)
            for wire, row in zip(wires, inputs["wires"], strict=True)
        ),
        runs=runs,
        connectors=tuple(places.connectors.values()),
        components=components,
        supplies=tuple(places.supplies),
        grounds=tuple(places.grounds),
        devices=devices,
        links=links,
        boxes=boxes,
        splices=tuple(places.splices),
        series=Series(inputs["series"]),
        returns=Return(inputs["return_path"]),
        body_v=inputs.get("body_v", 0.0),
        least_mm2=inputs["least_mm2"],
        tail_mm=inputs["tail_mm"],
        loop_mm=inputs["loop_mm"],
    )


def refusal(inputs: Inputs, error: FaultyListError) -> ValidationError:
    """What the core refused, each beside its table with its line."""
    refused: dict[str, list[str]] = {}
    for fault in error.faults:
        name, line = _place(inputs, fault)
        refused.setdefault(name, []).append(f"Line {line}: {fault.message}" if line else fault.message)
    return ValidationError(refused)


def _place(inputs: Inputs, fault: Fault) -> tuple[str, int]:
    """Table and line of what is at fault; a field of the form and 0, where it is none of a table."""
    thing = fault.thing.removeprefix("Connector ").partition(", cavity ")[0]
    named = []
    for table, columns in TABLES.items():
        key = columns[0].key
        for number, row in enumerate(inputs.get(table) or [], start=1):
            if thing in (row[key], f"{table[:-1].capitalize()} {row[key]}"):
                named.append((table, number))
    for table, number in named:
        if any(column.key == fault.field for column in TABLES[table]):
            return table, number
    if named:
        return named[0]
    return (fault.field, 0) if fault.field in inputs else ("wires", 0)


def _read(
    table: str,
    reader: Callable[[list[tuple[int, list[str]]]], ReadRows[Any]],
    inputs: Inputs,
    refused: dict[str, list[str]],
) -> tuple[Any, ...]:
    columns = TABLES[table]
    typed = inputs.get(table) or []
    if not typed:
        return ()
    # a sheet kept before a column was added has no such cells
    rows = [(n, [row.get(column.key, "") for column in columns]) for n, row in enumerate(typed, start=1)]
    read = reader([(0, [column.heading for column in columns]), *rows])
    for fault in read.faults:
        place = f"Line {fault.row}" + (f", {fault.column}" if fault.column else "")
        refused.setdefault(table, []).append(f"{place}: {fault.message}")
    return read.entries


def _laid(
    wire: WireLine, row: Row, insulation: str, joints: Collection[str], runs: Collection[str]
) -> WireLine:
    own = wire.insulation if row.get("insulation") else insulation
    return replace(wire, insulation=own, via=_names(row["via"], joints), avoid=_names(row["avoid"], runs))


def _names(cell: str, known: Collection[str]) -> tuple[str, ...]:
    """Names in one cell, apart by commas, or by blanks where no name with a blank is meant."""
    found: list[str] = []
    for part in cell.replace(";", ",").split(","):
        name = " ".join(part.split())
        found.extend([name] if name in known else name.split())
    return tuple(found)


class Places:
    """Connectors, splices and studs as they are read; a connector may go on over several lines."""

    def __init__(self) -> None:
        self.connectors: dict[str, Connector] = {}
        self.splices: list[Splice] = []
        self.grounds: list[Ground] = []
        self.supplies: list[Supply] = []

    def add(self, line: PlaceLine) -> None:
        """Raises FigureError by the column's heading."""
        if line.kind is PlaceKind.CONNECTOR:
            self._add_cavities(line)
        elif line.kind is PlaceKind.SPLICE:
            self.splices.append(Splice(line.name, line.joint))
        elif line.kind is PlaceKind.SUPPLY:
            self.supplies.append(Supply(line.name, line.joint, line.most_a, line.limited_a))
        else:
            self.grounds.append(Ground(line.name, line.joint, GROUNDS[line.kind]))

    def _add_cavities(self, line: PlaceLine) -> None:
        if not line.cavities:
            raise FigureError("Cavities", f"connector {line.name} has none; name them, as 1 2 3")
        cavities = tuple(
            Cavity(cavity, line.largest_mm2, line.most_a, line.terminal) for cavity in line.cavities
        )
        known = self.connectors.get(line.name)
        if known and known.joint != line.joint:
            raise FigureError(
                "At joint", f"{line.name} sits at {known.joint} by an earlier line; it has one place"
            )
        before = known.cavities if known else ()
        tail_mm = line.tail_mm if line.tail_mm is not None or not known else known.tail_mm
        self.connectors[line.name] = Connector(line.name, line.joint, (*before, *cavities), tail_mm)


# The generic car, as it would be typed


def generic_lines() -> Inputs:
    """Tables and choices of a plain car to start from: common practice, no source."""
    loom = generic_loom()
    return {
        "system_v": loom.system_v,
        "series": loom.series.value,
        "return_path": loom.returns.value,
        "insulation": "c",
        **typed_tables(loom),
    }


def typed_tables(loom: LoomList) -> dict[str, list[Row]]:
    """The tables of a list as they would be typed, all wires in the insulation of the car."""
    places = [row for connector in loom.connectors for row in _connector_lines(connector)]
    places += [_line(PLACES, name=each.name, kind="splice", joint=each.joint) for each in loom.splices]
    places += [_line(PLACES, name=each.name, kind="ground", joint=each.joint) for each in loom.grounds]
    places += [_line(PLACES, name=each.name, kind="supply", joint=each.joint) for each in loom.supplies]
    return {
        "places": places,
        **{
            table: [_line(TABLES[table], **_typed(table, vars(each))) for each in getattr(loom, table)]
            for table in ("runs", "components", "devices", "boxes", "links", "wires")
        },
    }


def _connector_lines(connector: Connector) -> list[Row]:
    """One line for all cavities that are alike."""
    alike: dict[tuple[Any, ...], list[str]] = {}
    for cavity in connector.cavities:
        alike.setdefault((cavity.largest_mm2, cavity.most_a, cavity.terminal), []).append(cavity.name)
    return [
        _line(
            PLACES, name=connector.name, kind="connector", joint=connector.joint, cavities=" ".join(names),
            largest_mm2=largest, most_a=most_a, terminal=terminal,
        )
        for (largest, most_a, terminal), names in alike.items()
    ]  # fmt: skip


_UNSAID = {"duty": 1.0, "inrush_a": 0.0, "inrush_s": 0.0, "signal": False, "retries": 0}
_SAID = {"resistive": "steady"}


def _typed(table: str, entry: dict[str, Any]) -> dict[str, Any]:
    keys = {column.key for column in TABLES[table]}
    said = {
        key: value
        for key, value in entry.items()
        if key in keys and key != "insulation" and not (key in _UNSAID and value == _UNSAID[key])
    }
    return {key: _SAID.get(value, value) if key == "nature" else value for key, value in said.items()}


def _line(columns: tuple[Column, ...], **cells: Any) -> Row:
    return {column.key: _cell(cells.get(column.key)) for column in columns}


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.9g}"
    return ", ".join(value) if isinstance(value, tuple) else str(value)

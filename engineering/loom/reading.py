"""Rows of a spreadsheet to lines of a wire list: understood, or named by row and column; never half."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from engineering.loom.figures import FigureError, Kind, figure
from engineering.loom.inputs import INSULATIONS
from engineering.loom.wire_list import (
    DROPS,
    SURROUNDINGS,
    Component,
    Device,
    DeviceKind,
    Nature,
    Pin,
    Run,
    WireLine,
)

HEADINGS_WITHIN = 20
"""A title or an address may stand above the headings."""

Entry = TypeVar("Entry")

NumberedRow = tuple[int, Sequence[object]]
"""A row as the spreadsheet numbers it, and its cells; a cell merged down stands in each of its rows."""


@dataclass(frozen=True)
class RowFault:
    """What cannot be read.

    Parameters
    ----------
    row : int
        As the spreadsheet numbers it; 0 for the table as a whole.
    column : str
        Heading of the column; empty for the row as a whole.
    message : str
        A sentence that says what to do.
    """

    row: int
    column: str
    message: str

    def __str__(self) -> str:
        place = f"Row {self.row}" + (f", {self.column}" if self.column else "") if self.row else "The table"
        return f"{place}: {self.message}"


@dataclass(frozen=True)
class ReadRows(Generic[Entry]):
    """A table that was read.

    Parameters
    ----------
    entries : tuple
        Its entries; none where there is a fault, so that nothing is saved by half.
    faults : tuple of RowFault
        Everything that cannot be read.
    """

    entries: tuple[Entry, ...]
    faults: tuple[RowFault, ...]


@dataclass(frozen=True)
class _Column:
    key: str
    heading: str
    also: tuple[str, ...]
    read: Callable[[object, str], Any]
    needed: bool = False


def read_wires(rows: Sequence[NumberedRow]) -> ReadRows[WireLine]:
    """Read a wire list.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Lines of the list. Ends are written “C1/3” (connector and cavity) or in a column each for connector
        and cavity; joints and runs in one cell are parted by commas or blanks.

    Examples
    --------
    >>> rows = [(1, ["Label", "From", "To", "Least size"]), (2, ["W1", "FB/1", "S1", "0,75 mm²"])]
    >>> wire, = read_wires(rows).entries
    >>> wire.start, wire.least_mm2
    (Pin(place='FB', cavity='1'), 0.75)
    """
    columns = (
        _Column("label", "Label", ("wire", "wire no", "no", "number", "wire label"), _text, True),
        _Column("start", "From", ("start", "from connector", "start connector"), _pin, True),
        _Column("start_cavity", "From cavity", ("start cavity", "from pin", "cavity from"), _text),
        _Column("end", "To", ("end", "to connector", "end connector"), _pin, True),
        _Column("end_cavity", "To cavity", ("end cavity", "to pin", "cavity to"), _text),
        _Column("circuit", "Circuit", ("function", "terminal"), _text),
        _Column("colour", "Colour", ("color", "wire colour"), _text),
        _Column("least_mm2", "Least size", ("minimum size", "min size", "thinnest"), _figure(Kind.AREA)),
        _Column(
            "given_mm2", "Size", ("given size", "conductor", "gauge", "cross-section"), _figure(Kind.AREA)
        ),
        _Column(
            "insulation", "Insulation", ("class", "insulation class"), _one_of(INSULATIONS, "insulation")
        ),
        _Column("via", "Through", ("via", "pinned through"), _names),
        _Column("avoid", "Keep out of", ("avoid", "not through"), _names),
        _Column("loop_mm", "Service loop", ("loop",), _figure(Kind.LENGTH)),
        _Column("signal", "Signal", ("signal wire",), _yes),
    )

    def wire(found: dict[str, Any]) -> WireLine:
        for end in ("start", "end"):
            cavity = found.pop(f"{end}_cavity", None)
            if cavity:
                if found[end].cavity:
                    raise FigureError(end, f"gives a cavity twice: {found[end]} and {cavity}; write it once")
                found[end] = Pin(found[end].place, cavity)
        return WireLine(**found)

    return _read(rows, columns, wire, "label", "wires")


def read_runs(rows: Sequence[NumberedRow]) -> ReadRows[Run]:
    """Read measured runs.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Runs.

    Examples
    --------
    >>> run, = read_runs([(1, ["Run", "From", "To", "Length (m)"]), (2, ["R1", "J1", "J2", "1,2"])]).entries
    >>> run.length_mm
    1200.0
    """
    columns = (
        _Column("name", "Run", ("name", "label"), _text, True),
        _Column("start", "From", ("start", "from joint"), _text, True),
        _Column("end", "To", ("end", "to joint"), _text, True),
        _Column("length_mm", "Length", ("measured", "measured length"), _figure(Kind.LENGTH), True),
        _Column("surroundings", "Surroundings", ("place", "where"), _one_of(SURROUNDINGS, "surroundings")),
        _Column("measured_c", "Temperature", ("hottest", "ambient"), _figure(Kind.TEMPERATURE)),
    )
    return _read(rows, columns, lambda found: Run(**found), "name", "runs")


def read_components(rows: Sequence[NumberedRow]) -> ReadRows[Component]:
    """Read what takes current.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Components; an empty return is a return through the body.
    """
    columns = (
        _Column("name", "Component", ("name", "load"), _text, True),
        _Column("feed", "Feed", ("feed pin", "plus"), _pin, True),
        _Column("returns", "Return", ("return pin", "minus", "earth", "ground"), _pin),
        _Column("steady_a", "Current", ("steady", "steady current"), _figure(Kind.CURRENT), True),
        _Column("nature", "Kind", ("nature", "type"), _nature),
        _Column("inrush_a", "In-rush", ("inrush", "starting current"), _figure(Kind.CURRENT)),
        _Column("inrush_s", "In-rush time", ("inrush time",), _figure(Kind.TIME)),
        _Column("duty", "Share of time on", ("duty",), _figure(Kind.SHARE)),
        _Column("on_s", "Longest on", ("on time",), _figure(Kind.TIME)),
        _Column("drop", "Class", ("drop", "drop class"), _one_of(DROPS, "class")),
        _Column("one_of", "Never together", ("either", "never with"), _text),
    )

    def component(found: dict[str, Any]) -> Component:
        return Component(**({"returns": None} | found))

    return _read(rows, columns, component, "name", "components")


def read_devices(rows: Sequence[NumberedRow]) -> ReadRows[Device]:
    """Read fuses and electronic outputs.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Devices; an empty rating is one to be chosen.
    """
    columns = (
        _Column("name", "Device", ("fuse", "name", "output"), _text, True),
        _Column("fed", "Fed at", ("in", "supply side"), _pin, True),
        _Column("out", "Out at", ("out", "load side"), _pin, True),
        _Column("rating_a", "Rating", ("fuse rating", "trips at"), _figure(Kind.CURRENT)),
        _Column("kind", "Kind", ("type",), _device_kind),
        _Column("inrush_a", "In-rush", ("inrush",), _figure(Kind.CURRENT)),
        _Column("inrush_s", "In-rush time", ("inrush time",), _figure(Kind.TIME)),
        _Column("ambient_c", "Temperature", ("ambient",), _figure(Kind.TEMPERATURE)),
        _Column("box", "Box", ("fuse box", "unit"), _text),
    )
    return _read(rows, columns, lambda found: Device(**found), "name", "devices")


def _read(
    rows: Sequence[NumberedRow],
    columns: tuple[_Column, ...],
    build: Callable[[dict[str, Any]], Entry],
    key: str,
    what: str,
) -> ReadRows[Entry]:
    filled = [(number, cells) for number, cells in rows if any(_text(cell, "") for cell in cells)]
    headings = next(
        (n for n, row in enumerate(filled[:HEADINGS_WITHIN]) if _is_headings(row[1], columns)), None
    )
    if headings is None:
        needed = ", ".join(f"“{column.heading}”" for column in columns if column.needed)
        return ReadRows((), (RowFault(0, "", f"no row of headings was found; it needs at least {needed}."),))
    places, units, faults = _places(filled[headings], columns)
    seen: dict[str, int] = {}
    entries = []
    for number, cells in filled[headings + 1 :]:
        found, wrong = _row(number, cells, columns, places, units)
        if wrong:
            faults.extend(wrong)
            continue
        if found[key] in seen:
            words = (
                f"{found[key]} stands already in row {seen[found[key]]}; give each its own name, and part "
                "merged cells."
            )
            faults.append(RowFault(number, _heading(columns, key), words))
            continue
        seen[found[key]] = number
        try:
            entries.append(build(found))
        except FigureError as fault:
            faults.append(RowFault(number, _heading(columns, fault.field), f"{fault.message}."))
    if not entries and not faults:
        faults.append(RowFault(0, "", f"there are no {what} below the headings."))
    return ReadRows(() if faults else tuple(entries), tuple(faults))


def _row(
    number: int,
    cells: Sequence[object],
    columns: tuple[_Column, ...],
    places: dict[str, int],
    units: dict[str, str],
) -> tuple[dict[str, Any], list[RowFault]]:
    found: dict[str, Any] = {}
    wrong = []
    for column in columns:
        place = places.get(column.key)
        cell = cells[place] if place is not None and place < len(cells) else None
        try:
            value = column.read(cell, units.get(column.key, ""))
        except FigureError as fault:
            wrong.append(RowFault(number, column.heading, f"{fault.message}."))
            continue
        if value is None or value == "":
            if column.needed:
                wrong.append(RowFault(number, column.heading, "is empty; fill it in, or take the row out."))
        else:
            found[column.key] = value
    return found, wrong


def _is_headings(cells: Sequence[object], columns: tuple[_Column, ...]) -> bool:
    names = {_plain(cell)[0] for cell in cells}
    return all({column.heading.lower(), *column.also} & names for column in columns if column.needed)


def _places(
    row: NumberedRow, columns: tuple[_Column, ...]
) -> tuple[dict[str, int], dict[str, str], list[RowFault]]:
    number, cells = row
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    faults = []
    for place, cell in enumerate(cells):
        name, unit = _plain(cell)
        column = next((each for each in columns if name in {each.heading.lower(), *each.also}), None)
        if column is None:
            continue  # a column of the workshop's own
        if column.key in places:
            faults.append(
                RowFault(number, column.heading, "two columns have this heading; rename one of them.")
            )
        places[column.key] = place
        units[column.key] = unit
    return places, units, faults


def _plain(cell: object) -> tuple[str, str]:
    """A heading without its unit, and the unit: 'Length (m)' or 'Length, m'."""
    text = " ".join(str(cell or "").replace("_", " ").split())
    for opening, closing in (("(", ")"), ("[", "]")):
        if opening in text and text.endswith(closing):
            name, unit = text[:-1].rsplit(opening, 1)
            return name.strip().rstrip(".").lower(), unit.strip()
    name, _, unit = text.partition(",")
    return name.strip().rstrip(".").lower(), unit.strip()


def _heading(columns: tuple[_Column, ...], key: str) -> str:
    return next((column.heading for column in columns if column.key == key), "")


def _text(cell: object, unit: str) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))  # spreadsheets keep whole numbers as 30.0
    return " ".join(str(cell).split())


def _pin(cell: object, unit: str) -> Pin | None:
    text = _text(cell, unit)
    if not text:
        return None
    place, _, cavity = text.rpartition("/")
    if not place:
        return Pin(text.strip("/ "))
    return Pin(place.strip(), cavity.strip())


def _names(cell: object, unit: str) -> tuple[str, ...] | None:
    text = _text(cell, unit)
    return tuple(text.replace(",", " ").replace(";", " ").split()) or None


def _figure(kind: Kind) -> Callable[[object, str], float | None]:
    return lambda cell, unit: figure(cell, kind, unit=unit)


def _yes(cell: object, unit: str) -> bool | None:
    text = _text(cell, unit).lower()
    if text in ("", "no", "n", "false", "0", "-"):
        return None
    if text in ("yes", "y", "x", "true", "1", "✓"):
        return True
    raise FigureError("", f"“{text[:24]}” is neither yes nor no")


def _one_of(choices: dict[str, Any], what: str) -> Callable[[object, str], str | None]:
    def read(cell: object, unit: str) -> str | None:
        text = _text(cell, unit).lower()
        if not text:
            return None
        for key, choice in choices.items():
            if text in (key, key.replace("_", " "), choice.name.lower(), choice.name.lower().split(",")[0]):
                return key
        words = ", ".join(f"“{key.replace('_', ' ')}”" for key in choices)
        raise FigureError("", f"{what} “{text[:24]}” is not known; write one of {words}")

    return read


_NATURES = {
    "steady": Nature.STEADY, "resistive": Nature.STEADY, "heater": Nature.STEADY,
    "electronics": Nature.STEADY, "lamp": Nature.LAMP, "motor": Nature.MOTOR, "alternator": Nature.CHARGER,
    "charger": Nature.CHARGER, "starter": Nature.STARTER,
}  # fmt: skip


def _nature(cell: object, unit: str) -> Nature | None:
    return _named(_NATURES, cell, "kind")


def _device_kind(cell: object, unit: str) -> DeviceKind | None:
    kinds = {"fuse": DeviceKind.FUSE, "electronic": DeviceKind.ELECTRONIC, "output": DeviceKind.ELECTRONIC,
             "electronic output": DeviceKind.ELECTRONIC}  # fmt: skip
    return _named(kinds, cell, "kind")


def _named(choices: dict[str, Entry], cell: object, what: str) -> Entry | None:
    text = _text(cell, "").lower()
    if not text:
        return None
    if text not in choices:
        words = ", ".join(f"“{key}”" for key in choices)
        raise FigureError("", f"{what} “{text[:24]}” is not known; write one of {words}")
    return choices[text]

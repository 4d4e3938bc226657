"""A table of a spreadsheet: headings found, cells understood or named by row and column; never half."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from engineering.loom.figures import FigureError
from engineering.loom.reading_cells import text_of

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
    numbers : tuple of int
        Row of each entry, as the spreadsheet numbers it.
    cells : tuple of dict of str to str
        What was written for each entry, by key, with the unit of its heading where it had none.
    left_out : tuple of str
        Headings of columns that were not read.
    has_headings : bool
        Whether a row of headings was found at all.
    """

    entries: tuple[Entry, ...]
    faults: tuple[RowFault, ...]
    numbers: tuple[int, ...] = ()
    cells: tuple[dict[str, str], ...] = ()
    left_out: tuple[str, ...] = ()
    has_headings: bool = True

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all stands below the headings."""
        return self.has_headings and not self.entries and [fault.row for fault in self.faults] == [0]


@dataclass(frozen=True)
class Heading:
    """A column that a table may have.

    Parameters
    ----------
    key : str
        What it is called in the entry.
    heading : str
        As we write it.
    also : tuple of str
        What others write, in small letters.
    read : callable
        Cell and unit of the heading to a value; None or empty where nothing is given.
    needed : bool
        Whether a row without it is refused.
    """

    key: str
    heading: str
    also: tuple[str, ...]
    read: Callable[[object, str], Any]
    needed: bool = False


def read_table(
    rows: Sequence[NumberedRow],
    columns: tuple[Heading, ...],
    build: Callable[[dict[str, Any]], Entry],
    key: str,
    what: str,
) -> ReadRows[Entry]:
    """Read a table whose columns stand in any order.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.
    columns : tuple of Heading
        What may stand there; other columns are the workshop's own.
    build : callable
        Values by key to an entry; raises FigureError with the key at fault.
    key : str
        Which value may stand only once; empty where any may stand again.
    what : str
        What people call the entries.

    Returns
    -------
    ReadRows
        All entries, or all faults.
    """
    filled = [(number, cells) for number, cells in rows if any(text_of(cell) for cell in cells)]
    headings = next(
        (n for n, row in enumerate(filled[:HEADINGS_WITHIN]) if _is_headings(row[1], columns)), None
    )
    if headings is None:
        needed = ", ".join(f"“{column.heading}”" for column in columns if column.needed)
        fault = RowFault(0, "", f"no row of headings was found; it needs at least {needed}.")
        return ReadRows((), (fault,), has_headings=False)
    places, units, faults = _places(filled[headings], columns)
    seen: dict[str, int] = {}
    entries, numbers, written = [], [], []
    for number, cells in filled[headings + 1 :]:
        found, wrong = _row(number, cells, columns, places, units)
        if wrong:
            faults.extend(wrong)
            continue
        if key and found[key] in seen:
            words = (
                f"{found[key]} stands already in row {seen[found[key]]}; give each its own name, and part "
                "merged cells."
            )
            faults.append(RowFault(number, _heading(columns, key), words))
            continue
        if key:
            seen[found[key]] = number
        try:
            entries.append(build(dict(found)))
        except FigureError as fault:
            faults.append(RowFault(number, _heading(columns, fault.field), f"{fault.message}."))
            continue
        numbers.append(number)
        written.append({each: _written(cells[places[each]], units[each]) for each in found})
    if not entries and not faults:
        faults.append(RowFault(0, "", f"there are no {what} below the headings."))
    if faults:
        return ReadRows((), tuple(faults))
    own = set(range(len(filled[headings][1]))) - set(places.values())
    left_out = tuple(text for place in sorted(own) if (text := text_of(filled[headings][1][place])))
    return ReadRows(tuple(entries), (), tuple(numbers), tuple(written), left_out)


def _row(
    number: int,
    cells: Sequence[object],
    columns: tuple[Heading, ...],
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


def _is_headings(cells: Sequence[object], columns: tuple[Heading, ...]) -> bool:
    names = {_plain(cell)[0] for cell in cells}
    return all({column.heading.lower(), *column.also} & names for column in columns if column.needed)


def _places(
    row: NumberedRow, columns: tuple[Heading, ...]
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


def _written(cell: object, unit: str) -> str:
    """A cell as it would be typed under a heading without a unit."""
    text = text_of(cell)
    is_bare = unit and text.replace(",", ".").replace(".", "", 1).lstrip("+-−").isdigit()
    return f"{text} {unit}" if is_bare else text


def _heading(columns: tuple[Heading, ...], key: str) -> str:
    return next((column.heading for column in columns if column.key == key), "")

"""Cells of a spreadsheet to values."""

from collections.abc import Callable
from datetime import date, time
from typing import Any, TypeVar

from engineering.loom.figures import FigureError, Kind, figure
from engineering.loom.wire_list import Pin

_Choice = TypeVar("_Choice")


def text_of(cell: object) -> str:
    """A cell as people see it: spreadsheets keep 30 as 30.0 and 0.3 as 0.30000000000000004.

    Parameters
    ----------
    cell : object
        What stands there.

    Returns
    -------
    str
        Its text, blanks at its ends and doubled blanks taken out.

    Examples
    --------
    >>> text_of(30.0), text_of(0.1 + 0.2), text_of("  main  loom ")
    ('30', '0.3', 'main loom')
    """
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.12g}"
    return " ".join(str(cell).split())


def words_of(cell: object, unit: str) -> str:
    """Words of a cell.

    Parameters
    ----------
    cell : object
        What stands there.
    unit : str
        Unit of its heading; has no meaning here.

    Returns
    -------
    str
        Empty where nothing is given.

    Raises
    ------
    FigureError
        If it is a date: a label that the spreadsheet has changed.
    """
    if isinstance(cell, date | time):
        raise FigureError("", "holds a date or a time; format the column as text and write it again")
    return text_of(cell)


def pin_of(cell: object, unit: str) -> Pin | None:
    """Place and cavity, written FB/1.

    Parameters
    ----------
    cell : object
        What stands there.
    unit : str
        Unit of its heading; has no meaning here.

    Returns
    -------
    Pin or None
        None where nothing is given.

    Raises
    ------
    FigureError
        If it is a date.
    """
    text = words_of(cell, unit)
    if not text:
        return None
    place, _, cavity = text.rpartition("/")
    if not place:
        return Pin(text.strip("/ "))
    return Pin(place.strip(), cavity.strip())


def names_of(cell: object, unit: str) -> tuple[str, ...] | None:
    """Names in one cell, apart by commas or blanks.

    Parameters
    ----------
    cell : object
        What stands there.
    unit : str
        Unit of its heading; has no meaning here.

    Returns
    -------
    tuple of str or None
        None where nothing is given.

    Raises
    ------
    FigureError
        If it is a date.
    """
    text = words_of(cell, unit)
    return tuple(text.replace(",", " ").replace(";", " ").split()) or None


def figure_of(kind: Kind) -> Callable[[object, str], float | None]:
    """A reader of figures.

    Parameters
    ----------
    kind : Kind
        What figures.

    Returns
    -------
    callable
        Cell and unit of its heading to the value; None where nothing is given.
    """
    return lambda cell, unit: figure(cell, kind, unit=unit)


def yes_of(cell: object, unit: str) -> bool | None:
    """Yes, or nothing.

    Parameters
    ----------
    cell : object
        What stands there.
    unit : str
        Unit of its heading; has no meaning here.

    Returns
    -------
    bool or None
        None for no and for an empty cell.

    Raises
    ------
    FigureError
        If it is neither.
    """
    text = words_of(cell, unit).lower()
    if text in ("", "no", "n", "false", "0", "-"):
        return None
    if text in ("yes", "y", "x", "true", "1", "✓"):
        return True
    raise FigureError("", f"“{text[:24]}” is neither yes nor no")


def one_of(choices: dict[str, Any], what: str) -> Callable[[object, str], str | None]:
    """A reader of one of several choices, by key or by name.

    Parameters
    ----------
    choices : dict
        What may be written; each has a `name`.
    what : str
        What people call it.

    Returns
    -------
    callable
        Cell and unit of its heading to the value; None where nothing is given.
    """

    def read(cell: object, unit: str) -> str | None:
        text = words_of(cell, unit).lower()
        if not text:
            return None
        for key, choice in choices.items():
            if text in (key, key.replace("_", " "), choice.name.lower(), choice.name.lower().split(",")[0]):
                return key
        words = ", ".join(f"“{key.replace('_', ' ')}”" for key in choices)
        raise FigureError("", f"{what} “{text[:24]}” is not known; write one of {words}")

    return read


def named(choices: dict[str, _Choice], cell: object, what: str) -> _Choice | None:
    """One of several choices by what people call them.

    Parameters
    ----------
    choices : dict of str to object
        By what is written, in small letters.
    cell : object
        What stands there.
    what : str
        What people call it; empty where the column's heading says so.

    Returns
    -------
    object or None
        None where nothing is given.

    Raises
    ------
    FigureError
        If it is none of them.
    """
    text = text_of(cell).lower()
    if not text:
        return None
    if text not in choices:
        words = ", ".join(f"“{key}”" for key in choices)
        raise FigureError("", f"{what}{' ' if what else ''}“{text[:24]}” is not known; write one of {words}")
    return choices[text]

"""Figures as people write them, with their units: '2,5 mm²', '15A', '1.2 m', '14 AWG'."""

import math
import re
from datetime import date, time
from enum import StrEnum
from functools import cache
from typing import Any

from engineering.loom.errors import LoomError
from engineering.loom.wires import WIRES, Series


class Kind(StrEnum):
    """What a figure is, named by the unit in which the core counts it."""

    LENGTH = "mm"
    AREA = "mm²"
    CURRENT = "A"
    VOLTAGE = "V"
    TEMPERATURE = "°C"
    TIME = "s"
    SHARE = "share"
    COUNT = ""


class FigureError(LoomError):
    """A cell that holds no figure of the kind that is asked for."""


_PINT = {
    Kind.LENGTH: "millimeter", Kind.AREA: "millimeter ** 2", Kind.CURRENT: "ampere", Kind.VOLTAGE: "volt",
    Kind.TEMPERATURE: "degree_Celsius", Kind.TIME: "second", Kind.SHARE: "dimensionless",
    Kind.COUNT: "dimensionless",
}  # fmt: skip

_UNITS = {
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", '"': "inch", "inch": "inch",
    "inches": "inch", "ft": "foot", "mm2": "millimeter ** 2", "mm^2": "millimeter ** 2",
    "mm²": "millimeter ** 2", "sqmm": "millimeter ** 2", "sq mm": "millimeter ** 2", "qmm": "millimeter ** 2",
    "a": "ampere", "amp": "ampere", "amps": "ampere", "ma": "milliampere", "v": "volt", "mv": "millivolt",
    "volt": "volt", "volts": "volt", "°c": "degree_Celsius", "c": "degree_Celsius",
    "degc": "degree_Celsius", "deg c": "degree_Celsius", "°f": "degree_Fahrenheit", "f": "degree_Fahrenheit",
    "k": "kelvin", "s": "second", "sec": "second", "ms": "millisecond", "min": "minute", "h": "hour",
    "%": "percent", "w": "watt",
}  # fmt: skip
"""Units as they are written, in small letters, and what pint calls them."""

_FIGURE = re.compile(
    r"([+-]?(?:\d+(?:[ \u00a0\u202f']\d{3})+|\d+)(?:[.,]\d+)?|[+-]?[.,]\d+)\s*(.*)", re.DOTALL
)
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_GAUGE = re.compile(r"(?:awg\s*)?(\d{1,2}|[1-4]/0|0{1,4})\s*(?:awg|ga|gauge)?", re.IGNORECASE)
_SIGNS = str.maketrans({"−": "-", "–": "-", "’": "'"})


def figure(cell: object, kind: Kind, *, unit: str = "") -> float | None:
    """Read a figure.

    Parameters
    ----------
    cell : object
        What stands in the cell: text, a number, or nothing.
    kind : Kind
        What it has to be.
    unit : str
        Unit of a bare number, perhaps from the heading; empty for that of the kind.

    Returns
    -------
    float or None
        In the unit of the kind; None where the cell is empty.

    Raises
    ------
    FigureError
        If it is no figure, can be read in two ways, or is of another kind; says what to write.

    Examples
    --------
    >>> figure("2,5 mm²", Kind.AREA), figure("15A", Kind.CURRENT), figure("1.2 m", Kind.LENGTH)
    (2.5, 15.0, 1200.0)
    """
    if isinstance(cell, bool):
        raise FigureError("", f"holds yes or no instead of a figure; write it like {_example(kind)}")
    if isinstance(cell, date | time):
        raise FigureError("", "holds a date or a time instead of a figure; format the column as text first")
    if cell is None or (isinstance(cell, str) and not cell.strip()):
        return None
    if isinstance(cell, int | float):
        return _converted(_finite(float(cell)), unit, kind, str(cell))
    text = str(cell).replace("\u00a0", " ").strip().translate(_SIGNS)
    if kind is Kind.AREA and (area := _gauge_mm2(text, unit)) is not None:
        return area
    found = _FIGURE.fullmatch(text)
    if found is None:
        raise FigureError("", f"“{text[:24]}” is not a figure; write it like {_example(kind)}")
    number, written = found[1], found[2].strip().rstrip(".")
    if _TWO_WAYS.fullmatch(number) and kind is not Kind.AREA:
        whole, decimals = number.split(",")
        raise FigureError("", f"“{text}” can be read two ways; write {whole}{decimals} or {whole}.{decimals}")
    value = float(re.sub(r"[ \u202f']", "", number).replace(",", "."))
    return _converted(value, written or unit, kind, text)


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise FigureError("", "holds no figure")
    return value


def _converted(value: float, unit: str, kind: Kind, text: str) -> float:
    if kind is Kind.AREA and unit.strip().lower() == "mm":
        raise FigureError("", f"“{text}” is a diameter or a trade name; give the copper area in mm²")
    if not unit:
        return value
    name = _UNITS.get(unit.strip().lower())
    if name is None:
        raise FigureError(
            "", f"“{text[:24]}”: the unit “{unit[:12]}” is not known; write it like {_example(kind)}"
        )
    import pint

    try:
        return float(_units().Quantity(value, name).to(_PINT[kind]).magnitude)
    except pint.DimensionalityError:
        asked = f"{kind.name.lower()} is asked for; write it like {_example(kind)}"
        raise FigureError("", f"“{text[:24]}” is in {unit}, and {asked}") from None


@cache
def _units() -> Any:
    import pint

    return pint.UnitRegistry()


def _example(kind: Kind) -> str:
    examples = {
        Kind.LENGTH: "1250 mm", Kind.AREA: "2.5 mm²", Kind.CURRENT: "15 A", Kind.VOLTAGE: "12 V",
        Kind.TEMPERATURE: "85 °C", Kind.TIME: "0.2 s", Kind.SHARE: "30 %", Kind.COUNT: "3",
    }  # fmt: skip
    return examples[kind]


def _gauge_mm2(text: str, unit: str) -> float | None:
    """Area of a gauge of the series that can be bought; None where the text is no gauge."""
    if "awg" not in text.lower() and "ga" not in text.lower() and unit.strip().lower() != "awg":
        return None
    found = _GAUGE.fullmatch(text)
    number = found[1] if found else ""
    if number and set(number) == {"0"}:
        number = f"{len(number)}/0"
    for wire in WIRES[Series.AWG]:
        if wire.name == f"{number} AWG":
            return wire.area_mm2
    raise FigureError("", f"“{text[:24]}” is no gauge that is sold; 18 to 1 and 1/0 to 4/0 are")

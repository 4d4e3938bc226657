"""From the content of one cell to a value: numbers with their units, dates, yes and no, lists.

A cell of a CSV file is text; a cell of a workbook may be a number, a date or a time as well. Each function
takes either and raises BadValue, with words for the person who typed it, for whatever does not fit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from .faults import BadValue

MOST_HOURS = Decimal(9999)
MOST_DAYS = 500
_SPACES = re.compile(r"[\s\u00a0\u202f]+")
_MEASURE = re.compile(r"(?P<number>[-+−]?[\d.,'\u2019 ]*\d[.,]?)\s*(?P<unit>[^\d\s.,][^\d]*2?)?")
_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)(?::00)?")
_HOURS_AND_MINUTES = re.compile(
    r"(\d{1,4})\s*(?:h|hrs?|hours?)\s*(?:and\s+)?([0-5]?\d)\s*(?:min|mins|minutes?)?"
)
_HOUR_UNITS = {"h": 1, "hr": 1, "hrs": 1, "hour": 1, "hours": 1}
_MINUTE_UNITS = {"min", "mins", "minute", "minutes"}
_DAY_UNITS = {"", "d", "day", "days", "wd", "working day", "working days"}
_MASS_UNITS = {"": Decimal(1), "kg": Decimal(1), "g": Decimal("0.001")}
_AREA_UNITS = {
    **dict.fromkeys(("", "m2", "m²", "sq m"), Decimal(1)),
    **dict.fromkeys(("dm2", "dm²"), Decimal("0.01")),
    **dict.fromkeys(("cm2", "cm²"), Decimal("0.0001")),
    **dict.fromkeys(("mm2", "mm²"), Decimal("0.000001")),
}
_LENGTH_UNITS = {"": Decimal(1), "mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000)}
_YES = {"yes", "y", "true", "x", "✓", "1"}
_NO = {"", "no", "n", "false", "0", "-", "–"}
_SPREADSHEET_ERRORS = {"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!"}
_DATE_FORMS = (
    "%Y-%m-%d",
    "%d/%m/%Y",
    "%d.%m.%Y",
    "%d-%m-%Y",
    "%d/%m/%y",
    "%d.%m.%y",
    "%d %b %Y",
    "%d %B %Y",
    "%a %d %b %Y",
    "%A %d %B %Y",
)


def text_of(cell: object) -> str:
    """The cell as one line of text. Raises BadValue for signs that no text holds."""
    return _SPACES.sub(" ", lines_of(cell)).strip()


def lines_of(cell: object) -> str:
    """The cell as text that may run over several lines."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time(0) else cell.isoformat(" ", "minutes")
    text = str(cell).replace("\r\n", "\n").replace("\r", "\n").strip()
    if text in _SPREADSHEET_ERRORS:
        raise BadValue(f"holds the spreadsheet’s own error {text}: put the formula right, or type the value")
    if any(ord(sign) < 32 and sign not in "\n\t" for sign in text):
        raise BadValue("holds control characters: type it again by hand")
    return text


def decimal_of(text: str) -> Decimal:
    """A number with a point or a comma, with or without thousands.

    >>> [str(decimal_of(text)) for text in ("2.5", "2,5", "1 250", "1,250.5", "1.250,5", "1.250.000")]
    ['2.5', '2.5', '1250', '1250.5', '1250.5', '1250000']

    Raises BadValue for "1,250", which one reader takes for a thousand and another for a little over one.
    """
    plain = text.strip().replace("−", "-")
    sign = -1 if plain.startswith("-") else 1
    digits = plain.lstrip("+-").strip()
    if re.fullmatch(r"\d{1,3}(?:[\s\u00a0\u202f'’]\d{3})+(?:[.,]\d+)?", digits):
        digits = re.sub(r"[\s\u00a0\u202f'’]", "", digits)
        return sign * Decimal(digits.replace(",", "."))
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        whole, _, rest = digits.partition(",")
        raise BadValue(f"“{text}” could be {whole}{rest} or {whole}.{rest}: write it without the comma")
    if re.fullmatch(r"\d+(?:[.,]\d*)?|[.,]\d+", digits):
        return sign * Decimal(digits.replace(",", "."))
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", digits):
        return sign * Decimal(digits.replace(",", ""))
    if re.fullmatch(r"\d{1,3}(?:\.\d{3})+(?:,\d+)?", digits):
        return sign * Decimal(digits.replace(".", "").replace(",", "."))
    raise BadValue(f"“{_short(text)}” is not a number")


def hours_of(cell: object) -> Decimal:
    """Hours of work, to the hundredth.

    >>> [str(hours_of(cell)) for cell in ("2,5 h", "2:30", "2 h 30 min", "45 min", 2.5)]
    ['2.50', '2.50', '2.50', '0.75', '2.50']
    """
    hours = _hours(cell)
    if not 0 <= hours <= MOST_HOURS:
        raise BadValue(f"{hours.normalize():f} hours: write a number from 0 to {MOST_HOURS}")
    return hours.quantize(Decimal("0.01"), ROUND_HALF_UP)


def _hours(cell: object) -> Decimal:
    if isinstance(cell, timedelta):
        return Decimal(round(cell.total_seconds())) / 3600
    if isinstance(cell, datetime | date):
        raise BadValue("holds a date: the spreadsheet has turned the number into one. Write 2.5 as text")
    if isinstance(cell, time):
        return Decimal(cell.hour) + Decimal(cell.minute) / 60
    text = text_of(cell).lower()
    together = _CLOCK.fullmatch(text) or _HOURS_AND_MINUTES.fullmatch(text)
    if together:
        return Decimal(together[1]) + Decimal(together[2]) / 60
    number, unit = measure_of(cell)
    if unit in _MINUTE_UNITS:
        return number / 60
    if unit and unit not in _HOUR_UNITS:
        raise BadValue(f"“{_short(text)}” has the unit “{unit}”: write hours, for example 2.5")
    return number


def measure_of(cell: object) -> tuple[Decimal, str]:
    """A number and the unit written behind it, in small letters; the unit may be empty."""
    if isinstance(cell, bool | datetime | date | time | timedelta):
        raise BadValue("is not a number")
    if isinstance(cell, int | float):
        if not math.isfinite(cell):
            raise BadValue("is not a number")
        return _of_some_size(Decimal(repr(cell))), ""
    text = text_of(cell)
    if len(text) > 40:
        raise BadValue(f"“{_short(text)}” is not a number")
    found = _MEASURE.fullmatch(text)
    if found is None:
        raise BadValue(f"“{_short(text)}” is not a number" if text else "is empty: write a number")
    return _of_some_size(decimal_of(found["number"])), (found["unit"] or "").strip().lower().rstrip(".")


def _of_some_size(number: Decimal) -> Decimal:
    """The number, unless rounding it would need more digits than a Decimal carries."""
    if abs(number) > 10**12:
        raise BadValue("is too large a number")
    return number


def whole_of(cell: object, *, least: int, most: int) -> int:
    """A whole number, as of people or pieces; 'pcs', 'off' and the like may stand behind it."""
    number, unit = measure_of(cell)
    if unit not in {"", "pc", "pcs", "piece", "pieces", "off", "no", "×", "x", "people", "person"}:
        raise BadValue(f"has the unit “{unit}”: write a plain number")
    return _whole(number, least, most, "")


def days_of(cell: object) -> int:
    """Working days of a supplier.

    >>> days_of("15 working days"), days_of(3.0)
    (15, 3)
    """
    number, unit = measure_of(cell)
    if unit not in _DAY_UNITS:
        raise BadValue(f"has the unit “{unit}”: write working days, 10 for two weeks")
    return _whole(number, 0, MOST_DAYS, " working days")


def _whole(number: Decimal, least: int, most: int, unit: str) -> int:
    if number != number.to_integral_value() or not least <= number <= most:
        raise BadValue(f"{number.normalize():f}{unit}: write a whole number from {least} to {most}")
    return int(number)


def mass_kg_of(cell: object) -> Decimal:
    """Kilograms, to the gram.

    >>> str(mass_kg_of("850 g")), str(mass_kg_of("9,5 kg"))
    ('0.850', '9.500')
    """
    kilograms = _in_unit(cell, _MASS_UNITS, "kilograms").quantize(Decimal("0.001"), ROUND_HALF_UP)
    if not 0 < kilograms <= 5000:
        raise BadValue(f"{kilograms.normalize():f} kg: write a mass from 0.001 to 5000")
    return kilograms


def area_m2_of(cell: object) -> Decimal:
    """Square metres, to the square centimetre.

    >>> str(area_m2_of("0,45 m²")), str(area_m2_of("820 cm2"))
    ('0.4500', '0.0820')
    """
    area = _in_unit(cell, _AREA_UNITS, "square metres").quantize(Decimal("0.0001"), ROUND_HALF_UP)
    if not 0 < area <= 500:
        raise BadValue(f"{area.normalize():f} m²: write a surface from 0.0001 to 500")
    return area


def length_mm_of(cell: object) -> int:
    """Millimetres, rounded up to the next whole one: a piece must fit in the bath.

    >>> length_mm_of("12.5"), length_mm_of("90 cm"), length_mm_of("1,2 m")
    (13, 900, 1200)
    """
    millimetres = _in_unit(cell, _LENGTH_UNITS, "millimetres").to_integral_value(ROUND_CEILING)
    if not 0 < millimetres <= 20_000:
        raise BadValue(f"{millimetres:f} mm: write a length from 1 to 20000")
    return int(millimetres)


def _in_unit(cell: object, factors: Mapping[str, Decimal], wanted: str) -> Decimal:
    number, unit = measure_of(cell)
    if unit not in factors:
        raise BadValue(f"has the unit “{unit}”: write {wanted}")
    return number * factors[unit]


def date_of(cell: object) -> date:
    """A day; in text the day comes first, as in 12/03/2027, or the year, as in 2027-03-12."""
    if isinstance(cell, datetime):
        found = cell.date()
    elif isinstance(cell, date):
        found = cell
    else:
        found = _date_in(text_of(cell))
    if not 1990 <= found.year <= 2100:
        raise BadValue(f"the year {found.year} cannot be meant")
    return found


def _date_in(text: str) -> date:
    plain = text.replace(",", "")
    for form in _DATE_FORMS:
        try:
            return datetime.strptime(plain, form).date()
        except ValueError:
            continue
    raise BadValue(f"“{_short(text)}” is not a date: write 2027-03-12, 12/03/2027 or 12 Mar 2027, day first")


def yes_or_no(cell: object) -> bool:
    word = text_of(cell).lower()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise BadValue(f"“{_short(word)}”: write yes or no")


def words_of(cell: object) -> list[str]:
    """The things of a list, parted by semicolons or line breaks; each once.

    >>> words_of("drain; fill"), words_of(escaped("cut; then weld"))
    (['drain', 'fill'], ['cut; then weld'])
    """
    parts = re.split(r"(?<!\\)[;\n]", lines_of(cell))
    words = (_SPACES.sub(" ", part.replace("\\;", ";")).strip() for part in parts)
    return list(dict.fromkeys(word for word in words if word))


def escaped(text: str) -> str:
    """One thing of a list, so that a semicolon in it does not part it."""
    return _SPACES.sub(" ", text).replace(";", "\\;")


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:59]}…"

"""The rows of a parts list: parts, and the lines of their route cards."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from builds.importing.headings import Record
from builds.importing.values import (
    area_m2_of,
    date_of,
    days_of,
    length_mm_of,
    mass_kg_of,
    whole_of,
    words_of,
)
from parts.models import Operation, Part, Process
from parts.services.parts import features_wrong

from .known import Known
from .plan import AnyLine, AnyPart, NewLine, NewPart, There
from .reading import Reading

# What a part is, as against a line of its route card: said once, or in the same words on each row.
PART_COLUMNS = (
    "drawing number",
    "material",
    "quantity",
    "mass",
    "length",
    "width",
    "height",
    "surface",
    "features",
    "seen together with",
    "made by",
    "part note",
)
LINE_COLUMNS = (
    "line",
    "supplier",
    "lead time low",
    "lead time likely",
    "lead time high",
    "colour",
    "coating class",
    "specification",
    "masking",
    "after",
    "goods out",
    "promised",
)


class PartsList:
    """The parts of one list: `new` and `lines` are to be added, `there` is on the car already."""

    def __init__(self, reading: Reading, known: Known, today: date) -> None:
        self.reading, self.known, self.today = reading, known, today
        self.new: list[NewPart] = []
        self.lines: list[NewLine] = []
        self.there: list[There] = []
        self._new_lines: dict[AnyPart, dict[int, NewLine]] = defaultdict(dict)
        self._parts: dict[str, AnyPart] = dict(known.parts)
        self._heads: dict[str, Record] = {}  # the first row of each part in this file
        self._numbers: dict[str, list[int]] = {}  # the lines that this file has for it

    def read(self, records: Sequence[Record]) -> list[tuple[Record, AnyPart, AnyLine | None, bool]]:
        """Each row that adds something: its part, its line if it has one, and whether the part is new."""
        made = []
        for record in records:
            if self.reading.is_full:
                break
            entry = self._entry(record)
            if entry is not None:
                made.append(entry)
        return made

    def index(self) -> Mapping[str, AnyPart]:
        """Every part of the car and the list, by its name in small letters."""
        return self._parts

    def card(self, part: AnyPart) -> dict[int, AnyLine]:
        """The route card as it will be: line number to line, in order."""
        there = self.known.lines.get(part.pk, {}) if isinstance(part, Part) else {}
        return dict(sorted({**there, **self._new_lines[part]}.items()))

    def _entry(self, record: Record) -> tuple[Record, AnyPart, AnyLine | None, bool] | None:
        name = self.reading.text(record, "part", 120) if self.reading.required(record, "part") else ""
        if not name:
            return None
        is_first = name.lower() not in self._heads
        part = self._parts.get(name.lower())
        is_new = part is None
        if part is None:
            part = self._new_part(record, name)
            self.new.append(part)
            self._parts[name.lower()] = part
        if not is_first:
            self._check_same(record, self._heads[name.lower()])
        self._heads.setdefault(name.lower(), record)
        has_line, line = self._line(record, part, self._numbers.setdefault(name.lower(), []))
        if not is_new and line is None:
            if has_line or is_first:
                self.there.append(There(record.row, name))
            return None
        return record, part, line, is_new

    def _check_same(self, record: Record, head: Record) -> None:
        for column in PART_COLUMNS:
            if record.has(column) and record[column] != head[column]:
                self.reading.fault(
                    record.row, column, f"row {head.row} says something else about the same part."
                )

    def _new_part(self, record: Record, name: str) -> NewPart:
        reading = self.reading
        length, width, height = (
            reading.value(record, column, _optional_length, None) for column in ("length", "width", "height")
        )
        return NewPart(
            row=record.row,
            name=name,
            drawing_number=reading.text(record, "drawing number", 40),
            material=reading.named(
                record,
                "material",
                self.known.materials,
                [material.name for material in self.known.materials.values()],
                "material",
            ),
            quantity=reading.value(record, "quantity", _quantity_of, 1),
            mass_kg=reading.value(record, "mass", mass_kg_of, None),  # type: ignore[type-var]  # None: no mass given
            size_mm=(length, width, height),
            area_m2=reading.value(record, "surface", area_m2_of, None),  # type: ignore[type-var]  # None: no surface given
            features=self._features(record),
            colour_set=reading.text(record, "seen together with", 60),
            note=reading.text(record, "part note", 5000, lines=True),
        )

    def _features(self, record: Record) -> tuple[str, ...]:
        features = tuple(word.lower() for word in self.reading.value(record, "features", words_of, []))
        wrong = features_wrong(features)
        if not wrong:
            return features
        known = ", ".join(Part.Feature.values)
        self.reading.fault(record.row, "features", f"{wrong['features']} Known here: {known}.")
        return ()

    def _line(self, record: Record, part: AnyPart, numbers: list[int]) -> tuple[bool, NewLine | None]:
        """Whether the row has a line at all, and the line if it is new."""
        if not record.has("process"):
            for column in LINE_COLUMNS:
                if record.has(column):
                    self.reading.fault(record.row, "process", f"is empty, but there is a {column}.")
                    break
            return False, None
        process = self.reading.named(
            record,
            "process",
            self.known.processes,
            [process.name for process in self.known.processes.values()],
            "process",
        )
        number = self.reading.value(record, "line", _line_number_of, max(numbers, default=0) + 1)
        if process is None:
            return True, None
        if number in numbers:
            self.reading.fault(record.row, "line", f"“{part}” has a line {number} in this file already.")
            return True, None
        numbers.append(number)
        there = self.card(part).get(number)
        if isinstance(there, Operation):
            self._check_same_process(record, there, process)
            return True, None
        line = self._new_line(record, part, number, process)
        self._check_place(record, line)
        self.lines.append(line)
        self._new_lines[part][number] = line
        return True, line

    def _check_same_process(self, record: Record, there: Operation, process: Process) -> None:
        if there.process_id != process.pk:
            self.reading.fault(
                record.row,
                "line",
                f"line {there.sequence} of “{there.part}” is {there.process} here and {process} in the file. "
                "Give the line of the file another number, or take it out.",
            )

    def _check_place(self, record: Record, line: NewLine) -> None:
        """A new line may not stand before one that has gone out, nor be out before its turn."""
        others = list(self.card(line.part).values())
        if any(other.sequence > line.sequence and other.sent_on for other in others):
            self.reading.fault(record.row, "line", "a later line of the same part is out or back already.")
        if line.sent_on and any(other.sequence < line.sequence for other in others):
            self.reading.fault(
                record.row,
                "goods out",
                "only the first line of a part can be out. Leave out the lines that are done.",
            )

    def _new_line(self, record: Record, part: AnyPart, number: int, process: Process) -> NewLine:
        reading = self.reading
        supplier = reading.named(
            record,
            "supplier",
            self.known.suppliers,
            [supplier.name for supplier in self.known.suppliers.values()],
            "supplier",
        )
        sent_on, promised_on = self._dates(record, has_supplier=supplier is not None)
        return NewLine(
            row=record.row,
            part=part,
            sequence=number,
            process=process,
            supplier=supplier,
            lead_days=self._lead_days(record),
            colour=reading.text(record, "colour", 60),
            coating_class=reading.text(record, "coating class", 60),
            specification=reading.text(record, "specification", 200),
            masking=reading.text(record, "masking", 200),
            sent_on=sent_on,
            promised_on=promised_on,
        )

    def _lead_days(self, record: Record) -> tuple[int, int, int]:
        if not self.reading.required(record, "lead time likely"):
            return 0, 0, 0
        before = len(self.reading.faults)
        likely = self.reading.value(record, "lead time likely", days_of, 0)
        low = self.reading.value(record, "lead time low", days_of, likely)
        high = self.reading.value(record, "lead time high", days_of, likely)
        if len(self.reading.faults) == before and not low <= likely <= high:
            self.reading.fault(
                record.row,
                "lead time likely",
                f"{low}, {likely}, {high}: lead times must run low, likely, high.",
            )
        return low, likely, high

    def _dates(self, record: Record, *, has_supplier: bool) -> tuple[date | None, date | None]:
        sent_on = self.reading.value(record, "goods out", _optional_date, None)
        promised_on = self.reading.value(record, "promised", _optional_date, None)
        if sent_on is not None and sent_on > self.today:
            self.reading.fault(record.row, "goods out", f"{sent_on:%d/%m/%Y} is still to come.")
        if sent_on is not None and not has_supplier:
            self.reading.fault(record.row, "goods out", "says it is out, but there is no supplier.")
        if promised_on is not None and sent_on is None:
            self.reading.fault(record.row, "promised", "says when it comes back, but not when it went out.")
        if promised_on is not None and sent_on is not None and promised_on < sent_on:
            self.reading.fault(record.row, "promised", "it cannot come back before it went out.")
        return sent_on, promised_on


def _optional_length(cell: object) -> int | None:
    return length_mm_of(cell)


def _optional_date(cell: object) -> date | None:
    return date_of(cell)


def _quantity_of(cell: object) -> int:
    return whole_of(cell, least=1, most=10_000)


def _line_number_of(cell: object) -> int:
    return whole_of(cell, least=1, most=999)

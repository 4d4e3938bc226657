"""Which rows of a file are meant for a car, where a column says so."""

from __future__ import annotations

from collections.abc import Sequence

from builds.importing.headings import Record, Table
from builds.models import Car

from .reading import Reading


class OwnRows:
    """Judges both lists together: a file that names the car anywhere is about that car and others."""

    def __init__(self, car: Car, tables: Sequence[tuple[Table | None, Reading]]) -> None:
        self.car = car
        self.notes: list[str] = []
        self._names = {
            id(table): [reading.text(record, "car", 40).lower() for record in table.records]
            for table, reading in tables
            if table is not None and "car" in table.columns
        }
        self._cars = {name for names in self._names.values() for name in names} - {""}

    def of(self, table: Table | None, reading: Reading) -> Sequence[Record]:
        """The rows of the car; all rows where the list names no car, or just one other, as a pattern."""
        if table is None:
            return []
        names = self._names.get(id(table))
        if names is None:
            return table.records
        if self.car.name.lower() in self._cars:
            return self._named(table, names, reading)
        if len(self._cars) > 1:
            some = ", ".join(sorted(self._cars)[:6])
            reading.fault(
                table.records[0].row if table.records else 1,
                "car",
                f"the file is of several cars ({some}), and none is {self.car}: "
                "leave the rows of one car in it.",
            )
            return []
        return table.records

    def _named(self, table: Table, names: Sequence[str], reading: Reading) -> Sequence[Record]:
        pairs = zip(table.records, names, strict=True)
        wanted = [record for record, name in pairs if name == self.car.name.lower()]
        left_out = len(table.records) - len(wanted)
        if left_out:
            rows = "1 row is" if left_out == 1 else f"{left_out} rows are"
            self.notes.append(f"{reading.list_name}: {rows} of other cars and left out.")
        return wanted

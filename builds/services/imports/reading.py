"""Reading one list: each cell to a value, each fault kept with its row and column."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from builds.importing.faults import BadValue, Fault
from builds.importing.headings import Record, Table
from builds.importing.values import lines_of, text_of
from builds.importing.workbooks import NEVER_WORKED_OUT

from .known import nearest

Value = TypeVar("Value")
MOST_FAULTS = 200  # nobody reads more than that; the rest shows when these are put right


class Reading:
    """Collects what is wrong with a list while its cells are read."""

    def __init__(self, list_name: str, table: Table | None) -> None:
        self.list_name = list_name
        self.faults: list[Fault] = []
        for fault in table.faults if table else ():
            self.fault(fault.row, fault.column, f"{fault.text}.")

    def fault(self, row: int, column: str, text: str) -> None:
        if not self.is_full:
            self.faults.append(Fault(row, column, text, self.list_name))

    @property
    def is_full(self) -> bool:
        return len(self.faults) >= MOST_FAULTS

    def value(self, record: Record, column: str, read: Callable[[object], Value], empty: Value) -> Value:
        """The cell read by `read`; `empty` where there is nothing, or nothing of use."""
        if not record.has(column) or record[column] is NEVER_WORKED_OUT:
            return empty
        try:
            return read(record[column])
        except BadValue as fault:
            self.fault(record.row, column, f"{fault}.")
            return empty

    def text(self, record: Record, column: str, longest: int, *, lines: bool = False) -> str:
        text = self.value(record, column, lines_of if lines else text_of, "")
        if len(text) > longest:
            self.fault(record.row, column, f"is {len(text)} signs long; {longest} fit.")
            return ""
        return text

    def named(
        self, record: Record, column: str, known: Mapping[str, Value], names: Iterable[str], what: str
    ) -> Value | None:
        """The thing of that name; a fault with the nearest name where there is none."""
        name = self.text(record, column, 120)
        if not name:
            return None
        found = known.get(name.lower())
        if found is None:
            self.fault(record.row, column, f"there is no {what} “{name}”.{nearest(name, names)}")
        return found

    def required(self, record: Record, column: str) -> bool:
        if record.has(column):
            return True
        self.fault(record.row, column, "is empty.")
        return False

"""What can be wrong with a file, in words that say where and what to do."""

from dataclasses import dataclass


class FileRefused(ValueError):
    """The file cannot be read at all; the message says why and what to do."""


class BadValue(ValueError):
    """A cell does not hold what its column asks for; the message says what would."""


@dataclass(frozen=True)
class Fault:
    """One thing to put right, at a row as the spreadsheet numbers it."""

    row: int
    column: str
    text: str
    list_name: str = ""  # 'Job list' or 'Parts list', where a file may hold both

    def __str__(self) -> str:
        where = f"{self.list_name}, row {self.row}" if self.list_name else f"Row {self.row}"
        return f"{where}, {self.column}: {self.text}"

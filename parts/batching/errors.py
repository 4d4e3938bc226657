"""What this core refuses, each with its offending things as attributes."""

from collections.abc import Sequence
from datetime import date


class BatchingError(Exception):
    """Base of everything that this core refuses."""


class TwiceListed(BatchingError):
    """The same operation stands more than once among the candidates.

    Parameters
    ----------
    operation_ids : sequence of int
        Every operation that is listed more than once.
    """

    def __init__(self, operation_ids: Sequence[int]) -> None:
        self.operation_ids = tuple(operation_ids)
        super().__init__(f"Listed more than once: operation {', '.join(map(str, self.operation_ids))}.")


class NoWorkingDay(BatchingError):
    """A supplier does not work at all within a year of the day asked about.

    Parameters
    ----------
    day : date
        The day asked about.
    """

    def __init__(self, day: date) -> None:
        self.day = day
        super().__init__(f"No working day within a year of {day.day} {day:%b} {day.year}.")

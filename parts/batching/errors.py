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


class NothingToSend(BatchingError):
    """There is no piece to work with."""

    def __init__(self) -> None:
        super().__init__("There is no piece here to send. Add one.")


class NegativeFigure(BatchingError):
    """A charge, a length of time, a quantity or a size is too small to be true.

    Parameters
    ----------
    what : str
        Which figure it is.
    value : int
        What came.
    least : int
        What it must be at least.
    """

    def __init__(self, what: str, value: int, least: int = 0) -> None:
        self.what, self.value, self.least = what, value, least
        super().__init__(f"{what} must be at least {least}, not {value}.")


class SizeUnknown(BatchingError):
    """A price or a limit goes by area or mass, and nobody gave it.

    Parameters
    ----------
    piece, car : str
        The piece and its car.
    what : str
        "area" or "mass".
    needed_for : str
        "price" or "lot limit".
    """

    def __init__(self, piece: str, car: str, what: str, needed_for: str) -> None:
        self.piece, self.car, self.what, self.needed_for = piece, car, what, needed_for
        super().__init__(
            f"{piece} of {car}: its {what} is not known, and the {needed_for} goes by it. "
            f"Give the {what}, or leave the piece out."
        )


class TooLarge(BatchingError):
    """A piece is larger than the finisher takes.

    Parameters
    ----------
    piece, car : str
        The piece and its car.
    size_mm, largest_mm : tuple of (int or None)
        Its sides, and the largest that the finisher takes [mm].
    """

    def __init__(
        self,
        piece: str,
        car: str,
        size_mm: Sequence[int | None],
        largest_mm: Sequence[int | None],
    ) -> None:
        self.piece, self.car = piece, car
        self.size_mm, self.largest_mm = tuple(size_mm), tuple(largest_mm)
        super().__init__(
            f"{piece} of {car} is {_sides(size_mm)} mm; the largest this finisher takes is "
            f"{_sides(largest_mm)} mm. Choose another finisher for it."
        )


class LotTooSmall(BatchingError):
    """One line, or a set that must share a lot, is more than the largest lot.

    Parameters
    ----------
    pieces : sequence of str
        What cannot be parted.
    what : str
        By which measure.
    used, most : int
        What it takes, and what a lot holds.
    """

    def __init__(self, pieces: Sequence[str], what: str, used: int, most: int) -> None:
        self.pieces, self.what, self.used, self.most = tuple(pieces), what, used, most
        way_out = "Split the line" if len(self.pieces) == 1 else "Part the colour-match set"
        super().__init__(
            f"{', '.join(self.pieces)}: {what} {used} is more than the {most} of a lot. "
            f"{way_out}, or choose another finisher."
        )


class NoTrip(BatchingError):
    """The finisher takes nothing in on or after the day on which a piece is ready.

    Parameters
    ----------
    piece : str
        The piece that is ready last.
    """

    def __init__(self, piece: str) -> None:
        self.piece = piece
        super().__init__(f"No day is known on which {piece} could leave once it is ready.")


class NotTheSamePieces(BatchingError):
    """A choice made earlier covers other pieces than those it is compared with.

    Parameters
    ----------
    missing, foreign : sequence of int
        Pieces that the choice lacks, and pieces only the choice has.
    """

    def __init__(self, missing: Sequence[int], foreign: Sequence[int]) -> None:
        self.missing, self.foreign = tuple(missing), tuple(foreign)
        super().__init__(
            f"The earlier choice does not cover the same pieces: "
            f"{len(self.missing)} missing, {len(self.foreign)} no longer there. Choose afresh."
        )


def _sides(sides: Sequence[int | None]) -> str:
    return " × ".join("any" if side is None else str(side) for side in sides)


class TripsCross(BatchingError):
    """Goods that leave later would be back earlier, or before they left.

    Parameters
    ----------
    day : int
        The leaving day at fault.
    """

    def __init__(self, day: int) -> None:
        self.day = day
        super().__init__(
            f"Goods that leave on working day {day} would be back before they left, or after goods that "
            f"leave later. Check the finisher's lead time and closures."
        )


class TooManyErrands(BatchingError):
    """More lots than can be laid together on one round.

    Parameters
    ----------
    count, most : int
        How many came, and how many can.
    """

    def __init__(self, count: int, most: int) -> None:
        self.count, self.most = count, most
        super().__init__(
            f"{count} lots on one round are more than the {most} that can be worked out. "
            f"Leave out those that are ready last."
        )

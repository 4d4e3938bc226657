"""What an answer costs and loses when the days on which pieces are ready are not certain."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from parts.batching.answers import Answer
from parts.batching.errors import NoTrip, NotTheSamePieces
from parts.batching.pieces import DAY_MIN, Finisher, Piece, days_late


@dataclass(frozen=True, slots=True)
class Chances:
    """One answer over many draws of the days on which its pieces are ready.

    Parameters
    ----------
    cost_pence : float
        Average of the whole cost [p].
    days_lost : float
        Average of the working days lost, all cars together [d].
    no_day_lost : float
        Share of the draws in which no car loses a day, from 0 to 1.
    cars : tuple of (str, float)
        Each car for which a milestone waits, and the days that it loses on average [d].
    leaves_late : tuple of float
        For each lot the share of the draws in which it cannot leave on its day.
    draws : int
        How many there were.
    """

    cost_pence: float
    days_lost: float
    no_day_lost: float
    cars: tuple[tuple[str, float], ...]
    leaves_late: tuple[float, ...]
    draws: int


def chances(
    answer: Answer,
    pieces: Sequence[Piece],
    finisher: Finisher,
    ready: ArrayLike,
    minute: ArrayLike = 0,
) -> Chances:
    """Keep to an answer whatever happens, and say what that costs and loses on average.

    Parameters
    ----------
    answer : Answer
        Which lots, and when each is to leave.
    pieces : sequence of Piece
        Its pieces, with the last day on which each can be back.
    finisher : Finisher
        Who finishes them.
    ready : array_like of int, shape (draws, pieces)
        In each draw the first working day on which each of `pieces` can leave. Pieces that are late
        together are late together in a row.
    minute : array_like of int, shape (draws, pieces)
        The minute of that day from which it can leave; nought for all if not given [min].

    Returns
    -------
    Chances
        Averages over the draws.

    Raises
    ------
    NotTheSamePieces
        If the answer holds other pieces than those given.
    NoTrip
        If in some draw a lot is ready later than the finisher takes anything in.
    ValueError
        If the array has not a column for each piece.

    Notes
    -----
    Each lot leaves on its day or, if a piece of it is not ready then, on the first day after that on which
    the finisher takes goods in; nothing is chosen anew. What leaves in the course of a day comes back as
    late in the day. Charges for lots do not change with the day; lots
    that come to leave on one day share one trip. The last day on which a piece can be back is taken as
    certain.

    Examples
    --------
    >>> from parts.batching.frontier import frontier
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "bracket", "Tern", 0, 9), Piece(2, "pulley", "Tern", 4, 20)]
    >>> finisher = Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000))
    >>> found = chances(frontier(pieces, finisher).together, pieces, finisher, [[0, 4], [0, 8]])
    >>> found.days_lost, found.no_day_lost, found.leaves_late
    (2.0, 0.5, (0.5,))
    """
    drawn = np.asarray(ready, np.int64)
    if drawn.ndim != 2 or drawn.shape[1] != len(pieces):
        raise ValueError(
            f"ready needs a column for each of {len(pieces)} pieces, not the shape {drawn.shape}"
        )
    _same_pieces(answer, pieces)
    column = {piece.piece_id: n for n, piece in enumerate(pieces)}
    ready_at = drawn * DAY_MIN + np.asarray(minute, np.int64)
    last_at = np.column_stack(
        [ready_at[:, [column[number] for number in lot.piece_ids]].max(axis=1) for lot in answer.lots]
    )
    leaves = np.column_stack(
        [
            _leaving(last_at[:, number] // DAY_MIN, lot.leaves_day, finisher)
            for number, lot in enumerate(answer.lots)
        ]
    )
    payers = [car.car for car in answer.cars]
    lost = np.zeros((len(drawn), len(payers)), np.int64)
    for number, lot in enumerate(answer.lots):
        in_the_day = np.maximum(last_at[:, number] - leaves[:, number] * DAY_MIN, 0)
        back_at = _back(leaves[:, number], finisher) * DAY_MIN + in_the_day
        for piece in (pieces[column[piece_id]] for piece_id in lot.piece_ids):
            if piece.limit_at is not None:
                own = payers.index(piece.payer)
                late = days_late(back_at, np.array(piece.limit_at))
                np.maximum(lost[:, own], late, out=lost[:, own])
    in_order = np.sort(leaves, axis=1)
    trips = 1 + (np.diff(in_order, axis=1) > 0).sum(axis=1)
    carriage = finisher.tariff.carriage_pence
    planned = np.array([lot.leaves_day for lot in answer.lots])
    return Chances(
        cost_pence=answer.cost_pence + carriage * (float(trips.mean()) - answer.trips),
        days_lost=float(lost.sum(axis=1).mean()),
        no_day_lost=float((lost.sum(axis=1) == 0).mean()),
        cars=tuple(zip(payers, lost.mean(axis=0).tolist(), strict=True)),
        leaves_late=tuple((leaves > planned).mean(axis=0).tolist()),
        draws=len(drawn),
    )


def _same_pieces(answer: Answer, pieces: Sequence[Piece]) -> None:
    held = {number for lot in answer.lots for number in lot.piece_ids}
    given = {piece.piece_id for piece in pieces}
    if held != given:
        raise NotTheSamePieces(sorted(given - held), sorted(held - given))


def _leaving(ready: NDArray[np.int64], planned_day: int, finisher: Finisher) -> NDArray[np.int64]:
    """The day on which a lot leaves, in each draw."""
    open_days = np.array(sorted(finisher.back_on), np.int64)
    wanted = np.maximum(ready, planned_day)
    if wanted.max(initial=0) > open_days[-1]:
        raise NoTrip("the last of them")
    found: NDArray[np.int64] = open_days[np.searchsorted(open_days, wanted)]
    return found


def _back(leaves: NDArray[np.int64], finisher: Finisher) -> NDArray[np.int64]:
    open_days = np.array(sorted(finisher.back_on), np.int64)
    back = np.array([finisher.back_on[int(day)] for day in open_days], np.int64)
    found: NDArray[np.int64] = back[np.searchsorted(open_days, leaves)]
    return found

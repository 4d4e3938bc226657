"""Which answer to take, and what an earlier choice costs now."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from parts.batching.answers import Answer, Frontier, built
from parts.batching.errors import NegativeFigure, NotTheSamePieces
from parts.batching.grid import Grid
from parts.batching.packing import Packer
from parts.batching.pieces import Finisher, Piece, units


def chosen(found: Frontier, day_pence: int | None = None) -> Answer:
    """Give the answer that we would take.

    Parameters
    ----------
    found : Frontier
        All answers.
    day_pence : int or None
        What one working day of one car's first start-up is worth to the workshop [p]. None if nobody says.

    Returns
    -------
    Answer
        With a day's worth: the lowest sum of cost and days, of equal ones the one that loses fewer. Without:
        the cheapest of those that lose fewest days, for nobody said that a day may be sold.

    Raises
    ------
    NegativeFigure
        If a day is worth less than nothing.

    Examples
    --------
    >>> from parts.batching.frontier import frontier
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "bracket", "Tern", 0, 20), Piece(2, "clip", "Skua", 6, 8)]
    >>> found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))
    >>> len(chosen(found, day_pence=2000).lots)
    1
    """
    if day_pence is None:
        return found.answers[0]
    if day_pence < 0:
        raise NegativeFigure("The worth of a day", day_pence)
    return min(found.answers, key=lambda a: (a.cost_pence + day_pence * a.days_lost, a.days_lost))


def bend(found: Frontier) -> Answer | None:
    """Give the answer at which a further day begins to save little: the knee of the frontier.

    Parameters
    ----------
    found : Frontier
        All answers.

    Returns
    -------
    Answer or None
        The one that lies farthest below the straight line between the two ends once both scales run from
        0 to 1 [1]_; None if none lies below it.

    References
    ----------
    .. [1] I. Das, On characterizing the 'knee' of the Pareto curve based on normal-boundary intersection,
       Structural Optimization 18 (1999) 107-115.

    Examples
    --------
    >>> from parts.batching.frontier import frontier
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "a", "Tern", 0, 5), Piece(2, "b", "Tern", 1, 6), Piece(3, "c", "Tern", 9, 20)]
    >>> bend(frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))).days_lost
    1
    """
    quick, cheap = found.answers[0], found.answers[-1]
    days, pence = cheap.days_lost - quick.days_lost, quick.cost_pence - cheap.cost_pence
    below = {
        # the distance below the line, times days × pence so that it stays a whole number
        answer: (quick.cost_pence - answer.cost_pence) * days - (answer.days_lost - quick.days_lost) * pence
        for answer in found.answers
    }
    farthest = max(below, key=lambda answer: (below[answer], -answer.days_lost))
    return farthest if below[farthest] > 0 else None


def priced_again(pieces: Sequence[Piece], finisher: Finisher, lots: Iterable[Sequence[int]]) -> Answer:
    """Keep to lots chosen earlier, whatever has changed since: each leaves when its last piece is ready.

    Parameters
    ----------
    pieces : sequence of Piece
        The same pieces with what is known of them now.
    finisher : Finisher
        Who finishes them.
    lots : iterable of sequence of int
        The pieces of each lot.

    Returns
    -------
    Answer
        What the old choice costs now, and which car pays. Its bound is its own cost.

    Raises
    ------
    NotTheSamePieces
        If the lots do not hold each of the pieces exactly once.
    BatchingError
        What `parts.batching.pieces.units` refuses; limits of a lot are not looked at, as it was agreed.

    Examples
    --------
    >>> from parts.batching.pieces import Tariff, trips
    >>> pieces = [Piece(1, "bracket", "Tern", 0, 20), Piece(2, "clip", "Skua", 9, 12)]
    >>> kept = priced_again(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)), [(1, 2)])
    >>> kept.days_lost, kept.cost_pence
    (2, 6000)
    """
    kept = [frozenset(lot) for lot in lots]
    # lots that exist already need not be joined by their sets again
    alone = [replace(piece, colour_set="") for piece in pieces]
    grid = Grid.of(units(alone, finisher), finisher)
    number = {unit.pieces[0].piece_id: n for n, unit in enumerate(grid.units)}
    named = [piece for lot in kept for piece in lot]
    if sorted(named) != sorted(number):
        raise NotTheSamePieces(sorted(set(number) - set(named)), sorted(set(named) - set(number)))
    groups = [frozenset(number[piece] for piece in lot) for lot in kept if lot]
    by_day: dict[int, list[frozenset[int]]] = {}
    for group in groups:
        by_day.setdefault(max(grid.first[n] for n in group), []).append(group)
    return built(Packer(grid), by_day, None)

"""Why an answer is the one to take, in one sentence."""

from collections.abc import Callable, Sequence

from parts.batching.answers import Answer, Frontier
from parts.batching.pieces import Piece

NAMED = 2  # pieces that are named before the rest is counted


def reason(
    found: Frontier,
    answer: Answer,
    pieces: Sequence[Piece],
    say_day: Callable[[int], str],
    day_pence: int | None = None,
    is_priced: bool = True,
) -> str:
    """Say what waiting costs and saves.

    Parameters
    ----------
    found : Frontier
        All answers.
    answer : Answer
        The one that is recommended.
    pieces : sequence of Piece
        The pieces, for their names and for what else holds their cars.
    say_day : callable
        Words for the number of a working day.
    day_pence : int or None
        What a day is worth, if that decided it [p].
    is_priced : bool
        False if no charge is known: then lots are counted and money is not spoken of.

    Returns
    -------
    str
        One sentence with its full stop.

    Examples
    --------
    >>> from parts.batching.choosing import chosen
    >>> from parts.batching.frontier import frontier
    >>> from parts.batching.pieces import Finisher, Tariff, trips
    >>> pieces = [
    ...     Piece(1, "tank straps", "Tern", 0, 40, held_by="the radiator"),
    ...     Piece(2, "pulleys", "Skua", 6, 30),
    ... ]
    >>> found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))
    >>> print(reason(found, chosen(found), pieces, lambda day: f"day {day}").replace("; ", ";\\n"))
    Waiting for the pulleys of Skua costs no day: the radiator holds Tern until day 40;
    1 lot instead of 2 saves £60.
    """
    by_id = {piece.piece_id: piece for piece in pieces}
    awaited = _awaited(answer, by_id)
    saved = found.apart.cost_pence - answer.cost_pence if is_priced else None
    extra = {car.car: car.days - car.unavoidable_days for car in answer.cars}
    if not awaited:
        return _at_once(found, answer, is_priced)
    waiting = f"Waiting for {_names(awaited)}"
    if not any(extra.values()):
        held = _held(answer, by_id, say_day)
        return f"{waiting} costs no day{held}; {_saving(found, answer, saved)}."
    paying = " and ".join(f"{car} {_days(days)}" for car, days in sorted(extra.items()) if days)
    return f"{waiting} costs {paying}, but {_saving(found, answer, saved)}{_worth(day_pence)}."


def pounds(pence: int) -> str:
    """Write an amount of money.

    Parameters
    ----------
    pence : int
        The amount [p].

    Returns
    -------
    str
        Without pence if there are none.

    Examples
    --------
    >>> pounds(12000), pounds(1250), pounds(-5)
    ('£120', '£12.50', '-£0.05')
    """
    whole, part = divmod(abs(pence), 100)
    return f"{'-' if pence < 0 else ''}£{whole:,}" + (f".{part:02}" if part else "")


def _awaited(answer: Answer, by_id: dict[int, Piece]) -> list[Piece]:
    """Pieces that others could have left without."""
    found = []
    for lot in answer.lots:
        inside = [by_id[number] for number in lot.piece_ids]
        last = max(piece.ready_day for piece in inside)
        if any(piece.ready_day < last for piece in inside):
            found += [piece for piece in inside if piece.ready_day == last]
    return found


def _at_once(found: Frontier, answer: Answer, is_priced: bool) -> str:
    cheaper = [other for other in found.answers if other.cost_pence < answer.cost_pence]
    if not cheaper:
        return "Nothing has to wait: all that goes together is ready together."
    other = cheaper[0]
    days = other.days_lost - answer.days_lost
    fewer = len(answer.lots) - len(other.lots)
    saved = pounds(answer.cost_pence - other.cost_pence) if is_priced else _lots(fewer)
    return f"Each goes as soon as it is ready: waiting would save {saved} and cost {_days(days)}."


def _saving(found: Frontier, answer: Answer, saved: int | None) -> str:
    lots, apart = len(answer.lots), len(found.apart.lots)
    if saved is None:
        return f"it takes {_lots(lots)} instead of {apart}"
    if saved <= 0:
        return f"it keeps together what is seen together in {_lots(lots)}"
    if lots < apart:
        return f"{_lots(lots)} instead of {apart} {'saves' if lots == 1 else 'save'} {pounds(saved)}"
    return f"it saves {pounds(saved)}"


def _held(answer: Answer, by_id: dict[int, Piece], say_day: Callable[[int], str]) -> str:
    """What holds the date of the piece that could least afford to wait longer."""
    waits = [
        (piece.limit_day - lot.back_day, piece)
        for lot in answer.lots
        for piece in (by_id[number] for number in lot.piece_ids)
        if piece.limit_day is not None and piece.held_by and piece.ready_day < lot.leaves_day
    ]
    if not waits:
        return ""
    piece = min(waits, key=lambda wait: (wait[0], wait[1].piece_id))[1]
    assert piece.limit_day is not None  # was asked above
    return f": {piece.held_by} holds {piece.car} until {say_day(piece.limit_day)}"


def _worth(day_pence: int | None) -> str:
    return "" if day_pence is None else f", more than the days are worth at {pounds(day_pence)} each"


def _names(pieces: Sequence[Piece]) -> str:
    named = [f"the {_in_a_sentence(piece.name)} of {piece.car}" for piece in pieces[:NAMED]]
    rest = len(pieces) - NAMED
    if rest > 0:
        return f"{', '.join(named)} and {rest} more"
    return " and ".join(named)


def _in_a_sentence(name: str) -> str:
    """A small letter to begin with, unless what begins is an abbreviation."""
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def _lots(count: int) -> str:
    return f"{count} lot{'s' * (count != 1)}"


def _days(count: int) -> str:
    return f"{count} day{'s' * (count != 1)}"

"""The batch calculation by trying everything: slow, plain, and sharing no step with the core."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from math import ceil

from parts.batching.pieces import Finisher, Piece

Point = tuple[int, int]  # days lost by all cars, cost in pence


def by_trying_everything(pieces: Sequence[Piece], finisher: Finisher) -> list[Point]:
    """Undominated (days, cost) over every set partition and every choice of days on which lots leave."""
    found: set[Point] = set()
    for lots in partitions(list(pieces)):
        if not all(_allowed(lot, pieces, finisher) for lot in lots):
            continue
        soonest = [_next_open(max(piece.ready_day for piece in lot), finisher) for lot in lots]
        last = max(soonest)
        others = sorted(set(soonest) - {last})
        for size in range(len(others) + 1):
            for trips in combinations(others, size):
                days = [*trips, last]
                leaving = [min(day for day in days if day >= first) for first in soonest]
                found.add((_days_lost(lots, leaving, finisher), _cost(lots, leaving, finisher)))
    return undominated(found)


def undominated(points: set[Point]) -> list[Point]:
    kept: list[Point] = []
    for days, cost in sorted(points):
        if not kept or cost < kept[-1][1]:
            kept.append((days, cost))
    return kept


def partitions(pieces: list[Piece]) -> Iterator[list[list[Piece]]]:
    if not pieces:
        yield []
        return
    first, rest = pieces[0], pieces[1:]
    for smaller in partitions(rest):
        yield [[first], *smaller]
        for index in range(len(smaller)):
            yield [*smaller[:index], [first, *smaller[index]], *smaller[index + 1 :]]


def price(piece: Piece, finisher: Finisher) -> int:
    """In fractions of a penny first, so that rounding is seen to be done once for each rate."""
    tariff = finisher.tariff
    by_area = piece.quantity * (piece.area_cm2 or 0) * tariff.per_m2_pence / 10_000
    by_mass = piece.quantity * (piece.mass_g or 0) * tariff.per_kg_pence / 1_000
    return int(by_area + 0.5) + int(by_mass + 0.5) + piece.quantity * tariff.per_piece_pence


def _next_open(day: int, finisher: Finisher) -> int:
    while day not in finisher.back_on:
        day += 1
    return day


def _allowed(lot: Sequence[Piece], pieces: Sequence[Piece], finisher: Finisher) -> bool:
    sets = {piece.colour_set for piece in lot if piece.colour_set}
    inside = {piece.piece_id for piece in lot}
    if any(piece.colour_set in sets and piece.piece_id not in inside for piece in pieces):
        return False
    limits = finisher.limits
    return all(
        most is None or used <= most
        for used, most in (
            (sum(piece.quantity * (piece.area_cm2 or 0) for piece in lot), limits.area_cm2),
            (sum(piece.quantity * (piece.mass_g or 0) for piece in lot), limits.mass_g),
            (sum(piece.quantity for piece in lot), limits.pieces),
        )
    )


def _days_lost(lots: Sequence[Sequence[Piece]], leaving: Sequence[int], finisher: Finisher) -> int:
    worst: dict[str, int] = {}
    for lot, day in zip(lots, leaving, strict=True):
        for piece in lot:
            if piece.limit_day is not None:
                late = whole_days_late(day, piece, finisher)
                worst[piece.car] = max(worst.get(piece.car, 0), late)
    return sum(worst.values())


def whole_days_late(day: int, piece: Piece, finisher: Finisher) -> int:
    """In days with their fractions first, so that rounding up is seen to be done once."""
    assert piece.limit_day is not None
    back = finisher.back_on[day] + Fraction(finisher.back_minute.get(day, 0), 24 * 60)
    return ceil(back - piece.limit_day - Fraction(piece.limit_minute, 24 * 60))


def _cost(lots: Sequence[Sequence[Piece]], leaving: Sequence[int], finisher: Finisher) -> int:
    tariff = finisher.tariff
    total = tariff.carriage_pence * len(set(leaving))
    for lot in lots:
        prices = sum(price(piece, finisher) for piece in lot)
        total += tariff.setup_pence + max(tariff.minimum_pence, prices)
        total += tariff.per_line_pence * len(lot)
    return total

"""What a batch calculation is given: pieces, what the finisher charges, and what it can take.

Money is whole pence, mass whole grams, area whole square centimetres and time the number of a working
day of the workshop, with the minute of that day where it matters whether goods come in the morning, so
that every sum is exact and every comparison means what it says.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from parts.batching.errors import (
    LotTooSmall,
    NegativeFigure,
    NothingToSend,
    NoTrip,
    SizeUnknown,
    TooLarge,
    TwiceListed,
)
from parts.batching.limits import Sides, fits

DAY_MIN = 1_440
CM2_PER_M2 = 10_000
G_PER_KG = 1_000

Moments = TypeVar("Moments", int, NDArray[np.int64])


@dataclass(frozen=True, slots=True)
class Piece:
    """One line of a route card that waits for its finish.

    Parameters
    ----------
    piece_id : int
        The operation.
    name, car : str
        Names for people. Pieces of one car have the same car.
    ready_day : int
        First working day on which it can leave.
    limit_day : int or None
        Last working day on which it can be back without moving the car's first start-up, or `milestone`.
        None if no milestone waits for it.
    limit_minute : int
        Minute of that day up to which it can be back; 0 if only as the day begins [min].
    quantity : int
        Pieces on this line, which stay together.
    area_cm2, mass_g : int or None
        Surface and mass of one [cm^2], [g]; None if nobody gave it.
    size_mm : tuple of (int or None)
        Length, width and height of one [mm].
    colour_set : str
        Pieces of one set are seen together and share a lot; empty if it is seen alone.
    held_by : str
        What else holds the car's first start-up until `limit_day`, for the sentence: "the radiator".
    milestone : str
        Which later milestone waits for it, where it is not first start-up: "handover". Its days are counted
        apart from those of first start-up.
    """

    piece_id: int
    name: str
    car: str
    ready_day: int
    limit_day: int | None = None
    quantity: int = 1
    area_cm2: int | None = None
    mass_g: int | None = None
    size_mm: Sides = (None, None, None)
    colour_set: str = ""
    held_by: str = ""
    milestone: str = ""
    limit_minute: int = 0

    @property
    def limit_at(self) -> int | None:
        """The moment up to which it can be back, in minutes of working days [min]."""
        return None if self.limit_day is None else self.limit_day * DAY_MIN + self.limit_minute

    @property
    def payer(self) -> str:
        """Whose days are lost if it is late: the car, with the milestone if that is not first start-up."""
        return f"{self.car} ({self.milestone})" if self.milestone else self.car


@dataclass(frozen=True, slots=True)
class Tariff:
    """What a finisher charges for a lot, and what its trip costs.

    A lot costs `setup_pence` and, beside that, the sum of its pieces' prices or `minimum_pence`, whichever
    is more. All lots that leave on one day share one trip.

    Parameters
    ----------
    minimum_pence : int
        Minimum lot charge [p].
    setup_pence : int
        Charged for each lot whatever is in it: jigging, a colour change, a certificate [p].
    per_m2_pence, per_kg_pence, per_piece_pence : int
        Prices by area, mass and count; the price of a piece is their sum [p].
    per_line_pence : int
        Charged for each line beside the minimum [p].
    carriage_pence : int
        One trip there and back [p].

    Notes
    -----
    A house rule of the kind 'one minimum of £70 and £10 for each further part number' is
    ``setup_pence=6000, per_line_pence=1000``. Such a rule was published by an American job shop in 2014
    (70 dollars and 10 dollars, for sulphuric anodise); that every finisher has a minimum is common
    practice, no source.
    """

    minimum_pence: int = 0
    setup_pence: int = 0
    per_m2_pence: int = 0
    per_kg_pence: int = 0
    per_piece_pence: int = 0
    per_line_pence: int = 0
    carriage_pence: int = 0


@dataclass(frozen=True, slots=True)
class LotLimits:
    """What a finisher can take. None means that nothing is known against it.

    Parameters
    ----------
    largest_mm : tuple of (int or None)
        Length, width and height of the largest piece [mm].
    area_cm2, mass_g, pieces : int or None
        The most that goes into one lot [cm^2], [g].
    """

    largest_mm: Sides = (None, None, None)
    area_cm2: int | None = None
    mass_g: int | None = None
    pieces: int | None = None


@dataclass(frozen=True, slots=True)
class Finisher:
    """A finisher as the batch calculation sees it.

    Parameters
    ----------
    back_on : mapping of int to int
        For each working day on which goods can leave, the working day on which they are back. Days on
        which the finisher is closed are not in it. Goods that leave later are never back earlier.
    tariff : Tariff
        What it charges.
    limits : LotLimits
        What it can take.
    back_minute : mapping of int to int
        For days on which goods leave in the course of the day, the minute of `back_on` at which they are
        back; all others are back as that day begins [min].
    """

    back_on: Mapping[int, int]
    tariff: Tariff = field(default_factory=Tariff)
    limits: LotLimits = field(default_factory=LotLimits)
    back_minute: Mapping[int, int] = field(default_factory=dict)

    def back_at(self, day: int) -> int:
        """Give the moment at which goods are back that leave on a day.

        Parameters
        ----------
        day : int
            A working day on which goods can leave.

        Returns
        -------
        int
            Minutes of working days [min].
        """
        return self.back_on[day] * DAY_MIN + self.back_minute.get(day, 0)


@dataclass(frozen=True, slots=True)
class Unit:
    """Pieces that cannot be parted: a colour-match set, or one piece.

    Parameters
    ----------
    pieces : tuple of Piece
        Its pieces.
    ready_day : int
        Day from which all of them can leave.
    price_pence : int
        Sum of their prices [p].
    limits : tuple of (str, int)
        Each car that waits for it, and the moment up to which it can be back [min].
    area_cm2, mass_g, count : int
        What it takes up in a lot [cm^2], [g].
    """

    pieces: tuple[Piece, ...]
    ready_day: int
    price_pence: int
    limits: tuple[tuple[str, int], ...]
    area_cm2: int
    mass_g: int
    count: int


def trips(
    first_day: int, last_day: int, turnaround_days: int, closed: Sequence[int] = (), carriage_days: int = 0
) -> dict[int, int]:
    """Say for each day on which goods can leave when they are back.

    Parameters
    ----------
    first_day, last_day : int
        First and last working day on which goods may leave.
    turnaround_days : int
        Days the finisher needs, counted in its own working days [d].
    closed : sequence of int
        Working days of the workshop on which the finisher is closed: nothing is collected or worked then.
    carriage_days : int
        Working days on the road, each way [d].

    Returns
    -------
    dict of int to int
        Leaving day to day back.

    Raises
    ------
    NegativeFigure
        If a length of time is less than 0.

    Examples
    --------
    >>> trips(0, 3, turnaround_days=2, closed=[2])
    {0: 3, 1: 4, 3: 5}
    """
    for name, value in (("turnaround", turnaround_days), ("carriage", carriage_days)):
        if value < 0:
            raise NegativeFigure(f"The {name}", value)
    shut = frozenset(closed)
    back = {}
    for day in range(first_day, last_day + 1):
        if day in shut:
            continue
        at, left = day + carriage_days, turnaround_days
        while left or at in shut:
            at += 1
            left -= at not in shut and left > 0
        back[day] = at + carriage_days
    return back


def days_late(back_at: Moments, limit_at: Moments) -> Moments:
    """Give the working days by which goods come after their limit, of one or of many at once.

    Parameters
    ----------
    back_at, limit_at : int, or both ndarray of int64 that go together
        Moments in minutes of working days [min].

    Returns
    -------
    int, or ndarray of int64
        Whole days, rounded up; 0 or less if they are in time [d].

    Examples
    --------
    Back at midday of day 9, wanted by three in the afternoon of day 8, then by nine in the morning:

    >>> back_at = 9 * DAY_MIN + 720
    >>> days_late(back_at, 8 * DAY_MIN + 900), days_late(back_at, 8 * DAY_MIN + 540)
    (1, 2)
    """
    return -((limit_at - back_at) // DAY_MIN)


def price_pence(piece: Piece, tariff: Tariff) -> int:
    """Price one line of a lot.

    Parameters
    ----------
    piece : Piece
        The piece.
    tariff : Tariff
        What the finisher charges.

    Returns
    -------
    int
        Price of the whole quantity, to the nearest penny, halves up [p].

    Raises
    ------
    SizeUnknown
        If the price goes by area or mass and nobody gave it.

    Examples
    --------
    >>> price_pence(Piece(1, "clip", "Tern", 0, quantity=4, area_cm2=125), Tariff(per_m2_pence=3000))
    150
    """
    return (
        _share(piece, "area", piece.area_cm2, tariff.per_m2_pence, CM2_PER_M2)
        + _share(piece, "mass", piece.mass_g, tariff.per_kg_pence, G_PER_KG)
        + piece.quantity * tariff.per_piece_pence
    )


def units(pieces: Sequence[Piece], finisher: Finisher) -> tuple[Unit, ...]:
    """Join what must share a lot, and refuse what this finisher cannot take.

    Parameters
    ----------
    pieces : sequence of Piece
        All pieces of one finish.
    finisher : Finisher
        Who is to finish them.

    Returns
    -------
    tuple of Unit
        In order of readiness.

    Raises
    ------
    NothingToSend
        If there is no piece.
    TwiceListed
        If a piece is listed more than once.
    NegativeFigure
        If a charge, price, quantity, area or mass is less than 0, or a quantity is 0.
    SizeUnknown
        If a price or a limit goes by an area or mass that nobody gave.
    TooLarge
        If a piece is larger than the finisher takes.
    LotTooSmall
        If a line or a colour-match set is more than the largest lot.
    NoTrip
        If the finisher takes nothing in on or after the day on which a piece is ready.

    Examples
    --------
    >>> left = Piece(1, "left", "Tern", 0, colour_set="doors")
    >>> right = Piece(2, "right", "Tern", 4, limit_day=20, colour_set="doors")
    >>> [(unit.ready_day, unit.limits) for unit in units([left, right], Finisher(trips(0, 9, 5)))]
    [(4, (('Tern', 28800),))]
    """
    _check(pieces, finisher)
    groups: dict[tuple[str, int], list[Piece]] = {}
    for piece in pieces:
        groups.setdefault((piece.colour_set, 0 if piece.colour_set else piece.piece_id), []).append(piece)
    joined = [_unit(tuple(group), finisher) for group in groups.values()]
    return tuple(sorted(joined, key=lambda unit: (unit.ready_day, unit.pieces[0].piece_id)))


def _share(piece: Piece, what: str, of_one: int | None, rate_pence: int, per: int) -> int:
    if not rate_pence:
        return 0
    if of_one is None:
        raise SizeUnknown(piece.name, piece.car, what, "price")
    return (2 * piece.quantity * of_one * rate_pence + per) // (2 * per)


def _check(pieces: Sequence[Piece], finisher: Finisher) -> None:
    if not pieces:
        raise NothingToSend
    twice = [number for number, times in Counter(p.piece_id for p in pieces).items() if times > 1]
    if twice:
        raise TwiceListed(sorted(twice))
    tariff, limits = finisher.tariff, finisher.limits
    for name in Tariff.__dataclass_fields__:
        if getattr(tariff, name) < 0:
            raise NegativeFigure(f"In the tariff, {name.replace('_', ' ')}", getattr(tariff, name))
    for piece in pieces:
        whose = f"{piece.name} of {piece.car}: the"
        if piece.quantity < 1:
            raise NegativeFigure(f"{whose} quantity", piece.quantity, least=1)
        for what, value in (("area", piece.area_cm2), ("mass", piece.mass_g)):
            if value is not None and value < 0:
                raise NegativeFigure(f"{whose} {what}", value)
        if not fits(piece.size_mm, limits.largest_mm):
            raise TooLarge(piece.name, piece.car, piece.size_mm, limits.largest_mm)
    if max(piece.ready_day for piece in pieces) > max(finisher.back_on, default=-1):
        raise NoTrip(max(pieces, key=lambda piece: piece.ready_day).name)


def _unit(group: tuple[Piece, ...], finisher: Finisher) -> Unit:
    limits = finisher.limits
    latest: dict[str, int] = {}
    for piece in group:
        if piece.limit_at is not None:
            latest[piece.payer] = min(piece.limit_at, latest.get(piece.payer, piece.limit_at))
    unit = Unit(
        pieces=group,
        ready_day=max(piece.ready_day for piece in group),
        price_pence=sum(price_pence(piece, finisher.tariff) for piece in group),
        limits=tuple(sorted(latest.items())),
        area_cm2=_room(group, "area", limits.area_cm2),
        mass_g=_room(group, "mass", limits.mass_g),
        count=sum(piece.quantity for piece in group),
    )
    for what, used, most in (
        ("area (cm²)", unit.area_cm2, limits.area_cm2),
        ("mass (g)", unit.mass_g, limits.mass_g),
        ("count", unit.count, limits.pieces),
    ):
        if most is not None and used > most:
            raise LotTooSmall([f"{piece.name} of {piece.car}" for piece in group], what, used, most)
    return unit


def _room(group: tuple[Piece, ...], what: str, most: int | None) -> int:
    total = 0
    for piece in group:
        of_one = piece.area_cm2 if what == "area" else piece.mass_g
        if of_one is None and most is not None:
            raise SizeUnknown(piece.name, piece.car, what, "lot limit")
        total += piece.quantity * (of_one or 0)
    return total

"""One trip for several lots: what goes to a supplier and what comes back from it, on the same day.

The lots of all processes of one supplier, or of all suppliers on one carrier's round, are laid together.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from parts.batching.errors import NegativeFigure, NothingToSend, NoTrip, TooManyErrands

MOST_ERRANDS = 12  # the work grows with the number of ways in which so many can stand about


@dataclass(frozen=True, slots=True)
class Errand:
    """One lot that has to be taken to a supplier and fetched.

    Parameters
    ----------
    name : str
        For people: "zinc, 12 pieces".
    ready_day : int
        First working day on which it can go.
    done_on : mapping of int to int
        For each day on which it can be taken, the day from which it can be fetched. What is taken later is
        never done earlier.
    limits : tuple of (str, int)
        Each car that waits for it, and the last day on which it can be back.
    done_day : int or None
        For what is there already: the day from which it can be fetched. It is not taken again, and neither
        `ready_day` nor `done_on` is looked at.
    """

    name: str
    ready_day: int
    done_on: Mapping[int, int]
    limits: tuple[tuple[str, int], ...] = ()
    done_day: int | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """One trip.

    Parameters
    ----------
    day : int
        Working day.
    takes, fetches : tuple of str
        Names of the lots.
    """

    day: int
    takes: tuple[str, ...]
    fetches: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Round:
    """Trips that do all errands.

    Parameters
    ----------
    visits : tuple of Visit
        In order.
    cost_pence : int
        All trips [p].
    days_lost : int
        Working days of first start-up lost, all cars together [d].
    cars : tuple of (str, int)
        Each car that waits, and the days that it loses.
    """

    visits: tuple[Visit, ...]
    cost_pence: int
    days_lost: int
    cars: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class _State:
    """Where every lot is: still here, or there with the day from which it can be fetched."""

    here: frozenset[int]
    there: frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class _Way:
    lost: tuple[int, ...]
    visits: tuple[Visit, ...] = ()

    def is_no_worse_than(self, other: "_Way") -> bool:
        fewer = len(self.visits) <= len(other.visits)
        return fewer and all(a <= b for a, b in zip(self.lost, other.lost, strict=True))


def rounds(errands: Sequence[Errand], open_days: Sequence[int], visit_pence: int) -> tuple[Round, ...]:
    """Give every way of sharing trips that is worth having.

    Parameters
    ----------
    errands : sequence of Errand
        At most twelve lots.
    open_days : sequence of int
        Working days on which somebody can call at the supplier.
    visit_pence : int
        What one trip costs, whatever is taken and fetched [p].

    Returns
    -------
    tuple of Round
        From the fewest days lost to the fewest trips; none is bettered by another in both.

    Raises
    ------
    NothingToSend
        If there is no errand.
    TooManyErrands
        If there are more than twelve.
    NegativeFigure
        If a trip costs less than nothing.
    NoTrip
        If a lot cannot be taken or fetched on any of the open days.

    Notes
    -----
    Exact for the lots as they are. On each trip everything is taken that is ready and everything fetched
    that is done, because that never makes anything later. A trip may be moved to the last day before it on
    which something became ready or done; so only these days are looked at, and all undominated ways over
    them are kept.

    Examples
    --------
    >>> zinc = Errand("zinc", 0, {0: 5, 5: 10}, (("Tern", 9),))
    >>> black = Errand("black anodise", 4, {5: 9, 9: 13}, (("Tern", 12),))
    >>> for way in rounds([zinc, black], range(20), 2000):
    ...     print(way.days_lost, [(visit.day, visit.takes, visit.fetches) for visit in way.visits])
    0 [(0, ('zinc',), ()), (5, ('black anodise',), ('zinc',)), (9, (), ('black anodise',))]
    1 [(5, ('zinc', 'black anodise'), ()), (10, (), ('zinc', 'black anodise'))]
    """
    _check(errands, visit_pence)
    days = sorted(set(open_days))
    worth = _days_worth_a_trip(errands, days)
    cars = sorted({car for errand in errands for car, _ in errand.limits})
    there = {n: errand.done_day for n, errand in enumerate(errands) if errand.done_day is not None}
    begin = _State(frozenset(range(len(errands))) - set(there), frozenset(there.items()))
    ways = {begin: [_Way((0,) * len(cars))]}
    done = _State(frozenset(), frozenset())
    for day in worth:
        # of equally good ways the one that called earlier stays
        following = {state: list(reached) for state, reached in ways.items()}
        for state, reached in ways.items():
            then, visit, lost = _called(errands, cars, state, day)
            for way in reached if then != state else ():
                worse = tuple(max(pair) for pair in zip(way.lost, lost, strict=True))
                _keep(following.setdefault(then, []), _Way(worse, (*way.visits, visit)))
        ways = following
    return _undominated([_round(way, cars, visit_pence) for way in ways.get(done, [])])


def _check(errands: Sequence[Errand], visit_pence: int) -> None:
    if not errands:
        raise NothingToSend
    if len(errands) > MOST_ERRANDS:
        raise TooManyErrands(len(errands), MOST_ERRANDS)
    if visit_pence < 0:
        raise NegativeFigure("The cost of a trip", visit_pence)


def _days_worth_a_trip(errands: Sequence[Errand], days: Sequence[int]) -> list[int]:
    """Days on which a lot becomes ready or done, given that trips are made on such days only.

    A day on which a lot is done goes back to the day on which that lot was taken, and each lot is taken
    once: so no chain of such days is longer than the number of lots.
    """
    worth = {_fetched_from(errand, days) for errand in errands if errand.done_day is not None}
    errands = [errand for errand in errands if errand.done_day is None]
    takes = [[day for day in days if day >= errand.ready_day and day in errand.done_on] for errand in errands]
    for errand, own in zip(errands, takes, strict=True):
        if not own or errand.done_on[own[0]] > days[-1]:
            raise NoTrip(errand.name)
        worth.add(own[0])
    fresh = set(worth)
    for _ in errands:
        # a day that is open, but not for this lot, is followed by the next that is
        following = {day for own in takes for day in _next_of(own, fresh)}
        fresh |= following
        done = {
            errand.done_on[day]
            for errand, own in zip(errands, takes, strict=True)
            for day in fresh & set(own)
        }
        worth |= fresh
        fresh = set(_next_of(days, done)) - worth
    return sorted(worth | fresh)


def _next_of(days: Sequence[int], wanted: Iterable[int]) -> list[int]:
    """The first of these days on or after each that is wanted; none where there is none."""
    places = (bisect_left(days, day) for day in wanted)
    return [days[at] for at in places if at < len(days)]


def _fetched_from(errand: Errand, days: Sequence[int]) -> int:
    """The first day on which somebody can fetch what is there already."""
    at = bisect_left(days, errand.done_day or 0)
    if at == len(days):
        raise NoTrip(errand.name)
    return days[at]


def _called(
    errands: Sequence[Errand], cars: Sequence[str], state: _State, day: int
) -> tuple[_State, Visit, tuple[int, ...]]:
    """Take what is ready, fetch what is done, and see what each car loses by what is fetched now."""
    takes = sorted(n for n in state.here if errands[n].ready_day <= day and day in errands[n].done_on)
    fetches = sorted(n for n, ready in state.there if ready <= day)
    lost = dict.fromkeys(cars, 0)
    for number in fetches:
        for car, limit in errands[number].limits:
            lost[car] = max(lost[car], day - limit)
    then = _State(
        state.here - set(takes),
        frozenset((n, ready) for n, ready in state.there if ready > day)
        | {(n, errands[n].done_on[day]) for n in takes},
    )
    names = [tuple(errands[n].name for n in numbers) for numbers in (takes, fetches)]
    return then, Visit(day, *names), tuple(lost.values())


def _keep(ways: list[_Way], new: _Way) -> None:
    """Add a way unless another is no worse; drop those that are no better."""
    if not any(way.is_no_worse_than(new) for way in ways):
        ways[:] = [way for way in ways if not new.is_no_worse_than(way)]
        ways.append(new)


def _round(way: _Way, cars: Sequence[str], visit_pence: int) -> Round:
    return Round(
        visits=way.visits,
        cost_pence=visit_pence * len(way.visits),
        days_lost=sum(way.lost),
        cars=tuple(zip(cars, way.lost, strict=True)),
    )


def _undominated(found: Sequence[Round]) -> tuple[Round, ...]:
    kept: list[Round] = []
    for way in sorted(found, key=lambda way: (way.days_lost, len(way.visits))):
        if not kept or len(way.visits) < len(kept[-1].visits):
            kept.append(way)
    return tuple(kept)

"""One trip for several lots: against trying every set of days, and its refusals."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.batching.errors import NegativeFigure, NothingToSend, NoTrip, TooManyErrands
from parts.batching.pieces import trips
from parts.batching.visits import Errand, rounds

LAST = 15


@st.composite
def errand_lists(draw: st.DrawFn) -> tuple[list[Errand], list[int]]:
    shut = draw(st.sets(st.integers(0, LAST - 1), max_size=3))
    found = []
    for number in range(draw(st.integers(1, 4))):
        cars = draw(st.sets(st.sampled_from(["Tern", "Skua"]), max_size=2))
        found.append(
            Errand(
                name=f"lot {number}",
                ready_day=draw(st.integers(0, 5)),
                done_on=trips(0, 40, draw(st.integers(1, 4)), sorted(shut)),
                limits=tuple((car, draw(st.integers(1, 14))) for car in sorted(cars)),
                done_day=draw(st.none() | st.none() | st.integers(0, 8)),
            )
        )
    return found, [day for day in range(LAST + 1) if day not in shut]


def by_trying_every_set_of_days(errands: list[Errand], days: list[int]) -> list[tuple[int, int]]:
    found = set()
    for size in range(1, 2 * len(errands) + 1):
        for visits in combinations(days, size):
            lost = _lost(errands, visits)
            if lost is not None:
                found.add((lost, size))
    kept: list[tuple[int, int]] = []
    for point in sorted(found):
        if not kept or point[1] < kept[-1][1]:
            kept.append(point)
    return kept


def _lost(errands: list[Errand], visits: tuple[int, ...]) -> int | None:
    late: dict[str, int] = {}
    for errand in errands:
        done = errand.done_day
        if done is None:
            out = next((d for d in visits if d >= errand.ready_day and d in errand.done_on), None)
            done = None if out is None else errand.done_on[out]
        back = None if done is None else next((d for d in visits if d >= done), None)
        if back is None:
            return None
        for car, limit in errand.limits:
            late[car] = max(late.get(car, 0), back - limit)
    return sum(late.values())


@settings(max_examples=60, deadline=None)
@given(errand_lists())
def test_it_finds_what_trying_every_set_of_days_finds(case: tuple[list[Errand], list[int]]) -> None:
    errands, days = case
    expected = by_trying_every_set_of_days(errands, days)

    try:
        found = rounds(errands, days, 1500)
    except NoTrip:
        assert expected == []
        return
    assert [(way.days_lost, len(way.visits)) for way in found] == expected
    assert [way.cost_pence for way in found] == [1500 * size for _, size in expected]


def test_one_trip_takes_one_lot_and_fetches_another() -> None:
    zinc = Errand("zinc", 0, trips(0, 20, 5), (("Tern", 5),))
    black = Errand("black anodise", 5, trips(0, 20, 4), (("Tern", 9),))

    way = rounds([zinc, black], range(21), 2000)[0]

    assert [(v.day, v.takes, v.fetches) for v in way.visits] == [
        (0, ("zinc",), ()),
        (5, ("black anodise",), ("zinc",)),
        (9, (), ("black anodise",)),
    ]
    assert (way.cost_pence, way.days_lost, way.cars) == (6000, 0, (("Tern", 0),))


def test_what_is_there_is_fetched_by_the_trip_that_takes_the_next_lot() -> None:
    there = Errand("black anodise", 0, {}, done_day=3)
    zinc = Errand("zinc", 5, trips(0, 20, 5), (("Tern", 10),))

    way = rounds([there, zinc], range(21), 2000)[0]

    assert [(v.day, v.takes, v.fetches) for v in way.visits] == [
        (5, ("zinc",), ("black anodise",)),
        (10, (), ("zinc",)),
    ]


def test_what_is_there_and_never_fetched_in_time_is_refused() -> None:
    with pytest.raises(NoTrip, match="black"):
        rounds([Errand("black", 0, {}, done_day=9)], range(5), 100)


def test_nothing_to_do_is_refused() -> None:
    with pytest.raises(NothingToSend):
        rounds([], range(5), 100)


def test_too_many_lots_are_refused() -> None:
    errands = [Errand(f"lot {n}", 0, {0: 1}) for n in range(13)]

    with pytest.raises(TooManyErrands, match="13 lots on one round are more than the 12"):
        rounds(errands, range(5), 100)


def test_a_lot_that_is_never_done_in_time_is_refused() -> None:
    with pytest.raises(NoTrip, match="zinc"):
        rounds([Errand("zinc", 0, {0: 9})], range(5), 100)


def test_a_lot_that_is_ready_too_late_is_refused() -> None:
    with pytest.raises(NoTrip, match="zinc"):
        rounds([Errand("zinc", 6, trips(0, 20, 1))], range(5), 100)


def test_a_trip_cannot_earn_money() -> None:
    with pytest.raises(NegativeFigure):
        rounds([Errand("zinc", 0, {0: 1})], range(5), -1)

"""What leaving now, on a day, or with the last piece does to each car.

The expected days are counted on a calendar by hand, from Wednesday 3 March 2027 on which nothing is closed:
plating takes five of the plater's days (Monday to Friday), fitting one day of ours.
"""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from builds.network import WorkshopState, load_workshop
from builds.sheets.finishing import Piece, read_finishing, read_lots_like
from builds.sheets.leaving import Comparison, compare

WEDNESDAY = date(2027, 3, 3)


@pytest.fixture
def two_cars(
    tern: Any, skua: Any, plater: Any, make_part: Any, make_job: Any, first_start_up: Any
) -> tuple[WorkshopState, list[Piece]]:
    """Tern's clip is ready; Skua's hook is at the maker until Friday 12 March, at midday."""
    clip = make_part(tern, "clip", route=[("zinc_plate", plater, 5)])
    hook = make_part(skua, "hook", route=[("fabricate", plater, 5), ("zinc_plate", plater, 5)])
    hook.operations.filter(sequence=1).update(sent_on=date(2027, 3, 1), promised_on=date(2027, 3, 12))
    first_start_up(tern, make_job(tern, "fit clip", hours=8, needs=[clip]))
    first_start_up(skua, make_job(skua, "fit hook", hours=8, needs=[hook]))
    state = load_workshop(WEDNESDAY)
    (lot,) = read_finishing(state.facts()).lots
    return state, list(lot.pieces)


def dates(comparison: Comparison) -> dict[str, list[date | None]]:
    return {car.name: [car.today, *(effect.on for effect in car.effects)] for car in comparison.cars}


def test_leaving_today_keeps_the_ready_car_and_waiting_moves_it(two_cars: Any) -> None:
    comparison = compare(*two_cars, None)

    # Tern: plated on 3, 4, 5, 8 and 9, fitted on the 10th. With Skua's hook: away from midday on Friday the
    # 12th to midday on Friday the 19th, eight hours from then end at midday on Monday the 22nd.
    assert dates(comparison) == {
        "Skua": [date(2027, 3, 22)] * 3,
        "Tern": [date(2027, 3, 10), date(2027, 3, 10), date(2027, 3, 22)],
    }
    assert [choice.title for choice in comparison.choices] == [
        "Leave today",
        "Wait for the last (Fri 12 Mar)",
    ]


def test_the_change_is_in_working_days(two_cars: Any) -> None:
    tern = compare(*two_cars, None).cars[1]

    # from Wednesday the 10th to Monday the 22nd: 11, 12, 15, 16, 17, 18, 19, 22
    assert [effect.in_words for effect in tern.effects] == ["no change", "8 working days later"]


def test_a_fixed_day_stands_between(two_cars: Any) -> None:
    comparison = compare(*two_cars, date(2027, 3, 8))

    # plated on 8, 9, 10, 11, 12, fitted on Monday the 15th
    assert [choice.title for choice in comparison.choices][1] == "Leave on Mon 8 Mar"
    assert dates(comparison)["Tern"][2] == date(2027, 3, 15)


def test_what_would_be_left_behind_is_named(two_cars: Any) -> None:
    comparison = compare(*two_cars, date(2027, 3, 12))

    behind = [[piece.candidate.part for piece in choice.left_behind] for choice in comparison.choices]
    assert behind == [["hook"], [], []]


def test_a_car_without_a_first_start_up_is_said_to_have_none(
    two_cars: Any, tern: Any, plater: Any, make_part: Any, workshop: Any
) -> None:
    from builds.models import Car

    merlin = Car.objects.create(name="Gannet")
    make_part(merlin, "stay", route=[("zinc_plate", plater, 5)])
    state = load_workshop(WEDNESDAY)
    (lot,) = read_finishing(state.facts()).lots

    comparison = compare(state, lot.pieces, None)

    assert comparison.without_date == ("Gannet",)
    assert "Gannet" not in dates(comparison)


def test_another_car_is_shown_only_if_it_moves(
    two_cars: Any, skua: Any, plater: Any, make_part: Callable[..., Any]
) -> None:
    state, pieces = two_cars
    alone = [piece for piece in pieces if piece.candidate.car == "Tern"]

    assert list(dates(compare(state, alone, None))) == ["Tern"]


def test_comparing_saves_nothing_and_asks_nothing(
    two_cars: Any, django_assert_num_queries: Callable[..., Any]
) -> None:
    with django_assert_num_queries(0):
        compare(*two_cars, date(2027, 3, 8))


def test_a_batch_of_one_shows_each_choice_once(clip: Any, late: Any, today: date) -> None:
    state = load_workshop(today)

    def titles(line: Any, planned_on: date | None = None) -> list[str]:
        pieces = [piece for lot in read_lots_like([line.pk], state.facts()) for piece in lot.pieces]
        own = [piece for piece in pieces if piece.id == line.pk]
        return [choice.title.partition(" (")[0] for choice in compare(state, own, planned_on).choices]

    assert titles(late) == ["Wait for the last"]
    ready = clip("ready")
    state = load_workshop(today)
    assert titles(ready) == ["Leave today"]
    assert len(titles(ready, today + timedelta(3))) == 2

"""What an answer costs and loses when readiness is uncertain: against a plain loop, draw by draw."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.batching.answers import Answer
from parts.batching.chances import chances
from parts.batching.choosing import priced_again
from parts.batching.errors import NoTrip, NotTheSamePieces
from parts.batching.frontier import frontier
from parts.batching.pieces import Finisher, Piece, Tariff, trips
from tests.parts.batching.brute import whole_days_late
from tests.parts.batching.cases import Case, cases

Moment = tuple[int, int]  # a day, and the minute of it
PIECES = [Piece(1, "bracket", "Tern", 0, 9), Piece(2, "pulley", "Skua", 4, 12)]
FINISHER = Finisher(trips(0, 40, 5), Tariff(minimum_pence=6000, carriage_pence=1000))


def one_by_one(answer: Answer, pieces: list[Piece], finisher: Finisher, ready: dict[int, Moment]) -> tuple:
    """Cost and days lost of one draw, in words: wait for the last piece, then for an open door."""
    days, lost = [], {}
    for lot in answer.lots:
        last, minute = max(ready[number] for number in lot.piece_ids)
        day = max(lot.leaves_day, last)
        while day not in finisher.back_on:
            day += 1
        minute = minute if day == last else 0
        days.append(day)
        for piece in pieces:
            if piece.piece_id in lot.piece_ids and piece.limit_day is not None:
                in_time = replace(finisher, back_minute={day: minute})
                lost[piece.car] = max(lost.get(piece.car, 0), whole_days_late(day, piece, in_time))
    lots = sum(lot.charge_pence for lot in answer.lots)
    lines = finisher.tariff.per_line_pence * len(pieces)
    return lots + lines + finisher.tariff.carriage_pence * len(set(days)), sum(lost.values())


@settings(max_examples=80, deadline=None)
@given(case=cases(most=5), seed=st.integers(0, 999))
def test_averages_agree_with_going_through_the_draws_one_by_one(case: Case, seed: int) -> None:
    pieces, finisher = case
    pick = random.Random(seed)
    draws = [[(pick.randint(0, 20), pick.choice([0, 480, 720])) for _ in pieces] for _ in range(12)]
    for answer in frontier(pieces, finisher).answers:
        single = [
            one_by_one(answer, pieces, finisher, dict(zip([p.piece_id for p in pieces], draw, strict=True)))
            for draw in draws
        ]

        days, minutes = np.moveaxis(np.array(draws), 2, 0)
        found = chances(answer, pieces, finisher, days, minutes)

        assert found.cost_pence == pytest.approx(np.mean([cost for cost, _ in single]))
        assert found.days_lost == pytest.approx(np.mean([days for _, days in single]))
        assert found.no_day_lost == pytest.approx(np.mean([days == 0 for _, days in single]))
        assert sum(days for _, days in found.cars) == pytest.approx(found.days_lost)


def test_certain_days_give_the_answer_itself() -> None:
    for answer in frontier(PIECES, FINISHER).answers:
        found = chances(answer, PIECES, FINISHER, [[0, 4]] * 3)

        assert (found.cost_pence, found.days_lost) == (answer.cost_pence, answer.days_lost)
        assert found.leaves_late == (0.0,) * len(answer.lots)


def test_one_draw_agrees_with_the_price_of_staying() -> None:
    answer = frontier(PIECES, FINISHER).together
    slipped = [PIECES[0], replace(PIECES[1], ready_day=11)]
    kept = priced_again(slipped, FINISHER, [lot.piece_ids for lot in answer.lots])

    found = chances(answer, PIECES, FINISHER, [[0, 11]])

    assert (found.cost_pence, found.days_lost) == (kept.cost_pence, kept.days_lost)
    assert found.cars == (("Skua", 4.0), ("Tern", 7.0))


def test_lots_that_come_to_leave_together_share_a_trip() -> None:
    answer = frontier(PIECES, FINISHER).apart
    assert (answer.trips, answer.cost_pence) == (2, 14000)

    assert chances(answer, PIECES, FINISHER, [[4, 4], [0, 4]]).cost_pence == 13500


def test_other_pieces_than_those_of_the_answer_are_refused() -> None:
    answer = frontier(PIECES, FINISHER).together

    with pytest.raises(NotTheSamePieces):
        chances(answer, [PIECES[0]], FINISHER, [[0]])


def test_a_column_for_each_piece_is_asked_for() -> None:
    with pytest.raises(ValueError, match="a column for each of 2 pieces"):
        chances(frontier(PIECES, FINISHER).together, PIECES, FINISHER, [[0, 1, 2]])


def test_a_draw_beyond_all_open_days_is_refused() -> None:
    with pytest.raises(NoTrip):
        chances(frontier(PIECES, FINISHER).together, PIECES, FINISHER, [[0, 99]])

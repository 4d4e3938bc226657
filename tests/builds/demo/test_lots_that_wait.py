"""The demo's two lots to be decided: whatever day it is loaded on, each has three answers worth having."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from builds.batching.desk import Desk, suppliers_of
from builds.batching.otherwise import start_ups, with_answer
from builds.batching.working import Working
from builds.demo.loading import demo_load
from builds.network import WorkshopState, load_workshop
from builds.network.solution import Solution
from builds.sheets.finishing import read_finishing
from tests.builds.demo.test_story import DAYS

Worked = tuple[WorkshopState, dict[str, Working]]


@pytest.fixture(params=DAYS, ids=str)
def worked(request: Any, monkeypatch: Any, db: None) -> Worked:
    """Both lots worked out, on that day."""
    day: date = request.param
    moment = datetime(day.year, day.month, day.day, 9, tzinfo=ZoneInfo("Europe/London"))
    monkeypatch.setattr(timezone, "now", lambda: moment)
    demo_load(day)
    state = load_workshop(day)
    sheet = read_finishing(state.facts())
    desk = Desk.of(state, suppliers_of(sheet.lots, sheet.waiting))
    lots = {(item.lot.process, item.lot.colour): item for item in sheet.lots}
    zinc, anodise = lots["Zinc plate", "yellow"], lots["Anodise", "clear"]
    return state, {"zinc": desk.lot(zinc.pieces), "anodise": desk.lot(anodise.pieces)}


def test_both_have_three_answers_with_cost_and_days(worked: Worked) -> None:
    state, lots = worked
    for working in lots.values():
        found = working.found
        assert len(found.answers) == 3
        assert found.is_proven
        assert working.gaps == ()
        assert found.answers[0] == found.apart
        assert found.answers[-1] == found.together
        assert (len(found.apart.lots), len(found.together.lots)) == (3, 1)
        assert found.answers[0].days_lost == 0 < found.answers[1].days_lost < found.answers[2].days_lost
        # the network itself, with the lots laid over it, agrees: what was said is in whole days, rounded up
        for answer, moves in zip(found.answers, start_ups(state, working, found.answers), strict=True):
            by_network = {move.car: move.later_days for move in moves}
            claimed = {car.car: car.days for car in answer.cars if car.car != "Tern (handover)"}
            assert set(by_network) <= set(claimed)
            assert {days - by_network.get(car, 0) for car, days in claimed.items()} <= {0, 1}


def test_each_lot_leaves_and_is_back_on_the_days_that_the_network_gives(worked: Worked) -> None:
    state, lots = worked
    for working in lots.values():
        for answer in working.answers:
            laid_over = Solution.of(with_answer(state.model, working, answer))
            for lot in answer.lots:
                keys = [f"op:{number}" for number in lot.piece_ids]
                assert {laid_over.start_on(key) for key in keys} == {working.leaves_on(lot)}
                assert max(laid_over.finish_on(key) or date.max for key in keys) == working.back_on(lot)


def test_the_zinc_is_of_three_cars_and_waits_for_two_late_pieces(worked: Worked) -> None:
    _, lots = worked
    lines = [line.candidate for line in lots["zinc"].lines.values()]

    assert {line.car for line in lines} == {"Tern", "Skua", "Gannet"}
    assert sorted(line.part for line in lines if line.days_late) == ["Handbrake quadrant", "Hub spacers"]


def test_what_is_seen_together_is_anodised_together(worked: Worked) -> None:
    _, lots = worked
    working = lots["anodise"]
    seen_together = {piece.piece_id for piece in working.pieces if piece.colour_set}

    assert len(seen_together) == 3
    for answer in working.answers:
        assert any(seen_together <= set(lot.piece_ids) for lot in answer.lots)

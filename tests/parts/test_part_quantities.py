"""Goods in by count: some pieces right, some wrong, some lost, some still out; each count taken back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Need
from builds.network import load_workshop
from parts.models import FinishingBatch, GoodsIn, Operation
from parts.services.operations import (
    operation_accept,
    operation_count_in,
    operation_reject,
    operation_send,
    operation_take_back,
    operation_take_in,
)
from parts.services.pieces import Count, count_of


@pytest.fixture
def clips(tern: Any, make_part: Any, plater: Any, welder: Any) -> Any:
    """Ten clips, bent, then zinc plated."""
    return make_part(tern, "clip", quantity=10, route=[("fabricate", welder, 4), ("zinc_plate", plater, 5)])


@pytest.fixture
def out(clips: Any, fitter: Any, day: Any) -> Any:
    """Ten of them out for nine days."""
    first = clips.operations.get(sequence=1)
    return operation_send(operation=first, on=day(-9), by=fitter, promised_on=day(-2))


def card(part: Any) -> list[tuple[int, str, int, str]]:
    return [(line.sequence, line.process.key, line.pieces, line.state) for line in part.operations.all()]


def fresh(line: Any) -> Any:
    return Operation.objects.get(pk=line.pk)


def test_eight_of_ten_back_leaves_the_line_out_until_the_rest_is_here(
    out: Any, fitter: Any, manager: Any, day: Any
) -> None:
    line = operation_count_in(operation=out, on=day(-1), by=fitter, accepted=8)
    assert (line.state, line.back_on) == ("out", None)
    assert count_of(line) == Count(10, accepted=8)
    assert (count_of(line).words, count_of(line).left) == ("8 of 10 back", 2)
    line = operation_count_in(operation=out, on=day(0), by=manager, accepted=2)
    assert (line.state, line.back_on, line.checked_by) == ("accepted", day(0), manager)
    assert [(row.accepted, row.by) for row in out.goods_in.all()] == [(8, fitter), (2, manager)]


def test_one_press_takes_in_all_that_is_still_out(out: Any, fitter: Any, day: Any) -> None:
    operation_count_in(operation=out, on=day(-1), by=fitter, accepted=8)
    assert operation_accept(operation=out, on=day(0), by=fitter).state == "accepted"
    assert count_of(fresh(out)) == Count(10, accepted=10)


def test_who_sent_it_is_on_record(out: Any, fitter: Any, manager: Any) -> None:
    assert fresh(out).sent_by == fitter
    operation_take_back(operation=out, by=manager)
    assert fresh(out).sent_by is None


def test_a_wrong_piece_goes_again_at_once_though_others_are_still_out(
    out: Any, clips: Any, fitter: Any, day: Any
) -> None:
    operation_count_in(operation=out, on=day(-1), by=fitter, accepted=7, rejected=1, reason="cracked")
    assert card(clips) == [
        (1, "fabricate", 10, "out"),
        (2, "fabricate", 1, "to do"),
        (3, "zinc_plate", 10, "to do"),
    ]
    rework = clips.operations.get(sequence=2)
    assert operation_send(operation=rework, on=day(0), by=fitter).state == "out"
    plating = clips.operations.get(sequence=3)
    with pytest.raises(ValidationError, match=r"line 1, fabricate, .*\(out\); line 2, fabricate"):
        operation_send(operation=plating, on=day(0), by=fitter)
    operation_accept(operation=rework, on=day(0), by=fitter)
    with pytest.raises(ValidationError, match=r"line 1, fabricate, is not accepted yet \(out\)"):
        operation_send(operation=plating, on=day(0), by=fitter)
    operation_accept(operation=out, on=day(0), by=fitter)
    assert (fresh(out).state, fresh(out).reason) == ("rejected", "1 of 10: cracked")
    assert operation_send(operation=plating, on=day(0), by=fitter).state == "out"


def test_more_wrong_pieces_join_the_rework_that_waits_and_follow_one_that_has_gone(
    out: Any, clips: Any, fitter: Any, day: Any
) -> None:
    operation_count_in(operation=out, on=day(-3), by=fitter, rejected=1, reason="cracked")
    operation_count_in(operation=out, on=day(-2), by=fitter, rejected=2, reason="bent")
    assert card(clips)[1] == (2, "fabricate", 3, "to do")
    operation_send(operation=clips.operations.get(sequence=2), on=day(-1), by=fitter)
    operation_count_in(operation=out, on=day(0), by=fitter, rejected=1, accepted=6, reason="short")
    assert card(clips) == [
        (1, "fabricate", 10, "rejected"),
        (2, "fabricate", 3, "out"),
        (3, "fabricate", 1, "to do"),
        (4, "zinc_plate", 10, "to do"),
    ]
    assert operation_send(operation=clips.operations.get(sequence=3), on=day(0), by=fitter).state == "out"
    assert fresh(out).reason == "4 of 10: cracked; bent; short"


def test_the_rework_of_one_piece_counts_one_piece(out: Any, clips: Any, fitter: Any, day: Any) -> None:
    operation_count_in(operation=out, on=day(-3), by=fitter, accepted=9, rejected=1, reason="cracked")
    rework = clips.operations.get(sequence=2)
    operation_send(operation=rework, on=day(-1), by=fitter)
    with pytest.raises(ValidationError, match="2 counted, but 1 went out"):
        operation_accept(operation=rework, on=day(0), by=fitter, count=2)
    operation_reject(operation=rework, on=day(0), by=fitter, reason="cracked again")
    assert card(clips)[2] == (3, "fabricate", 1, "to do")


def test_lost_pieces_keep_the_line_out_until_somebody_decides(out: Any, fitter: Any, day: Any) -> None:
    operation_count_in(operation=out, on=day(-1), by=fitter, accepted=8, lost=2, reason="fell in the bath")
    assert (fresh(out).state, count_of(out).words) == ("out", "8 of 10 back, 2 lost")
    with pytest.raises(ValidationError, match="nothing is out any more: 8 of 10 back, 2 lost"):
        operation_accept(operation=out, on=day(0), by=fitter)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"accepted": 3}, "3 counted, but 10 went out, 8 of 10 back already: 2 can still come in"),
        ({"accepted": 1, "rejected": 1, "lost": 1, "reason": "bent"}, "3 counted"),
        ({"accepted": 0}, "0 counted"),
        ({"accepted": -1}, "-1 pieces cannot be counted"),
        ({"lost": 1}, "Lost pieces need their reason"),
        ({"rejected": 1, "reason": "  "}, "A rejection needs its reason"),
        ({"accepted": 2, "left_seen": 10}, "so 2 are out and not 10: perhaps it was pressed twice"),
    ],
)
def test_a_count_that_cannot_be_right_changes_nothing(
    out: Any, fitter: Any, day: Any, figures: dict[str, Any], words: str
) -> None:
    operation_count_in(operation=out, on=day(-1), by=fitter, accepted=8)
    with pytest.raises(ValidationError, match=words):
        operation_count_in(operation=out, on=day(0), by=fitter, **figures)
    assert count_of(fresh(out)) == Count(10, accepted=8)
    assert out.part.operations.count() == 2


def test_goods_in_for_something_never_out_and_back_before_out_are_refused(
    clips: Any, out: Any, fitter: Any, day: Any
) -> None:
    with pytest.raises(ValidationError, match="has not gone out, so it cannot come in"):
        operation_count_in(operation=clips.operations.get(sequence=2), on=day(0), by=fitter, accepted=1)
    with pytest.raises(ValidationError, match="cannot come in before that"):
        operation_count_in(operation=out, on=day(-10), by=fitter, accepted=1)
    assert not GoodsIn.objects.exists()


def test_put_aside_unchecked_and_then_counted_short(out: Any, fitter: Any, day: Any) -> None:
    operation_take_in(operation=out, on=day(-1), by=fitter)
    line = operation_count_in(operation=out, on=day(0), by=fitter, accepted=8)
    assert (line.state, count_of(line).left) == ("out", 2)
    assert line.goods_in.get().came_on == day(-1)


def test_each_count_is_taken_back_by_itself_newest_first(
    out: Any, clips: Any, fitter: Any, manager: Any, day: Any
) -> None:
    operation_count_in(operation=out, on=day(-2), by=fitter, accepted=7, rejected=1, reason="cracked")
    operation_count_in(operation=out, on=day(-1), by=fitter, rejected=2, reason="bent")
    assert (fresh(out).state, card(clips)[1][2]) == ("rejected", 3)
    assert operation_take_back(operation=out, by=manager).state == "out"
    assert card(clips)[1] == (2, "fabricate", 1, "to do")
    operation_take_back(operation=out, by=manager)
    assert card(clips) == [(1, "fabricate", 10, "out"), (3, "zinc_plate", 10, "to do")]
    assert operation_take_back(operation=out, by=manager).state == "to do"


def test_a_count_whose_rework_has_gone_is_not_taken_back_but_a_later_one_is(
    out: Any, clips: Any, fitter: Any, manager: Any, day: Any
) -> None:
    operation_count_in(operation=out, on=day(-2), by=fitter, rejected=1, reason="cracked")
    operation_send(operation=clips.operations.get(sequence=2), on=day(-1), by=fitter)
    operation_count_in(operation=out, on=day(0), by=fitter, accepted=3)
    operation_take_back(operation=out, by=manager)
    with pytest.raises(ValidationError, match=r"rework of “clip: Fabricate.*has gone out"):
        operation_take_back(operation=out, by=manager)
    assert count_of(fresh(out)) == Count(10, rejected=1)


def test_a_batch_of_which_some_pieces_are_back_is_not_taken_back(
    clips: Any, out: Any, plater: Any, process: Any, fitter: Any, manager: Any, day: Any
) -> None:
    from parts.services.batches import batch_send, batch_take_back

    operation_accept(operation=out, on=day(-3), by=fitter)
    plating = clips.operations.get(sequence=2)
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    Operation.objects.filter(pk=plating.pk).update(batch=batch)
    batch_send(batch=batch, on=day(-2), by=manager)
    operation_count_in(operation=plating, on=day(-1), by=fitter, accepted=4)
    with pytest.raises(ValidationError, match="came in on"):
        batch_take_back(batch=batch, by=manager)
    assert count_of(fresh(plating)) == Count(10, accepted=4)


# What the network makes of it


def test_a_job_waits_for_the_rework_and_for_what_is_still_out(
    out: Any, clips: Any, tern: Any, make_job: Any, first_start_up: Any, fitter: Any, day: Any, today: Any
) -> None:
    """The rework takes 4 days and is the last; a promise for later than that makes the rest the last."""
    clips.operations.filter(sequence=2).delete()
    fit = make_job(tern, "Clip the pipes", hours=1)
    Need.objects.create(job=fit, part=clips)
    first_start_up(tern, fit)
    operation_count_in(operation=out, on=day(-1), by=fitter, accepted=7, rejected=1, reason="cracked")
    held = [reason.text for reason in load_workshop(today).facts().jobs[fit.pk].held_by]
    assert len(held) == 2
    assert "clip to go to fabricate" in held[0]
    assert "clip out since" in held[1]
    Operation.objects.filter(pk=out.pk).update(promised_on=today + timedelta(days=40))
    facts = load_workshop(today).facts()
    assert facts.operations[out.pk].sets_date
    assert not facts.operations[clips.operations.get(sequence=2).pk].sets_date
    operation_accept(operation=out, on=timezone.localdate(), by=fitter)
    assert load_workshop(today).facts().operations[clips.operations.get(sequence=2).pk].sets_date

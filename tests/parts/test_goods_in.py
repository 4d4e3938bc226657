"""Goods in: accepted, rejected with rework, or put aside to be checked; and taken back when it was a slip."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.models import Need
from parts.models import FinishingBatch, Operation
from parts.services.operations import (
    operation_accept,
    operation_reject,
    operation_send,
    operation_take_back,
    operation_take_in,
)


@pytest.fixture
def out(lines: Any, fitter: Any, day: Any) -> Any:
    """The first line of the bracket, out for four days."""
    return operation_send(operation=lines[0], on=day(-4), by=fitter, promised_on=day(2))


def card(part: Any) -> list[tuple[int, str, str]]:
    return [(line.sequence, line.process.key, line.state) for line in part.operations.all()]


def test_goods_in_accepted(out: Any, manager: Any, day: Any) -> None:
    operation_accept(operation=out, on=day(0), by=manager, cost=Decimal("84.50"), count=1)
    out.refresh_from_db()
    assert (out.state, out.back_on, out.checked_by, out.cost) == (
        "accepted",
        day(0),
        manager,
        Decimal("84.50"),
    )


def test_the_same_goods_in_twice_changes_nothing_and_says_so(
    out: Any, fitter: Any, manager: Any, day: Any
) -> None:
    operation_accept(operation=out, on=day(-1), by=fitter)
    with pytest.raises(ValidationError, match=r"was accepted on .* by Rafe Holloway already") as second:
        operation_accept(operation=out, on=day(0), by=manager)
    assert second.value.code == "already"
    with pytest.raises(ValidationError, match="was accepted"):
        operation_reject(operation=out, on=day(0), by=manager, reason="bent")
    out.refresh_from_db()
    assert (out.state, out.back_on, out.checked_by) == ("accepted", day(-1), fitter)
    assert out.part.operations.count() == 3


def test_goods_in_put_aside_and_accepted_later_keeps_its_day(
    out: Any, fitter: Any, manager: Any, day: Any
) -> None:
    assert operation_take_in(operation=out, on=day(-1), by=fitter).state == "back"
    with pytest.raises(ValidationError, match=r"came in on .* already"):
        operation_take_in(operation=out, on=day(0), by=fitter)
    accepted = operation_accept(operation=out, on=day(0), by=manager)
    assert (accepted.state, accepted.back_on) == ("accepted", day(-1))


@pytest.mark.parametrize("act", [operation_accept, operation_take_in])
def test_what_is_not_out_cannot_come_in(lines: Any, fitter: Any, day: Any, act: Any) -> None:
    with pytest.raises(ValidationError, match="has not gone out"):
        act(operation=lines[0], on=day(0), by=fitter)
    assert Operation.objects.get(pk=lines[0].pk).state == "to do"


@pytest.mark.parametrize(("offset", "words"), [(1, "has not come yet"), (-5, "cannot come in before that")])
def test_the_day_of_goods_in_must_be_possible(
    out: Any, fitter: Any, day: Any, offset: int, words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        operation_accept(operation=out, on=day(offset), by=fitter)
    with pytest.raises(ValidationError, match=words):
        operation_reject(operation=out, on=day(offset), by=fitter, reason="bent")
    out.refresh_from_db()
    assert out.state == "out"
    assert out.part.operations.count() == 3


@pytest.mark.parametrize("cost", [Decimal("-1"), Decimal("10000000"), Decimal("1.005")])
def test_an_impossible_cost_is_refused(out: Any, manager: Any, day: Any, cost: Decimal) -> None:
    with pytest.raises(ValidationError):
        operation_accept(operation=out, on=day(0), by=manager, cost=cost)
    out.refresh_from_db()
    assert (out.state, out.cost) == ("out", None)


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (0, "0 counted: say how many"),
        (2, "2 counted, but 1 went out: 1 can still come in"),
        (-1, "-1 pieces cannot be counted"),
        (10**12, "counted, but 1 went out"),
    ],
)
def test_a_count_that_cannot_have_come_in_is_refused(
    out: Any, fitter: Any, day: Any, count: int, words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        operation_accept(operation=out, on=day(0), by=fitter, count=count)
    out.refresh_from_db()
    assert out.state == "out"


def test_a_rejected_line_is_followed_by_its_rework(out: Any, fitter: Any, welder: Any, day: Any) -> None:
    out.colour, out.specification, out.lead_high_days = "black", "to BS EN 123", 15
    out.save()
    rework = operation_reject(operation=out, on=day(0), by=fitter, reason="  hole 3 mm\n off ")
    assert card(out.part) == [
        (1, "fabricate", "rejected"),
        (2, "fabricate", "to do"),
        (3, "machine", "to do"),
        (4, "zinc_plate", "to do"),
    ]
    assert rework is not None
    assert (rework.reworks, rework.supplier, rework.lead_high_days) == (out, welder, 15)
    assert (rework.colour, rework.specification, rework.sent_on, rework.promised_on) == (
        "black",
        "to BS EN 123",
        None,
        None,
    )
    out.refresh_from_db()
    assert (out.reason, out.checked_by) == ("hole 3 mm off", fitter)


def test_a_rework_fits_a_gap_in_the_numbers(out: Any, fitter: Any, day: Any) -> None:
    out.part.operations.get(sequence=2).delete()
    operation_reject(operation=out, on=day(0), by=fitter, reason="bent")
    assert [line[0] for line in card(out.part)] == [1, 2, 3]


def test_jobs_that_need_the_line_wait_for_the_rework(
    out: Any, fitter: Any, day: Any, tern: Any, make_job: Any
) -> None:
    fit, plumb = make_job(tern, "Trial fit bracket"), make_job(tern, "Plumb radiator")
    Need.objects.create(job=fit, part=out.part, operation=out)
    Need.objects.create(job=plumb, part=out.part)
    rework = operation_reject(operation=out, on=day(0), by=fitter, reason="bent")
    assert fit.part_needs.get().operation == rework
    assert plumb.part_needs.get().operation is None


def test_a_rework_can_itself_be_rejected_and_the_next_line_goes_after_the_second(
    out: Any, lines: Any, fitter: Any, day: Any
) -> None:
    first = operation_reject(operation=out, on=day(-3), by=fitter, reason="bent")
    with pytest.raises(ValidationError, match="line 2, fabricate, is not accepted yet"):
        operation_send(operation=lines[1], on=day(0), by=fitter)
    operation_send(operation=first, on=day(-3), by=fitter)
    second = operation_reject(operation=first, on=day(-2), by=fitter, reason="bent again")
    operation_send(operation=second, on=day(-2), by=fitter)
    operation_accept(operation=second, on=day(-1), by=fitter)
    assert operation_send(operation=lines[1], on=day(0), by=fitter).state == "out"


def test_without_rework_the_route_card_stands_still(out: Any, lines: Any, fitter: Any, day: Any) -> None:
    assert operation_reject(operation=out, on=day(0), by=fitter, reason="scrap", rework=False) is None
    assert len(card(out.part)) == 3
    with pytest.raises(ValidationError, match="no line makes it good yet"):
        operation_send(operation=lines[1], on=day(0), by=fitter)


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_a_rejection_needs_its_reason(out: Any, fitter: Any, day: Any, reason: str) -> None:
    with pytest.raises(ValidationError, match="needs its reason"):
        operation_reject(operation=out, on=day(0), by=fitter, reason=reason)
    out.refresh_from_db()
    assert (out.state, out.part.operations.count()) == ("out", 3)


def test_a_reason_too_long_changes_nothing(out: Any, fitter: Any, day: Any) -> None:
    with pytest.raises(ValidationError):
        operation_reject(operation=out, on=day(0), by=fitter, reason="x" * 301)
    out.refresh_from_db()
    assert (out.state, out.part.operations.count()) == ("out", 3)


def test_a_rejection_twice_makes_one_rework(out: Any, fitter: Any, day: Any) -> None:
    operation_reject(operation=out, on=day(0), by=fitter, reason="bent")
    with pytest.raises(ValidationError, match="was rejected"):
        operation_reject(operation=out, on=day(0), by=fitter, reason="bent")
    assert out.part.operations.count() == 4


def test_goods_in_taken_back_is_out_again(out: Any, fitter: Any, manager: Any, day: Any) -> None:
    operation_accept(operation=out, on=day(0), by=fitter)
    line = operation_take_back(operation=out, by=manager)
    assert (line.state, line.back_on, line.checked_by, line.promised_on) == ("out", None, None, day(2))


def test_a_rejection_taken_back_takes_its_rework_along(
    out: Any, fitter: Any, manager: Any, day: Any, tern: Any, make_job: Any
) -> None:
    fit = make_job(tern, "Trial fit bracket")
    Need.objects.create(job=fit, part=out.part, operation=out)
    operation_reject(operation=out, on=day(0), by=fitter, reason="bent")
    operation_take_back(operation=out, by=manager)
    assert [state for _, _, state in card(out.part)] == ["out", "to do", "to do"]
    assert fit.part_needs.get().operation == out


def test_goods_out_taken_back_is_to_do_again_and_keeps_what_was_promised(out: Any, manager: Any) -> None:
    line = operation_take_back(operation=out, by=manager)
    assert (line.state, line.promised_on) == ("to do", None)
    assert line.promises.count() == 1
    with pytest.raises(ValidationError, match="Nothing has been recorded"):
        operation_take_back(operation=out, by=manager)


def test_what_something_later_rests_on_is_not_taken_back(
    out: Any, lines: Any, fitter: Any, manager: Any, day: Any
) -> None:
    operation_accept(operation=out, on=day(-1), by=fitter)
    operation_send(operation=lines[1], on=day(0), by=fitter)
    with pytest.raises(ValidationError, match="take that back first"):
        operation_take_back(operation=out, by=manager)
    out.refresh_from_db()
    assert out.state == "accepted"


def test_a_batch_is_not_taken_back_piece_by_piece(
    tern: Any, make_part: Any, plater: Any, process: Any, manager: Any, day: Any
) -> None:
    line = make_part(tern, "clip", route=[("zinc_plate", plater, 5)]).operations.get()
    line.batch = FinishingBatch.objects.create(
        supplier=plater, process=process("zinc_plate"), sent_on=day(-1)
    )
    line.sent_on = day(-1)
    line.save()
    with pytest.raises(ValidationError, match="piece by piece"):
        operation_take_back(operation=line, by=manager)
    line.refresh_from_db()
    assert line.state == "out"

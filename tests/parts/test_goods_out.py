"""Goods out: in turn, on a day that can be, with the drawing and the promise that go with it."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from parts.models import FinishingBatch, Operation, Overrule, SupplierPromise
from parts.services.files import file_add
from parts.services.operations import operation_accept, operation_order, operation_send, operations_order
from parts.services.trade import RuleBroken, read_rulebook, saved_card
from parts.trade.check import findings

PDF = b"%PDF-1.4\n%%EOF\n"


def nothing_changed(operation: Operation) -> bool:
    now = Operation.objects.get(pk=operation.pk)
    return (now.sent_on, now.promised_on, now.sent_drawing_id, now.version) == (
        operation.sent_on,
        operation.promised_on,
        operation.sent_drawing_id,
        operation.version,
    ) and not SupplierPromise.objects.filter(operation=operation).exists()


def refusal(operation: Operation, **fields: Any) -> ValidationError:
    with pytest.raises(ValidationError) as refused:
        operation_send(operation=operation, **fields)
    assert nothing_changed(operation)
    return refused.value


def test_goods_out_is_recorded_with_the_promise(lines: Any, fitter: Any, day: Any) -> None:
    line = operation_send(operation=lines[0], on=day(-2), by=fitter, promised_on=day(12))
    line.refresh_from_db()
    assert (line.state, line.sent_on, line.promised_on, line.version) == ("out", day(-2), day(12), 2)
    promise = line.promises.get()
    assert (promise.promised_on, promise.made_on, promise.by) == (day(12), day(-2), fitter)


def test_the_newest_drawing_goes_with_it(lines: Any, manager: Any, day: Any) -> None:
    for revision in ("A", "B"):
        newest = file_add(
            kind="drawing",
            upload=SimpleUploadedFile("x.pdf", PDF),
            title="bracket",
            revision=revision,
            part=lines[0].part,
            by=manager,
            at=timezone.now(),
        )
    line = operation_send(operation=lines[0], on=day(0), by=manager)
    assert line.sent_drawing == newest
    assert line.sent_drawing.revision == "B"


def test_a_second_press_changes_nothing_and_says_so(lines: Any, fitter: Any, day: Any) -> None:
    line = operation_send(operation=lines[0], on=day(0), by=fitter)
    with pytest.raises(ValidationError, match="already; nothing was changed") as second:
        operation_send(operation=lines[0], on=day(0), by=fitter, promised_on=day(3))
    assert second.value.code == "already"
    assert nothing_changed(line)


def test_a_line_waits_for_the_lines_above_it(lines: Any, fitter: Any, day: Any) -> None:
    assert "line 1, fabricate, is not accepted yet (to do)" in str(refusal(lines[1], on=day(0), by=fitter))
    operation_send(operation=lines[0], on=day(-5), by=fitter)
    assert "(out)" in str(refusal(lines[1], on=day(0), by=fitter))


def test_a_line_cannot_go_before_the_one_above_came_in(lines: Any, fitter: Any, day: Any) -> None:
    operation_send(operation=lines[0], on=day(-5), by=fitter)
    operation_accept(operation=lines[0], on=day(-2), by=fitter)
    assert "cannot have gone before that" in str(refusal(lines[1], on=day(-3), by=fitter))
    assert operation_send(operation=lines[1], on=day(-2), by=fitter).state == "out"


@pytest.mark.parametrize(("offset", "words"), [(1, "has not come yet"), (-4000, "Check the year")])
def test_the_day_must_have_been(lines: Any, fitter: Any, day: Any, offset: int, words: str) -> None:
    error = refusal(lines[0], on=day(offset), by=fitter)
    assert words in error.message_dict["on"][0]


@pytest.mark.parametrize(("offset", "words"), [(-1, "cannot be meant"), (2000, "Check the year")])
def test_the_promise_must_be_meant(lines: Any, fitter: Any, day: Any, offset: int, words: str) -> None:
    error = refusal(lines[0], on=day(0), by=fitter, promised_on=day(offset))
    assert words in error.message_dict["promised_on"][0]


def test_a_line_after_a_trial_fit_waits_for_it(
    lines: Any, fitter: Any, manager: Any, day: Any, tern: Any, make_job: Any
) -> None:
    fit = make_job(tern, "Trial fit bracket", needs_signature=True)
    lines[0].after_jobs.add(fit)
    assert "“Trial fit bracket” is not done" in str(refusal(lines[0], on=day(0), by=fitter))
    fit.done_at, fit.done_by = timezone.now(), fitter
    fit.save()
    assert "“Trial fit bracket” is not signed for" in str(refusal(lines[0], on=day(0), by=fitter))
    fit.signed_off_at, fit.signed_off_by = timezone.now(), manager
    fit.save()
    assert operation_send(operation=lines[0], on=day(0), by=fitter).state == "out"


def test_the_first_line_waits_for_the_job_that_makes_the_part(
    bracket: Any, lines: Any, fitter: Any, day: Any, tern: Any, make_job: Any
) -> None:
    bracket.made_by = make_job(tern, "Draw bracket")
    bracket.save()
    assert "“Draw bracket”" in str(refusal(lines[0], on=day(0), by=fitter))


def test_a_line_in_a_batch_goes_with_its_batch(
    tern: Any, make_part: Any, plater: Any, process: Any, fitter: Any, day: Any
) -> None:
    line = make_part(tern, "clip", route=[("zinc_plate", plater, 5)]).operations.get()
    line.batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    line.save()
    assert "goes out as a whole" in str(refusal(line, on=day(0), by=fitter))
    assert operation_send(operation=line, on=day(0), by=fitter, with_batch=line.batch).state == "out"


def test_a_line_that_somebody_struck_out_meanwhile(lines: Any, fitter: Any, day: Any) -> None:
    Operation.objects.filter(pk=lines[0].pk).delete()
    with pytest.raises(ValidationError, match="removed this line"):
        operation_send(operation=lines[0], on=day(0), by=fitter)


def test_many_orders_are_all_placed(tern: Any, make_part: Any, plater: Any, manager: Any, day: Any) -> None:
    parts = [make_part(tern, name, route=[("supply", plater, 9)]) for name in ("pump", "relay")]
    orders = [part.operations.get() for part in parts]
    operations_order(operations=orders, on=day(-1), by=manager, promised_on=day(7))
    assert [(line.sent_on, line.promised_on) for line in Operation.objects.all()] == [(day(-1), day(7))] * 2


def test_many_orders_of_which_one_cannot_be_placed_are_none_of_them(
    tern: Any, make_part: Any, lines: Any, plater: Any, manager: Any, day: Any
) -> None:
    pump = make_part(tern, "pump", route=[("supply", plater, 9)]).operations.get()
    with pytest.raises(ValidationError) as refused:
        operations_order(operations=[pump, lines[1]], on=day(0), by=manager)
    assert len(refused.value.messages) == 1
    assert refused.value.messages[0].startswith(
        "Tern, radiator bracket, machine: “radiator bracket: Machine” cannot go"
    )
    assert not Operation.objects.filter(sent_on__isnull=False).exists()


def test_an_order_is_a_goods_out(tern: Any, make_part: Any, plater: Any, manager: Any, day: Any) -> None:
    pump = make_part(tern, "pump", route=[("supply", plater, 9)]).operations.get()
    assert operation_order(operation=pump, on=day(0), by=manager).state == "out"


def test_parts_are_locked_in_one_order_whatever_was_ticked_first(
    tern: Any, make_part: Any, plater: Any, manager: Any, day: Any
) -> None:
    """Two managers who mark the same lines in different orders would else wait for each other."""
    orders = [make_part(tern, name, route=[("supply", plater, 5)]).operations.get() for name in "abc"]
    placed = operations_order(operations=orders[::-1], on=day(0), by=manager)
    assert placed == orders


def test_a_line_that_breaks_a_must_stays_until_a_manager_has_answered(
    tern: Any, make_part: Any, plater: Any, fitter: Any, manager: Any, today: Any
) -> None:
    """Hot-dip zinc bursts a sealed hollow section: such a card may have been read from a list."""
    part = make_part(tern, "crossmember", route=[("galvanise", plater, 5)], features=["sealed"])
    line = part.operations.get()
    with pytest.raises(RuleBroken, match="vent"):
        operation_send(operation=line, on=today, by=fitter)
    line.refresh_from_db()
    assert line.sent_on is None
    (finding,) = (one for one in findings(saved_card(part), read_rulebook()) if one.is_must)
    Overrule.objects.create(
        operation=line,
        rule=finding.key,
        words=finding.why,
        reason="drilled this morning, seen",
        by=manager,
        at=timezone.now(),
    )
    assert operation_send(operation=line, on=today, by=fitter).sent_on == today

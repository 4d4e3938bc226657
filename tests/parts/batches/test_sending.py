"""A batch goes out as a whole, less what is left behind by name."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from parts.models import FinishingBatch, Operation, StoredFile, SupplierPromise
from parts.services.batches import batch_save, batch_send, batch_take_back

Clip = Callable[..., Any]


@pytest.fixture
def make_batch(open_plater: Any, today: date) -> Callable[..., FinishingBatch]:
    def make(*lines: Any) -> FinishingBatch:
        numbers = [line.pk for line in lines]
        return batch_save(operation_ids=numbers, supplier=open_plater, leaves="ready", today=today)

    return make


def refusal_of(act: Callable[..., Any], **arguments: Any) -> str:
    """The words of the refusal, after proof that nothing was saved."""
    before = list(Operation.objects.order_by("pk").values())
    batches = list(FinishingBatch.objects.order_by("pk").values())
    with pytest.raises(ValidationError) as refusal:
        act(**arguments)
    assert list(Operation.objects.order_by("pk").values()) == before
    assert list(FinishingBatch.objects.order_by("pk").values()) == batches
    assert SupplierPromise.objects.count() == 0
    return " ".join(refusal.value.messages)


def test_all_members_go_out_on_the_day_with_the_promise(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    one, two = clip("one"), clip("two")
    batch = make_batch(one, two)

    batch_send(batch=batch, on=today, by=manager, promised_on=today + timedelta(9), version=batch.version)

    batch.refresh_from_db()
    assert batch.sent_on == today
    for line in (one, two):
        line.refresh_from_db()
        assert (line.state, line.sent_on, line.promised_on) == ("out", today, today + timedelta(9))
    assert SupplierPromise.objects.filter(operation__in=[one, two]).count() == 2


def test_the_drawing_that_went_out_is_remembered(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    line = clip()
    drawing = StoredFile.objects.create(
        kind="drawing",
        file="drawing/a.pdf",
        title="clip",
        revision="B",
        content_type="application/pdf",
        part=line.part,
        added_by=manager,
        added_at=timezone.now(),
    )

    batch_send(batch=make_batch(line), on=today, by=manager)

    line.refresh_from_db()
    assert line.sent_drawing == drawing


def test_a_member_that_is_not_ready_is_named_and_nothing_goes(
    clip: Clip, unready: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    batch = make_batch(clip(), unready())

    words = refusal_of(batch_send, batch=batch, on=today, by=manager)

    assert "“headlamp brackets” of Skua cannot go" in words
    assert "machine, is not accepted yet (out)" in words
    assert "Tick what stays behind" in words


def test_what_is_left_behind_leaves_the_batch_and_stays_to_do(
    clip: Clip, unready: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    goes, stays = clip(), unready()
    batch = make_batch(goes, stays)

    batch_send(batch=batch, on=today, by=manager, leave_behind=[stays.pk])

    goes.refresh_from_db()
    stays.refresh_from_db()
    assert (goes.state, goes.batch) == ("out", batch)
    assert (stays.state, stays.batch) == ("to do", None)


def test_a_batch_of_which_all_stays_behind_is_not_sent(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    line = clip()
    batch = make_batch(line)

    assert "nothing to send" in refusal_of(
        batch_send, batch=batch, on=today, by=manager, leave_behind=[line.pk]
    )


def test_leaving_behind_a_stranger_is_refused(clip: Clip, make_batch: Any, manager: Any, today: date) -> None:
    batch, stranger = make_batch(clip("member")), clip("stranger")

    assert "not in the batch any more" in refusal_of(
        batch_send, batch=batch, on=today, by=manager, leave_behind=[stranger.pk]
    )


def test_a_batch_is_sent_once(clip: Clip, make_batch: Any, manager: Any, today: date) -> None:
    batch = make_batch(clip())
    batch_send(batch=batch, on=today, by=manager)

    assert "went out on" in refusal_of(batch_send, batch=batch, on=today, by=manager)


def test_a_batch_changed_meanwhile_is_not_sent(
    clip: Clip, make_batch: Any, manager: Any, open_plater: Any, today: date
) -> None:
    one, two = clip("one"), clip("two")
    batch = make_batch(one, two)
    seen = batch.version
    batch_save(
        operation_ids=[one.pk], supplier=open_plater, leaves="ready", today=today, batch=batch, version=seen
    )

    words = refusal_of(batch_send, batch=batch, on=today, by=manager, version=seen)

    assert "changed by somebody else meanwhile" in words


def test_a_route_card_changed_meanwhile_keeps_the_batch_here(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    one, two = clip("one"), clip("two")
    batch = make_batch(one, two)
    Operation.objects.filter(pk=two.pk).update(colour="black")

    assert "these differ" in refusal_of(batch_send, batch=batch, on=today, by=manager)


@pytest.mark.parametrize("field", ["on", "promised_on"])
def test_a_date_that_cannot_be_is_refused_on_its_field(
    clip: Clip, make_batch: Any, manager: Any, today: date, field: str
) -> None:
    dates = {"on": today, field: today + timedelta(1 if field == "on" else -1)}
    batch = make_batch(clip())

    with pytest.raises(ValidationError) as refusal:
        batch_send(batch=batch, by=manager, **dates)

    assert list(refusal.value.message_dict) == [field]
    batch.refresh_from_db()
    assert batch.sent_on is None


def test_a_goods_out_recorded_by_mistake_is_taken_back(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    line = clip()
    batch = make_batch(line)
    batch_send(batch=batch, on=today, by=manager, promised_on=today + timedelta(9))

    batch_take_back(batch=batch, by=manager)

    line.refresh_from_db()
    batch.refresh_from_db()
    assert (batch.sent_on, line.state, line.batch, line.promised_on) == (None, "to do", batch, None)


def test_a_batch_of_which_something_is_back_is_not_taken_back(
    clip: Clip, make_batch: Any, manager: Any, today: date
) -> None:
    line = clip()
    batch = make_batch(line)
    batch_send(batch=batch, on=today, by=manager)
    Operation.objects.filter(pk=line.pk).update(back_on=today)

    assert "did go out" in refusal_of(batch_take_back, batch=batch, by=manager)


def test_a_batch_that_is_still_here_has_nothing_to_take_back(
    clip: Clip, make_batch: Any, manager: Any
) -> None:
    assert "has not been sent" in refusal_of(batch_take_back, batch=make_batch(clip()), by=manager)

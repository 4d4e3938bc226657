"""A batch is made of pieces that can share it, for a supplier that can take them, on a day it works."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from parts.models import FinishingBatch, Material, MaterialVerdict, Operation, Supplier
from parts.services.batches import batch_check, batch_dissolve, batch_save

Clip = Callable[..., Any]


def save(*lines: Any, supplier: Any, today: date, leaves: str = "ready", **fields: Any) -> FinishingBatch:
    return batch_save(
        operation_ids=[line.pk for line in lines], supplier=supplier, leaves=leaves, today=today, **fields
    )


def members(batch: FinishingBatch) -> list[int]:
    return list(batch.operations.order_by("pk").values_list("pk", flat=True))


def refusal_of(*lines: Any, **fields: Any) -> str:
    """The words of the refusal, after proof that nothing was saved."""
    before = list(Operation.objects.order_by("pk").values())
    batches = list(FinishingBatch.objects.order_by("pk").values())
    with pytest.raises(ValidationError) as refusal:
        save(*lines, **fields)
    assert list(Operation.objects.order_by("pk").values()) == before
    assert list(FinishingBatch.objects.order_by("pk").values()) == batches
    return " ".join(refusal.value.messages)


def test_pieces_of_one_finish_make_a_batch(clip: Clip, open_plater: Any, today: date) -> None:
    one = clip("clip", colour="Clear", coating_class="Fe/Zn 8")
    two = clip("clamp", colour=" clear ", coating_class="fe/zn 8")

    batch = save(one, two, supplier=open_plater, today=today, note=" call first ")

    assert members(batch) == [one.pk, two.pk]
    assert (batch.process.key, batch.colour, batch.coating_class) == ("zinc_plate", "Clear", "Fe/Zn 8")
    assert (batch.leaves, batch.planned_on, batch.note) == ("ready", None, "call first")


def test_the_members_go_to_the_batchs_supplier(
    clip: Clip, open_plater: Any, process: Callable[..., Any], today: date
) -> None:
    other = Supplier.objects.create(name="Marl Surface Works", saturday=True, sunday=True)
    other.processes.add(process("zinc_plate"))
    line = clip()

    save(line, supplier=other, today=today)

    line.refresh_from_db()
    assert line.supplier == other


def test_a_batch_may_leave_on_a_fixed_day(clip: Clip, open_plater: Any, today: date) -> None:
    batch = save(clip(), supplier=open_plater, today=today, leaves="fixed", planned_on=today + timedelta(4))

    assert (batch.leaves, batch.planned_on) == ("fixed", today + timedelta(4))


def test_today_is_not_too_early(clip: Clip, open_plater: Any, today: date) -> None:
    batch = save(clip(), supplier=open_plater, today=today, leaves="fixed", planned_on=today)

    assert batch.planned_on == today


def test_a_change_takes_pieces_in_and_out(clip: Clip, open_plater: Any, today: date) -> None:
    one, two, three = clip("one"), clip("two"), clip("three")
    batch = save(one, two, supplier=open_plater, today=today)

    save(two, three, supplier=open_plater, today=today, batch=batch, version=batch.version)

    assert members(batch) == [two.pk, three.pk]
    one.refresh_from_db()
    assert one.batch is None


def test_an_empty_batch_is_refused(open_plater: Any, today: date) -> None:
    assert "tick at least one piece" in refusal_of(supplier=open_plater, today=today)


@pytest.mark.parametrize("other", [{"colour": "black"}, {"coating_class": "Fe/Zn 12"}])
def test_mixed_finishes_are_refused_naming_both(
    clip: Clip, open_plater: Any, today: date, other: dict[str, str]
) -> None:
    words = refusal_of(clip("clip"), clip("clamp", **other), supplier=open_plater, today=today)

    assert "“clip” of Tern" in words
    assert f"“clamp” of Tern: Zinc plate, {next(iter(other.values()))}" in words


def test_another_process_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    assert "one finish" in refusal_of(
        clip("clip"), clip("grille", key="powder_coat"), supplier=open_plater, today=today
    )


def test_what_is_no_finish_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    assert "not a finish" in refusal_of(clip(key="machine"), supplier=open_plater, today=today)


def test_a_piece_in_another_batch_is_refused_naming_it(clip: Clip, open_plater: Any, today: date) -> None:
    line = clip()
    batch = save(line, supplier=open_plater, today=today)

    assert f"in zinc plate batch {batch.pk} already" in refusal_of(line, supplier=open_plater, today=today)


def test_a_piece_that_went_out_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    assert "went out on" in refusal_of(clip(sent_on=today), supplier=open_plater, today=today)


def test_a_piece_finished_in_our_own_shop_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    assert "our own shop" in refusal_of(clip(supplier=None), supplier=open_plater, today=today)


def test_a_piece_that_is_gone_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    gone = clip("gone")
    number, gone_pk = clip("stays"), gone.pk
    gone.part.delete()
    gone.pk = gone_pk

    assert "removed" in refusal_of(number, gone, supplier=open_plater, today=today)


def test_an_unsuited_material_is_refused_with_its_reason(
    clip: Clip, open_plater: Any, process: Callable[..., Any], today: date
) -> None:
    brass = Material.objects.get(key="copper_brass_bronze")
    MaterialVerdict.objects.update_or_create(
        process=process("zinc_plate"),
        material=brass,
        defaults={"verdict": "no", "reason": "it dissolves", "source": "test"},
    )

    words = refusal_of(clip(material=brass), supplier=open_plater, today=today)

    assert "Copper, brass, bronze" in words
    assert "it dissolves" in words


def test_a_supplier_that_does_not_offer_the_process_is_refused(clip: Clip, today: date) -> None:
    other = Supplier.objects.create(name="Marl Surface Works")

    assert "Marl Surface Works does not offer zinc plate" in refusal_of(clip(), supplier=other, today=today)


def test_a_piece_too_large_for_the_supplier_is_refused_naming_it(
    clip: Clip, open_plater: Any, today: date
) -> None:
    open_plater.largest_length_mm = 1200
    open_plater.save()

    words = refusal_of(clip(), clip("torsion bar", length_mm=1300), supplier=open_plater, today=today)

    assert "“torsion bar” of Tern is length 1,300 mm" in words
    assert "up to length 1,200 mm" in words


def test_a_fixed_day_must_be_given(clip: Clip, open_plater: Any, today: date) -> None:
    assert "needs that date" in refusal_of(clip(), supplier=open_plater, today=today, leaves="fixed")


@pytest.mark.parametrize(("days", "words"), [(-1, "is over"), (4000, "Check the year")])
def test_a_day_that_cannot_be_meant_is_refused(
    clip: Clip, open_plater: Any, today: date, days: int, words: str
) -> None:
    day = today + timedelta(days)

    assert words in refusal_of(clip(), supplier=open_plater, today=today, leaves="fixed", planned_on=day)


def test_an_unknown_way_of_leaving_is_refused(clip: Clip, open_plater: Any, today: date) -> None:
    assert "when the batch leaves" in refusal_of(clip(), supplier=open_plater, today=today, leaves="never")


def test_a_weekend_is_refused_with_the_next_working_day(clip: Clip, open_plater: Any) -> None:
    open_plater.saturday = open_plater.sunday = False
    open_plater.save()

    words = refusal_of(
        clip(),
        supplier=open_plater,
        today=date(2027, 3, 1),
        leaves="fixed",
        planned_on=date(2027, 3, 6),
    )

    assert "does not work on Sat 6 Mar 2027. The next day it works is Mon 8 Mar 2027" in words


def test_a_closure_is_refused_with_the_next_working_day(clip: Clip, open_plater: Any) -> None:
    open_plater.closures.create(first_day=date(2027, 3, 3), last_day=date(2027, 3, 5), reason="stocktaking")

    words = refusal_of(
        clip(),
        supplier=open_plater,
        today=date(2027, 3, 1),
        leaves="fixed",
        planned_on=date(2027, 3, 3),
    )

    assert "The next day it works is Sat 6 Mar 2027" in words


def test_a_public_holiday_is_refused(clip: Clip, open_plater: Any) -> None:
    words = refusal_of(
        clip(),
        supplier=open_plater,
        today=date(2027, 3, 1),
        leaves="fixed",
        planned_on=date(2027, 3, 26),
        public_holidays=[date(2027, 3, 26)],
    )

    assert "The next day it works is Sat 27 Mar 2027" in words


def test_a_supplier_shut_for_good_is_refused(clip: Clip, open_plater: Any) -> None:
    open_plater.closures.create(first_day=date(2027, 1, 1), last_day=date(2030, 1, 1))

    words = refusal_of(
        clip(), supplier=open_plater, today=date(2027, 3, 1), leaves="fixed", planned_on=date(2027, 3, 2)
    )

    assert "does not work for a year" in words


def test_the_second_of_two_managers_is_told(clip: Clip, open_plater: Any, today: date) -> None:
    one, two = clip("one"), clip("two")
    batch = save(one, two, supplier=open_plater, today=today)
    seen = batch.version
    save(one, supplier=open_plater, today=today, batch=batch, version=seen)

    words = refusal_of(two, supplier=open_plater, today=today, batch=batch, version=seen)

    assert "changed by somebody else meanwhile" in words
    assert members(batch) == [one.pk]


def test_a_sent_batch_is_not_changed(clip: Clip, open_plater: Any, today: date) -> None:
    line = clip()
    batch = save(line, supplier=open_plater, today=today)
    FinishingBatch.objects.filter(pk=batch.pk).update(sent_on=today)

    assert "went out on" in refusal_of(line, supplier=open_plater, today=today, batch=batch)


def test_a_check_finds_the_same_fault_and_saves_nothing(clip: Clip, open_plater: Any, today: date) -> None:
    line = clip()
    arguments: dict[str, Any] = {"supplier": open_plater, "today": today}

    batch_check(operation_ids=[line.pk], leaves="ready", **arguments)
    with pytest.raises(ValidationError, match="needs that date"):
        batch_check(operation_ids=[line.pk], leaves="fixed", **arguments)

    assert FinishingBatch.objects.count() == 0


def test_a_dissolved_batch_frees_its_pieces(clip: Clip, open_plater: Any, today: date) -> None:
    line = clip()
    batch = save(line, supplier=open_plater, today=today)

    batch_dissolve(batch=batch, version=batch.version)

    line.refresh_from_db()
    assert line.batch is None
    assert FinishingBatch.objects.count() == 0


def test_a_batch_is_dissolved_once(clip: Clip, open_plater: Any, today: date) -> None:
    batch = save(clip(), supplier=open_plater, today=today)
    twin = FinishingBatch.objects.get()
    batch_dissolve(batch=batch)

    with pytest.raises(ValidationError, match="dissolved this batch in the meantime"):
        batch_dissolve(batch=twin)


def test_a_sent_batch_is_not_dissolved(clip: Clip, open_plater: Any, today: date) -> None:
    batch = save(clip(), supplier=open_plater, today=today)
    FinishingBatch.objects.update(sent_on=today)

    with pytest.raises(ValidationError, match="went out on"):
        batch_dissolve(batch=batch)

    assert members(batch) != []

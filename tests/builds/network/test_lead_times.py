"""A lead time means the same number of days on every page, before goods go, while they are out and after.

1 March 2027 is a Monday. Three days from it, counted on a wall calendar: 1, 2 and 3 March; back on Thursday
4 March. Nothing is closed in that week.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from builds.batching.desk import Desk
from builds.network import WorkshopState, load_workshop
from builds.sheets.finishing import read_finishing
from builds.sheets.finishing_answers import lot_line
from builds.sheets.supplier import read_supplier
from builds.sheets.waiting import read_waiting
from parts.models import FinishingBatch, Operation, SupplierPromise

MONDAY, TUESDAY, THURSDAY, FRIDAY = (date(2027, 3, day) for day in (1, 2, 4, 5))


@pytest.fixture
def clip(tern: Any, plater: Any, process: Any, make_part: Any, make_job: Any, first_start_up: Any) -> Any:
    """Ready on Monday for the plater, who takes three days; first start-up waits for it."""
    plater.processes.add(process("zinc_plate"))
    part = make_part(tern, "clip", route=[("zinc_plate", plater, 3)])
    first_start_up(tern, make_job(tern, "fit clip", hours=4, needs=[part]))
    return part.operations.get()


def changed(line: Any, **fields: Any) -> Any:
    Operation.objects.filter(pk=line.pk).update(**fields)
    line.refresh_from_db()
    return line


def back_on(line: Any, day: date) -> date | None:
    return load_workshop(day).facts().operations[line.pk].back_on


def start_up(car: Any, day: date) -> date | None:
    return load_workshop(day).facts().cars[car.pk].first_start_up.on


def planned_lots(state: WorkshopState) -> list[tuple[date, date]]:
    (item,) = read_finishing(state.facts()).lots
    working = Desk.of(state, [item.pieces[0].operation.supplier_id]).lot(item.pieces)
    return [(lot.leaves_on, lot.back_on) for lot in (lot_line(working, lot) for lot in working.chosen.lots)]


def test_a_lot_that_leaves_on_monday_for_three_days_is_back_on_thursday_on_every_page(
    clip: Any, plater: Any
) -> None:
    before = load_workshop(MONDAY)
    assert planned_lots(before) == [(MONDAY, THURSDAY)]
    assert before.facts().operations[clip.pk].back_on == THURSDAY

    changed(clip, sent_on=MONDAY)
    out = load_workshop(MONDAY)
    assert read_waiting(out.facts()).lines[0].facts.back_on == THURSDAY
    assert out.forecaster.expectation(out.model.rows.operations[clip.pk]).spread.median / 1440 == 3

    changed(clip, back_on=THURSDAY, result="accepted")
    after = load_workshop(THURSDAY)
    assert [line.days_away for line in read_supplier(plater, after).record] == [3]
    assert [job.actual_days for jobs in after.forecaster.records.values() for job in jobs] == [3.0]


def test_a_batch_planned_for_a_day_is_back_as_many_days_later(clip: Any, plater: Any) -> None:
    batch = FinishingBatch.objects.create(
        supplier=plater, process=clip.process, leaves="fixed", planned_on=TUESDAY
    )
    changed(clip, batch=batch)

    assert back_on(clip, MONDAY) == FRIDAY  # 2, 3 and 4 March


@pytest.mark.parametrize("promised_on", [None, THURSDAY])
def test_goods_out_on_the_planned_day_change_no_date(
    clip: Any, tern: Any, manager: Any, promised_on: date | None
) -> None:
    """Nor does a promise for the day that the lead time gives."""
    planned = back_on(clip, MONDAY), start_up(tern, MONDAY)
    assert planned == (THURSDAY, THURSDAY)

    changed(clip, sent_on=MONDAY, promised_on=promised_on)
    if promised_on:
        SupplierPromise.objects.create(operation=clip, promised_on=promised_on, made_on=MONDAY, by=manager)

    assert (back_on(clip, MONDAY), start_up(tern, MONDAY)) == planned
    assert (back_on(clip, TUESDAY), start_up(tern, TUESDAY)) == planned


def test_goods_out_change_no_date_where_the_supplier_rests_on_a_day_that_we_work(
    clip: Any, tern: Any, plater: Any
) -> None:
    """Monday to Wednesday are its days, Thursday is ours: they are over on Wednesday night."""
    plater.thursday = plater.friday = False
    plater.save()
    planned = back_on(clip, MONDAY), start_up(tern, MONDAY)
    assert planned == (THURSDAY, THURSDAY)

    changed(clip, sent_on=MONDAY)

    assert (back_on(clip, MONDAY), start_up(tern, MONDAY)) == planned


def test_a_lot_ready_in_the_course_of_a_day_is_counted_from_that_day_on_every_page(
    clip: Any, tern: Any, make_job: Any
) -> None:
    """Ready on Tuesday: 2, 3 and 4 March, back on Friday."""
    make = make_job(tern, "make clip", hours=10)
    clip.part.made_by = make
    clip.part.save()

    state = load_workshop(MONDAY)
    assert planned_lots(state) == [(TUESDAY, FRIDAY)]
    assert state.facts().operations[clip.pk].back_on == FRIDAY
    assert back_on(changed(clip, sent_on=TUESDAY), TUESDAY) == FRIDAY


def test_what_follows_can_go_on_the_day_the_first_is_back(
    tern: Any, plater: Any, make_part: Any, make_job: Any, first_start_up: Any
) -> None:
    arm = make_part(tern, "arm", route=[("machine", plater, 3), ("zinc_plate", plater, 2)])
    first_start_up(tern, make_job(tern, "fit arm", needs=[arm]))
    facts = load_workshop(MONDAY).facts().operations
    first, second = (facts[line.pk] for line in arm.operations.order_by("sequence"))

    assert first.back_on == THURSDAY
    assert (second.ready_on, second.leaves_on) == (THURSDAY, THURSDAY)
    assert second.back_on == date(2027, 3, 8)  # 4 and 5 March, then Monday

"""One lot has one day back, whatever page says it: before it goes, on the day it goes, and once promised.

1 March 2027 is a Monday, and nothing is closed near it. The days are counted on a wall calendar: the plater
works from Monday to Friday and takes three days.
"""

import re
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from builds.batching.desk import Desk
from builds.network import load_workshop
from builds.sheets.finishing import read_finishing
from parts.models import FinishingBatch, Operation, SupplierPromise

MONDAY, TUESDAY, THURSDAY, FRIDAY = (date(2027, 3, day) for day in (1, 2, 4, 5))


@pytest.fixture(autouse=True)
def _on_monday(monkeypatch: Any) -> None:
    now = datetime(2027, 3, 1, 9, tzinfo=ZoneInfo("Europe/London"))
    monkeypatch.setattr(timezone, "now", lambda: now)


@pytest.fixture
def clip(
    tern: Any, plater: Any, process: Any, make_part: Any, make_job: Any, first_start_up: Any
) -> Operation:
    """Ready on Monday morning; first start-up waits for it."""
    plater.processes.add(process("zinc_plate"))
    part = make_part(tern, "clip", route=[("zinc_plate", plater, 3)])
    first_start_up(tern, make_job(tern, "fit clip", hours=4, needs=[part]))
    line: Operation = part.operations.get()
    return line


@pytest.fixture
def says(as_manager: Client) -> Any:
    """says('waiting'): the words of a page, with single spaces."""

    def read(name: str, *args: int) -> str:
        page = as_manager.get(reverse(name, args=args)).content.decode()
        return re.sub(r"\s+", " ", strip_tags(page))

    return read


def test_before_it_goes(clip: Operation, says: Any) -> None:
    assert "today, back Thu 4 Mar: clip of Tern" in says("finishing")
    assert "today, back Thu 4 Mar: clip of Tern" in says("finishing-lot", clip.pk)
    assert "expected Thu 4 Mar" in says("part", clip.part_id)


def test_in_a_batch_that_waits_for_a_day(clip: Operation, plater: Any, says: Any) -> None:
    batch = FinishingBatch.objects.create(
        supplier=plater, process=clip.process, leaves="fixed", planned_on=TUESDAY
    )
    Operation.objects.filter(pk=clip.pk).update(batch=batch)

    assert "expected Fri 5 Mar" in says("part", clip.part_id)
    (sheet,) = read_finishing(load_workshop(MONDAY).facts()).waiting
    assert (sheet.leaves_on, sheet.back_on) == (TUESDAY, FRIDAY)


def test_once_it_is_out(clip: Operation, plater: Any, says: Any) -> None:
    batch = FinishingBatch.objects.create(supplier=plater, process=clip.process, sent_on=MONDAY)
    Operation.objects.filter(pk=clip.pk).update(batch=batch, sent_on=MONDAY)

    assert "expected Thu 4 Mar" in says("part", clip.part_id)
    assert "expected Thu 4 Mar" in says("waiting")
    assert "expected back Thu 4 Mar" in says("finishing")
    assert "expected back Thu 4 Mar" in says("batch", batch.pk)
    assert "no day promised: ask for a day" in says("chase-list")


def test_once_the_plater_has_promised_the_day_that_was_counted_on(
    clip: Operation, manager: Any, says: Any
) -> None:
    Operation.objects.filter(pk=clip.pk).update(sent_on=MONDAY, promised_on=THURSDAY)
    SupplierPromise.objects.create(operation=clip, promised_on=THURSDAY, made_on=MONDAY, by=manager)

    assert "expected Thu 4 Mar" in says("part", clip.part_id)
    assert "expected Thu 4 Mar" in says("waiting")
    assert "promised Thu 4 Mar: is it on time?" in says("chase-list")


def test_what_is_to_be_ordered_comes_on_the_day_that_its_order_by_counts_to(
    tern: Any, plater: Any, make_part: Any, make_job: Any, first_start_up: Any, says: Any
) -> None:
    """The wing is promised for Monday 8 March. The lamp's three days before it: 3, 4 and 5 March."""
    wing = make_part(tern, "wing", route=[("supply", plater, 5)])
    wing.operations.update(sent_on=MONDAY, promised_on=date(2027, 3, 8))
    lamp = make_part(tern, "lamp", route=[("supply", plater, 3)])
    first_start_up(tern, make_job(tern, "fit lamp", hours=2, needs=[wing, lamp]))

    assert "go by Wed 3 Mar" in says("part", lamp.pk)
    assert re.search(r"lamp.* Wed 3 Mar", says("orders"))
    for leaves, back, start_up in ((3, 8, 8), (4, 9, 9)):
        day = date(2027, 3, leaves)
        lamp.operations.update(sent_on=day)
        facts = load_workshop(day).facts()
        assert facts.operations[lamp.operations.get().pk].back_on == date(2027, 3, back)
        assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, start_up)


@pytest.fixture
def machined_clip(clip: Operation, plater: Any, process: Any) -> Operation:
    """The clip, at its machinist until Tuesday about midday."""
    clip.sequence = 2
    clip.save()
    Operation.objects.create(
        part=clip.part,
        sequence=1,
        process=process("machine"),
        supplier=plater,
        sent_on=MONDAY,
        promised_on=TUESDAY,
        lead_low_days=1,
        lead_likely_days=1,
        lead_high_days=1,
    )
    return clip


@pytest.mark.parametrize("days", [1, 3])
def test_what_is_ready_about_midday_leaves_on_that_day_and_never_comes_later_for_having_gone(
    machined_clip: Operation, days: int, says: Any
) -> None:
    back = {1: "Wed 3 Mar", 3: "Fri 5 Mar"}[days]
    own = Operation.objects.filter(pk=machined_clip.pk)
    own.update(lead_low_days=days, lead_likely_days=days, lead_high_days=days)

    assert f"Tue 2 Mar, back {back}: clip of Tern" in says("finishing")
    assert f"expected {back}" in says("part", machined_clip.part_id)

    machined_clip.part.operations.filter(sequence=1).update(back_on=TUESDAY, result="accepted")
    own.update(sent_on=TUESDAY)
    assert f"expected {back}" in says("part", machined_clip.part_id)
    assert f"expected {back}" in says("waiting")


def test_the_day_back_is_the_slowest_of_its_own_lot(
    clip: Operation, skua: Any, plater: Any, make_part: Any, make_job: Any, first_start_up: Any
) -> None:
    """Skua's hook takes five days and is ready on Friday; Tern's clip has gone on Monday for three."""
    hook = make_part(skua, "hook", route=[("machine", plater, 3), ("zinc_plate", plater, 5)])
    hook.operations.filter(sequence=1).update(sent_on=MONDAY, promised_on=FRIDAY)
    first_start_up(skua, make_job(skua, "fit hook", needs=[hook]))
    state = load_workshop(MONDAY)
    (item,) = read_finishing(state.facts()).lots
    working = Desk.of(state, [plater.pk]).lot(item.pieces)
    known = state.facts().operations

    for lot in working.found.apart.lots:
        assert [working.back_on(lot)] == [known[number].back_on for number in lot.piece_ids]
    assert len(working.found.apart.lots) == 2

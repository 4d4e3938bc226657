"""The sheet of one part: where it is in words, its route card, and what can be done with each line."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from builds.models import Need
from builds.network import load_workshop, unchanged
from builds.sheets.part import read_part
from parts.batching.words import short_day
from parts.models import FinishingBatch, Operation
from parts.services.operations import operation_accept, operation_reject, operation_send, operation_take_in
from parts.services.promises import supplier_promise


def sheet(part: Any, today: Any) -> Any:
    return read_part(part.pk, load_workshop(today).facts())


def test_where_a_part_is_through_its_whole_way(tank: Any, fitter: Any, today: Any, day: Any) -> None:
    first, second = tank.operations.all()

    def words(offset: int) -> str:
        return short_day(day(offset), today)

    assert sheet(tank, today).where == "not begun, next: fabricate at Harrow Lane Fabrications"
    operation_send(operation=first, on=day(-9), by=fitter, promised_on=day(-2))
    assert sheet(tank, today).where == (
        f"out at Harrow Lane Fabrications, fabricate, since {words(-9)}, promised {words(-2)}, 2 days late"
    )
    operation_take_in(operation=first, on=day(-1), by=fitter)
    assert sheet(tank, today).where == (
        f"back from Harrow Lane Fabrications since {words(-1)}, to be checked"
    )
    rework = operation_reject(operation=first, on=day(-1), by=fitter, reason="leaks")
    assert sheet(tank, today).where == "rejected, goes again to Harrow Lane Fabrications: fabricate"
    operation_send(operation=rework, on=day(-1), by=fitter)
    operation_accept(operation=rework, on=day(-1), by=fitter)
    assert sheet(tank, today).where == "here, next: zinc plate at Ferrand Plating"
    operation_send(operation=second, on=day(-1), by=fitter)
    operation_accept(operation=second, on=today, by=fitter)
    assert sheet(tank, today).where == f"here and finished, since {words(0)}"


def test_where_a_bought_in_part_is(tern: Any, make_part: Any, plater: Any, fitter: Any, today: Any) -> None:
    part = make_part(tern, "pump", route=[("supply", plater, 9)])
    assert sheet(part, today).where == "to be ordered from Ferrand Plating"
    operation_send(operation=part.operations.get(), on=today, by=fitter)
    assert sheet(part, today).where.startswith("on order from Ferrand Plating, supply, since")
    assert sheet(part, today).where.endswith("no day promised")


def test_where_a_part_in_a_batch_is(tern: Any, make_part: Any, plater: Any, process: Any, today: Any) -> None:
    part = make_part(tern, "clip", route=[("zinc_plate", plater, 5)])
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    part.operations.update(batch=batch)
    found = sheet(part, today)
    assert found.where == f"here, waits to go with {batch} to Ferrand Plating"
    assert (found.lines[0].can_send, found.lines[0].can_strike_out) == (False, False)


def test_where_a_part_without_route_card_is(tern: Any, make_part: Any, make_job: Any, today: Any) -> None:
    part = make_part(tern, "pipe")
    assert sheet(part, today).where == "it has no route card yet"
    part.made_by = make_job(tern, "Bend pipe")
    part.save()
    assert sheet(part, today).where == "made here: “Bend pipe”"


def test_a_rejection_that_nothing_makes_good(tank: Any, fitter: Any, today: Any) -> None:
    first = tank.operations.first()
    operation_send(operation=first, on=today, by=fitter)
    operation_reject(operation=first, on=today, by=fitter, reason="scrap", rework=False)
    assert sheet(tank, today).where == "rejected after fabricate: scrap; no line makes it good yet"


def test_what_can_be_done_with_each_line(tank: Any, fitter: Any, today: Any) -> None:
    def acts() -> list[tuple[bool, bool, bool, bool, bool]]:
        return [
            (line.can_send, line.can_take_in, line.can_promise, line.can_strike_out, line.is_last_recorded)
            for line in sheet(tank, today).lines
        ]

    assert acts() == [(True, False, False, True, False), (False, False, False, True, False)]
    operation_send(operation=tank.operations.first(), on=today, by=fitter)
    assert acts() == [(False, True, True, False, True), (False, False, False, True, False)]
    operation_accept(operation=tank.operations.first(), on=today, by=fitter)
    assert acts() == [(False, False, False, False, True), (True, False, False, True, False)]


def test_promises_and_needs_are_listed(
    tank: Any, tern: Any, make_job: Any, fitter: Any, today: Any, day: Any, as_fitter: Client
) -> None:
    Need.objects.create(job=make_job(tern, "Trial fit"), part=tank, operation=tank.operations.first())
    make_job(tern, "Fit tank", needs=[tank])
    line = operation_send(operation=tank.operations.first(), on=day(-5), by=fitter, promised_on=day(1))
    supplier_promise(operation=line, promised_on=day(6), on=today, by=fitter, note="welder ill")
    page = as_fitter.get(tank.get_absolute_url()).content.decode()
    assert "2 promises" in page
    assert "welder ill" in page
    assert "as it is after line 1, fabricate" in page
    assert "Fit tank" in page


def test_what_things_cost_is_for_managers(
    tank: Any, fitter: Any, today: Any, as_fitter: Client, as_manager: Client
) -> None:
    tank.operations.update(cost="84.50")
    assert "84.50" not in as_fitter.get(tank.get_absolute_url()).content.decode()
    page = as_manager.get(tank.get_absolute_url()).content.decode()
    assert "84.50" in page
    assert "169.00" in page


def test_text_is_shown_as_text(tank: Any, as_fitter: Client) -> None:
    tank.name = tank.note = tank.drawing_number = "<img src=x onerror=alert(1)>"
    tank.save()
    tank.operations.update(colour="<b>red</b>", masking="<i>m</i>")
    page = as_fitter.get(tank.get_absolute_url()).content.decode()
    assert "<img src=x" not in page
    assert "<b>red</b>" not in page
    assert "<i>m</i>" not in page


def test_a_part_of_a_car_handed_over_can_still_be_read(
    tank: Any, tern: Any, today: Any, as_fitter: Client
) -> None:
    tern.handed_over_on = today
    tern.save()
    assert as_fitter.get(tank.get_absolute_url()).status_code == 200


def test_no_such_part(as_fitter: Client) -> None:
    assert as_fitter.get(reverse("part", args=[999])).status_code == 404
    assert as_fitter.get(reverse("part", args=[10**30])).status_code == 404


@pytest.mark.parametrize("name", ["supplier", "suppliers"])
def test_supplier_pages_take_as_many_queries_for_twenty_lines_as_for_two(
    name: str,
    tern: Any,
    make_part: Any,
    plater: Any,
    fitter: Any,
    day: Any,
    as_manager: Client,
    django_assert_num_queries: Any,
) -> None:
    def send(numbers: range) -> None:
        for number in numbers:
            part = make_part(tern, f"part {number}", route=[("fabricate", plater, 5)])
            line = operation_send(operation=part.operations.get(), on=day(-9), by=fitter)
            if number % 2:
                operation_accept(operation=line, on=day(-1), by=fitter)

    url = reverse(name, args=[plater.pk] if name == "supplier" else [])
    send(range(2))
    as_manager.get(url)
    unchanged.forget()
    with CaptureQueriesContext(connection) as two:
        as_manager.get(url)
    send(range(2, 20))
    with django_assert_num_queries(len(two)):
        as_manager.get(url)


def test_the_page_takes_as_many_queries_for_twenty_lines_as_for_two(
    tank: Any,
    tern: Any,
    plater: Any,
    process: Any,
    make_job: Any,
    today: Any,
    as_fitter: Client,
    django_assert_num_queries: Any,
    network_queries: Any,
) -> None:
    def add(numbers: range) -> None:
        for number in numbers:
            line = Operation.objects.create(
                part=tank,
                sequence=number,
                process=process("machine"),
                supplier=plater,
                lead_low_days=1,
                lead_likely_days=1,
                lead_high_days=1,
            )
            job = make_job(tern, f"Fit {number}")
            line.after_jobs.add(job)

    make_job(tern, "Fit tank", needs=[tank])
    add(range(3, 4))
    network = network_queries(today)
    # session, person, workshop; part, lines, jobs before them, promises, goods in, overrules, files, calc
    # sheets, needs; the order of processes, what materials take
    beside = 14
    with django_assert_num_queries(network + beside):
        as_fitter.get(tank.get_absolute_url())
    add(range(4, 21))
    with django_assert_num_queries(network + beside):
        as_fitter.get(tank.get_absolute_url())

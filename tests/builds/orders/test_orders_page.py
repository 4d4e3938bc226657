"""What has still to be ordered, by the last day that does no harm."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Milestone
from builds.network import load_workshop
from builds.sheets.ordering import OrderFilter, read_orders
from parts.services.operations import operation_send


def orders(today: Any, **shown: Any) -> Any:
    return read_orders(load_workshop(today).facts(), OrderFilter(**shown))


def names(lines: Any) -> list[str]:
    return [line.operation.part.name for line in lines]


def test_what_sets_the_date_is_to_be_ordered_today(pump: Any, today: Any) -> None:
    (line,) = orders(today).now
    assert line.press.words == "holds Tern’s first start-up"
    assert line.facts.order_by >= today
    assert line.facts.order_by - today <= timedelta(days=4)  # the next day on which the supplier works
    assert line.lead_words == "20 days"


def test_an_order_by_date_gone_by_is_said_in_words(pump: Any, today: Any, day: Any) -> None:
    (line,) = orders(today).now
    gone = replace(line, facts=replace(line.facts, order_by=day(-3)))
    assert gone.order_by_words.startswith("3 days overdue, was ")
    assert replace(line, facts=replace(line.facts, order_by=today)).order_by_words == "order today"
    assert replace(line, facts=replace(line.facts, order_by=None)).order_by_words == "no job waits for it"


def test_the_order_by_date_goes_back_from_when_it_is_needed(
    tern: Any, make_part: Any, make_job: Any, factor: Any, pump: Any, today: Any
) -> None:
    """Another part, half as long on its way, for a job of the same milestone: it may wait ten days longer."""
    relay = make_part(tern, "relay", route=[("supply", factor, 10)])
    Milestone.objects.get().jobs.add(make_job(tern, "Fit relay", needs=[relay]))
    first, second = orders(today).now
    assert names([first, second]) == ["fuel pump", "relay"]
    days_after = [first.facts.order_by + timedelta(days=n) for n in range(1, 60)]
    assert second.facts.order_by == [each for each in days_after if each.weekday() < 5][9]


def test_what_has_to_come_first_is_said(
    tern: Any, make_part: Any, make_job: Any, factor: Any, plater: Any, today: Any
) -> None:
    part = make_part(tern, "tank", route=[("fabricate", factor, 5), ("machine", plater, 5)])
    part.made_by = make_job(tern, "Draw tank")
    part.save()
    found = orders(today)
    assert found.now == ()
    assert sorted(line.waits_for for line in found.later) == [
        ("line 1, fabricate, is not accepted yet (to do)", "“Draw tank” is not done"),
        ("“Draw tank” is not done",),
    ]


def test_finishes_and_our_own_work_are_not_ordered(
    tern: Any, make_part: Any, factor: Any, plater: Any, fitter: Any, today: Any
) -> None:
    make_part(tern, "clip", route=[("zinc_plate", plater, 5)])
    make_part(tern, "bracket", route=[("machine", None, 2)])
    make_part(tern, "no one yet", route=[("supply", None, 2)])
    sent = make_part(tern, "sent", route=[("supply", factor, 2)])
    operation_send(operation=sent.operations.get(), on=today, by=fitter)
    assert names(orders(today).now) == ["no one yet"]


def test_a_car_handed_over_orders_nothing(pump: Any, tern: Any, today: Any) -> None:
    tern.handed_over_on = today
    tern.save()
    assert orders(today).is_empty


def test_the_page_shows_six_weeks_and_the_rest_on_demand(
    pump: Any, tern: Any, make_part: Any, as_fitter: Client
) -> None:
    make_part(tern, "spare wheel", route=[("supply", None, 1)])
    page = as_fitter.get(reverse("orders")).content.decode()
    assert "spare wheel" not in page
    assert "1 more not shown" in page
    assert "spare wheel" in as_fitter.get(reverse("orders") + "?when=all").content.decode()


def test_the_page_can_be_narrowed_to_a_supplier_and_a_car(
    pump: Any, skua: Any, make_part: Any, plater: Any, as_fitter: Client
) -> None:
    make_part(skua, "dial", route=[("engrave", plater, 1)])
    page = as_fitter.get(reverse("orders"), {"supplier": plater.pk, "when": "all"}).content.decode()
    assert ("dial" in page, "fuel pump" in page) == (True, False)
    page = as_fitter.get(reverse("orders"), {"car": pump.car_id, "when": "all"}).content.decode()
    assert ("dial" in page, "fuel pump" in page) == (False, True)
    page = as_fitter.get(reverse("orders"), {"car": "x", "supplier": "-1", "when": "<b>"}).content.decode()
    assert "fuel pump" in page
    assert "<b>&" not in page


def test_an_empty_page_says_what_comes_next(
    as_fitter: Client, tern: Any, pump: Any, manager: Any, today: Any
) -> None:
    operation_send(operation=pump.operations.get(), on=today, by=manager)
    assert "Everything is ordered." in as_fitter.get(reverse("orders")).content.decode()


def test_only_managers_see_the_boxes(pump: Any, as_fitter: Client, as_manager: Client) -> None:
    assert 'name="operations"' not in as_fitter.get(reverse("orders")).content.decode()
    assert 'name="operations"' in as_manager.get(reverse("orders")).content.decode()


@pytest.mark.parametrize("role", ["as_fitter", "as_manager"])
def test_the_page_takes_as_many_queries_for_twenty_lines_as_for_two(
    role: str,
    request: Any,
    tern: Any,
    make_part: Any,
    make_job: Any,
    factor: Any,
    today: Any,
    django_assert_num_queries: Any,
    network_queries: Any,
) -> None:
    client = request.getfixturevalue(role)

    def add(numbers: range) -> None:
        for number in numbers:
            part = make_part(tern, f"part {number}", route=[("fabricate", factor, 5), ("machine", factor, 3)])
            part.made_by = make_job(tern, f"Draw {number}")
            part.save()

    add(range(1))
    client.get(reverse("orders") + "?when=all")
    network = network_queries(today)
    # session, person, workshop; suppliers and cars to choose from; lines, route cards, jobs before them
    beside = 8
    with django_assert_num_queries(network + beside):
        client.get(reverse("orders") + "?when=all")
    add(range(1, 10))
    with django_assert_num_queries(network + beside):
        client.get(reverse("orders") + "?when=all")

"""Marking many lines ordered: all of them or none."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from parts.models import Operation, SupplierPromise


@pytest.fixture
def lines(tern: Any, make_part: Any, factor: Any) -> list[Any]:
    parts = [make_part(tern, name, route=[("supply", factor, 9)]) for name in ("pump", "relay", "hose")]
    return [part.operations.get() for part in parts]


def place(client: Client, lines: Any, **data: Any) -> Any:
    return client.post(reverse("orders-place"), {"operations": [line.pk for line in lines], **data})


def ordered() -> int:
    return Operation.objects.filter(sent_on__isnull=False).count()


def test_many_are_marked_ordered(lines: Any, as_manager: Client, day: Any) -> None:
    answer = place(as_manager, lines[:2], on=day(-1), promised_on=day(9))
    assert (answer.status_code, answer.url) == (302, "/orders/")
    rows = list(Operation.objects.order_by("pk").values_list("sent_on", "promised_on"))
    assert rows == [(day(-1), day(9)), (day(-1), day(9)), (None, None)]
    assert SupplierPromise.objects.count() == 2
    assert "2 lines are marked ordered" in as_manager.get("/orders/").content.decode()


def test_what_was_shown_is_shown_again(lines: Any, as_manager: Client, today: Any) -> None:
    url = reverse("orders-place") + "?when=all&car=&next=%2F%2Fexample.org"
    answer = as_manager.post(url, {"operations": [lines[0].pk], "on": today})
    assert answer.url.startswith("/orders/?when=all")


def test_one_that_cannot_be_ordered_stops_them_all_and_is_named(
    lines: Any, tern: Any, make_part: Any, factor: Any, as_manager: Client, today: Any
) -> None:
    tank = make_part(tern, "tank", route=[("fabricate", factor, 5), ("machine", factor, 5)])
    answer = place(as_manager, [*lines, tank.operations.last()], on=today)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Tern, tank, machine: " in page
    assert "line 1, fabricate, is not accepted yet" in page
    assert page.count(" checked") == 3  # the ticks stay
    assert ordered() == 0


def test_pressed_twice_the_second_says_so_and_changes_nothing(
    lines: Any, as_manager: Client, today: Any, day: Any
) -> None:
    place(as_manager, lines[:1], on=today)
    answer = place(as_manager, lines, on=today, promised_on=day(4))
    assert "already; nothing was changed" in answer.content.decode()
    assert ordered() == 1
    assert not SupplierPromise.objects.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"operations": []}, "Tick at least one line"),
        ({"operations": ["999999"]}, "Somebody has struck out one of the ticked lines"),
        ({"operations": ["<b>x</b>"]}, "&lt;b&gt;x&lt;/b&gt;"),
        ({"operations": ["99999999999999999999999"]}, "errorlist"),
        ({"on": ""}, "This field is required"),
        ({"on": "2999-01-01"}, "has not come yet"),
        ({"promised_on": "1999-01-01"}, "cannot be meant"),
        ({"promised_on": "tomorrow"}, "Enter a valid date"),
    ],
)
def test_nonsense_is_refused_in_words_and_changes_nothing(
    lines: Any, as_manager: Client, today: Any, data: Any, words: str
) -> None:
    answer = as_manager.post(reverse("orders-place"), {"operations": [lines[0].pk], "on": today, **data})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert ordered() == 0


def test_a_fitter_places_no_orders(lines: Any, as_fitter: Client, today: Any) -> None:
    assert place(as_fitter, lines, on=today).status_code == 403
    assert ordered() == 0

"""Purchase orders: made across cars, printed, received in parts, changed, taken back."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from builds.sheets.purchasing import read_order, read_order_list
from config.pdf_libraries import missing_libraries
from parts.models import Operation, PurchaseOrder, SupplierPromise
from parts.services.operations import operation_accept, operation_count_in, operation_take_back
from parts.services.orders import order_cancel, order_change, order_line_take_off, order_make


@pytest.fixture
def lines(tern: Any, skua: Any, make_part: Any, factor: Any) -> list[Any]:
    """A pump and ten relays of Tern’s, a hose of Skua’s: all from one factor."""
    made = (
        make_part(tern, "lift pump", drawing_number="T-11", route=[("supply", factor, 9)]),
        make_part(tern, "relay", quantity=10, route=[("supply", factor, 9)]),
        make_part(skua, "hose", route=[("supply", factor, 9)]),
    )
    return [part.operations.get() for part in made]


@pytest.fixture
def order(lines: list[Any], factor: Any, manager: Any, day: Any) -> Any:
    return order_make(
        supplier=factor, operations=lines, on=day(-3), by=manager, expected_on=day(4), note="Ring first."
    )


def rows() -> list[tuple[Any, ...]]:
    return list(Operation.objects.order_by("pk").values_list("sent_on", "promised_on", "order"))


def press(client: Client, name: str, key: int, **data: Any) -> Any:
    return client.post(reverse(name, args=[key]), data)


# Making


def test_one_order_for_two_cars(order: Any, lines: list[Any], manager: Any, day: Any) -> None:
    assert rows() == [(day(-3), day(4), order.pk)] * 3
    assert {line.sent_by for line in order.lines.all()} == {manager}
    sheet = read_order(order, day(0))
    assert [(line.operation.part.name, line.state) for line in sheet.lines] == [
        ("hose", "to come"),
        ("lift pump", "to come"),
        ("relay", "to come"),
    ]
    assert (sheet.cars, sheet.state, sheet.is_open) == ("Skua, Tern", "to come", True)


def test_a_manager_makes_it_from_the_orders_page(
    lines: list[Any], factor: Any, as_manager: Client, as_fitter: Client, day: Any
) -> None:
    page = as_manager.get(reverse("orders") + "?when=all").content.decode()
    url = reverse("order-new", args=[factor.pk])
    assert url in page
    assert url not in as_fitter.get(reverse("orders") + "?when=all").content.decode()
    assert as_fitter.get(url).status_code == 403
    assert as_manager.get(f"{url}?when=all").content.decode().count('name="operations"') == 3
    answer = press(
        as_manager,
        "order-new",
        factor.pk,
        operations=[line.pk for line in lines[1:]],
        on=day(0),
        expected_on=day(5),
        their_reference=" Q 12 ",
        note="",
    )
    made = PurchaseOrder.objects.get()
    assert answer.url == reverse("order", args=[made.pk])
    assert made.their_reference == "Q 12"
    assert rows() == [(None, None, None), (day(0), day(5), made.pk), (day(0), day(5), made.pk)]


def test_the_quick_way_makes_no_order(lines: list[Any], as_manager: Client, day: Any) -> None:
    as_manager.post(reverse("orders-place"), {"operations": [lines[0].pk], "on": day(0)})
    assert rows()[0] == (day(0), None, None)
    assert not PurchaseOrder.objects.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"operations": []}, "Tick at least one line"),
        ({"operations": ["987654"]}, "Somebody has struck out one of the ticked lines"),
        ({"on": ""}, "This field is required"),
        ({"on": "2200-01-01"}, "has not come yet"),
        ({"expected_on": "2020-01-01"}, "cannot be meant"),
        ({"expected_on": "soon"}, "Enter a valid date"),
        ({"their_reference": "x" * 61}, "at most 60"),
    ],
)
def test_an_order_that_cannot_be_right_orders_nothing(
    lines: list[Any], factor: Any, as_manager: Client, day: Any, data: dict[str, Any], words: str
) -> None:
    given = {"operations": [line.pk for line in lines], "on": day(0), **data}
    answer = press(as_manager, "order-new", factor.pk, **given)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert rows() == [(None, None, None)] * 3
    assert not PurchaseOrder.objects.exists()


def test_one_order_goes_to_one_supplier_and_takes_no_finish(
    lines: list[Any], factor: Any, plater: Any, tern: Any, make_part: Any, manager: Any, day: Any
) -> None:
    other = make_part(tern, "clip", route=[("supply", plater, 3)]).operations.get()
    nobody = make_part(tern, "nut", route=[("supply", None, 3)]).operations.get()
    finish = make_part(tern, "bolt", route=[("zinc_plate", factor, 3)]).operations.get()
    for wrong, words in (
        (other, "Tern, clip, supply goes to Ferrand Plating: one order goes to one supplier"),
        (nobody, "names no supplier"),
        (finish, "is a finish: it goes out in a batch"),
    ):
        with pytest.raises(ValidationError, match=words):
            order_make(supplier=factor, operations=[lines[0], wrong], on=day(0), by=manager)
    assert not PurchaseOrder.objects.exists()
    assert not Operation.objects.filter(sent_on__isnull=False).exists()


def test_what_was_ordered_meanwhile_is_named_and_orders_nothing(
    order: Any, lines: list[Any], factor: Any, manager: Any, day: Any
) -> None:
    with pytest.raises(ValidationError, match=r"Tern, lift pump, .* went out on .* already"):
        order_make(supplier=factor, operations=lines, on=day(0), by=manager)
    assert PurchaseOrder.objects.count() == 1


# Receiving


def test_it_comes_in_parts_and_is_open_until_all_is_here(
    order: Any, lines: list[Any], fitter: Any, day: Any
) -> None:
    pump, relays, hose = lines
    operation_accept(operation=pump, on=day(0), by=fitter)
    operation_count_in(operation=relays, on=day(0), by=fitter, accepted=6)
    sheet = read_order(order, day(0))
    assert [line.state for line in sheet.lines] == ["to come", "accepted", "6 of 10 back"]
    assert (sheet.state, sheet.is_open, sheet.can_be_cancelled) == ("1 of 3 lines in", True, False)
    for line in (relays, hose):
        operation_accept(operation=line, on=day(0), by=fitter)
    orders = read_order_list(day(0))
    assert ([each.order for each in orders.open], [each.state for each in orders.closed]) == ([], ["all in"])


def test_several_of_it_are_taken_in_at_one_press(order: Any, as_fitter: Client) -> None:
    page = as_fitter.get(f"{reverse('deliveries')}?order={order.pk}").content.decode()
    assert page.split("On the list · ")[1].startswith("3")


def test_a_late_order_says_so(order: Any, day: Any) -> None:
    assert read_order(order, day(4)).late_words == ""
    assert read_order(order, day(6)).late_words == "2 days late"


# Changing and taking back


def test_another_day_expected_is_a_new_promise_for_what_is_still_to_come(
    order: Any, lines: list[Any], manager: Any, fitter: Any, day: Any
) -> None:
    operation_accept(operation=lines[0], on=day(0), by=fitter)
    order_change(
        order=order,
        version=order.version,
        by=manager,
        expected_on=day(9),
        their_reference="A1",
        note="",
    )
    assert [row[1] for row in rows()] == [day(4), day(9), day(9)]
    new = SupplierPromise.objects.filter(promised_on=day(9))
    assert {promise.note for promise in new} == {f"order {order.pk}"}
    assert new.count() == 2


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"version": 99}, "was changed by somebody else meanwhile"),
        ({"expected_on": ""}, "was expected: give another day"),
        ({"expected_on": "2020-01-01"}, "cannot be meant"),
        ({"version": ""}, "This field is required"),
    ],
)
def test_a_change_that_cannot_be_right_changes_nothing(
    order: Any, as_manager: Client, day: Any, data: dict[str, Any], words: str
) -> None:
    given = {"version": order.version, "expected_on": day(9), "note": "new", **data}
    answer = press(as_manager, "order-change", order.pk, **given)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert words in page
    order.refresh_from_db()
    assert (order.note, order.expected_on) == ("Ring first.", day(4))


def test_a_line_is_taken_off_and_is_to_be_ordered_again(
    order: Any, lines: list[Any], as_manager: Client, day: Any
) -> None:
    press(as_manager, "order-line-off", lines[0].pk)
    assert rows()[0] == (None, None, None)
    assert order.lines.count() == 2
    again = press(as_manager, "order-line-off", lines[0].pk)
    assert again.status_code == 302
    assert "is on no order any more" in as_manager.get(again.url).content.decode()


def test_goods_out_taken_back_on_the_part_leaves_the_order_too(
    order: Any, lines: list[Any], manager: Any
) -> None:
    operation_take_back(operation=lines[0], by=manager)
    assert order.lines.count() == 2


def test_what_has_come_in_stays_on_the_order(
    order: Any, lines: list[Any], fitter: Any, manager: Any, day: Any
) -> None:
    operation_count_in(operation=lines[1], on=day(0), by=fitter, accepted=1)
    with pytest.raises(ValidationError, match="has come in already, so it was ordered"):
        order_line_take_off(operation=lines[1], by=manager)
    with pytest.raises(ValidationError, match="has come in already, so it was ordered"):
        order_cancel(order=order, version=order.version, by=manager)
    assert order.lines.count() == 3


def test_a_cancelled_order_keeps_its_number(order: Any, as_manager: Client, day: Any) -> None:
    press(as_manager, "order-cancel", order.pk, version=order.version)
    assert rows() == [(None, None, None)] * 3
    assert read_order(order, day(0)).state == "cancelled"
    page = as_manager.get(reverse("order", args=[order.pk])).content.decode()
    assert "no line is left on it" in page
    order.refresh_from_db()
    again = press(as_manager, "order-cancel", order.pk, version=order.version)
    assert "has no line left" in as_manager.get(again.url).content.decode()


def test_a_fitter_looks_and_does_not_change(order: Any, lines: list[Any], as_fitter: Client) -> None:
    page = as_fitter.get(reverse("order", args=[order.pk])).content.decode()
    assert "Goods in" in page
    assert "Take off" not in page
    for name, key in (
        ("order-change", order.pk),
        ("order-cancel", order.pk),
        ("order-line-off", lines[0].pk),
    ):
        assert press(as_fitter, name, key).status_code == 403


# Paper


def words_of(client: Client, order: Any, query: str = "") -> str:
    answer = client.get(reverse("order-paper", args=[order.pk]) + query)
    assert answer["Content-Type"] == "application/pdf"
    return " ".join(
        " ".join(page.extract_text().split()) for page in PdfReader(BytesIO(answer.content)).pages
    )


@pytest.mark.skipif(bool(missing_libraries()), reason="the system libraries that draw PDF are missing")
def test_the_paper_says_who_orders_what_of_whom_and_by_when(
    order: Any, lines: list[Any], factor: Any, workshop: Any, as_manager: Client, as_fitter: Client, day: Any
) -> None:
    factor.address = "4 Quay Road"
    factor.save()
    workshop.address = "The Old Sail Loft"
    workshop.save()
    Operation.objects.filter(pk=lines[0].pk).update(cost=Decimal("118.40"))
    words = words_of(as_manager, order)
    wanted = day(4)
    for expected in (
        f"Order {order.pk}",
        "The Old Sail Loft",
        "4 Quay Road",
        "Ring first.",
        "lift pump",
        "T-11",
        "mark: Skua",
        f"{wanted:%a} {wanted.day} {wanted:%b %Y}",
    ):
        assert expected in words
    assert "118.40" not in words
    assert "118.40" in words_of(as_manager, order, "?prices=1")
    assert "2 lines to be quoted" in words_of(as_manager, order, "?prices=1")
    assert "118.40" not in words_of(as_fitter, order, "?prices=1"), "prices are for managers"
    assert "118.40" not in as_fitter.get(reverse("order", args=[order.pk])).content.decode()


def test_pages_are_empty_in_words(as_manager: Client, as_fitter: Client, factor: Any, workshop: Any) -> None:
    assert "no part has a route card" in as_manager.get(reverse("orders")).content.decode()
    assert "No purchase order has been made." in as_fitter.get(reverse("order-list")).content.decode()
    page = as_manager.get(reverse("order-new", args=[factor.pk])).content.decode()
    assert f"Nothing can be ordered from {factor.name} now" in page


@pytest.mark.parametrize("count", [2, 12])
def test_the_list_takes_as_many_queries_however_many_orders_there_are(
    count: int, tern: Any, make_part: Any, factor: Any, manager: Any, as_fitter: Client, day: Any
) -> None:
    for number in range(count):
        line = make_part(tern, f"part {number}", route=[("supply", factor, 3)]).operations.get()
        order_make(supplier=factor, operations=[line], on=day(0), by=manager)
    with CaptureQueriesContext(connection) as asked:
        as_fitter.get(reverse("order-list"))
    # session, person, workshop; orders, their lines, what came of those
    assert len(asked) == 6


def test_what_is_due_within_a_fortnight_is_ticked_and_what_can_wait_is_not_shown(
    pump: Any, lines: list[Any], factor: Any, as_manager: Client
) -> None:
    url = reverse("order-new", args=[factor.pk])
    page = as_manager.get(url).content.decode()
    due = pump.operations.get()
    assert f'value="{due.pk}" checked' in page
    assert page.count('name="operations"') == 1
    everything = as_manager.get(f"{url}?when=all").content.decode()
    assert everything.count('name="operations"') == 4
    assert everything.count(" checked") == 1

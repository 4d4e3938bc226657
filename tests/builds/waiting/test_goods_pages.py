"""Goods out, goods in and promises from a page: with script and without, and every refusal in words."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from parts.models import Operation
from parts.services.operations import operation_accept

HTMX = {"HX-Request": "true"}


@pytest.fixture
def line(radiator: Any) -> Any:
    return radiator.operations.get()


def press(client: Client, name: str, line: Any, headers: Any = None, **data: Any) -> Any:
    return client.post(reverse(name, args=[line.pk]), data, headers=headers or {})


def state(line: Any) -> str:
    return Operation.objects.get(pk=line.pk).state


def test_the_form_is_a_page_without_script_and_a_piece_with_it(line: Any, as_fitter: Client) -> None:
    url = reverse("goods-in", args=[line.pk])
    whole = as_fitter.get(url).content.decode()
    piece = as_fitter.get(url, headers=HTMX).content.decode()
    assert "<html" in whole
    assert "hx-post" not in whole
    assert piece.lstrip().startswith("<form")
    assert "hx-post" in piece


def test_goods_in_accepted_without_script_goes_back_to_where_one_was(
    line: Any, as_fitter: Client, today: Any
) -> None:
    answer = press(as_fitter, "goods-in", line, on=today, verdict="accept", next=reverse("waiting"))
    assert (answer.status_code, answer.url) == (302, "/waiting/")
    assert state(line) == "accepted"
    assert "is accepted, goods in" in as_fitter.get("/waiting/").content.decode()


def test_goods_in_accepted_with_script_redraws_the_list(line: Any, as_fitter: Client, today: Any) -> None:
    answer = press(as_fitter, "goods-in", line, HTMX, on=today, verdict="accept")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "HX-Retarget" not in answer
    assert 'id="waiting-list"' in page
    assert "<html" not in page
    assert "is accepted, goods in" in page


def test_a_rejection_puts_the_rework_on_the_route_card(line: Any, as_fitter: Client, today: Any) -> None:
    press(as_fitter, "goods-in", line, on=today, verdict="reject", reason="leaks at the seam", rework="on")
    assert state(line) == "rejected"
    assert [each.state for each in line.part.operations.all()] == ["rejected", "to do"]


def test_a_rejection_without_reason_comes_back_with_words_and_200(
    line: Any, as_fitter: Client, today: Any
) -> None:
    answer = press(as_fitter, "goods-in", line, HTMX, on=today, verdict="reject", reason="  ", rework="on")
    assert answer.status_code == 200
    assert answer["HX-Retarget"] == f"#act-{line.pk}"
    assert "needs its reason" in answer.content.decode()
    assert state(line) == "out"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"on": ""}, "This field is required"),
        ({"on": "31/02/2026"}, "Enter a valid date"),
        ({"on": "9999-12-31"}, "has not come yet"),
        ({"on": "0026-03-12"}, "Check the year"),
        ({"count": "3"}, "3 counted, but 1 went out"),
        ({"count": "-1"}, "greater than or equal to 0"),
        ({"count": "99999999999999999999"}, "less than or equal to 10000"),
        ({"count": "two"}, "Enter a whole number"),
        ({"verdict": ""}, "Press one of the buttons"),
        ({"verdict": "burn"}, "is not one of the available choices"),
        ({"verdict": "reject", "reason": "x" * 301}, "at most 300"),
    ],
)
def test_nonsense_is_refused_in_words_and_changes_nothing(
    line: Any, as_fitter: Client, today: Any, data: Any, words: str
) -> None:
    answer = press(as_fitter, "goods-in", line, **{"on": today, "verdict": "accept", **data})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert state(line) == "out"
    assert line.part.operations.count() == 1


@pytest.mark.parametrize("cost", ["-1", "99999999999", "1e5000", "nan", "a pound"])
def test_an_impossible_cost_is_refused(line: Any, as_manager: Client, today: Any, cost: str) -> None:
    answer = press(as_manager, "goods-in", line, on=today, verdict="accept", cost=cost)
    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert state(line) == "out"


def test_what_it_cost_is_for_managers(line: Any, as_fitter: Client, as_manager: Client, today: Any) -> None:
    assert 'name="cost"' not in as_fitter.get(reverse("goods-in", args=[line.pk])).content.decode()
    assert 'name="cost"' in as_manager.get(reverse("goods-in", args=[line.pk])).content.decode()
    press(as_fitter, "goods-in", line, on=today, verdict="accept", cost="12.50")
    assert Operation.objects.get(pk=line.pk).cost is None


def test_a_second_press_does_nothing_and_says_so(
    line: Any, as_fitter: Client, fitter: Any, today: Any
) -> None:
    operation_accept(operation=line, on=today, by=fitter)
    before = Operation.objects.values().get(pk=line.pk)
    answer = press(as_fitter, "goods-in", line, HTMX, on=today, verdict="accept")
    assert "already; nothing was changed" in answer.content.decode()
    assert 'id="waiting-list"' in answer.content.decode()
    assert Operation.objects.values().get(pk=line.pk) == before


def test_one_accepts_and_another_rejects_at_the_same_time(
    line: Any, as_fitter: Client, as_manager: Client, today: Any
) -> None:
    press(as_fitter, "goods-in", line, on=today, verdict="accept")
    press(as_manager, "goods-in", line, on=today, verdict="reject", reason="bent", rework="on")
    assert state(line) == "accepted"
    assert line.part.operations.count() == 1
    assert "was accepted" in as_manager.get("/waiting/").content.decode()


def test_put_aside_and_checked_later(line: Any, as_fitter: Client, day: Any) -> None:
    press(as_fitter, "goods-in", line, on=day(-2), verdict="aside")
    assert state(line) == "back"
    press(as_fitter, "goods-in", line, verdict="accept")
    checked = Operation.objects.get(pk=line.pk)
    assert (checked.state, checked.back_on) == ("accepted", day(-2))


def test_a_new_promise(line: Any, as_fitter: Client, today: Any, day: Any) -> None:
    answer = press(
        as_fitter, "operation-promise", line, HTMX, promised_on=day(6), on=today, note="Petra rang"
    )
    assert "is promised for" in answer.content.decode()
    assert Operation.objects.get(pk=line.pk).promised_on == day(6)
    assert line.promises.count() == 2


@pytest.mark.parametrize("promised_on", ["", "soon", "1999-01-01", "2999-01-01"])
def test_an_impossible_promise(line: Any, as_fitter: Client, today: Any, promised_on: str) -> None:
    answer = press(as_fitter, "operation-promise", line, promised_on=promised_on, on=today)
    assert "errorlist" in answer.content.decode()
    assert line.promises.count() == 1


def test_goods_out_and_what_stands_in_its_way(
    tern: Any, make_part: Any, radiator_maker: Any, plater: Any, as_fitter: Client, today: Any
) -> None:
    part = make_part(tern, "pipe", route=[("bend", radiator_maker, 3), ("zinc_plate", plater, 5)])
    first, second = part.operations.all()
    page = as_fitter.get(reverse("goods-out", args=[second.pk])).content.decode()
    assert "Not yet: line 1, fold or bend, is not accepted yet (to do)" in page
    answer = press(as_fitter, "goods-out", second, on=today)
    assert "cannot go yet" in answer.content.decode()
    assert state(second) == "to do"
    answer = press(as_fitter, "goods-out", first, on=today)
    assert (answer.status_code, answer.url) == (302, part.get_absolute_url())
    assert state(first) == "out"


def test_nobody_is_sent_to_another_site(line: Any, as_fitter: Client, today: Any) -> None:
    for place in ("https://example.org/", "//example.org/", "javascript:alert(1)"):
        answer = press(as_fitter, "operation-promise", line, promised_on="x", on=today, next=place)
        assert "example.org" not in answer.get("Location", "")
    answer = press(as_fitter, "goods-in", line, on=today, verdict="accept", next="//example.org/")
    assert answer.url == line.part.get_absolute_url()


def test_a_slip_is_taken_back_by_a_manager(
    line: Any, as_fitter: Client, as_manager: Client, today: Any
) -> None:
    press(as_fitter, "goods-in", line, on=today, verdict="accept")
    assert press(as_fitter, "operation-take-back", line).status_code == 403
    assert state(line) == "accepted"
    press(as_manager, "operation-take-back", line)
    assert state(line) == "out"


def test_a_line_that_is_gone_is_404(line: Any, as_fitter: Client, today: Any) -> None:
    number = line.pk
    line.delete()
    for name in ("goods-in", "goods-out", "operation-promise"):
        assert as_fitter.get(reverse(name, args=[number])).status_code == 404


def test_nobody_signed_out_sees_or_does_anything(line: Any, today: Any) -> None:
    client = Client()
    for name in ("waiting", "chase-list"):
        assert client.get(reverse(name)).status_code == 302
    assert press(client, "goods-in", line, on=today, verdict="accept").status_code == 302
    assert state(line) == "out"

"""Goods in, several at once: scanned one after the other, or ticked, and taken in at one press."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from builds.sheets.deliveries import read_delivery, read_scan
from parts.models import FinishingBatch, Operation
from parts.services.operations import operation_accept, operation_count_in, operation_send

URL = "/goods-in/"


@pytest.fixture
def out(tern: Any, skua: Any, make_part: Any, plater: Any, fitter: Any) -> list[Any]:
    """Ten clips of Tern’s and one bracket of Skua’s at the plater."""
    found = []
    for car, name, quantity in ((tern, "clip", 10), (skua, "bracket", 1)):
        part = make_part(car, name, quantity=quantity, route=[("zinc_plate", plater, 5)])
        found.append(operation_send(operation=part.operations.get(), on=timezone.localdate(), by=fitter))
    return found


def send(client: Client, act: str, **data: Any) -> Any:
    return client.post(URL, {"act": act, "on": timezone.localdate(), **data})


def states() -> list[str]:
    return [str(line.state) for line in Operation.objects.order_by("pk")]


def on_list(page: str) -> list[int]:
    """Keys of what is ticked."""
    return [
        int(piece.split('value="')[1].split('"')[0])
        for piece in page.split('<input class="tick"')[1:]
        if "checked" in piece.split(">")[0]
    ]


def test_what_a_hand_scanner_types_goes_on_the_list_newest_first(
    out: list[Any], workshop: Any, as_fitter: Client
) -> None:
    clip, bracket = out
    page = send(as_fitter, "add", scan=f"http://192.168.1.20/label/{workshop.code}/{clip.part.code}/")
    assert on_list(page.content.decode()) == [clip.pk]
    page = send(as_fitter, "add", scan=bracket.part.code.lower(), lines=[clip.pk])
    assert on_list(page.content.decode()) == [bracket.pk, clip.pk]
    page = send(as_fitter, "add", scan=clip.part.code, lines=[bracket.pk, clip.pk])
    assert on_list(page.content.decode()) == [clip.pk, bracket.pk], "the same again is on it once"
    assert states() == ["out", "out"]


def test_enter_in_the_field_adds_and_takes_nothing_in(out: list[Any], as_fitter: Client) -> None:
    """A browser presses the first button of the form."""
    page = as_fitter.get(URL).content.decode()
    form = page[page.index('<form method="post" action="/goods-in/"') :]
    assert form.index('value="add"') < form.index('value="take in"')


def test_all_on_the_list_are_taken_in_at_one_press(out: list[Any], as_fitter: Client) -> None:
    answer = send(as_fitter, "take in", lines=[line.pk for line in out])
    assert (answer.status_code, answer.url) == (302, URL)
    assert states() == ["accepted", "accepted"]
    assert "2 lines are in, " in as_fitter.get(URL).content.decode()


def test_a_count_takes_in_that_many(out: list[Any], as_fitter: Client) -> None:
    clip, bracket = out
    send(as_fitter, "take in", lines=[clip.pk, bracket.pk], **{f"count-{clip.pk}": "8"})
    assert states() == ["out", "accepted"]
    page = as_fitter.get(URL).content.decode()
    assert "of 1 some pieces are still out" in page
    assert "8 of 10 back" in page
    assert 'placeholder="all 2"' in page


def test_a_count_of_what_is_not_ticked_does_nothing(out: list[Any], as_fitter: Client) -> None:
    clip, bracket = out
    send(as_fitter, "take in", lines=[bracket.pk], **{f"count-{clip.pk}": "8"})
    assert states() == ["out", "accepted"]
    assert not clip.goods_in.exists()


def test_a_batch_in_the_address_is_on_the_list(
    out: list[Any], as_fitter: Client, plater: Any, process: Any
) -> None:
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    Operation.objects.filter(pk=out[0].pk).update(batch=batch)
    page = as_fitter.get(f"{URL}?batch={batch.pk}").content.decode()
    assert on_list(page) == [out[0].pk]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"lines": []}, "Nothing is on the list: scan a label, or tick what came in."),
        ({"lines": ["987654"]}, "Somebody has struck out one of the ticked lines"),
        ({"lines": ["x"]}, "One of the ticked lines is none"),
        ({"on": "2200-01-01"}, "has not come yet"),
        ({"on": "1999-01-01"}, "Check the year"),
        ({"on": ""}, "This field is required"),
        ({"count": "11"}, "Tern, clip: 11 counted, but 10 went out"),
        ({"count": "0"}, "0 counted"),
        ({"count": "-2"}, "“-2” is no number of pieces"),
        ({"count": "ten"}, "“ten” is no number of pieces"),
        ({"count": "9" * 40}, "is no number of pieces"),
    ],
)
def test_one_line_that_cannot_have_come_in_keeps_all_out(
    out: list[Any], as_fitter: Client, data: dict[str, Any], words: str
) -> None:
    clip, bracket = out
    given: dict[str, Any] = {"lines": [clip.pk, bracket.pk], **data}
    if "count" in given:
        given[f"count-{clip.pk}"] = given.pop("count")
    answer = send(as_fitter, "take in", **given)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert states() == ["out", "out"]


def test_what_somebody_took_in_meanwhile_is_named(out: list[Any], as_fitter: Client, fitter: Any) -> None:
    clip, bracket = out
    operation_accept(operation=bracket, on=timezone.localdate(), by=fitter)
    answer = send(as_fitter, "take in", lines=[clip.pk, bracket.pk])
    assert "Skua, bracket: “bracket: Zinc plate” was accepted" in answer.content.decode()
    assert "Nothing was taken in." in answer.content.decode()
    assert states() == ["out", "accepted"]


def test_the_same_press_twice_counts_once(out: list[Any], as_fitter: Client) -> None:
    clip = out[0]
    assert f'name="left-{clip.pk}" value="10"' in as_fitter.get(URL).content.decode()
    given = {"lines": [clip.pk], f"count-{clip.pk}": "5", f"left-{clip.pk}": "10"}
    send(as_fitter, "take in", **given)
    again = send(as_fitter, "take in", **given)
    assert "perhaps it was pressed twice" in again.content.decode()
    assert [row.accepted for row in clip.goods_in.all()] == [5]


def test_a_scan_that_leads_nowhere_says_why(
    out: list[Any], workshop: Any, as_fitter: Client, fitter: Any
) -> None:
    clip = out[0]
    for text, words in (
        (f"https://elsewhere/label/0badc0de/{clip.part.code}/", "from another workshop"),
        ("4006381333931", "No part here has the label “4006381333931”"),
        ("<b>", "No part here has the label “&lt;b&gt;”"),
    ):
        page = send(as_fitter, "add", scan=text, lines=[clip.pk]).content.decode()
        assert words in page
        assert on_list(page) == [clip.pk], "the list stays"
    operation_accept(operation=clip, on=timezone.localdate(), by=fitter)
    assert read_scan(clip.part.code).words == "Tern, clip: nothing of it is out, so it cannot come in."


def test_lost_pieces_are_not_waited_for_at_the_door(out: list[Any], fitter: Any) -> None:
    clip, bracket = out
    operation_count_in(
        operation=clip, on=timezone.localdate(), by=fitter, accepted=8, lost=2, reason="fell in the bath"
    )
    (group,) = read_delivery([], {}).still_out
    assert [line.operation for line in group.lines] == [bracket]


def test_nothing_out_says_so(workshop: Any, as_fitter: Client) -> None:
    assert "Nothing is out, so nothing can come in." in as_fitter.get(URL).content.decode()


@pytest.mark.parametrize("count", [2, 20])
def test_the_page_takes_as_many_queries_however_much_is_out(
    count: int, tern: Any, make_part: Any, plater: Any, fitter: Any, as_fitter: Client
) -> None:
    from django.db import connection

    for number in range(count):
        part = make_part(tern, f"clip {number}", route=[("zinc_plate", plater, 5)])
        operation_send(operation=part.operations.get(), on=timezone.localdate(), by=fitter)
    with CaptureQueriesContext(connection) as asked:
        as_fitter.get(reverse("deliveries"))
    # session, person, workshop; what is out, what was counted in
    assert len(asked) == 5

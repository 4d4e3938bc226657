"""Counting pieces at goods in, what the pages say of those that are missing, and what is done about them."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from builds.models import Milestone
from builds.network import load_workshop
from builds.sheets.chasing import read_chase_list
from builds.sheets.waiting import read_waiting
from parts.models import GoodsIn, Operation, Part
from parts.services.operations import operation_count_in, operation_send

HTMX = {"HX-Request": "true"}


@pytest.fixture
def line(clip: Any) -> Any:
    """Four clips at the plater since yesterday."""
    return clip.operations.get()


def press(client: Client, line: Any, **data: Any) -> Any:
    return client.post(reverse("goods-in", args=[line.pk]), {"rework": "on", **data})


def counted(line: Any) -> list[tuple[int, int, int]]:
    return [(row.accepted, row.rejected, row.lost) for row in line.goods_in.all()]


def said(client: Client) -> str:
    return client.get(reverse("waiting")).content.decode()


def test_one_press_accepts_all_of_them(line: Any, as_fitter: Client, today: Any) -> None:
    page = as_fitter.get(reverse("goods-in", args=[line.pk])).content.decode()
    assert ">Accept all 4<" in page
    press(as_fitter, line, on=today, verdict="accept", left_seen=4)
    assert counted(line) == [(4, 0, 0)]
    assert Operation.objects.get(pk=line.pk).state == "accepted"


def test_three_of_four_are_counted_and_the_pages_say_so(
    line: Any, as_fitter: Client, as_manager: Client, today: Any
) -> None:
    press(as_fitter, line, on=today, verdict="count", count=2, rejected=1, reason="dull", left_seen=4)
    assert counted(line) == [(2, 1, 0)]
    page = said(as_fitter)
    assert "3 of 4 back, 1 rejected" in page
    assert "1 is still out. What is wrong goes again to Ferrand Plating: line 2" in page
    assert "Missing pieces" not in page  # a manager decides
    assert "Missing pieces" in said(as_manager)
    part = as_fitter.get(line.part.get_absolute_url()).content.decode()
    assert "3 of 4 back, 1 rejected" in part
    assert "2 accepted, 1 rejected" in part
    assert "checked by Rafe Holloway: dull" in part


@pytest.mark.parametrize("verdict", ["accept", "reject"])
def test_figures_that_were_typed_count_whichever_button_is_pressed(
    line: Any, as_fitter: Client, today: Any, verdict: str
) -> None:
    press(as_fitter, line, on=today, verdict=verdict, count=2, rejected=1, lost=1, reason="dull; one gone")
    assert counted(line) == [(2, 1, 1)]


def test_a_button_takes_what_the_figures_leave(line: Any, as_fitter: Client, today: Any) -> None:
    press(as_fitter, line, on=today, verdict="accept", rejected=1, reason="dull")
    assert counted(line) == [(3, 1, 0)]


def test_the_part_says_which_count_a_press_takes_back(
    line: Any, as_manager: Client, fitter: Any, today: Any
) -> None:
    def page() -> str:
        return str(as_manager.get(line.part.get_absolute_url()).content.decode())

    assert "Take back goods out" in page()
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    assert "Take back the last count" in page()
    as_manager.post(reverse("operation-take-back", args=[line.pk]))
    assert counted(line) == []
    assert "Take back goods out" in page()


def test_short_and_lost_pieces_raise_a_line_on_the_chase_list(line: Any, fitter: Any, today: Any) -> None:
    def asks() -> list[str]:
        chase = read_chase_list(load_workshop(today), with_customers=False)
        return [
            ask
            for call in chase.calls
            if call.whom == "Ferrand Plating"
            for item in call.items
            for ask in item.ask
        ]

    assert asks() == []
    operation_count_in(operation=line, on=today, by=fitter, accepted=2)
    assert len(asks()) == 1
    assert asks()[0].endswith(": where are the other 2?")
    assert ", 2 of 4 back" in asks()[0]
    operation_count_in(operation=line, on=today, by=fitter, lost=2, reason="fell in the bath")
    assert asks() == ["2 of 4 lost (fell in the bath): what will they do about it?"]


def test_a_photo_of_what_is_wrong_stays_with_the_part(line: Any, as_fitter: Client, today: Any) -> None:
    content = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(content, "PNG")
    photo = SimpleUploadedFile("dull.png", content.getvalue(), "image/png")
    press(as_fitter, line, on=today, verdict="count", rejected=1, reason="dull", photo=photo)
    row = GoodsIn.objects.get()
    assert row.photo is not None
    assert (row.photo.part, row.photo.title) == (line.part, "Zinc plate at goods in: dull")
    page = as_fitter.get(line.part.get_absolute_url()).content.decode()
    assert reverse("file", args=[row.photo.pk]) in page


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"verdict": "count"}, "0 counted"),
        ({"verdict": "count", "count": "5"}, "5 counted, but 4 went out"),
        ({"verdict": "count", "count": "2", "rejected": "3", "reason": "dull"}, "5 counted"),
        ({"verdict": "count", "rejected": "1"}, "A rejection needs its reason"),
        ({"verdict": "lost"}, "Lost pieces need their reason"),
        ({"verdict": "count", "lost": "-1"}, "greater than or equal to 0"),
        ({"verdict": "count", "lost": "half"}, "Enter a whole number"),
        ({"verdict": "count", "count": "1", "on": ""}, "This field is required"),
    ],
)
def test_a_count_that_cannot_be_right_is_refused_in_words(
    line: Any, as_fitter: Client, today: Any, data: Any, words: str
) -> None:
    answer = press(as_fitter, line, **{"on": today, **data})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert counted(line) == []


def test_a_photo_that_is_none_is_refused_and_nothing_is_counted(
    line: Any, as_fitter: Client, today: Any
) -> None:
    photo = SimpleUploadedFile("dull.png", b"no picture", "image/png")
    answer = press(as_fitter, line, on=today, verdict="count", rejected=1, reason="dull", photo=photo)
    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert counted(line) == []
    assert line.part.operations.count() == 1


def test_the_same_press_twice_counts_once(line: Any, as_fitter: Client, today: Any) -> None:
    for _ in range(2):
        press(as_fitter, line, on=today, verdict="count", count=2, left_seen=4)
    assert counted(line) == [(2, 0, 0)]
    assert "perhaps it was pressed twice" in said(as_fitter)


# What moved


def test_goods_in_says_which_date_moved(radiator: Any, as_fitter: Client, today: Any, clip: Any) -> None:
    radiator.operations.update(promised_on=today.replace(year=today.year + 1))
    press(as_fitter, radiator.operations.get(), on=today, verdict="accept")
    page = said(as_fitter)
    assert "First start-up of Tern moves from " in page
    assert " working days sooner." in page


def test_goods_in_says_that_no_date_moves(line: Any, as_fitter: Client, today: Any) -> None:
    press(as_fitter, line, on=today, verdict="accept")
    assert "is accepted, goods in" in (page := said(as_fitter))
    assert "No date moves." in page


# What is done about missing pieces


def missing(client: Client, line: Any, **data: Any) -> Any:
    return client.post(reverse("pieces-missing", args=[line.pk]), data)


def test_a_manager_lets_the_others_go_on(line: Any, as_manager: Client, fitter: Any, today: Any) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    page = as_manager.get(reverse("pieces-missing", args=[line.pk])).content.decode()
    assert "Go on without them" in page
    assert "Make the lost ones again" not in page
    (need,) = line.part.job_needs.all()
    assert missing(as_manager, line, way="go on", needs=[need.pk]).status_code == 302
    assert list(Part.objects.filter(car=line.part.car).values_list("name", "quantity").order_by("pk")) == [
        ("radiator", 1),
        ("clip", 3),
        ("clip, 1 to follow", 1),
    ]
    assert "“clip, 1 to follow” is a part of its own now, 1 off. No date moves." in said(as_manager)


def test_a_manager_has_lost_pieces_made_again(line: Any, as_manager: Client, fitter: Any, today: Any) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3, lost=1, reason="fell in the bath")
    goods_in = as_manager.get(reverse("goods-in", args=[line.pk])).content.decode()
    assert "Say what is done about the lost ones" in goods_in
    missing(as_manager, line, way="again")
    again = Part.objects.get(name="clip, 1 made again")
    assert [each.state for each in again.operations.all()] == ["rejected", "to do"]
    assert not again.job_needs.exists()  # no box was ticked


def test_fewer_are_enough(line: Any, as_manager: Client, fitter: Any, today: Any) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    missing(as_manager, line, way="enough")
    assert Part.objects.get(pk=line.part_id).quantity == 3
    assert "clip is 3 off now." in said(as_manager)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({}, "Press one of the buttons"),
        ({"way": "burn"}, "is not one of the available choices"),
        ({"way": "again"}, "is recorded as lost"),
        ({"way": "go on", "needs": ["999999"]}, "is not one of the available choices"),
        ({"way": "go on", "needs": ["x"]}, "is not one of the available choices"),
    ],
)
def test_what_cannot_be_done_about_them_is_refused(
    line: Any, as_manager: Client, fitter: Any, today: Any, data: Any, words: str
) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    answer = missing(as_manager, line, **data)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Part.objects.filter(car=line.part.car).count() == 2


def test_a_fitter_does_not_decide_it(line: Any, as_fitter: Client) -> None:
    assert missing(as_fitter, line, way="enough").status_code == 403


def test_a_parting_is_taken_back_on_the_part(line: Any, as_manager: Client, fitter: Any, today: Any) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    missing(as_manager, line, way="go on")
    split = Part.objects.get(name="clip, 1 to follow")
    url = reverse("pieces-together", args=[split.pk])
    assert url in as_manager.get(split.get_absolute_url()).content.decode()
    answer = as_manager.post(url)
    assert answer.url == line.part.get_absolute_url()
    assert Part.objects.get(pk=line.part_id).quantity == 4
    again = as_manager.post(reverse("pieces-together", args=[line.part_id]))
    assert "was not parted from another part" in as_manager.get(again.url).content.decode()


def test_the_sheet_knows_how_many_are_back(line: Any, fitter: Any, today: Any) -> None:
    operation_count_in(operation=line, on=today, by=fitter, accepted=3)
    shown = read_waiting(load_workshop(today).facts())
    found = next(each for each in shown.lines if each.operation.pk == line.pk)
    assert (found.count.words, found.came_last) == ("3 of 4 back", today)


def test_another_milestone_that_moves_is_named_where_first_start_up_stays(
    tern: Any,
    make_part: Any,
    make_job: Any,
    radiator: Any,
    plater: Any,
    fitter: Any,
    as_fitter: Client,
    day: Any,
) -> None:
    seats = make_part(tern, "seats", route=[("trim", plater, 5)])
    handover = Milestone.objects.create(car=tern, kind="handover", name="handover")
    handover.jobs.add(make_job(tern, "Fit seats", needs=[seats]))
    line = operation_send(operation=seats.operations.get(), on=day(-1), by=fitter, promised_on=day(90))
    press(as_fitter, line, on=day(0), verdict="accept")
    page = said(as_fitter)
    assert "Handover of Tern moves from " in page
    assert "First start-up of Tern" not in page.split("Handover of Tern moves")[1].split("</p>")[0]

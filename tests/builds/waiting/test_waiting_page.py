"""What is out, what it holds, and in which order it stands on the page."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Away, Customer, Decision, Milestone
from builds.network import load_workshop
from builds.sheets.waiting import read_waiting
from parts.models import SupplierPromise
from parts.services.files import file_add
from parts.services.operations import operation_send, operation_take_in
from parts.services.promises import supplier_promise


def sheet(today: Any) -> Any:
    return read_waiting(load_workshop(today).facts())


def test_a_late_part_that_holds_first_start_up(radiator: Any, today: Any, day: Any) -> None:
    (group,) = sheet(today).groups
    (line,) = group.lines
    assert group.supplier.name == "Ostler Radiators"
    assert line.press.words == "holds Tern’s first start-up"
    assert line.late_words == "5 days late, no new day given"
    assert line.holds == "Fit radiator"
    assert (group.late, sheet(today).holding) == (1, "1 holds Tern’s first start-up")


def test_parts_of_two_cars_say_whose_first_start_up_each_holds(
    radiator: Any, sump: Any, as_fitter: Client
) -> None:
    page = as_fitter.get(reverse("waiting")).content.decode()
    for words in ("holds Tern’s", "holds Skua’s", "2 hold Skua’s and Tern’s"):
        assert page.count(f"{words} first start-up") == 1


def test_a_part_that_holds_only_handover_says_whose(
    tern: Any, make_part: Any, make_job: Any, plater: Any, fitter: Any, today: Any, day: Any
) -> None:
    badge = make_part(tern, "badge", route=[("fabricate", plater, 5)])
    handover = Milestone.objects.create(car=tern, kind="handover", name="handover")
    handover.jobs.add(make_job(tern, "Fit badge", needs=[badge]))
    operation_send(operation=badge.operations.get(), on=day(-3), by=fitter, promised_on=day(40))
    assert sheet(today).lines[0].press.words == "holds Tern’s handover"


def test_a_new_promise_is_shown_beside_the_first_one(
    radiator: Any, manager: Any, today: Any, day: Any
) -> None:
    supplier_promise(operation=radiator.operations.get(), promised_on=day(9), on=today, by=manager)
    line = sheet(today).lines[0]
    assert line.first_promise == day(-5)
    assert line.operation.promised_on == day(9)
    assert line.late_words == "5 days late"


def test_nobody_promised_a_day(radiator: Any, today: Any) -> None:
    radiator.operations.update(promised_on=None)
    SupplierPromise.objects.all().delete()
    assert sheet(today).lines[0].late_words == "past its lead time, no day promised"


def test_what_hurts_most_stands_first(radiator: Any, clip: Any, today: Any, day: Any) -> None:
    """Late before on time; but what holds first start-up before both."""
    assert [line.operation.part.name for line in sheet(today).lines] == ["radiator", "clip"]
    clip.operations.update(promised_on=day(300))
    SupplierPromise.objects.filter(operation__part=clip).update(promised_on=day(300))
    found = sheet(today)
    assert [(line.operation.part.name, line.press.sets_date) for line in found.lines] == [
        ("clip", True),
        ("radiator", False),
    ]
    assert [group.supplier.name for group in found.groups] == ["Ferrand Plating", "Ostler Radiators"]


def test_goods_back_and_not_checked_stay_on_the_page(
    radiator: Any, fitter: Any, today: Any, as_fitter: Client
) -> None:
    operation_take_in(operation=radiator.operations.get(), on=today, by=fitter)
    page = as_fitter.get(reverse("waiting")).content.decode()
    assert "back, to be checked" in page
    assert "New promise" not in page


def test_a_newer_drawing_raises_a_question(
    radiator: Any, manager: Any, today: Any, as_fitter: Client
) -> None:
    file_add(
        kind="drawing",
        upload=SimpleUploadedFile("x.pdf", b"%PDF-1.4\n%%EOF\n"),
        title="radiator",
        revision="C",
        part=radiator,
        by=manager,
        at=timezone.now(),
    )
    assert sheet(today).lines[0].drawing_question == (
        "went out without a drawing; revision C is here now: ask which one they work to"
    )
    assert "revision C is here now" in as_fitter.get(reverse("waiting")).content.decode()


def test_a_drawing_that_went_out_raises_no_question(
    tern: Any, make_part: Any, radiator_maker: Any, manager: Any, today: Any
) -> None:
    part = make_part(tern, "pipe", route=[("bend", radiator_maker, 3)])
    for revision in ("B", "C"):
        file_add(
            kind="drawing",
            upload=SimpleUploadedFile("x.pdf", b"%PDF-1.4\n%%EOF\n"),
            title="pipe",
            revision=revision,
            part=part,
            by=manager,
            at=timezone.now(),
        )
        if revision == "B":
            operation_send(operation=part.operations.get(), on=today, by=manager)
            assert sheet(today).lines[0].drawing_question == ""
    assert sheet(today).lines[0].drawing_question == (
        "went out as revision B; revision C is here now: ask which one they work to"
    )


def test_a_car_away_and_the_jobs_that_wait_for_it(
    tern: Any, make_job: Any, plater: Any, today: Any, day: Any
) -> None:
    make_job(tern, "Fit radiator")
    Away.objects.create(
        car=tern, supplier=plater, what_for="alignment", leaves_on=day(-9), due_back_on=day(-2)
    )
    (car,) = sheet(today).cars_away
    assert car.press.days_late == 2
    assert car.words == "1 job waits only for the car"


def test_a_car_back_or_still_to_go_is_not_away(tern: Any, plater: Any, today: Any, day: Any) -> None:
    Away.objects.create(
        car=tern, supplier=plater, what_for="x", leaves_on=day(-9), due_back_on=day(-2), back_on=day(-2)
    )
    Away.objects.create(car=tern, supplier=plater, what_for="y", leaves_on=day(2), due_back_on=day(5))
    assert sheet(today).cars_away == ()


def test_decisions_stand_by_who_owes_them(
    tern: Any, make_job: Any, manager: Any, today: Any, day: Any
) -> None:
    job = make_job(tern, "Paint shell")
    common = {"job": job, "raised_by": manager, "raised_at": timezone.now(), "due_on": day(-1)}
    Decision.objects.create(question="Which colour?", owed_by="customer", **common)
    Decision.objects.create(question="Which primer?", owed_by="us", person=manager, **common)
    found = sheet(today)
    assert [(owed.decision.question, owed.by_whom) for owed in found.by_customer] == [
        ("Which colour?", "the customer")
    ]
    assert [(owed.decision.question, owed.by_whom) for owed in found.by_us] == [
        ("Which primer?", "Maud Ellery")
    ]
    assert found.by_us[0].press.days_late == 1


def test_work_begun_in_our_own_shop_is_not_at_a_supplier(
    tern: Any, make_part: Any, fitter: Any, today: Any
) -> None:
    part = make_part(tern, "bracket", route=[("machine", None, 2)])
    operation_send(operation=part.operations.get(), on=today, by=fitter)
    found = sheet(today)
    assert (found.groups, len(found.ours.lines)) == ((), 1)


def test_nothing_of_a_car_handed_over(radiator: Any, tern: Any, today: Any) -> None:
    tern.handed_over_on = today
    tern.save()
    assert sheet(today).is_empty


def test_an_empty_page_says_what_comes_next(
    as_fitter: Client, tern: Any, make_part: Any, plater: Any
) -> None:
    assert "press “Goods out”" in as_fitter.get(reverse("waiting")).content.decode()
    make_part(tern, "pump", route=[("supply", plater, 9)])
    assert "1 line waits to be ordered" in as_fitter.get(reverse("waiting")).content.decode()


def test_no_customer_is_named(tern: Any, make_job: Any, manager: Any, today: Any, as_fitter: Client) -> None:
    tern.customer = Customer.objects.create(name="Odile Farrant", phone="01632 960 777")
    tern.save()
    Decision.objects.create(
        job=make_job(tern, "Paint"),
        question="Which colour?",
        owed_by="customer",
        raised_by=manager,
        raised_at=timezone.now(),
        due_on=today,
    )
    for name in ("waiting", "chase-list"):
        page = as_fitter.get(reverse(name)).content.decode()
        assert "Which colour?" in page
        assert "Farrant" not in page
        assert "960 777" not in page


def test_names_are_written_as_text(radiator: Any, as_fitter: Client) -> None:
    radiator.name = "<script>alert(1)</script>"
    radiator.save()
    for name in ("waiting", "chase-list"):
        page = as_fitter.get(reverse(name)).content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


@pytest.mark.parametrize("name", ["waiting", "chase-list"])
def test_the_page_takes_as_many_queries_for_twenty_lines_as_for_two(
    name: str,
    tern: Any,
    make_part: Any,
    plater: Any,
    radiator_maker: Any,
    manager: Any,
    as_fitter: Client,
    today: Any,
    day: Any,
    django_assert_num_queries: Any,
    network_queries: Any,
) -> None:
    def send(numbers: range) -> None:
        for number in numbers:
            supplier = plater if number % 2 else radiator_maker
            part = make_part(tern, f"part {number}", route=[("fabricate", supplier, 5)])
            operation_send(operation=part.operations.get(), on=day(-9), by=manager, promised_on=day(-2))

    Away.objects.create(car=tern, supplier=plater, what_for="x", leaves_on=today, due_back_on=today)
    send(range(2))
    as_fitter.get(reverse(name))
    network = network_queries(today)
    # session, person, workshop; lines, promises, goods in, drawings, calc sheets; cars away, jobs there and
    # here; decisions; lines to order; and for the chase list what was said on the telephone
    beside = 13 + (name == "chase-list")
    with django_assert_num_queries(network + beside):
        as_fitter.get(reverse(name))
    send(range(2, 20))
    with django_assert_num_queries(network + beside):
        as_fitter.get(reverse(name))

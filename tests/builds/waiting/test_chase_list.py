"""Whom to ring today, what about, and in which order."""

from __future__ import annotations

from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Away, Customer, Decision
from builds.network import load_workshop
from builds.sheets.chasing import ALWAYS_FREE, read_chase_list
from parts.models import SupplierPromise
from parts.services.promises import supplier_promise


def chase(today: Any, with_customers: bool = True) -> Any:
    return read_chase_list(load_workshop(today), with_customers=with_customers)


def test_what_is_late_is_asked_about_with_number_and_days_at_stake(radiator: Any, today: Any) -> None:
    (call,) = chase(today).calls
    (item,) = call.items
    assert (call.whom, call.phone, call.ask_for) == ("Ostler Radiators", "01632 960 117", "Petra")
    assert item.what == "Tern: radiator, fabricate, 1 off"
    assert item.ask[0].endswith("5 days late, no new day given: when will it be here?")
    assert item.press.sets_date


def test_what_is_on_time_with_days_to_spare_is_left_alone(radiator: Any, clip: Any, today: Any) -> None:
    assert [call.whom for call in chase(today).calls] == ["Ostler Radiators"]


def test_what_has_no_day_is_asked_for_one(clip: Any, today: Any) -> None:
    clip.operations.update(promised_on=None)
    SupplierPromise.objects.filter(operation__part=clip).delete()
    call = next(call for call in chase(today).calls if call.whom == "Ferrand Plating")
    assert call.items[0].ask[0].endswith("no day promised: ask for a day")


def test_a_promise_put_off_is_asked_to_come_sooner_and_shows_the_days_to_gain(
    radiator: Any, manager: Any, today: Any, day: Any
) -> None:
    supplier_promise(operation=radiator.operations.get(), promised_on=day(30), on=today, by=manager)
    item = chase(today).calls[0].items[0]
    assert item.ask[0].endswith("5 days late: can it come sooner?")
    assert item.days_at_stake > 10
    assert item.stake == f"holds Tern’s first start-up: {item.days_at_stake} days gained if it comes tomorrow"


def test_days_gained_are_said_to_be_as_if_somebody_were_always_free(
    radiator: Any, manager: Any, today: Any, day: Any, as_fitter: Client, tern: Any
) -> None:
    address = reverse("car-certainty", args=[tern.pk])
    assert ALWAYS_FREE not in chase(today).text  # no day to be gained is told
    assert address not in as_fitter.get(reverse("chase-list")).content.decode()

    supplier_promise(operation=radiator.operations.get(), promised_on=day(30), on=today, by=manager)

    page = as_fitter.get(reverse("chase-list")).content.decode()
    assert chase(today).text.splitlines()[1] == ALWAYS_FREE
    assert page.count(ALWAYS_FREE) == 2  # above the list, and in its text
    assert f'href="{address}">how certain, with the people there are' in page


def test_most_days_at_stake_first_then_most_days_late(
    radiator: Any, sump: Any, day: Any, today: Any, manager: Any
) -> None:
    assert [call.whom for call in chase(today).calls] == ["Ferrand Plating", "Ostler Radiators"]
    supplier_promise(operation=radiator.operations.get(), promised_on=day(60), on=today, by=manager)
    assert [call.whom for call in chase(today).calls] == ["Ostler Radiators", "Ferrand Plating"]


def test_a_car_that_is_late_back(tern: Any, plater: Any, today: Any, day: Any) -> None:
    Away.objects.create(
        car=tern, supplier=plater, what_for="alignment", leaves_on=day(-9), due_back_on=day(-2)
    )
    (call,) = chase(today).calls
    assert call.items[0].what == "The car Tern"
    assert call.items[0].ask[0].endswith("2 days late: when can it be fetched?")


def test_a_customer_is_named_to_managers_only(tern: Any, make_job: Any, manager: Any, today: Any) -> None:
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
    (for_manager,) = chase(today).calls
    (for_fitter,) = chase(today, with_customers=False).calls
    assert (for_manager.whom, for_manager.phone) == ("Odile Farrant, customer of Tern", "01632 960 777")
    assert (for_fitter.whom, for_fitter.phone) == ("The customer of Tern", "")
    assert "Farrant" not in chase(today, with_customers=False).text


def test_what_we_owe_ourselves_is_not_a_telephone_call(
    tern: Any, make_job: Any, manager: Any, today: Any
) -> None:
    Decision.objects.create(
        job=make_job(tern, "Paint"),
        question="Which primer?",
        owed_by="us",
        person=manager,
        raised_by=manager,
        raised_at=timezone.now(),
        due_on=today,
    )
    found = chase(today)
    assert (found.calls, [call.whom for call in found.ours]) == ((), ["Maud Ellery"])


def test_the_list_can_be_copied_as_text(radiator: Any, today: Any, as_fitter: Client) -> None:
    lines = chase(today).text.splitlines()
    assert lines[2] == "Ostler Radiators, 01632 960 117 (ask for Petra)"
    assert lines[3].startswith("- Tern: radiator, fabricate, 1 off [holds Tern’s first start-up")
    page = as_fitter.get(reverse("chase-list")).content.decode()
    assert '<a href="tel:01632960117">' in page
    assert "Ostler Radiators, 01632 960 117 (ask for Petra)" in page


def test_nobody_to_ring(as_fitter: Client) -> None:
    assert "Nobody has to be rung today" in as_fitter.get(reverse("chase-list")).content.decode()

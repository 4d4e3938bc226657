"""The pages on which a manager starts a car without a file."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Car, Customer, Job
from builds.services.start import car_start_from_template

PAGES = ["car-start", "car-start-template", "car-start-copy", "car-start-file"]


@pytest.fixture(autouse=True)
def _workshop(workshop: Any) -> None:
    """Every page names the workshop."""


def test_the_three_ways_and_the_empty_car_are_offered(as_manager: Client, tern: Car) -> None:
    page = as_manager.get(reverse("car-start")).content.decode()
    for name in PAGES[1:]:
        assert f'href="{reverse(name)}"' in page
    assert "Start an empty car" in page


def test_an_empty_car_is_here_from_today(as_manager: Client) -> None:
    answer = as_manager.post(reverse("car-start"), {"name": " Gannet ", "description": "1968 saloon"})
    gannet = Car.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, gannet.get_absolute_url())
    assert (gannet.name, gannet.description, gannet.arrived_on) == (
        "Gannet",
        "1968 saloon",
        timezone.localdate(),
    )


def test_a_new_customer_comes_with_the_car(as_manager: Client) -> None:
    as_manager.post(
        reverse("car-start"),
        {"name": "Gannet", "new_customer": "Ada Wren", "phone": "01632 960 001", "email": "ada@example.org"},
    )
    customer = Car.objects.get().customer
    assert customer is not None
    assert (customer.name, customer.phone, customer.email) == ("Ada Wren", "01632 960 001", "ada@example.org")


def test_a_known_customer_is_chosen(as_manager: Client) -> None:
    ada = Customer.objects.create(name="Ada Wren")
    as_manager.post(reverse("car-start"), {"name": "Gannet", "customer": ada.pk})
    assert Car.objects.get().customer == ada


def test_a_car_from_the_template_says_what_it_has(as_manager: Client) -> None:
    answer = as_manager.post(reverse("car-start-template"), {"name": "Gannet"}, follow=True)
    gannet = Car.objects.get()
    assert f"Gannet is started with {gannet.jobs.count()} jobs" in answer.content.decode()
    assert "lines of route cards have no supplier yet" in answer.content.decode()
    assert gannet.jobs.count() > 100


def test_a_car_from_another(as_manager: Client, manager: Any, workshop: Any) -> None:
    tern = car_start_from_template(name="Tern", description="", by=manager, today=timezone.localdate())
    as_manager.post(reverse("car-start-copy"), {"source": tern.pk, "name": "Gannet"})
    assert Car.objects.get(name="Gannet").jobs.count() == tern.jobs.count()


WRONG = [
    ({"name": ""}, "This field is required"),
    ({"name": "tern"}, "There is a car called “tern” already"),
    ({"name": "x" * 41}, "at most 40 characters"),
    ({"name": "a\x00b"}, "Null characters are not allowed"),
    ({"name": "Gannet", "customer": "999"}, "Select a valid choice"),
    ({"name": "Gannet", "customer": "9" * 40}, "Select a valid choice. That choice"),
    ({"name": "Gannet", "email": "nonsense", "new_customer": "Ada"}, "Enter a valid email address"),
    ({"name": "Gannet", "phone": "01632"}, "give the name"),
    ({"name": "Gannet", "new_customer": "wren"}, "is a customer already"),
]


@pytest.mark.parametrize(("data", "words"), WRONG, ids=[words for _, words in WRONG])
@pytest.mark.parametrize("name", ["car-start", "car-start-template", "car-start-copy"])
def test_a_refusal_says_why_and_changes_nothing(
    as_manager: Client, tern: Car, name: str, data: dict[str, str], words: str
) -> None:
    Customer.objects.create(name="Wren")
    answer = as_manager.post(reverse(name), {"source": str(tern.pk), **data})
    assert (answer.status_code, words in answer.content.decode()) == (200, True)
    assert (Car.objects.count(), Customer.objects.count(), Job.objects.count()) == (1, 1, 0)


def test_a_customer_is_chosen_or_named_not_both(as_manager: Client) -> None:
    wren = Customer.objects.create(name="Wren")
    data = {"name": "Gannet", "customer": wren.pk, "new_customer": "Ada"}
    assert "not both" in as_manager.post(reverse("car-start"), data).content.decode()
    assert not Car.objects.exists()


def test_a_car_to_copy_must_be_there(as_manager: Client, tern: Car) -> None:
    answer = as_manager.post(reverse("car-start-copy"), {"source": "999", "name": "Gannet"})
    assert "That car is not here any more" in answer.content.decode()
    assert Car.objects.count() == 1


def test_html_in_a_name_stays_text(as_manager: Client) -> None:
    answer = as_manager.post(reverse("car-start"), {"name": "<b>Gannet</b>"}, follow=True)
    assert "<b>Gannet</b>" not in answer.content.decode()
    assert Car.objects.get().name == "<b>Gannet</b>"


@pytest.mark.parametrize("name", PAGES)
def test_a_fitter_may_not(as_fitter: Client, name: str) -> None:
    assert as_fitter.get(reverse(name)).status_code == 403
    assert as_fitter.post(reverse(name), {"name": "Gannet"}).status_code == 403
    assert not Car.objects.exists()

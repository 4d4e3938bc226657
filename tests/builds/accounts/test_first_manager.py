"""An empty workshop begins with its first manager, once."""

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.models import Person, Workshop
from builds.services import accounts

FIRST = "/first-manager/"
GIVEN = {
    "workshop_name": "Saltmarsh Motor Works",
    "name": "Maud Ellery",
    "secret": "a long enough password",
    "secret_again": "a long enough password",
}


@pytest.mark.usefixtures("db")
def test_signing_in_to_an_empty_workshop_leads_to_the_first_manager(client: Client) -> None:
    assert client.get("/sign-in/").url == FIRST
    assert client.get(FIRST).status_code == 200


@pytest.mark.usefixtures("db")
def test_the_first_manager_is_made_signed_in_and_led_to_the_settings(client: Client) -> None:
    answer = client.post(FIRST, GIVEN)
    maud = Person.objects.get()
    assert (maud.name, maud.role, maud.is_active) == ("Maud Ellery", "manager", True)
    assert maud.check_password("a long enough password")
    assert Workshop.objects.get().name == "Saltmarsh Motor Works"
    assert client.session["_auth_user_id"] == str(maud.pk)
    assert answer.url == reverse("workshop-settings")


@pytest.mark.parametrize("anybody", ["fitter", "manager"])
def test_it_is_closed_as_soon_as_there_is_anybody(
    client: Client, anybody: str, request: pytest.FixtureRequest
) -> None:
    request.getfixturevalue(anybody)
    assert client.get(FIRST).url == "/sign-in/"
    assert client.post(FIRST, {**GIVEN, "name": "Somebody Else"}).url == "/sign-in/"
    assert Person.objects.count() == 1


@pytest.mark.usefixtures("db")
def test_of_two_at_once_the_second_is_told() -> None:
    """Both got past the page; the service looks again under a lock."""
    accounts.first_manager_create(workshop_name="One", name="First One", password="a long enough password")
    with pytest.raises(ValidationError, match="has its first manager already"):
        accounts.first_manager_create(workshop_name="Two", name="Second", password="a long enough password")
    assert [person.name for person in Person.objects.all()] == ["First One"]
    assert Workshop.objects.get().name == "One"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"secret": "short", "secret_again": "short"}, "at least 10 characters"),
        ({"secret": "password123", "secret_again": "password123"}, "too common"),
        ({"secret_again": "another long password"}, "The two differ"),
        ({"name": ""}, "This field is required"),
        ({"name": "x" * 61}, "at most 60 characters"),
        ({"workshop_name": ""}, "This field is required"),
        ({"workshop_name": "x" * 81}, "at most 80 characters"),
        ({"secret": "x" * 129, "secret_again": "x" * 129}, "at most 128 characters"),
    ],
)
@pytest.mark.usefixtures("db")
def test_a_refusal_says_why_and_makes_nobody(client: Client, change: dict[str, str], words: str) -> None:
    answer = client.post(FIRST, {**GIVEN, **change})
    assert words in answer.content.decode()
    assert not Person.objects.exists()
    assert not Workshop.objects.exclude(name="Our workshop").exists()

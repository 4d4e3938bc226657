"""What is shown when a request cannot be answered."""

from typing import Any

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views import defaults


def test_an_address_that_is_not_there(as_fitter: Client) -> None:
    answer = as_fitter.get("/no-such-sheet/")
    assert answer.status_code == 404
    assert "There is no such sheet" in answer.content.decode()


def test_what_was_typed_in_an_address_is_not_repeated_as_html(as_fitter: Client) -> None:
    assert "<script>alert" not in as_fitter.get("/<script>alert(1)</script>").content.decode()


@pytest.mark.usefixtures("db")
def test_somebody_not_signed_in_gets_the_same_page(client: Client) -> None:
    answer = client.get("/no-such-sheet/")
    assert answer.status_code == 404
    assert "Sign out" not in answer.content.decode()


def test_a_page_for_managers_tells_a_fitter_what_to_do(as_fitter: Client) -> None:
    answer = as_fitter.get(reverse("workshop-settings"))
    assert answer.status_code == 403
    page = answer.content.decode()
    assert "Only a manager may do this. Nothing was changed." in page


def test_a_fault_is_told_without_the_database() -> None:
    """No database mark on this test: one query would make it fail."""
    answer = defaults.server_error(RequestFactory().get("/"))
    assert answer.status_code == 500
    page = answer.content.decode()
    assert "The server met a fault" in page
    assert "was not recorded" in page


def test_a_fault_inside_a_page_shows_that_page(manager: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from builds.sheets import roll as roll

    def fail(*args: Any) -> None:
        raise RuntimeError("a fault made on purpose")

    client = Client(raise_request_exception=False)
    client.force_login(manager)
    monkeypatch.setattr(roll, "read_roll", fail)
    answer = client.get(reverse("people"))
    assert answer.status_code == 500
    assert "made on purpose" not in answer.content.decode()
    assert "The server met a fault" in answer.content.decode()


@pytest.mark.usefixtures("db")
def test_an_unknown_name_of_this_computer_is_told_in_words(client: Client) -> None:
    answer = client.get("/", headers={"host": "stranger.example"})
    assert answer.status_code == 400
    assert "could not make sense" in answer.content.decode()

"""The day and night ground, kept on the device."""

import pytest
from django.test import Client

pytestmark = pytest.mark.usefixtures("db")


@pytest.mark.parametrize("chosen", ["day", "night"])
def test_the_chosen_ground_is_kept(client: Client, chosen: str) -> None:
    answer = client.post("/ground/", {"ground": chosen, "next": "/sign-in/?next=/people/"})
    cookie = answer.cookies["ground"]
    assert (cookie.value, cookie["samesite"], bool(cookie["httponly"])) == (chosen, "Lax", True)
    assert answer.status_code == 302


def test_the_page_that_asked_comes_back_on_that_ground(client: Client, fitter: object) -> None:
    assert client.post("/ground/", {"ground": "night", "next": "/people/"}).url == "/people/"
    assert 'data-ground="night"' in client.get("/sign-in/").content.decode()


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "", "\\\\x"])
def test_it_never_leads_elsewhere(client: Client, elsewhere: str) -> None:
    assert client.post("/ground/", {"ground": "night", "next": elsewhere}).url == "/"


@pytest.mark.parametrize("nonsense", ["", "noon", '"><script>'])
def test_another_ground_is_not_kept(client: Client, nonsense: str) -> None:
    assert "ground" not in client.post("/ground/", {"ground": nonsense}).cookies


def test_a_link_changes_nothing(client: Client) -> None:
    assert client.get("/ground/").status_code == 405

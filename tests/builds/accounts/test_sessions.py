"""How long somebody stays signed in, and what happens to a page left open."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.middleware import NOT_RECORDED


def signed_in(client: Client) -> str | None:
    return client.session.get("_auth_user_id")


def sign_in(client: Client, person: Any) -> None:
    if person.is_manager:
        client.post("/sign-in/", {"name": person.name, "password": "a long enough password"})
    else:
        client.post(f"/sign-in/{person.pk}/", {"pin": "4821"})
    assert signed_in(client) == str(person.pk)


@pytest.mark.parametrize("who", ["manager", "fitter"])
def test_a_session_ends_twelve_hours_after_signing_in(
    client: Client, who: str, request: pytest.FixtureRequest
) -> None:
    sign_in(client, request.getfixturevalue(who))
    left = client.session.get_expiry_date() - timezone.now()
    assert timedelta(hours=11, minutes=59) < left <= timedelta(hours=12)


def test_using_the_pages_does_not_put_the_end_off(client: Client, fitter: Any) -> None:
    sign_in(client, fitter)
    end = client.session.get_expiry_date()
    session = client.session
    session["something"] = "kept"  # as a message does
    session.save()
    client.get(reverse("people"))
    assert client.session.get_expiry_date() == end


def test_an_ended_session_asks_to_sign_in_again(client: Client, fitter: Any) -> None:
    sign_in(client, fitter)
    session = client.session
    session.set_expiry(timezone.now() - timedelta(seconds=1))
    session.save()
    assert client.get(reverse("people")).url == "/sign-in/?next=/people/"


def test_signing_out_ends_it_and_shows_the_names(as_fitter: Client) -> None:
    answer = as_fitter.post(reverse("sign-out"))
    assert answer.url == reverse("sign-in")
    assert signed_in(as_fitter) is None


def test_a_link_cannot_sign_anybody_out(as_fitter: Client) -> None:
    assert as_fitter.get(reverse("sign-out")).status_code == 405
    assert signed_in(as_fitter) is not None


def test_leaving_the_workshop_ends_the_session_at_once(as_fitter: Client, fitter: Any) -> None:
    fitter.is_active = False
    fitter.save()
    assert as_fitter.get(reverse("people")).status_code == 302


def test_a_new_pin_ends_sessions_begun_with_the_old_one(client: Client, fitter: Any) -> None:
    sign_in(client, fitter)
    fitter.set_password("6193")
    fitter.save()
    assert client.get(reverse("people")).status_code == 302


def test_a_press_on_a_page_left_open_leads_back_to_that_page(client: Client, fitter: Any) -> None:
    answer = client.post(
        f"/people/{fitter.pk}/absences/new/", headers={"referer": "http://testserver/people/?a=1"}
    )
    assert answer.url == "/sign-in/?next=/people/%3Fa%3D1"
    assert NOT_RECORDED in client.get(answer.url).content.decode()


@pytest.mark.parametrize("referer", ["", "https://elsewhere.example/people/", "//elsewhere.example"])
def test_a_press_from_nowhere_or_elsewhere_leads_to_the_front(
    client: Client, fitter: Any, referer: str
) -> None:
    answer = client.post(f"/people/{fitter.pk}/absences/new/", headers={"referer": referer})
    assert answer.url == "/sign-in/?next=/"


def test_a_piece_of_page_is_not_replaced_by_the_sign_in_page(client: Client, fitter: Any) -> None:
    answer = client.post(
        f"/people/{fitter.pk}/absences/new/",
        headers={"hx-request": "true", "hx-current-url": "http://testserver/people/"},
    )
    assert answer.status_code == 200
    assert answer.headers["HX-Redirect"] == "/sign-in/?next=/people/"
    assert answer.content == b""


def test_what_a_manager_saw_is_not_kept_by_the_browser(as_manager: Client, as_fitter: Client) -> None:
    assert as_manager.get(reverse("people")).headers["Cache-Control"] == "private, no-store"
    assert "Cache-Control" not in as_fitter.get(reverse("people")).headers

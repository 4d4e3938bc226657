"""Who gets in, by which door, and where it leads."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

SIGN_IN = "/sign-in/"
PASSWORD = "a long enough password"  # those of the standing cast
PIN = "4821"


def signed_in(client: Client) -> str | None:
    return client.session.get("_auth_user_id")


def pin_page(person: Any) -> str:
    return reverse("sign-in-pin", args=[person.pk])


def test_a_manager_signs_in_with_name_and_password(client: Client, manager: Any) -> None:
    answer = client.post(SIGN_IN, {"name": "Maud Ellery", "password": PASSWORD})
    assert signed_in(client) == str(manager.pk)
    assert answer.url == reverse("cars")


@pytest.mark.parametrize("name", ["maud ellery", "MAUD  ELLERY", "  Maud Ellery "])
def test_capitals_and_blanks_in_a_name_do_not_matter(client: Client, manager: Any, name: str) -> None:
    client.post(SIGN_IN, {"name": name, "password": PASSWORD})
    assert signed_in(client) == str(manager.pk)


def test_capitals_of_other_letters_do_not_matter_either(client: Client, manager: Any) -> None:
    manager.name = "Élodie Ørn"
    manager.save()
    client.post(SIGN_IN, {"name": "élodie ørn", "password": PASSWORD})
    assert signed_in(client) == str(manager.pk)


def test_the_page_offers_the_fitters_who_work_here(
    client: Client, manager: Any, fitter: Any, other_fitter: Any
) -> None:
    other_fitter.is_active = False
    other_fitter.save()
    page = client.get(SIGN_IN).content.decode()
    assert "Rafe Holloway" in page
    assert "Ines Brandt" not in page
    assert "Maud Ellery" not in page


def test_a_fitter_signs_in_with_a_pin(client: Client, fitter: Any) -> None:
    answer = client.post(pin_page(fitter), {"pin": PIN})
    assert signed_in(client) == str(fitter.pk)
    assert answer.url == reverse("today")


def test_the_pin_field_is_an_ordinary_one_that_needs_no_script(client: Client, fitter: Any) -> None:
    page = client.get(pin_page(fitter)).content.decode()
    assert '<input type="password" name="pin"' in page
    assert 'inputmode="numeric"' in page
    assert '<div class="keys" hidden>' in page


def test_a_wrong_pin_says_so(client: Client, fitter: Any) -> None:
    answer = client.post(pin_page(fitter), {"pin": "9999"})
    assert "That PIN is wrong" in answer.content.decode()
    assert signed_in(client) is None


@pytest.mark.parametrize("pin", ["", "123456789", "4821\x00"])
def test_what_cannot_be_a_pin_is_refused_and_not_counted(client: Client, fitter: Any, pin: str) -> None:
    answer = client.post(pin_page(fitter), {"pin": pin})
    assert answer.status_code == 200
    assert signed_in(client) is None
    fitter.refresh_from_db()
    assert fitter.failed_tries == 0


@pytest.mark.parametrize(
    ("name", "password"),
    [("Maud Ellery", "not the password"), ("Nobody Atall", PASSWORD), ("Rafe Holloway", PIN)],
    ids=["wrong password", "unknown name", "a fitter's PIN in the password form"],
)
def test_every_refusal_of_the_password_form_has_the_same_words(
    client: Client, manager: Any, fitter: Any, name: str, password: str
) -> None:
    answer = client.post(SIGN_IN, {"name": name, "password": password})
    assert "The name or the password is wrong. Type both again." in answer.content.decode()
    assert answer.status_code == 200
    assert signed_in(client) is None


def test_a_refusal_takes_one_hashing_whether_the_name_is_known_or_not(
    client: Client, manager: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from django.contrib.auth.hashers import MD5PasswordHasher

    hashed: list[str] = []
    encode = MD5PasswordHasher.encode

    def counted(self: Any, password: str, salt: str) -> str:
        hashed.append(password)
        return encode(self, password, salt)

    monkeypatch.setattr(MD5PasswordHasher, "encode", counted)
    client.post(SIGN_IN, {"name": "Maud Ellery", "password": "wrong one"})
    known = len(hashed)
    client.post(SIGN_IN, {"name": "Nobody Atall", "password": "wrong one"})
    assert (known, len(hashed)) == (1, 2)


def test_somebody_who_left_cannot_sign_in(client: Client, manager: Any, fitter: Any) -> None:
    for person in (manager, fitter):
        person.is_active = False
        person.save()
    client.post(SIGN_IN, {"name": "Maud Ellery", "password": PASSWORD})
    assert signed_in(client) is None
    assert client.post(pin_page(fitter), {"pin": PIN}).status_code == 404
    assert signed_in(client) is None


def test_a_manager_has_no_pin_page(client: Client, manager: Any, fitter: Any) -> None:
    assert client.get(pin_page(manager)).status_code == 404
    assert client.post(pin_page(manager), {"pin": PASSWORD}).status_code == 404


@pytest.mark.parametrize("person_id", [0, 987654, 10**30])
def test_a_person_who_is_not_there_has_no_pin_page(client: Client, fitter: Any, person_id: int) -> None:
    assert client.get(f"/sign-in/{person_id}/").status_code == 404


def test_signing_in_leads_back_to_where_one_wanted_to_go(client: Client, fitter: Any) -> None:
    wanted = client.get(reverse("people"))
    assert wanted.url == "/sign-in/?next=/people/"
    assert "/?next=/people/" in client.get(wanted.url).content.decode()
    page = client.get(pin_page(fitter) + "?next=/people/").content.decode()
    assert '<input type="hidden" name="next" value="/people/">' in page
    assert client.post(pin_page(fitter), {"pin": PIN, "next": "/people/"}).url == "/people/"


@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "/sign-in/"]
)
def test_signing_in_never_leads_elsewhere(client: Client, fitter: Any, elsewhere: str) -> None:
    assert client.post(pin_page(fitter), {"pin": PIN, "next": elsewhere}).url == reverse("today")


def test_who_is_signed_in_already_is_not_asked_again(as_fitter: Client) -> None:
    assert as_fitter.get(SIGN_IN).url == reverse("today")


def test_a_name_with_html_in_it_is_shown_as_typed(client: Client, fitter: Any) -> None:
    fitter.name = "<b>Rafe</b>"
    fitter.save()
    for page in (client.get(SIGN_IN), client.get(pin_page(fitter))):
        assert "&lt;b&gt;Rafe&lt;/b&gt;" in page.content.decode()
        assert "<b>Rafe" not in page.content.decode()


def test_what_was_typed_as_a_name_comes_back_escaped_and_a_password_never(
    client: Client, manager: Any
) -> None:
    page = client.post(SIGN_IN, {"name": '"><script>', "password": "secret-typed-here"}).content.decode()
    assert "&quot;&gt;&lt;script&gt;" in page
    assert "secret-typed-here" not in page


@pytest.mark.parametrize("field", ["name", "password"])
def test_huge_or_empty_values_are_refused(client: Client, manager: Any, field: str) -> None:
    for value in ("", "x" * 100_000):
        answer = client.post(SIGN_IN, {"name": "Maud Ellery", "password": PASSWORD, field: value})
        assert answer.status_code == 200
        assert signed_in(client) is None


def test_secrets_are_kept_hashed(manager: Any, fitter: Any) -> None:
    assert PASSWORD not in manager.password
    assert PIN not in fitter.password
    assert manager.check_password(PASSWORD)


def test_a_fitter_who_opened_the_front_page_lands_on_today(client: Client, fitter: Any) -> None:
    sent = client.get("/")
    assert sent.url == "/sign-in/?next=/"
    assert client.post(pin_page(fitter), {"pin": PIN, "next": "/"}).url == reverse("today")


def test_a_manager_who_opened_the_front_page_lands_there(client: Client, manager: Any) -> None:
    answer = client.post(SIGN_IN, {"name": "Maud Ellery", "password": PASSWORD, "next": "/"})
    assert answer.url == reverse("cars")


def test_a_sheet_that_a_fitter_asked_for_by_name_is_what_he_gets(client: Client, fitter: Any) -> None:
    assert client.post(pin_page(fitter), {"pin": PIN, "next": "/waiting/"}).url == "/waiting/"

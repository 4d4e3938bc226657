"""After five wrong tries a name is locked, longer each time; a right one forgets them."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from builds.services import accounts

NOON = datetime(2027, 1, 11, 12, 0, tzinfo=UTC)  # London has no summer time then: 12:00 by the clock
PASSWORD = "a long enough password"
PIN = "4821"


def try_pin(person: Any, pin: str, at: datetime) -> str:
    """The words of the refusal, '' if there was none."""
    try:
        accounts.sign_in_with_pin(person=person, pin=pin, now=at)
    except ValidationError as error:
        return " ".join(error.messages)
    return ""


def try_password(name: str, password: str, at: datetime) -> str:
    try:
        accounts.sign_in_with_password(name=name, password=password, now=at)
    except ValidationError as error:
        return " ".join(error.messages)
    return ""


def test_four_wrong_tries_lock_nothing(fitter: Any) -> None:
    for _ in range(4):
        assert try_pin(fitter, "0000", NOON) == accounts.WRONG_PIN
    assert try_pin(fitter, PIN, NOON) == ""


def test_the_fifth_locks_for_a_minute_and_says_until_when(fitter: Any) -> None:
    for _ in range(4):
        try_pin(fitter, "0000", NOON)
    words = try_pin(fitter, "0000", NOON)
    assert words == (
        "That PIN is wrong. Too many wrong tries: this name is locked for 1 minute, until 12:01. "
        "A manager can set a new PIN or password at once."
    )


def test_while_locked_even_the_right_pin_is_refused_and_nothing_is_counted(fitter: Any) -> None:
    for _ in range(5):
        try_pin(fitter, "0000", NOON)
    assert "locked for 1 minute" in try_pin(fitter, PIN, NOON + timedelta(seconds=59))
    fitter.refresh_from_db()
    assert fitter.failed_tries == 5
    assert try_pin(fitter, PIN, NOON + timedelta(seconds=60)) == ""


def test_each_further_lock_is_twice_as_long_up_to_an_hour(fitter: Any) -> None:
    at, minutes = NOON, []
    for _ in range(4):
        try_pin(fitter, "0000", at)
    for _ in range(9):
        try_pin(fitter, "0000", at)
        fitter.refresh_from_db()
        minutes.append((fitter.locked_until - at) / timedelta(minutes=1))
        at = fitter.locked_until
    assert minutes == [1, 2, 4, 8, 16, 32, 60, 60, 60]


def test_a_right_one_forgets_the_wrong_ones(fitter: Any) -> None:
    for _ in range(5):
        try_pin(fitter, "0000", NOON)
    assert try_pin(fitter, PIN, NOON + timedelta(minutes=2)) == ""
    fitter.refresh_from_db()
    assert (fitter.failed_tries, fitter.locked_until) == (0, None)


def test_one_name_locked_leaves_the_others_alone(fitter: Any, other_fitter: Any) -> None:
    for _ in range(5):
        try_pin(fitter, "0000", NOON)
    assert try_pin(other_fitter, "7305", NOON) == ""


def test_a_password_is_guarded_the_same_way(manager: Any) -> None:
    for _ in range(5):
        try_password("Maud Ellery", "wrong", NOON)
    assert "until 12:01" in try_password("maud ellery", PASSWORD, NOON)
    assert try_password("maud ellery", PASSWORD, NOON + timedelta(minutes=1)) == ""


@pytest.mark.parametrize("stranger", ["Nobody Atall", "Rafe Holloway"])
def test_an_unknown_name_locks_in_the_same_words_as_a_known_one(
    manager: Any, fitter: Any, stranger: str
) -> None:
    known = [try_password("Maud Ellery", "wrong", NOON) for _ in range(7)]
    unknown = [try_password(stranger, "wrong", NOON) for _ in range(7)]
    assert known == unknown
    fitter.refresh_from_db()
    assert fitter.failed_tries == 0  # tried at the wrong door: his own stays open


def test_a_try_is_charged_before_the_secret_is_looked_at(
    fitter: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that a hundred tries at once are not all looked at before the first is counted."""
    from builds.models import Person

    charged: list[int] = []

    def look(self: Person, raw: str) -> bool:
        charged.append(Person.objects.get(pk=self.pk).failed_tries)
        return False

    monkeypatch.setattr(Person, "check_password", look)
    for _ in range(8):
        try_pin(fitter, "0000", NOON)
    assert charged == [1, 2, 3, 4, 5]


def test_very_many_wrong_tries_do_not_overflow(fitter: Any) -> None:
    fitter.failed_tries = accounts.MOST_TRIES_COUNTED
    fitter.save()
    assert "locked for 60 minutes" in try_pin(fitter, "0000", NOON)
    fitter.refresh_from_db()
    assert fitter.failed_tries == accounts.MOST_TRIES_COUNTED


def test_a_manager_cannot_be_let_in_by_a_pin(manager: Any) -> None:
    assert try_pin(manager, PASSWORD, NOON) == "A manager signs in with a password."


def test_a_new_pin_from_a_manager_ends_the_lock(as_manager: Client, fitter: Any) -> None:
    for _ in range(5):
        try_pin(fitter, "0000", NOON)
    edit = as_manager.get(f"/people/{fitter.pk}/edit/").context["form"].initial
    given = {name: edit[name] or "" for name in edit if name != "skills"}
    as_manager.post(f"/people/{fitter.pk}/edit/", {**given, "secret": "6193", "secret_again": "6193"})
    fitter.refresh_from_db()
    assert (fitter.failed_tries, fitter.locked_until) == (0, None)
    assert try_pin(fitter, "6193", NOON) == ""


def test_the_page_shows_the_lock(client: Client, fitter: Any) -> None:
    for _ in range(5):
        answer = client.post(f"/sign-in/{fitter.pk}/", {"pin": "0000"})
    assert "Too many wrong tries: this name is locked for 1 minute" in answer.content.decode()

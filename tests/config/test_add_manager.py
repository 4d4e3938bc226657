"""An empty workshop has nobody; `add_manager` adds the first person."""

from __future__ import annotations

import io

import pytest
from django.core.management import CommandError, call_command

from builds.models import Person

pytestmark = pytest.mark.django_db


def add(monkeypatch: pytest.MonkeyPatch, name: str, password: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
    call_command("add_manager", name=name, stdout=io.StringIO())


def test_a_manager_is_added_who_can_sign_in(monkeypatch: pytest.MonkeyPatch) -> None:
    add(monkeypatch, " Maud Ellery ", "seven grey geese")
    (person,) = Person.objects.all()
    assert (person.name, person.is_manager, person.is_active) == ("Maud Ellery", True, True)
    assert person.check_password("seven grey geese")


@pytest.mark.parametrize(
    ("name", "password", "words"),
    [
        ("Maud Ellery", "short", "at least 10 characters"),
        ("Maud Ellery", "password123", "too common"),
        ("  ", "seven grey geese", "cannot be blank|cannot be null|This field"),
        ("m" * 61, "seven grey geese", "at most 60 characters"),
    ],
)
def test_a_refusal_adds_nobody(monkeypatch: pytest.MonkeyPatch, name: str, password: str, words: str) -> None:
    with pytest.raises(CommandError, match=words):
        add(monkeypatch, name, password)
    assert not Person.objects.exists()


def test_a_name_is_not_given_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    add(monkeypatch, "Maud Ellery", "seven grey geese")
    with pytest.raises(CommandError, match="There is a person of that name already"):
        add(monkeypatch, "maud ellery", "another ten letters")
    assert Person.objects.count() == 1

"""Entering and changing people."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.models import Person, Skill
from builds.services import people

NEW = "/people/new/"
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
HOURS = {f"{day}_hours": "8" if day not in ("saturday", "sunday") else "0" for day in DAYS}
GIVEN = {
    **HOURS,
    "name": "Tom Carrow",
    "role": "fitter",
    "is_active": "on",
    "version": "1",
    "secret": "6193",
    "secret_again": "6193",
}


def edit(person: Any) -> str:
    return reverse("person-edit", args=[person.pk])


def unchanged(person: Any) -> bool:
    """As the row was, secret included."""
    fields = ("name", "role", "is_active", "version", "password", "monday_hours")
    return Person.objects.filter(pk=person.pk).values(*fields).get() == {
        field: getattr(person, field) for field in fields
    }


def given_for(person: Any, **change: str) -> dict[str, str]:
    unchanged_fields = {"name": person.name, "role": person.role, "version": str(person.version)}
    return {**GIVEN, **unchanged_fields, "secret": "", "secret_again": "", **change}


def test_a_manager_enters_a_fitter_with_skills_and_hours(as_manager: Client) -> None:
    skill = Skill.objects.create(name="lead loading")
    answer = as_manager.post(NEW, {**GIVEN, "friday_hours": "5.5", "skills": [skill.pk]})
    tom = Person.objects.get(name="Tom Carrow")
    assert answer.url == reverse("person", args=[tom.pk])
    assert (tom.role, tom.is_active, tom.friday_hours) == ("fitter", True, Decimal("5.5"))
    assert tom.check_password("6193")
    assert list(tom.skills.all()) == [skill]


def test_somebody_works_here_from_a_day_until_another(as_manager: Client) -> None:
    as_manager.post(NEW, {**GIVEN, "here_from": "2027-03-01", "here_until": "2027-08-31"})
    tom = Person.objects.get(name="Tom Carrow")
    assert (tom.here_from, tom.here_until) == (date(2027, 3, 1), date(2027, 8, 31))


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2027-03-02", "2027-03-01", "cannot leave before they begin"),
        ("0207-03-02", "", "The year 207 cannot be right"),
        ("", "9999-12-31", "The year 9999 cannot be right"),
        ("31/02/2027", "", "Enter a valid date"),
    ],
)
def test_days_that_cannot_be_enter_nobody(as_manager: Client, first: str, last: str, words: str) -> None:
    before = Person.objects.count()
    page = as_manager.post(NEW, {**GIVEN, "here_from": first, "here_until": last}).content.decode()
    assert words in page
    assert Person.objects.count() == before


def test_a_manager_enters_a_manager_with_a_password(as_manager: Client) -> None:
    secret = "quite a long password"
    as_manager.post(NEW, {**GIVEN, "role": "manager", "secret": secret, "secret_again": secret})
    assert Person.objects.get(name="Tom Carrow").check_password(secret)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"secret": "12", "secret_again": "12"}, "A PIN is 4 to 8 digits and nothing else."),
        ({"secret": "123456789", "secret_again": "123456789"}, "A PIN is 4 to 8 digits"),
        ({"secret": "12a4", "secret_again": "12a4"}, "A PIN is 4 to 8 digits"),
        ({"secret": "١٢٣٤", "secret_again": "١٢٣٤"}, "A PIN is 4 to 8 digits"),
        ({"secret": "1234", "secret_again": "1234"}, "too easy to guess"),
        ({"secret": "9876", "secret_again": "9876"}, "too easy to guess"),
        ({"secret": "0000", "secret_again": "0000"}, "too easy to guess"),
        ({"secret": "", "secret_again": ""}, "This field is required"),
        ({"secret_again": "6194"}, "The two differ"),
        ({"role": "manager"}, "at least 10 characters"),
        ({"role": "owner"}, "Select a valid choice"),
        ({"name": ""}, "This field is required"),
        ({"name": "   "}, "This field is required"),
        ({"name": "x" * 61}, "at most 60 characters"),
        ({"name": "x" * 100_000}, "at most 60 characters"),
        ({"name": "Tom\x00"}, "Null characters are not allowed"),
        ({"name": "Maud Ellery"}, "There is a person of that name already."),
        ({"name": "MAUD  ellery"}, "There is a person of that name already."),
        ({"monday_hours": "-1"}, "greater than or equal to 0"),
        ({"monday_hours": "16.5"}, "less than or equal to 16"),
        ({"monday_hours": "eight"}, "Enter a number"),
        ({"monday_hours": "1e9"}, "Ensure"),
        ({"monday_hours": "NaN"}, "Enter a number"),
        ({"monday_hours": ""}, "This field is required"),
        ({"skills": "987654"}, "Select a valid choice"),
        ({"skills": "x"}, "is not a valid value"),
    ],
)
def test_a_refusal_says_why_and_enters_nobody(as_manager: Client, change: dict[str, str], words: str) -> None:
    answer = as_manager.post(NEW, {**GIVEN, **change})
    assert answer.status_code == 200
    assert words in answer.content.decode().replace("&#x27;", "'").replace("&quot;", '"')
    assert Person.objects.count() == 1


def test_names_that_differ_only_in_the_case_of_other_letters_are_the_same(manager: Any) -> None:
    people.person_create(details=people.PersonDetails(name="Élodie Ørn", role="fitter"), secret="6193")
    with pytest.raises(ValidationError, match="of that name already"):
        people.person_create(details=people.PersonDetails(name="élodie ørn", role="fitter"), secret="6193")


def test_a_change_keeps_the_secret_unless_a_new_one_is_typed(as_manager: Client, fitter: Any) -> None:
    answer = as_manager.post(edit(fitter), given_for(fitter, name="Rafe Holloway-Brandt", saturday_hours="4"))
    assert answer.status_code == 302
    fitter.refresh_from_db()
    assert (fitter.name, fitter.saturday_hours, fitter.version) == ("Rafe Holloway-Brandt", Decimal(4), 2)
    assert fitter.check_password("4821")


def test_the_form_shows_what_is_there(as_manager: Client, fitter: Any) -> None:
    page = as_manager.get(edit(fitter)).content.decode()
    assert 'value="Rafe Holloway"' in page
    assert 'name="monday_hours" value="8"' in page
    assert "4821" not in page


def test_a_change_of_case_in_ones_own_name_is_no_duplicate(as_manager: Client, fitter: Any) -> None:
    as_manager.post(edit(fitter), given_for(fitter, name="RAFE HOLLOWAY"))
    fitter.refresh_from_db()
    assert fitter.name == "RAFE HOLLOWAY"


def test_of_two_editors_the_second_is_told_and_overwrites_nothing(as_manager: Client, fitter: Any) -> None:
    as_manager.post(edit(fitter), given_for(fitter, saturday_hours="4"))
    answer = as_manager.post(edit(fitter), given_for(fitter, name="Somebody Else"))
    page = answer.content.decode()
    assert "Rafe Holloway was changed by somebody else meanwhile." in page
    assert 'value="Somebody Else"' in page  # what was typed is not lost
    assert "Open afresh" in page
    fitter.refresh_from_db()
    assert (fitter.name, fitter.saturday_hours) == ("Rafe Holloway", Decimal(4))


@pytest.mark.parametrize("version", ["", "0", "-1", "x", "9" * 40])
def test_a_version_that_is_none_changes_nothing(as_manager: Client, fitter: Any, version: str) -> None:
    assert as_manager.post(edit(fitter), given_for(fitter, name="Else", version=version)).status_code == 200
    assert unchanged(fitter)


def test_a_fitter_made_manager_needs_a_password(as_manager: Client, fitter: Any) -> None:
    answer = as_manager.post(edit(fitter), given_for(fitter, role="manager"))
    assert "set a new one: a manager has a password of 10 characters or more" in answer.content.decode()
    assert unchanged(fitter)
    secret = "quite a long password"
    as_manager.post(edit(fitter), given_for(fitter, role="manager", secret=secret, secret_again=secret))
    fitter.refresh_from_db()
    assert fitter.is_manager
    assert fitter.check_password(secret)


@pytest.mark.parametrize(
    "change", [{"is_active": ""}, {"role": "fitter", "secret": "6193", "secret_again": "6193"}]
)
def test_the_last_manager_stays_one(as_manager: Client, manager: Any, change: dict[str, str]) -> None:
    given = {key: value for key, value in given_for(manager, **change).items() if value != ""}
    answer = as_manager.post(edit(manager), given)
    assert "is the only manager who works here" in answer.content.decode()
    assert unchanged(manager)


def test_a_manager_who_left_does_not_count_as_another(as_manager: Client, manager: Any) -> None:
    Person.objects.create_person(name="Gone", secret="x", role="manager", is_active=False)
    given = given_for(manager)
    del given["is_active"]
    assert "is the only manager" in as_manager.post(edit(manager), given).content.decode()
    assert unchanged(manager)


def test_one_of_two_managers_may_go(as_manager: Client, manager: Any) -> None:
    other = Person.objects.create_person(name="Other", secret="a long enough password", role="manager")
    given = given_for(other)
    del given["is_active"]
    assert as_manager.post(edit(other), given).status_code == 302
    other.refresh_from_db()
    assert not other.is_active


def test_a_new_password_of_ones_own_does_not_sign_one_out(as_manager: Client, manager: Any) -> None:
    secret = "quite another password"
    as_manager.post(edit(manager), given_for(manager, secret=secret, secret_again=secret))
    assert as_manager.get(reverse("people")).status_code == 200


def test_a_fitter_can_change_nobody(as_fitter: Client, fitter: Any, manager: Any) -> None:
    assert as_fitter.post(NEW, GIVEN).status_code == 403
    assert as_fitter.post(edit(fitter), given_for(fitter, role="manager")).status_code == 403
    assert unchanged(fitter)
    assert Person.objects.count() == 2

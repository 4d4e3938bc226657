"""Days on which somebody is not here."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Absence

TODAY = timezone.localdate()


def days(*offsets: int) -> list[str]:
    return [(TODAY + timedelta(offset)).isoformat() for offset in offsets]


def record(client: Client, person: Any, first: str, last: str = "", reason: str = "") -> Any:
    given = {"first_day": first, "last_day": last, "reason": reason}
    return client.post(reverse("absence-new", args=[person.pk]), given)


def kept(person: Any) -> list[tuple[date, date, str]]:
    return list(person.absences.values_list("first_day", "last_day", "reason"))


def test_a_manager_records_an_absence(as_manager: Client, fitter: Any) -> None:
    answer = record(as_manager, fitter, *days(3, 7), reason="holiday")
    assert answer.url == fitter.get_absolute_url()
    assert kept(fitter) == [(TODAY + timedelta(3), TODAY + timedelta(7), "holiday")]


def test_without_a_last_day_it_is_that_one_day(as_manager: Client, fitter: Any) -> None:
    record(as_manager, fitter, *days(3))
    assert kept(fitter) == [(TODAY + timedelta(3), TODAY + timedelta(3), "")]


@pytest.mark.parametrize(
    ("first", "last", "reason", "words"),
    [
        ("", "", "", "This field is required"),
        ("2027-02-30", "", "", "Enter a valid date"),
        ("nonsense", "", "", "Enter a valid date"),
        (*days(3, 2), "", "The last day is before the first"),
        ("0001-01-01", "", "", "The year 1 cannot be right"),
        ("9999-12-31", "", "", "The year 9999 cannot be right"),
        (days(3)[0], "9999-12-31", "", "The year 9999 cannot be right"),
        (*days(0, 367), "", "more than a year"),
        (days(3)[0], "", "x" * 81, "at most 80 characters"),
    ],
)
def test_a_refusal_says_why_and_records_nothing(
    as_manager: Client, fitter: Any, first: str, last: str, reason: str, words: str
) -> None:
    answer = record(as_manager, fitter, first, last, reason)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert kept(fitter) == []


@pytest.mark.parametrize("offsets", [(3, 7), (7, 9), (1, 3), (4, 5), (1, 20)])
def test_days_recorded_already_are_refused(as_manager: Client, fitter: Any, offsets: tuple[int, int]) -> None:
    """A second press of the same button is one of these."""
    record(as_manager, fitter, *days(3, 7))
    assert "already. Remove that first" in record(as_manager, fitter, *days(*offsets)).content.decode()
    assert len(kept(fitter)) == 1


def test_the_days_before_and_after_are_free(as_manager: Client, fitter: Any, other_fitter: Any) -> None:
    record(as_manager, fitter, *days(3, 7))
    record(as_manager, fitter, *days(1, 2))
    record(as_manager, fitter, *days(8, 9))
    record(as_manager, other_fitter, *days(3, 7))
    assert (len(kept(fitter)), len(kept(other_fitter))) == (3, 1)


def test_a_manager_removes_an_absence(as_manager: Client, fitter: Any) -> None:
    absence = Absence.objects.create(person=fitter, first_day=TODAY, last_day=TODAY)
    address = reverse("absence-delete", args=[absence.pk])
    assert as_manager.get(address).status_code == 405
    assert as_manager.post(address).url == fitter.get_absolute_url()
    assert kept(fitter) == []
    assert as_manager.post(address).status_code == 404


def test_a_fitter_records_and_removes_nothing(as_fitter: Client, fitter: Any) -> None:
    absence = Absence.objects.create(person=fitter, first_day=TODAY, last_day=TODAY)
    assert record(as_fitter, fitter, *days(3)).status_code == 403
    assert as_fitter.post(reverse("absence-delete", args=[absence.pk])).status_code == 403
    assert kept(fitter) == [(TODAY, TODAY, "")]

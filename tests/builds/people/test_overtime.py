"""Days on which somebody works longer."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Overtime
from builds.network import load_workshop

TODAY = timezone.localdate()


def days(*offsets: int) -> list[str]:
    return [(TODAY + timedelta(offset)).isoformat() for offset in offsets]


def record(client: Client, person: Any, first: str, last: str = "", hours: str = "2") -> Any:
    given = {"longer-first_day": first, "longer-last_day": last, "longer-hours": hours}
    return client.post(reverse("overtime-new", args=[person.pk]), given)


def kept(person: Any) -> list[tuple[date, date, Decimal]]:
    return list(person.overtimes.values_list("first_day", "last_day", "hours"))


def test_a_manager_records_overtime_and_it_stands_on_the_sheet(as_manager: Client, fitter: Any) -> None:
    answer = record(as_manager, fitter, *days(3, 7), hours="1.5")
    assert kept(fitter) == [(TODAY + timedelta(3), TODAY + timedelta(7), Decimal("1.5"))]
    assert "Hours a day longer" in as_manager.get(answer.url).content.decode()


@pytest.mark.parametrize(
    ("first", "last", "hours", "words"),
    [
        ("", "", "2", "This field is required"),
        (*days(3, 2), "2", "The last day is before the first"),
        ("9999-12-31", "", "2", "The year 9999 cannot be right"),
        (*days(3, 4), "0", "greater than or equal to 0.25"),
        (*days(3, 4), "-2", "greater than or equal to 0.25"),
        (*days(3, 4), "17", "less than or equal to 16"),
        (*days(3, 4), "NaN", "Enter a number"),
        (*days(3, 4), "", "This field is required"),
    ],
)
def test_a_refusal_says_why_and_records_nothing(
    as_manager: Client, fitter: Any, first: str, last: str, hours: str, words: str
) -> None:
    answer = record(as_manager, fitter, first, last, hours)
    assert words in answer.content.decode()
    assert kept(fitter) == []


def test_days_that_have_overtime_already_are_refused(as_manager: Client, fitter: Any) -> None:
    record(as_manager, fitter, *days(3, 7))
    answer = record(as_manager, fitter, *days(7, 9))
    assert "works 2 h longer from" in answer.content.decode()
    assert len(kept(fitter)) == 1


def test_overtime_can_be_removed(as_manager: Client, fitter: Any) -> None:
    record(as_manager, fitter, *days(3, 7))
    as_manager.post(reverse("overtime-delete", args=[fitter.overtimes.get().pk]))
    assert kept(fitter) == []


def test_the_plan_counts_with_the_longer_days(workshop: Any, tern: Any, fitter: Any, make_job: Any) -> None:
    """Eighteen hours from Wednesday on: 8, 8 and 2 by the week; 10 and 8 with overtime."""
    workshop.country = ""
    workshop.save()
    wednesday, thursday = date(2027, 3, 3), date(2027, 3, 4)
    make_job(tern, "fit dash", hours=10)
    make_job(tern, "fit seats", hours=8)

    def last_day() -> date:
        plan = load_workshop(wednesday).ordered.levelled.plan
        assert plan is not None
        return date(2000, 1, 1) + timedelta(minutes=max(one.finish for one in plan.placed.values()))

    before = last_day()
    Overtime.objects.create(person=fitter, first_day=wednesday, last_day=thursday, hours=2)
    assert (before, last_day()) == (date(2027, 3, 5), thursday)

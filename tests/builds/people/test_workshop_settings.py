"""Name, hours, holidays, units and closures of the workshop."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Closure, Workshop
from builds.services import settings as services

SETTINGS = "/settings/"
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
GIVEN = {
    **{f"{day}_hours": "8" if day not in ("saturday", "sunday") else "0" for day in DAYS},
    "name": "Saltmarsh Motor Works",
    "address": "2 Creek Lane\nSaltmarsh",
    "phone": "01632 960 100",
    "email": "office@saltmarsh.example",
    "day_starts": "07:30",
    "country": "GB",
    "region": "SCT",
    "units": "imperial",
    "version": "1",
}
TODAY = timezone.localdate()


def text(answer: Any) -> str:
    return answer.content.decode().replace("&#x27;", "'").replace("&quot;", '"')


def test_a_manager_saves_the_settings(as_manager: Client, workshop: Any) -> None:
    answer = as_manager.post(SETTINGS, {**GIVEN, "friday_hours": "5.5"})
    assert answer.url == SETTINGS
    saved = Workshop.objects.get()
    assert (saved.name, saved.phone, saved.units, saved.region) == (
        "Saltmarsh Motor Works",
        "01632 960 100",
        "imperial",
        "SCT",
    )
    assert (saved.friday_hours, saved.day_starts, saved.version) == (Decimal("5.5"), time(7, 30), 2)


def test_they_can_be_saved_before_anything_was(as_manager: Client) -> None:
    assert as_manager.post(SETTINGS, GIVEN).status_code == 302
    assert Workshop.objects.get().name == "Saltmarsh Motor Works"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"name": "x" * 81}, "at most 80 characters"),
        ({"address": "x" * 401}, "at most 400 characters"),
        ({"email": "not an address"}, "Enter a valid email address"),
        ({"monday_hours": "-1"}, "greater than or equal to 0"),
        ({"monday_hours": "17"}, "less than or equal to 16"),
        ({f"{day}_hours": "0" for day in DAYS}, "The workshop must work on at least one day of the week."),
        ({"day_starts": "25:00"}, "Enter a valid time"),
        ({"day_starts": "20:00"}, "8 hours from 20:00 run past midnight"),
        ({"country": "XX"}, "“XX” is not a country we know. Choose one of: AD, AE,"),
        ({"country": ""}, "This field is required"),
        ({"country": "GBR"}, "at most 2 characters"),
        ({"region": "CORN"}, "“CORN” is not a region of GB. Choose one of: ENG, NIR, SCT, WLS."),
        ({"country": "US"}, "“SCT” is not a region of US. Choose one of: AK, AL,"),
        ({"country": "MT"}, "MT has no regions here: leave this empty."),
        ({"units": "furlongs"}, "Select a valid choice"),
        ({"version": ""}, "This field is required"),
    ],
)
def test_a_refusal_says_why_and_changes_nothing(
    as_manager: Client, workshop: Any, change: dict[str, str], words: str
) -> None:
    before = Workshop.objects.values().get()
    answer = as_manager.post(SETTINGS, {**GIVEN, **change})
    assert answer.status_code == 200
    assert words in text(answer)
    assert Workshop.objects.values().get() == before


def test_of_two_editors_the_second_is_told_and_overwrites_nothing(as_manager: Client, workshop: Any) -> None:
    as_manager.post(SETTINGS, {**GIVEN, "phone": "01632 960 101"})
    answer = as_manager.post(SETTINGS, {**GIVEN, "phone": "01632 960 999"})
    assert "The settings were changed by somebody else meanwhile." in text(answer)
    assert Workshop.objects.get().phone == "01632 960 101"


def test_the_bank_holidays_of_england_in_2026() -> None:
    """Source: GOV.UK, “UK bank holidays”, England and Wales, 2026 (the days themselves, from memory).

    Boxing Day 2026 is a Saturday: its substitute is Monday 28 December. The library lists both.
    """
    found = {
        holiday.day
        for holiday in services.public_holidays("GB", "ENG", years=(2026,))
        if holiday.day.weekday() < 5
    }
    assert found == {
        date(2026, 1, 1),
        date(2026, 4, 3),
        date(2026, 4, 6),
        date(2026, 5, 4),
        date(2026, 5, 25),
        date(2026, 8, 31),
        date(2026, 12, 25),
        date(2026, 12, 28),
    }


def test_scotland_has_st_andrews_day_and_no_easter_monday() -> None:
    """Source: Bank Holidays: St Andrew's Day Bank Holiday (Scotland) Act 2007; GOV.UK for the rest."""
    found = {holiday.day for holiday in services.public_holidays("GB", "SCT", years=(2026,))}
    assert date(2026, 11, 30) in found
    assert date(2026, 4, 6) not in found


def test_every_country_offered_can_be_chosen_and_its_regions_too() -> None:
    for country, name in services.countries():
        assert name
        services.country_check(country, "")
        for region in services.regions(country):
            services.country_check(country, region.code)


def test_an_unknown_region_has_no_holidays_but_an_error() -> None:
    with pytest.raises(ValidationError):
        services.public_holidays("GB", "nowhere", years=(2026,))


def test_the_page_lists_the_holidays_of_this_year_and_the_next(as_manager: Client, workshop: Any) -> None:
    page = text(as_manager.get(SETTINGS))
    assert page.count("Good Friday") == 2
    assert page.count("Easter Monday") == 2


def test_a_closure_is_recorded_and_removed(as_manager: Client, workshop: Any) -> None:
    first, last = TODAY + timedelta(10), TODAY + timedelta(14)
    given = {
        "closure-first_day": first.isoformat(),
        "closure-last_day": last.isoformat(),
        "closure-reason": "fair",
    }
    assert as_manager.post(reverse("closure-new"), given).url == SETTINGS
    closure = Closure.objects.get()
    assert (closure.first_day, closure.last_day, closure.reason) == (first, last, "fair")
    as_manager.post(reverse("closure-delete", args=[closure.pk]))
    assert not Closure.objects.exists()
    assert as_manager.post(reverse("closure-delete", args=[closure.pk])).status_code == 404


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("", "", "This field is required"),
        ("2027-13-01", "", "Enter a valid date"),
        ("1066-10-14", "", "The year 1066 cannot be right"),
        ((TODAY + timedelta(10)).isoformat(), TODAY.isoformat(), "The last day is before the first"),
        ((TODAY + timedelta(3)).isoformat(), "", "already. Remove that first"),
    ],
)
def test_a_refused_closure_changes_nothing(
    as_manager: Client, workshop: Any, first: str, last: str, words: str
) -> None:
    Closure.objects.create(first_day=TODAY + timedelta(2), last_day=TODAY + timedelta(4))
    answer = as_manager.post(reverse("closure-new"), {"closure-first_day": first, "closure-last_day": last})
    assert words in text(answer)
    assert Closure.objects.count() == 1


def test_html_is_shown_as_typed(as_manager: Client, workshop: Any) -> None:
    as_manager.post(
        SETTINGS, {**GIVEN, "name": "<i>Works</i>", "address": "<i>Lane</i>", "phone": "<i>1</i>"}
    )
    Closure.objects.create(first_day=TODAY, last_day=TODAY, reason="<i>fair</i>")
    page = text(as_manager.get(SETTINGS))
    assert "<i>" not in page
    assert page.count("&lt;i&gt;Works&lt;/i&gt;") >= 2  # in the field and in the stamp


def test_a_fitter_neither_sees_nor_changes_them(as_fitter: Client, workshop: Any) -> None:
    assert as_fitter.get(SETTINGS).status_code == 403
    assert as_fitter.post(SETTINGS, GIVEN).status_code == 403
    assert Workshop.objects.get().version == 1

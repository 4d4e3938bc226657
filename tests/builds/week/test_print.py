"""The week for the wall."""

from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from builds.models import Bay
from builds.network import load_workshop


@pytest.fixture
def job(workshop, tern, fitter, make_job, first_start_up):
    workshop.country, workshop.region = "ZZ", ""  # without public holidays
    workshop.save()
    made = make_job(tern, "Fit sump", hours=4, bay=Bay.objects.create(name="Two-post lift"))
    first_start_up(tern, made)
    return made


def text(answer):
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/pdf")
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)


def test_it_says_who_is_on_what_where_for_how_long(as_fitter, job):
    sheet = " ".join(text(as_fitter.get(reverse("week-print"))).split())
    for words in ("Rafe Holloway", "Tern", "Fit sump", "Two-post lift, 4 h", "4 h to spare"):
        assert words in sheet


def test_without_people_it_says_so(as_fitter, job, fitter, manager):
    type(fitter).objects.update(role="manager")
    assert "Nobody is entered who works on cars." in text(as_fitter.get(reverse("week-print")))


def test_each_car_stands_with_even_chance_and_four_in_five_beside_its_promise(
    as_fitter, job, skua, make_job, first_start_up
):
    today = timezone.localdate()
    first_start_up(skua, make_job(skua, "Rewire", hours=200), promised=today)
    car = load_workshop(today).dated().cars[skua.pk].first_start_up

    sheet = " ".join(text(as_fitter.get(reverse("week-print"))).split())

    days = (car.window.even_chance, car.window.four_in_five, today)
    dates = sheet[sheet.upper().index("EVEN CHANCE") :]
    for day in days:
        assert f"{day:%a} {day.day} {day:%b %Y}" in dates
    assert f"{car.slip_days} working days short" in dates

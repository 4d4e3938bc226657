"""The cars at a glance."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Car
from builds.network import load_workshop


def test_the_car_furthest_past_its_promise_comes_first(as_manager, tern, skua, make_job, first_start_up):
    today = timezone.localdate()
    first_start_up(skua, make_job(skua, "short job"), promised=today + timedelta(days=60))
    first_start_up(tern, make_job(tern, "long job", hours=400), promised=today + timedelta(days=7))

    page = as_manager.get("/", {"people": 1}).content.decode()

    assert page.index(">Tern</a>") < page.index(">Skua</a>")
    assert "working days short" in page
    assert re.search(r"at least \d+ working days short", as_manager.get("/").content.decode())  # at first


def test_the_page_comes_at_once_and_fetches_the_dates_with_people(as_fitter, tern, make_job, first_start_up):
    first_start_up(tern, make_job(tern, "start", hours=16))

    page = as_fitter.get("/").content.decode()

    assert 'hx-get="/?people=1" hx-trigger="load" hx-select="#dates"' in page
    assert '<a href="/?people=1">work the date out</a>' in page  # without script
    assert "if somebody were always free" in page
    assert "even chance</span>" in as_fitter.get("/", {"people": 1}).content.decode()


def test_two_cars_that_want_the_same_person_are_dated_one_after_the_other(
    as_fitter, fitter, tern, skua, make_job, first_start_up
):
    first_start_up(tern, make_job(tern, "start Tern", hours=16))
    first_start_up(skua, make_job(skua, "start Skua", hours=16))
    state = load_workshop(timezone.localdate())
    milestones = {car: state.dated().cars[car.pk].first_start_up for car in (tern, skua)}

    assert milestones[tern].bare_on == milestones[skua].bare_on
    assert milestones[tern].on != milestones[skua].on
    assert max(one.on for one in milestones.values()) > milestones[tern].bare_on


def test_without_people_the_page_says_that_they_are_not_counted(as_manager, tern, make_job, first_start_up):
    first_start_up(tern, make_job(tern, "start"))

    page = as_manager.get("/", {"people": 1}).content.decode()

    assert "The people there are could not be counted" in page
    assert "even chance" in page


@pytest.fixture
def beyond_all_hours(tern, skua, fitter, make_job, first_start_up):
    """Tern asks for more hours than one fitter has until the calendars end; Skua is promised before it."""
    promised = timezone.localdate() + timedelta(days=2000)
    panels = [make_job(tern, f"Restore panel {number}", hours=9999) for number in range(2)]
    first_start_up(tern, make_job(tern, "Crank", after=panels), promised=promised)
    first_start_up(skua, make_job(skua, "start"), promised=promised)


def test_a_car_that_does_not_fit_into_the_hours_there_are_has_no_date_and_nothing_in_hand(
    as_manager, beyond_all_hours
):
    page = as_manager.get("/", {"people": 1}).content.decode()
    of_skua, of_tern = (page[page.index(f">{name}</a>") :].partition("</tr>")[0] for name in ("Skua", "Tern"))

    assert "days in hand" in of_skua
    assert "No date" not in of_skua
    assert "No date" in of_tern
    assert "if somebody were always free" in of_tern
    assert "in hand" not in of_tern
    assert "does not fit into the hours" in page
    assert "could not be counted" not in page  # Skua’s are


def test_so_has_its_own_sheet(as_manager, tern, beyond_all_hours):
    page = as_manager.get(f"/cars/{tern.pk}/", {"people": 1}).content.decode()
    cells = page[page.index('id="start-up-cell"') : page.index("</header>")]

    assert "<b>No date</b>" in cells
    assert "if somebody were always free" in cells
    assert "in hand" not in cells


def test_a_car_without_a_milestone_is_shown_too(as_fitter, tern):
    assert "no milestone yet" in as_fitter.get("/").content.decode()


def test_a_car_handed_over_is_no_longer_shown(as_fitter, tern, skua):
    Car.objects.filter(pk=skua.pk).update(handed_over_on=timezone.localdate())

    page = as_fitter.get("/").content.decode()

    assert "Tern" in page
    assert "Skua" not in page


def test_an_empty_workshop_says_what_to_do(as_manager, as_fitter, workshop):
    assert "Start a car" in as_manager.get("/").content.decode()
    assert "A manager starts one" in as_fitter.get("/").content.decode()


@pytest.mark.parametrize("cars", [2, 20])
def test_the_number_of_queries_does_not_grow(cars, as_manager, workshop, make_job, first_start_up):
    for number in range(cars):
        car = Car.objects.create(name=f"Car {number}")
        first_start_up(car, make_job(car, "start"))

    with CaptureQueriesContext(connection) as queries:
        as_manager.get("/")

    # session, person, the network's own 19, the cars, the workshop's name
    assert len(queries) == 25

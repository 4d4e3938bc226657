"""The cars at a glance."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Car


def test_the_car_furthest_past_its_promise_comes_first(as_manager, tern, skua, make_job, first_start_up):
    today = timezone.localdate()
    first_start_up(skua, make_job(skua, "short job"), promised=today + timedelta(days=60))
    first_start_up(tern, make_job(tern, "long job", hours=400), promised=today + timedelta(days=7))

    page = as_manager.get("/").content.decode()

    assert page.index(">Tern</a>") < page.index(">Skua</a>")
    assert "working days short" in page


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
    assert len(queries) == 23

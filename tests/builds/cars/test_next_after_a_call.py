"""A supplier who was rung today is not to be rung again today; tomorrow, if it is still late, they are."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Car
from builds.network import load_workshop
from builds.sheets.cars import car_lines
from parts.batching.words import short_day
from parts.models import Operation, Supplier
from parts.services.calls import call_note
from parts.services.operations import operation_send


@pytest.fixture
def today() -> date:
    return timezone.localdate()


@pytest.fixture
def maker(db: None) -> Supplier:
    return Supplier.objects.create(name="Ostler Radiators")


@pytest.fixture
def late_part(make_part: Any, maker: Supplier, fitter: Any, today: date) -> Any:
    def make(car: Car, name: str) -> Operation:
        """Out for twenty days, promised for five days ago."""
        line = make_part(car, name, route=[("fabricate", maker, 10)]).operations.get()
        return operation_send(
            operation=line,
            on=today - timedelta(days=20),
            by=fitter,
            promised_on=today - timedelta(days=5),
        )

    return make


@pytest.fixture
def radiator(tern: Car, make_job: Any, first_start_up: Any, late_part: Any) -> Operation:
    """First start-up waits for it; wiring can be done meanwhile."""
    line = late_part(tern, "radiator")
    first_start_up(tern, make_job(tern, "fit radiator", needs=[line.part]), make_job(tern, "wire the car"))
    return line


@pytest.fixture
def ring(maker: Supplier, manager: Any, today: date) -> Any:
    def note(*, said: str = "", about: tuple[Operation, ...] = (), promises: Any = None) -> None:
        call_note(
            supplier=maker,
            at=timezone.now(),
            today=today,
            by=manager,
            said=said,
            about=[line.pk for line in about],
            promises=promises,
        )

    return note


def next_on(day: date) -> tuple[str, list[str]]:
    (line,) = car_lines(load_workshop(day).facts())
    return line.next_thing.text, [call.text for call in line.rung]


def test_before_anybody_rang_the_late_part_is_to_be_rung_about(radiator: Operation, today: date) -> None:
    assert next_on(today) == ("Ring Ostler Radiators about: radiator", [])


def test_a_call_with_a_new_day_goes_on_to_the_next_thing(radiator: Operation, ring: Any, today: date) -> None:
    day = today + timedelta(days=8)
    ring(said="core came late", promises={radiator.pk: day})

    rung = f"Ostler Radiators rung today about radiator: promised {short_day(day, today)}"
    assert next_on(today) == ("Start: wire the car", [rung])


def test_a_call_that_brought_no_day_says_what_was_said(radiator: Operation, ring: Any, today: date) -> None:
    ring(said="they ring back", about=(radiator,))

    assert next_on(today) == (
        "Start: wire the car",
        ["Ostler Radiators rung today about radiator: they ring back"],
    )


def test_the_newest_call_counts(radiator: Operation, ring: Any, today: date) -> None:
    ring(said="nobody there", about=(radiator,))
    ring(said="core came late", about=(radiator,))

    assert next_on(today)[1] == ["Ostler Radiators rung today about radiator: core came late"]


def test_the_day_that_stood_already_is_named_too(radiator: Operation, ring: Any, today: date) -> None:
    day = today + timedelta(days=8)
    for _ in range(2):  # the second call brings no new promise
        ring(promises={radiator.pk: day})

    assert next_on(today)[1] == [
        f"Ostler Radiators rung today about radiator: promised {short_day(day, today)}"
    ]


def test_a_day_for_another_part_of_the_call_is_not_told_as_a_promise_of_this_one(
    radiator: Operation, tern: Car, ring: Any, late_part: Any, today: date
) -> None:
    tank = late_part(tern, "header tank")
    ring(about=(radiator, tank), promises={tank.pk: today + timedelta(days=8)})

    assert "Ostler Radiators rung today about radiator: gave days" in next_on(today)[1]


def test_a_call_about_nothing_by_name_was_about_all_they_have(
    radiator: Operation, ring: Any, today: date
) -> None:
    ring(said="all next week")

    assert next_on(today)[0] == "Start: wire the car"


def test_a_call_about_another_part_leaves_this_one_to_be_rung_about(
    radiator: Operation, tern: Car, ring: Any, late_part: Any, today: date
) -> None:
    ring(said="ready", about=(late_part(tern, "header tank"),))

    assert next_on(today) == ("Ring Ostler Radiators about: radiator", [])


def test_on_the_next_day_it_is_to_be_rung_again_if_still_late(
    radiator: Operation, ring: Any, today: date
) -> None:
    ring(promises={radiator.pk: today + timedelta(days=8)})

    assert next_on(today + timedelta(days=1)) == ("Ring Ostler Radiators about: radiator", [])


def test_the_page_says_both_and_leads_to_the_part(
    radiator: Operation, ring: Any, as_fitter: Client, today: date
) -> None:
    ring(said="they ring back", about=(radiator,))

    page = as_fitter.get("/").content.decode()

    assert ">Start: wire the car</a>" in page
    called = "Ostler Radiators rung today about radiator: they ring back"
    assert f'href="/parts/{radiator.part_id}/#line-{radiator.pk}">{called}</a>' in page
    assert "Ring Ostler" not in page


@pytest.mark.parametrize("cars", [2, 20])
def test_calls_cost_four_queries_however_many_cars(
    cars: int, workshop: Any, make_job: Any, late_part: Any, ring: Any, first_start_up: Any, today: date
) -> None:
    for number in range(cars):
        car = Car.objects.create(name=f"Car {number}")
        line = late_part(car, "radiator")
        first_start_up(car, make_job(car, "fit radiator", needs=[line.part]))
        ring(said="soon", about=(line,))
    facts = load_workshop(today).facts()

    with CaptureQueriesContext(connection) as queries:
        lines = car_lines(facts)

    # the cars; lines to be rung about, today's calls, their lines, their promises
    assert len(queries) == 5
    assert [line.next_thing.text for line in lines] == ["Nothing can be done now"] * cars

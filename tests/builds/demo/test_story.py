"""The demo tells its story whatever day it is loaded on."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.demo.loading import demo_load
from builds.models import Away, Car, Job, MilestonePromise
from builds.network import load_workshop
from parts.models import FinishingBatch, Operation

# A Wednesday, a Saturday, Christmas Eve and a leap day.
DAYS = [date(2026, 11, 25), date(2027, 3, 6), date(2026, 12, 24), date(2028, 2, 29)]


@pytest.fixture(params=DAYS, ids=str)
def today(request, monkeypatch, db):
    """The demo loaded with the clock on that day."""
    day = request.param
    moment = datetime(day.year, day.month, day.day, 9, tzinfo=ZoneInfo("Europe/London"))
    monkeypatch.setattr(timezone, "now", lambda: moment)
    demo_load(day)
    return day


def test_the_day_in_the_life(today):
    state = load_workshop(today)
    facts = state.facts()
    cars = {car.name: facts.cars[car.pk] for car in Car.objects.in_work()}
    assert facts.problems == ()

    # one car is in trouble, the page says why, and what would help
    tern = cars["Tern"]
    assert [name for name, car in cars.items() if car.first_start_up.is_short] == ["Tern"]
    assert tern.first_start_up.slip_days == 5
    assert tern.first_start_up.chain[0].text.startswith("Radiator out since")
    assert tern.first_start_up.chain[0].late_days > 0
    best = state.savers(tern.car_id)[0]
    assert best.text.startswith("Radiator in from Ostler Radiators")
    assert best.days >= 5  # enough to keep the promise

    # with the people there are the same car is short, and the dates differ of those that wait for people
    dated = {car.name: state.dated().cars[car.pk].first_start_up for car in Car.objects.in_work()}
    assert [name for name, start_up in dated.items() if start_up.is_short] == ["Tern"]
    for name in ("Skua", "Gannet", "Petrel"):
        start_up = dated[name]
        assert start_up.bare_on < start_up.on < start_up.window.four_in_five
        assert start_up.chain[0].text.startswith("waits for ")

    # what is to be done under a car waits for the lift
    assert {job.place for job in Job.objects.filter(bay__name="Two-post lift", done_at=None)} == {"on"}

    # each promise stands with the forecast of its day; one was given more hopefully than four in five
    given = MilestonePromise.objects.filter(milestone__car__in=Car.objects.in_work())
    days = {one.milestone.car.name: (one.even_chance_on, one.four_in_five_on, one) for one in given}
    assert all(one.given_on < even < four for even, four, one in days.values())
    assert [name for name, (_, four, one) in days.items() if four > one.promised_on] == ["Petrel"]

    # one late piece holds a zinc batch, and leaving without it helps
    batch = FinishingBatch.objects.get()
    late = [line for line in batch.operations.all() if facts.operations[line.pk].ready_on > today]
    assert [line.part.name for line in late] == ["Gear linkage rods"]
    skua_savers = [saver.text for saver in state.savers(cars["Skua"].car_id)]
    assert f"Send zinc plate batch {batch.pk} now with what is ready" in skua_savers

    # one car is away, one part was rejected, and there is work to do
    assert Away.objects.away_on(today).get().car.name == "Gannet"
    rejected = Operation.objects.get(result="rejected")
    assert (rejected.part.name, rejected.rework.state) == ("Oil tank", "to do")
    conditions = [job.condition for job in facts.jobs.values()]
    assert conditions.count("clear") >= 5
    assert conditions.count("in hand") >= 2
    assert Job.objects.awaiting_signature().get().title.startswith("Prove isolator")


@pytest.mark.django_db
def test_a_workshop_with_people_in_it_is_left_alone(manager):
    with pytest.raises(ValidationError, match="only for an empty one"):
        demo_load(date(2026, 11, 25))

    assert Car.objects.count() == 0

"""Dates with people at once after a tick: the order of the plan last worked out, with what is over let go."""

import gc
from datetime import date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Absence, JobLink
from builds.network import load_car, load_workshop, standing
from builds.network.levelled import levelled_plan

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(tern, skua, fitter, make_job, first_start_up):
    """One fitter: a day on the Tern, a day on the Skua, a day on the Tern, in that order."""
    weld, fit, trim = make_job(tern, "weld"), make_job(skua, "fit"), make_job(tern, "trim")
    JobLink.objects.create(before=weld, after=fit)
    JobLink.objects.create(before=fit, after=trim)
    first_start_up(tern, trim)
    first_start_up(skua, fit)
    return weld, fit, trim


def work_out(today=TODAY):
    """As a page does that shows the dates with people."""
    return days_of(load_workshop(today).dated())


def days_of(facts):
    return {car.car_id: car.first_start_up.on for car in facts.cars.values() if car.first_start_up.has_people}


def at_once(car, today=TODAY):
    facts = load_car(car.pk, today).dated_at_once()
    return facts and facts.cars[car.pk].first_start_up.on


def tick(job, by, at=None):
    job.done_at, job.done_by = at or timezone.make_aware(datetime.combine(TODAY, time(7))), by
    job.save()


def test_without_a_change_the_dates_are_those_of_the_plan(tern, skua, three):
    dates = work_out()

    assert dates == {tern.pk: date(2027, 3, 5), skua.pk: date(2027, 3, 4)}
    assert {car.pk: at_once(car) for car in (tern, skua)} == dates


def test_a_tick_brings_everything_behind_it_forward_on_every_car(tern, skua, three, fitter):
    work_out()
    tick(three[0], fitter)

    # by hand: the fitter's days are Wednesday for the Skua and Thursday for the Tern
    assert (at_once(skua), at_once(tern)) == (date(2027, 3, 3), date(2027, 3, 4))
    assert work_out() == {tern.pk: date(2027, 3, 4), skua.pk: date(2027, 3, 3)}


def test_who_was_kept_by_a_ticked_job_goes_on_to_the_next(tern, skua, fitter, make_job, first_start_up):
    """No link but the fitter ties the three: past the one ticked, the last still follows the first."""
    made = [make_job(car, title) for car, title in ((tern, "a"), (skua, "b"), (tern, "c"))]
    first_start_up(tern, made[0], made[2])
    first_start_up(skua, made[1])
    work_out()
    plan = levelled_plan(load_workshop(TODAY).solution).plan.placed
    in_order = sorted(made, key=lambda job: plan[f"job:{job.pk}"].start)
    tick(in_order[1], fitter)

    found = standing.ordered_at_once(load_workshop(TODAY).model)

    days = [found.solution.finish_on(f"job:{job.pk}") for job in (in_order[0], in_order[2])]
    assert days == [date(2027, 3, 3), date(2027, 3, 4)]


def test_a_job_that_lacks_its_signature_frees_its_people_and_is_waited_for(tern, three, fitter):
    weld, fit, _ = three
    work_out()
    weld.needs_signature = True
    weld.save()
    work_out()
    tick(weld, fitter)

    found = standing.ordered_at_once(load_workshop(TODAY).model)

    assert found.solution.finish_on(f"job:{fit.pk}") == date(2027, 3, 3)
    network = found.solution.network
    waits_for = {network.keys[before] for before, _, _ in network.waits_for[network.place[f"job:{fit.pk}"]]}
    assert f"job:{weld.pk}" in waits_for


def test_without_a_plan_worked_out_there_is_no_such_date(tern, three):
    assert load_car(tern.pk, TODAY).dated_at_once() is None


@pytest.mark.parametrize("change", ["absence", "another job", "longer", "next day", "other hands", "promise"])
def test_after_any_other_change_there_is_none_until_the_plan_is_made_anew(
    change, tern, three, fitter, other_fitter, make_job
):
    weld, _, trim = three
    work_out()
    assert at_once(tern) is not None
    planned = levelled_plan(load_workshop(TODAY).solution).plan.placed[f"job:{weld.pk}"].people
    another = next(one for one in (fitter, other_fitter) if f"person:{one.pk}" not in planned)
    today = TODAY
    if change == "absence":
        Absence.objects.create(person=fitter, first_day=TODAY, last_day=TODAY + timedelta(days=9))
    elif change == "another job":
        make_job(tern, "one more")
    elif change == "longer":
        trim.hours_high = trim.hours_likely = 30
        trim.save()
    elif change == "next day":
        today = TODAY + timedelta(days=1)
    elif change == "other hands":
        weld.started_at, weld.started_by = timezone.make_aware(datetime.combine(TODAY, time(8))), another
        weld.save()
    else:
        tern.milestones.get().promises.create(promised_on=TODAY, given_on=TODAY, reason="asked", by=fitter)

    assert load_car(tern.pk, today).dated_at_once() is None
    work_out(today)
    assert at_once(tern, today) is not None


def test_the_page_after_a_tick_shows_the_date_with_people_and_says_what_it_is(as_fitter, fitter, tern, three):
    as_fitter.get(f"/cars/{tern.pk}/?people=1")

    answer = as_fitter.post(f"/jobs/{three[0].pk}/done/", {"next": f"/cars/{tern.pk}/"}, follow=True)

    page = answer.content.decode()
    assert "everybody keeps to the order of the plan last worked out" in page
    assert "if somebody were always free" not in page
    assert 'hx-trigger="load"' in page  # the plan made anew comes after it
    with CaptureQueriesContext(connection) as queries:
        as_fitter.get(f"/cars/{tern.pk}/")
    # the 32 of the sheet (see `test_car_sheet`) without the cars that share a batch and, as there are no
    # parts, without processes and suppliers; with people, skills, absences, overtime, bays, and which
    # plan is kept; and one of stamps, by which seven tables need not be read again
    assert len(queries) == 29


def test_a_plan_that_is_kept_is_not_looked_through_for_memory_again_where_the_server_looks_seldom(three):
    assert gc.get_freeze_count() == 0  # no test leaves it frozen
    work_out()
    assert gc.get_freeze_count() == 0

    gc.freeze()
    try:
        work_out()
        assert not any(value is standing._standing for value in gc.get_objects())
    finally:
        gc.unfreeze()

"""Dates from the network on a small car. Expected days are counted by hand on a calendar of March 2027."""

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from builds.models import Away, Closure, Decision, JobLink, TimeSpent
from parts.models import SupplierPromise


@pytest.mark.django_db
def test_two_days_of_work_from_wednesday_finish_on_thursday(tern, make_job, first_start_up, state):
    fit = make_job(tern, "fit radiator")  # 8 h: Wednesday 3 March
    start = make_job(tern, "start engine", after=[fit])  # 8 h: Thursday
    first_start_up(tern, start, promised=date(2027, 3, 8))

    milestone = state().facts().cars[tern.pk].first_start_up

    assert milestone.on == date(2027, 3, 4)
    assert milestone.slip_days == -2  # Thursday 4 to Monday 8: Thursday and Friday in hand


@pytest.mark.django_db
def test_a_weekend_and_a_closure_are_not_worked(tern, make_job, first_start_up, state):
    Closure.objects.create(first_day=date(2027, 3, 8), last_day=date(2027, 3, 9), reason="stocktaking")
    job = make_job(tern, "rewire", hours=8 * 4)  # Wed, Thu, Fri, then Wed 10 March
    first_start_up(tern, job)

    assert state().facts().cars[tern.pk].first_start_up.on == date(2027, 3, 10)


@pytest.mark.django_db
def test_a_public_holiday_is_not_worked(tern, make_job, first_start_up, state):
    # Good Friday 26 March and Easter Monday 29 March 2027 (gov.uk list of bank holidays, from memory)
    job = make_job(tern, "rewire", hours=8 * 18)  # 3 to 25 March are 17 working days
    first_start_up(tern, job)

    assert state().facts().cars[tern.pk].first_start_up.on == date(2027, 3, 30)


@pytest.mark.django_db
def test_a_late_part_moves_first_start_up(tern, make_job, make_part, plater, first_start_up, state, line):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    line(radiator, sent_on=date(2027, 2, 15), promised_on=date(2027, 3, 12))
    fit = make_job(tern, "fit radiator", needs=[radiator])
    first_start_up(tern, fit)

    before = state().facts().cars[tern.pk]
    line(radiator, promised_on=date(2027, 3, 19))
    after = state().facts().cars[tern.pk]

    # in at midday on Friday 12th: four hours that day, four on Monday
    assert before.first_start_up.on == date(2027, 3, 15)
    assert after.first_start_up.on == date(2027, 3, 22)
    assert after.first_start_up.chain[0].text == "Radiator out since 15 Feb, promised 19 Mar"


@pytest.mark.django_db
def test_a_new_day_does_not_make_a_late_part_less_late(
    tern, manager, make_job, make_part, plater, first_start_up, state, line
):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    operation = line(radiator, sent_on=date(2027, 2, 1), promised_on=date(2027, 3, 12))
    for promised, made in ((date(2027, 2, 26), date(2027, 2, 1)), (date(2027, 3, 12), date(2027, 3, 1))):
        SupplierPromise.objects.create(operation=operation, promised_on=promised, made_on=made, by=manager)
    first_start_up(tern, make_job(tern, "fit radiator", needs=[radiator]))

    facts = state().facts()

    assert facts.cars[tern.pk].first_start_up.chain[0].text == (
        "Radiator out since 1 Feb, promised 26 Feb, 5 days late, now 12 Mar"
    )
    assert facts.operations[operation.pk].days_late == 5
    assert not facts.operations[operation.pk].no_new_promise


@pytest.mark.django_db
def test_what_is_overdue_without_a_new_day_comes_tomorrow_at_the_earliest(
    tern, make_job, make_part, plater, first_start_up, state, line
):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    operation = line(radiator, sent_on=date(2027, 2, 1), promised_on=date(2027, 2, 26))
    first_start_up(tern, make_job(tern, "fit radiator", needs=[radiator]))

    facts = state().facts()

    assert facts.operations[operation.pk].days_late == 5
    assert facts.operations[operation.pk].no_new_promise
    assert facts.operations[operation.pk].back_on == date(2027, 3, 4)
    assert facts.cars[tern.pk].parts_late == 1
    assert facts.cars[tern.pk].next_thing.text == "Ring Ferrand Plating about: Radiator"


@pytest.mark.django_db
def test_a_lead_time_counts_the_suppliers_own_days_and_carriage(
    tern, make_job, make_part, plater, first_start_up, state
):
    plater.carriage_days, plater.friday = 1, False
    plater.save()
    bracket = make_part(tern, "Bracket", route=[("zinc_plate", plater, 3)])
    first_start_up(tern, make_job(tern, "fit bracket", needs=[bracket], hours=0))

    facts = state().facts().operations[bracket.operations.get().pk]

    # 1 + 3 + 1 days of Monday to Thursday from Wednesday 3 March: 3, 4, 8, 9, 10; at hand on the day after
    assert facts.back_on == date(2027, 3, 11)


@pytest.mark.django_db
def test_the_order_by_date_is_the_last_that_moves_nothing(
    tern, make_job, make_part, plater, first_start_up, state
):
    hose = make_part(tern, "Hose", route=[("supply", plater, 5)])
    long_job = make_job(tern, "rewire", hours=8 * 20)  # 3 to 25 March 17 days, 30, 31 March, 1 April
    fit = make_job(tern, "fit hose", needs=[hose])
    start = make_job(tern, "start", after=[long_job, fit])
    first_start_up(tern, start)

    facts = state().facts().operations[hose.operations.get().pk]

    # fitting begins on 1 April at the latest; five working days before: 23, 24, 25, 30, 31 March
    assert facts.order_by == date(2027, 3, 23)
    assert not facts.sets_date
    assert facts.holds == ("fit hose",)


@pytest.mark.django_db
def test_nothing_on_the_car_is_done_while_it_is_away(tern, plater, make_job, first_start_up, state):
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="alignment",
        leaves_on=date(2027, 3, 1),
        due_back_on=date(2027, 3, 10),
    )
    on_car = make_job(tern, "fit pipes", hours=4)
    bench = make_job(tern, "build panel", place="bench")
    first_start_up(tern, on_car, bench)

    facts = state().facts()

    assert facts.jobs[on_car.pk].condition == "held"
    assert facts.jobs[on_car.pk].held_by[0].text == "Tern away at Ferrand Plating, due back 10 Mar"
    assert facts.jobs[bench.pk].condition == "clear"
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 10)  # back at midday, four hours left
    assert [step.short for step in facts.cars[tern.pk].first_start_up.chain] == [
        "away at Ferrand Plating",
        "fit pipes",
    ]


@pytest.mark.django_db
def test_a_job_in_hand_takes_what_is_left_of_it(tern, fitter, make_job, first_start_up, state):
    started = datetime(2027, 3, 2, 8, tzinfo=ZoneInfo("Europe/London"))
    job = make_job(tern, "rewire", hours=16, started_at=started, started_by=fitter)
    TimeSpent.objects.create(job=job, person=fitter, started_at=started, minutes=8 * 60)
    first_start_up(tern, job)

    facts = state().facts()

    assert facts.jobs[job.pk].condition == "in hand"
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 3)


@pytest.mark.django_db
def test_a_cure_runs_through_the_night(tern, fitter, make_job, first_start_up, state):
    glue = make_job(tern, "bond duct", hours=8)
    fit = make_job(tern, "fit duct", hours=4)
    JobLink.objects.create(before=glue, after=fit, lag_hours=Decimal(24))
    first_start_up(tern, fit)

    # bonded on Wednesday by 16:00, cured on Thursday at 16:00, fitted on Friday
    assert state().facts().cars[tern.pk].first_start_up.on == date(2027, 3, 5)


@pytest.mark.django_db
def test_a_decision_holds_a_job_like_a_supplier(tern, manager, make_job, first_start_up, state):
    job = make_job(tern, "cut dash", hours=4)
    Decision.objects.create(
        job=job,
        question="Which dial layout?",
        owed_by="customer",
        due_on=date(2027, 3, 16),
        raised_by=manager,
        raised_at=datetime(2027, 3, 1, tzinfo=ZoneInfo("UTC")),
    )
    first_start_up(tern, job)

    facts = state().facts()

    assert facts.jobs[job.pk].condition == "held"
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 16)
    assert facts.cars[tern.pk].decisions_owed == 1


@pytest.mark.django_db
def test_a_missing_second_signature_holds_what_comes_after(tern, fitter, make_job, state):
    when = datetime(2027, 3, 2, tzinfo=ZoneInfo("UTC"))
    torque = make_job(tern, "torque wheels", needs_signature=True, done_at=when, done_by=fitter)
    drive = make_job(tern, "drive", after=[torque])

    facts = state().facts()

    assert facts.jobs[torque.pk].condition == "done"
    assert [reason.text for reason in facts.jobs[drive.pk].held_by] == ["second signature for torque wheels"]


@pytest.mark.django_db
def test_jobs_in_a_ring_are_named_and_nothing_else_breaks(tern, make_job, first_start_up, state):
    one = make_job(tern, "one")
    two = make_job(tern, "two", after=[one])
    JobLink.objects.create(before=two, after=one)
    first_start_up(tern, two)

    facts = state().facts()

    assert "“one” (Tern), “two” (Tern) wait for one another in a ring" in facts.problems[0]
    assert facts.cars[tern.pk].first_start_up.on is None


@pytest.mark.django_db
def test_a_milestone_is_reached_when_its_jobs_are_done(tern, fitter, make_job, first_start_up, state):
    when = datetime(2027, 3, 2, 15, tzinfo=ZoneInfo("Europe/London"))
    job = make_job(tern, "start", done_at=when, done_by=fitter, started_at=when, started_by=fitter)
    first_start_up(tern, job)

    milestone = state().facts().cars[tern.pk].first_start_up

    assert (milestone.reached_on, milestone.on) == (date(2027, 3, 2), None)


@pytest.mark.django_db
def test_the_part_that_sets_the_date_is_rung_about_before_a_job_with_days_to_spare(
    tern, make_job, make_part, plater, first_start_up, state, line
):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    line(radiator, sent_on=date(2027, 3, 1), promised_on=date(2027, 3, 12))  # not late
    trim = make_job(tern, "trim seat")
    first_start_up(tern, make_job(tern, "fit radiator", needs=[radiator]), trim)

    assert state().facts().cars[tern.pk].next_thing.text == "Ring Ferrand Plating about: Radiator"


@pytest.mark.django_db
def test_a_job_that_sets_the_date_comes_before_a_part_that_does_not(
    tern, make_job, make_part, plater, first_start_up, state, line
):
    badge = make_part(tern, "Badge", route=[("fabricate", plater, 10)])
    line(badge, sent_on=date(2027, 2, 1), promised_on=date(2027, 2, 26))
    wire = make_job(tern, "wire the car", hours=200)
    first_start_up(tern, make_job(tern, "fit badge", needs=[badge], after=[wire]))

    assert state().facts().cars[tern.pk].next_thing.text == "Start: wire the car"


@pytest.mark.django_db
def test_the_late_part_that_sets_the_date_is_rung_about_before_a_later_one_that_does_not(
    tern, make_job, make_part, plater, first_start_up, state, line
):
    parts = {}
    for name, promised in (("Radiator", date(2027, 2, 26)), ("Badge", date(2027, 2, 5))):
        parts[name] = make_part(tern, name, route=[("fabricate", plater, 10)])
        line(parts[name], sent_on=date(2027, 2, 1), promised_on=promised)
    radiator = make_job(tern, "fit radiator", hours=40, needs=[parts["Radiator"]])
    first_start_up(tern, radiator, make_job(tern, "fit badge", hours=1, needs=[parts["Badge"]]))

    assert state().facts().cars[tern.pk].next_thing.text == "Ring Ferrand Plating about: Radiator"

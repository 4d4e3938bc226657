"""Cars, parts and batches recorded in unusual ways. Days are counted by hand from Wednesday 3 March 2027."""

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from builds.models import Away, Closure, Decision, JobLink, Milestone, MilestonePromise, Skill, Workshop
from builds.network import load_workshop
from builds.network.levelled import levelled_plan
from parts.models import FinishingBatch, Operation

LONDON = ZoneInfo("Europe/London")
pytestmark = pytest.mark.django_db


def start_up(state, car):
    return state().facts().cars[car.pk].first_start_up


def test_a_part_without_a_route_card_is_in_hand(tern, make_job, make_part, first_start_up, state):
    job = make_job(tern, "fit badge", needs=[make_part(tern, "Badge")])
    first_start_up(tern, job)

    assert state().facts().jobs[job.pk].condition == "clear"
    assert start_up(state, tern).on == date(2027, 3, 3)


def test_jobs_without_hours_take_no_time(tern, make_job, first_start_up, state):
    one = make_job(tern, "check one", hours=0)
    first_start_up(tern, make_job(tern, "check two", hours=0, after=[one]))

    assert start_up(state, tern).on == date(2027, 3, 3)


def test_a_milestone_without_jobs_has_no_date(tern, state):
    Milestone.objects.create(car=tern, kind="first start-up", name="first start-up")

    milestone = start_up(state, tern)

    assert (milestone.on, milestone.reached_on, milestone.chain) == (None, None, ())
    assert milestone.sentence == "no job leads to first start-up yet"


def test_a_job_away_with_no_stay_booked_counts_eight_hours_to_the_suppliers_day(
    tern, plater, make_job, first_start_up, state
):
    plater.wednesday = False
    plater.save()
    first_start_up(tern, make_job(tern, "align chassis", hours=16, place="away", supplier=plater))

    # Thursday and Friday are the supplier's next two days
    assert start_up(state, tern).on == date(2027, 3, 5)


def test_a_car_overdue_from_a_supplier_is_taken_to_come_tomorrow(
    tern, plater, make_job, first_start_up, state
):
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="paint",
        leaves_on=date(2027, 2, 1),
        due_back_on=date(2027, 2, 26),
    )
    first_start_up(tern, make_job(tern, "fit pipes", hours=4))

    milestone = start_up(state, tern)

    assert milestone.on == date(2027, 3, 4)  # back at midday, four hours left of that day
    assert (milestone.chain[0].short, milestone.chain[0].late_days) == ("away at Ferrand Plating", 5)
    assert state().facts().cars[tern.pk].where == ("away at Ferrand Plating, due back 26 Feb, 5 days late")


def test_a_line_of_our_own_takes_the_workshops_days(tern, make_job, make_part, first_start_up, state):
    bracket = make_part(tern, "Bracket", route=[("weld", None, 4)])
    first_start_up(tern, make_job(tern, "fit bracket", hours=0, needs=[bracket]))

    # 3, 4, 5 and 8 March: at hand on the 9th
    assert state().facts().operations[bracket.operations.get().pk].back_on == date(2027, 3, 9)
    assert start_up(state, tern).on == date(2027, 3, 9)


def test_nobody_is_to_be_rung_about_a_line_of_our_own(tern, make_job, make_part, first_start_up, state, line):
    bracket = make_part(tern, "Bracket", route=[("weld", None, 4)])
    line(bracket, sent_on=date(2027, 2, 1))  # begun; four working days were over on 5 February
    first_start_up(tern, make_job(tern, "fit bracket", needs=[bracket]))

    assert state().facts().cars[tern.pk].next_thing.text == "See to Bracket: weld here is overdue"


@pytest.fixture
def batch(plater, process):
    return FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))


def test_a_batch_whose_day_has_passed_leaves_today(
    tern, plater, make_job, make_part, first_start_up, batch, state, line
):
    batch.leaves, batch.planned_on = "fixed", date(2027, 2, 19)
    batch.save()
    bracket = make_part(tern, "Bracket", route=[("zinc_plate", plater, 5)])
    operation = line(bracket, batch=batch)
    first_start_up(tern, make_job(tern, "fit bracket", hours=4, needs=[bracket]))

    facts = state().facts()

    assert facts.operations[operation.pk].leaves_on == date(2027, 3, 3)
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 10)  # 3, 4, 5, 8, 9


def test_a_piece_that_has_gone_already_does_not_hold_its_batch(tern, plater, make_part, batch, state, line):
    gone = make_part(tern, "Hook", route=[("zinc_plate", plater, 5)])
    line(gone, batch=batch, sent_on=date(2027, 3, 1), promised_on=date(2027, 4, 30))
    bracket = make_part(tern, "Bracket", route=[("zinc_plate", plater, 5)])
    operation = line(bracket, batch=batch)

    assert state().facts().operations[operation.pk].leaves_on == date(2027, 3, 3)


def test_a_piece_of_a_car_handed_over_does_not_hold_its_batch(
    tern, skua, plater, make_job, make_part, first_start_up, batch, state, line
):
    bracket = make_part(tern, "Bracket", route=[("zinc_plate", plater, 5)])
    line(bracket, batch=batch)
    spare = make_part(skua, "Spare hook", route=[("fabricate", plater, 50), ("zinc_plate", plater, 5)])
    line(spare, 2, batch=batch)
    first_start_up(tern, make_job(tern, "fit bracket", hours=4, needs=[bracket]))
    held = start_up(state, tern).on
    skua.handed_over_on = date(2027, 3, 1)
    skua.save()

    assert held > date(2027, 3, 10)
    assert start_up(state, tern).on == date(2027, 3, 10)
    assert set(state().facts().cars) == {tern.pk}


def test_an_overdue_decision_is_taken_to_come_the_next_working_day(
    tern, manager, make_job, first_start_up, state
):
    job = make_job(tern, "cut dash", hours=4)
    Decision.objects.create(
        job=job,
        question="Which dials?",
        owed_by="customer",
        due_on=date(2027, 2, 26),
        raised_by=manager,
        raised_at=datetime(2027, 2, 1, tzinfo=LONDON),
    )
    first_start_up(tern, job)

    milestone = start_up(state, tern)

    assert milestone.on == date(2027, 3, 4)
    assert milestone.chain[0].text == ("the customer to decide: Which dials? (wanted by 26 Feb, 5 days late)")


def test_a_rejected_line_with_its_rework_waits_for_the_rework(
    tern, plater, make_job, make_part, first_start_up, state, line
):
    arm = make_part(tern, "Arm", route=[("zinc_plate", plater, 5)])
    rejected = line(
        arm, sent_on=date(2027, 2, 1), back_on=date(2027, 3, 2), result="rejected", reason="bare patch"
    )
    Operation.objects.create(
        part=arm,
        sequence=2,
        process=rejected.process,
        supplier=plater,
        reworks=rejected,
        lead_low_days=1,
        lead_likely_days=2,
        lead_high_days=3,
    )
    job = make_job(tern, "fit arm", hours=4, needs=[arm])
    first_start_up(tern, job)

    facts = state().facts()

    assert facts.jobs[job.pk].held_by[0].text == "Arm to go to zinc plate, expected 5 Mar"
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 5)  # away on the 3rd and 4th


def test_a_workshop_of_one_day_a_week(tern, make_job, first_start_up, state):
    closed = dict.fromkeys(("monday_hours", "tuesday_hours", "wednesday_hours", "thursday_hours"), 0)
    Workshop.objects.update(**closed, friday_hours=6)
    one = make_job(tern, "first half", hours=6)
    first_start_up(tern, make_job(tern, "second half", hours=6, after=[one]), promised=date(2027, 3, 5))

    milestone = start_up(state, tern)

    assert (milestone.on, milestone.slip_days) == (date(2027, 3, 12), 1)  # Fridays 5 and 12 March


def test_a_job_done_after_midnight_in_summer_counts_for_the_day_on_the_workshops_clock(
    tern, fitter, make_job, first_start_up
):
    """00:15 on 2 July in London is 23:15 on the 1st in UTC."""
    when = datetime(2027, 7, 2, 0, 15, tzinfo=LONDON)
    job = make_job(tern, "start", done_at=when, done_by=fitter, started_at=when, started_by=fitter)
    first_start_up(tern, job)

    facts = load_workshop(date(2027, 7, 5)).facts()

    assert facts.cars[tern.pk].first_start_up.reached_on == date(2027, 7, 2)


@pytest.mark.parametrize(("lag_hours", "condition"), [(15, "clear"), (17, "held")])
def test_a_cure_that_ends_before_the_workshop_opens_holds_nothing(
    tern, fitter, make_job, state, lag_hours, condition
):
    when = datetime(2027, 3, 2, 16, 30, tzinfo=LONDON)  # 15 hours on it is 7:30, 17 hours on 9:30
    glue = make_job(tern, "bond duct", done_at=when, done_by=fitter)
    fit = make_job(tern, "fit duct")
    JobLink.objects.create(before=glue, after=fit, lag_hours=Decimal(lag_hours))

    assert state().facts().jobs[fit.pk].condition == condition


@pytest.mark.parametrize("promised", [date(2019, 6, 3), date(2044, 6, 3)])
def test_a_promise_outside_the_calendar_spoils_no_page(
    tern, manager, make_job, first_start_up, state, promised
):
    milestone = first_start_up(tern, make_job(tern, "start"))
    MilestonePromise.objects.create(
        milestone=milestone, promised_on=promised, given_on=date(2019, 1, 7), reason="a slip", by=manager
    )

    facts = start_up(state, tern)

    assert (facts.on, facts.promised_on) == (date(2027, 3, 3), promised)
    assert facts.is_short == (promised < facts.on)


def test_what_cannot_be_dated_is_named(tern, manager, make_job, first_start_up, state):
    job = make_job(tern, "cut dash")
    Decision.objects.create(
        job=job,
        question="Which dials?",
        owed_by="us",
        due_on=date(2207, 3, 16),
        raised_by=manager,
        raised_at=datetime(2027, 3, 1, tzinfo=LONDON),
    )
    first_start_up(tern, job)

    facts = state().facts()

    assert facts.problems == (
        "No date for the answer to “Which dials?” and what waits for it: it would come after 31 Dec 2033. "
        "Look there for a wrong year, or for hours or a lead time far too long. All else keeps its date.",
    )
    assert facts.cars[tern.pk].first_start_up.on is None


def test_one_absurd_length_costs_only_its_own_car_its_date(tern, skua, make_job, first_start_up, state):
    chain = make_job(tern, "strip shell", hours=9999)
    chain = make_job(tern, "strip it again", hours=9999, after=[chain])
    first_start_up(tern, make_job(tern, "start Tern", after=[chain]))
    first_start_up(skua, make_job(skua, "start Skua", hours=16), promised=date(2027, 3, 8))

    facts = state().facts()

    assert facts.cars[skua.pk].first_start_up.on == date(2027, 3, 4)
    assert facts.cars[skua.pk].first_start_up.slip_days == -2
    assert facts.cars[tern.pk].first_start_up.on is None
    assert len(facts.problems) == 1
    assert facts.problems[0].startswith("No date for “strip it again” (Tern) and what waits for it")
    assert facts.cars[tern.pk].first_start_up.sentence == facts.problems[0]
    assert facts.cars[skua.pk].first_start_up.sentence == "Start Skua to first start-up"


def test_an_absurd_length_leaves_the_others_a_plan_and_a_forecast(
    tern, skua, fitter, make_job, first_start_up, state
):
    chain = make_job(tern, "strip shell", hours=9999)
    first_start_up(tern, make_job(tern, "strip it again", hours=9999, after=[chain]))
    milestone = first_start_up(skua, make_job(skua, "start Skua", hours=16))

    plan = levelled_plan(state().solution)

    assert plan.refusal == ""
    assert f"milestone:{milestone.pk}" in plan.plan.placed
    assert state().facts().cars[skua.pk].first_start_up.window.even_chance == date(2027, 3, 4)
    assert state().dated().cars[skua.pk].first_start_up.window.even_chance == date(2027, 3, 4)


def test_more_work_than_one_welder_can_do_leaves_the_other_cars_their_dates(
    tern, skua, fitter, other_fitter, make_job, first_start_up, state
):
    """Each of three jobs fits into the calendars, and not all of them one after another."""
    welder = Skill.objects.create(name="welder")
    fitter.skills.add(welder)
    jobs = [make_job(tern, f"weld {number}", hours=7000, skill=welder) for number in range(3)]
    first_start_up(tern, *jobs)
    first_start_up(skua, make_job(skua, "start Skua", hours=16), promised=date(2027, 3, 8))

    cars = state().dated().cars

    # the car keeps the date that it would have if somebody were always free, and it is said why
    assert cars[skua.pk].first_start_up.window.even_chance == date(2027, 3, 4)
    assert cars[tern.pk].first_start_up.on is not None
    assert cars[skua.pk].first_start_up.people_left_out == ""
    assert "does not fit into the hours that those with the skill welder still have" in (
        cars[tern.pk].first_start_up.people_left_out
    )
    assert any(
        "with the skill welder have 13,824 until the end of 2033" in one for one in state().dated().problems
    )


def test_a_batch_that_is_to_go_before_a_piece_can_be_ready_is_named(
    tern, plater, make_part, batch, state, line
):
    batch.leaves, batch.planned_on = "fixed", date(2027, 3, 5)
    batch.save()
    bracket = make_part(tern, "Bracket", route=[("machine", plater, 5), ("zinc_plate", plater, 5)])
    line(bracket, 2, batch=batch)

    assert state().facts().problems == (
        f"Zinc plate batch {batch.pk} is to go on 5 Mar, and Bracket (Tern) cannot be ready before 10 Mar. "
        "They will follow by themselves: choose a later day, or take them out.",
    )


def test_a_batch_that_goes_when_its_pieces_are_ready_is_no_contradiction(
    tern, plater, make_part, batch, state, line
):
    batch.leaves, batch.planned_on = "fixed", date(2027, 3, 12)
    batch.save()
    bracket = make_part(tern, "Bracket", route=[("machine", plater, 5), ("zinc_plate", plater, 5)])
    line(bracket, 2, batch=batch)

    assert state().facts().problems == ()


def test_a_car_that_is_to_leave_again_before_it_is_back_is_named(tern, plater, make_job, state):
    overdue, later = date(2027, 3, 2), date(2027, 3, 3)
    Away.objects.create(
        car=tern, supplier=plater, what_for="paint", leaves_on=date(2027, 2, 1), due_back_on=overdue
    )
    Away.objects.create(
        car=tern, supplier=plater, what_for="trim", leaves_on=later, due_back_on=date(2027, 3, 12)
    )

    assert state().facts().problems == (
        "Tern is to leave for Ferrand Plating on 3 Mar and is not back from Ferrand Plating before 4 Mar: "
        "change one of the stays.",
    )


def test_a_promise_for_a_day_on_which_the_workshop_is_shut_is_named(tern, make_job, first_start_up, state):
    first_start_up(tern, make_job(tern, "start"), promised=date(2027, 3, 7))

    assert state().facts().problems == (
        "Tern: first start-up is promised for Sunday 7 Mar, on which the workshop is shut.",
    )


@pytest.fixture
def promised(manager):
    def promise(milestone, job, on):
        milestone.jobs.set([job])
        MilestonePromise.objects.create(
            milestone=milestone, promised_on=on, given_on=date(2027, 3, 1), reason="agreed", by=manager
        )

    return promise


def test_promises_against_the_order_of_the_milestones_are_named(
    tern, make_job, first_start_up, promised, state
):
    start, handed = make_job(tern, "start"), make_job(tern, "hand over")
    first_start_up(tern, start, promised=date(2027, 3, 12))
    promised(Milestone.objects.create(car=tern, kind="handover", name="handover"), handed, date(2027, 3, 11))

    assert state().facts().problems == (
        "Tern: handover is promised for Thursday 11 Mar, but first start-up, which comes before it, for "
        "12 Mar: move one of the two promises.",
    )


def test_promises_against_the_order_of_the_jobs_are_named(tern, make_job, promised, state):
    """Milestones of the workshop's own have no order but that of their jobs."""
    paint, trim = make_job(tern, "paint"), make_job(tern, "trim")
    JobLink.objects.create(before=paint, after=trim)
    for name, job, day in (("painted", paint, date(2027, 3, 12)), ("trimmed", trim, date(2027, 3, 11))):
        promised(Milestone.objects.create(car=tern, kind="own", name=name), job, day)

    assert state().facts().problems == (
        "Tern: trimmed is promised for Thursday 11 Mar, but painted, which comes before it, for 12 Mar: move "
        "one of the two promises.",
    )
    JobLink.objects.all().delete()
    assert state().facts().problems == ()


def test_closures_that_join_up_to_months_are_named_once(tern, plater, make_job, state):
    """A week-end and nothing else lies between the two."""
    for first, last in ((date(2027, 4, 1), date(2027, 5, 28)), (date(2027, 5, 31), date(2027, 7, 30))):
        Closure.objects.create(first_day=first, last_day=last)
    Closure.objects.create(first_day=date(2027, 12, 20), last_day=date(2028, 1, 2))  # as every year

    assert state().facts().problems == (
        "The workshop is shut from 1 Apr to 30 Jul, 121 days, and dates count with that: is it meant?",
    )


def test_days_to_spare_are_the_workshops_whoever_has_the_part(tern, plater, make_job, make_part, state):
    """A plater of four days a week: from Wednesday 3 March to Wednesday 10 March are five days of ours."""
    plater.friday = False
    plater.save()
    hook = make_part(tern, "Hook", route=[("zinc_plate", plater, 2)])
    long = make_part(tern, "Long", route=[("weld", None, 7)])
    job = make_job(tern, "fit", needs=[hook, long])
    Milestone.objects.create(car=tern, kind="first start-up", name="first start-up").jobs.set([job])

    # seven of our days are over on Thursday 11; the hook must be back by then, away on the 10th and 11th
    assert state().facts().operations[hook.operations.get().pk].spare_days == 5

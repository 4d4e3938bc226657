"""What the plan takes in: lifts and bays, what a supplier takes at once, weights, who is here when."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from builds.models import Absence, Bay, KeptPlan, Skill
from builds.network import load_workshop
from builds.network.calendars import DAY_MIN
from builds.network.keeping import written
from builds.network.levelled import levelled_plan
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.check import check

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it

pytestmark = pytest.mark.django_db


def plan(today=TODAY):
    made = levelled_plan(load_workshop(today).solution)
    assert made.refusal == ""
    assert check(made.problem, made.plan.placed) == ()
    return made


def days(made, *things):
    """First and last day of each."""
    placed = [made.plan.placed[key] for key in things]
    return [(from_minutes(one.start).date().day, from_minutes(one.finish - 1).date().day) for one in placed]


def jobs(*rows):
    return [f"job:{row.pk}" for row in rows]


def test_two_jobs_that_need_the_one_lift_follow_one_another(tern, skua, fitter, other_fitter, make_job):
    lift = Bay.objects.create(name="Two-post lift")
    one, two = (make_job(car, "Drop gearbox", bay=lift) for car in (tern, skua))

    assert sorted(days(plan(), *jobs(one, two))) == [(3, 3), (4, 4)]

    Bay.objects.update(places=2)
    assert days(plan(), *jobs(one, two)) == [(3, 3), (3, 3)]


def test_a_supplier_who_takes_one_line_at_once_makes_the_other_wait(tern, plater, make_part, fitter):
    plater.at_once = 1
    plater.save()
    parts = [make_part(tern, name, route=[("zinc_plate", plater, 2)]) for name in ("bracket", "hinge")]
    lines = [f"op:{part.operations.get().pk}" for part in parts]

    made = plan()

    first, second = sorted((made.plan.placed[line] for line in lines), key=lambda placed: placed.start)
    assert second.start >= first.finish


def test_what_is_out_already_takes_up_the_supplier_until_it_is_due(tern, plater, make_part, fitter):
    plater.at_once = 1
    plater.save()
    out, to_go = (make_part(tern, name, route=[("zinc_plate", plater, 2)]) for name in ("bracket", "hinge"))
    out.operations.update(sent_on=TODAY - timedelta(days=1), promised_on=date(2027, 3, 9))

    placed = plan().plan.placed[f"op:{to_go.operations.get().pk}"]

    assert from_minutes(placed.start) >= datetime(2027, 3, 9, 12)


def test_more_lines_out_than_he_is_said_to_take_are_no_contradiction(tern, plater, make_part, fitter):
    plater.at_once = 1
    plater.save()
    parts = [make_part(tern, name, route=[("zinc_plate", plater, 2)]) for name in ("bracket", "hinge")]
    for part in parts:
        part.operations.update(sent_on=TODAY, promised_on=date(2027, 3, 9))

    made = plan()

    backs = {made.plan.placed[f"op:{part.operations.get().pk}"].finish for part in parts}
    assert {from_minutes(back).date() for back in backs} == {date(2027, 3, 9)}


@pytest.mark.parametrize("heavy", ["Tern", "Skua"])
def test_of_two_promises_the_heavier_is_kept(tern, skua, fitter, make_job, first_start_up, heavy):
    for car in (tern, skua):
        first_start_up(car, make_job(car, "Prime and crank"), promised=TODAY)
        car.milestones.update(weight=9 if car.name == heavy else 1)

    made = plan()

    first, second = (made.plan.placed[f"milestone:{car.milestones.get().pk}"].finish for car in (tern, skua))
    assert (first < second) == (heavy == "Tern")


def test_somebody_who_begins_on_monday_works_from_monday(tern, fitter, make_job):
    fitter.here_from = date(2027, 3, 8)
    fitter.save()

    job = make_job(tern, "Fit sump")

    assert days(plan(), *jobs(job)) == [(8, 8)]


def test_who_leaves_on_friday_gets_nothing_that_lasts_longer(tern, fitter, other_fitter, make_job):
    fitter.here_until = date(2027, 3, 5)
    fitter.save()
    job = make_job(tern, "Rewire", hours=40)

    assert plan().plan.placed[f"job:{job.pk}"].people == (f"person:{other_fitter.pk}",)


def test_somebody_away_for_ever_is_named(tern, fitter, make_job):
    welding = Skill.objects.create(name="welding")
    fitter.skills.add(welding)
    make_job(tern, "Weld sill", skill=welding)
    Absence.objects.create(person=fitter, first_day=date(2027, 1, 1), last_day=date.max)

    made = levelled_plan(load_workshop(TODAY).solution)

    assert made.plan is None
    assert made.refusal == (
        "“Weld sill” (Tern) needs 1 with the skill welding, and there is nobody: Rafe Holloway is never here."
    )


def keep(made):
    return KeptPlan.objects.create(
        made_at=timezone.now(), fingerprint=made.fingerprint, starts=written(made.plan), value=made.plan.cost
    )


def test_a_kept_plan_that_still_fits_is_followed_as_it_is(tern, fitter, make_job):
    made = [make_job(tern, title) for title in ("one", "two", "three")]
    first = plan()
    kept = keep(first)

    again = plan()

    assert (again.kept, again.fingerprint, again.moved) == (kept, first.fingerprint, ())
    assert again.plan.placed == first.plan.placed
    assert len(made) == 3


def test_everybody_keeps_his_jobs_in_their_order_when_one_takes_longer(
    tern, skua, fitter, other_fitter, make_job
):
    made = [make_job(car, f"{title} {car}") for title in ("strip", "clean", "fit") for car in (tern, skua)]
    first = plan()
    keep(first)
    longer = min(made, key=lambda job: first.plan.placed[f"job:{job.pk}"].start)
    longer.hours_low = longer.hours_likely = longer.hours_high = Decimal(16)
    longer.save()

    again = plan()

    for person in (fitter, other_fitter):
        own = [
            [key for key, placed in sorted(each.plan.placed.items(), key=lambda item: item[1].start)
             if f"person:{person.pk}" in placed.people]
            for each in (first, again)
        ]  # fmt: skip
        assert own[0] == own[1]
    # two jobs come after the long one, on the same person's list
    moved = {
        (from_minutes(first.plan.placed[one.key].start).day, one.by_min // DAY_MIN) for one in again.moved
    }
    assert moved == {(4, 1), (5, 3)}  # over the weekend


def test_a_new_part_comes_in_time_for_the_job_that_it_holds(tern, fitter, make_job):
    first, last = make_job(tern, "Strip"), make_job(tern, "Fit")
    later = make_job(tern, "Trim")
    keep(plan())
    make = make_job(tern, "Make bracket again")
    last.links_in.create(before=make)

    placed = plan().plan.placed

    assert placed[f"job:{make.pk}"].finish <= placed[f"job:{last.pk}"].start
    assert {*jobs(first, last, later)} <= placed.keys()


def test_what_somebody_began_early_is_on_now(tern, fitter, make_job):
    made = [make_job(tern, f"Job {number}") for number in range(5)]
    first = plan()
    keep(first)
    last = max(made, key=lambda job: first.plan.placed[f"job:{job.pk}"].start)
    last.started_at = timezone.make_aware(datetime.combine(TODAY, time(8)))
    last.started_by = fitter
    last.save()

    assert from_minutes(plan().plan.placed[f"job:{last.pk}"].start).date() == TODAY


def test_of_what_somebody_has_in_hand_he_goes_on_with_what_he_began_last(tern, skua, fitter, make_job):
    at = [timezone.make_aware(datetime.combine(TODAY, time(hour))) for hour in (8, 10)]
    first = make_job(tern, "Fit tank", started_by=fitter, started_at=at[0])
    then = make_job(skua, "Flush lines", hours=3, started_by=fitter, started_at=at[1])

    made = plan()

    order = sorted(jobs(first, then), key=lambda key: made.plan.placed[key].start)
    assert order == jobs(then, first)
    assert days(made, *order) == [(3, 3), (3, 4)]


def test_whoever_has_left_hands_on_his_jobs(tern, fitter, other_fitter, make_job):
    one, two = make_job(tern, "one"), make_job(tern, "two")
    keep(plan())
    fitter.is_active = False
    fitter.save()

    again = plan()

    other = (f"person:{other_fitter.pk}",)
    assert {again.plan.placed[key].people for key in jobs(one, two)} == {other}
    assert len(again.moved) == 1


def test_the_plan_of_yesterday_is_made_good_today(tern, fitter, make_job):
    job = make_job(tern, "Fit sump", hours=4)
    keep(plan())

    tomorrow = TODAY + timedelta(days=1)
    again = plan(tomorrow)

    assert from_minutes(again.plan.placed[f"job:{job.pk}"].start).date() == tomorrow
    assert len(again.moved) == 1


def test_the_first_plan_of_a_very_large_workshop_puts_the_most_pressing_first(
    tern, skua, fitter, make_job, first_start_up, monkeypatch
):
    monkeypatch.setattr("builds.network.keeping.LARGE", 0)
    later, sooner = make_job(tern, "Prime tern"), make_job(skua, "Prime skua")
    first_start_up(tern, later, promised=date(2027, 3, 20))
    first_start_up(skua, sooner, promised=date(2027, 3, 10))

    assert days(plan(), *jobs(sooner, later)) == [(3, 3), (4, 4)]

"""More work than there are hours: what fits keeps its dates with people, and the rest is named."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from builds.models import KeptPlan, Skill
from builds.network import load_workshop
from builds.network.keeping import written
from builds.network.levelled import levelled_plan
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.check import check

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it; the calendars end with 2033

pytestmark = pytest.mark.django_db


def plan(kept=None):
    made = levelled_plan(load_workshop(TODAY).solution, kept)
    assert made.refusal == ""
    assert check(made.problem, made.plan.placed) == ()
    return made


def keys(*jobs):
    return {f"job:{job.pk}" for job in jobs}


def dated(car):
    return load_workshop(TODAY).dated().cars[car.pk].first_start_up


def test_what_fits_keeps_its_dates_with_people(tern, skua, fitter, make_job, first_start_up):
    """One fitter has some 13,000 hours until the end of 2033: one panel fits after all else, four do not."""
    sump = make_job(skua, "Fit sump")
    first_start_up(skua, sump, promised=date(2027, 3, 5))
    panels = [make_job(tern, f"Restore panel {number}", hours=9999) for number in range(5)]

    made = plan()

    assert from_minutes(made.plan.placed[f"job:{sump.pk}"].start).date() == TODAY
    assert len(keys(*panels) & made.plan.placed.keys()) == 1
    assert dated(skua).people_left_out == ""
    assert dated(skua).on == TODAY
    (caution,) = made.cautions
    assert caution.startswith("The job lists ask for 50,003 hours of work, and the people here have ")
    assert caution.endswith(
        "“Restore panel 1” (Tern), “Restore panel 2” (Tern), “Restore panel 3” (Tern) and 1 more job do not "
        "fit into the hours that the people here still have until the end of 2033: with what waits for them, "
        "they have no date with people. All else keeps its date. Enter more people, or look for hours that "
        "are far too long."
    )


def test_what_waits_for_it_has_no_date_with_people_and_says_why(tern, skua, fitter, make_job, first_start_up):
    panels = [make_job(tern, f"Restore panel {number}", hours=9999) for number in range(2)]
    first_start_up(tern, make_job(tern, "Crank", after=panels))
    first_start_up(skua, make_job(skua, "Crank skua"))

    assert dated(skua).on == TODAY
    late = dated(tern)
    assert late.people_left_out == (
        "“Restore panel 1” (Tern) does not fit into the hours that the people here still have until the end "
        "of 2033."
    )
    assert late.on.year < 2034  # as if somebody were always free


def test_of_a_skill_it_is_named_whose_hours_are_short(tern, fitter, other_fitter, make_job):
    welding = Skill.objects.create(name="welding")
    fitter.skills.add(welding)
    for number in range(2):
        make_job(tern, f"Weld sill {number}", hours=9000, skill=welding)
    sweep = make_job(tern, "Sweep")

    made = plan()

    assert keys(sweep) <= made.plan.placed.keys()
    (caution,) = made.cautions
    assert "18,000 hours of work, and those with the skill welding have" in caution
    assert (
        "“Weld sill 1” (Tern) does not fit into the hours that those with the skill welding still" in caution
    )


def test_what_comes_first_by_its_promise_is_what_fits(tern, skua, fitter, make_job, first_start_up):
    """Whoever leaves in a week has hours for one of two jobs of three days: for the one that is promised."""
    fitter.here_until = date(2027, 3, 9)
    fitter.save()
    later, sooner = make_job(tern, "Trim", hours=24), make_job(skua, "Prime", hours=24)
    first_start_up(tern, later, promised=date(2027, 6, 1))
    first_start_up(skua, sooner, promised=date(2027, 3, 10))

    made = plan()

    assert keys(later, sooner) & made.plan.placed.keys() == keys(sooner)
    assert "“Trim” (Tern) does not fit into the hours" in made.cautions[0]


def test_what_arrives_after_everybody_has_left_is_named_however_many_it_is(
    tern, fitter, make_job, make_part, plater
):
    """More of them than the tries that a plan is given one by one."""
    fitter.here_until = date(2027, 3, 9)
    fitter.save()
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 20)])
    held = [make_job(tern, f"Fit bracket {number}", hours=1, needs=[part]) for number in range(15)]
    free = make_job(tern, "Sweep", hours=1)

    made = plan()

    assert keys(*held, free) & made.plan.placed.keys() == keys(free)
    assert "and 12 more jobs do not fit into the hours" in made.cautions[0]


def test_a_kept_plan_keeps_its_order(tern, skua, fitter, make_job):
    one, two = make_job(tern, "one"), make_job(skua, "two")
    first = plan()
    kept = KeptPlan.objects.create(
        made_at=timezone.now(),
        fingerprint=first.fingerprint,
        starts=written(first.plan),
        value=first.plan.cost,
    )
    for number in range(3):
        make_job(tern, f"Restore panel {number}", hours=9999)

    again = plan(kept)

    assert again.moved == ()
    for key in keys(one, two):
        assert again.plan.placed[key] == first.plan.placed[key]


def test_thousands_of_hours_too_many_end_soon(tern, fitter, make_job):
    """No date is ever far away: what does not fit has none, and the calendars end with 2033."""
    for number in range(300):
        make_job(tern, f"Restore panel {number}", hours=160)

    made = plan()

    ends = max(placed.finish for placed in made.plan.placed.values())
    assert from_minutes(ends).date() <= date(2033, 12, 31) + timedelta(days=1)
    assert 0 < len(made.plan.placed) < 300
    assert len(made.unfit) == 300 - len(made.plan.placed)


def test_jobs_that_nobody_can_do_are_told_apart(tern, fitter, make_job):
    glass = make_job(tern, "Cut glass", hours=8, skill=Skill.objects.create(name="glazier"))
    for number in range(5):
        make_job(tern, f"Restore panel {number}", hours=9999)

    made = plan()

    assert made.plan.placed[f"job:{glass.pk}"].people == ()
    assert len(made.cautions) == 2
    assert "planned as if somebody were free for it" in made.cautions[0]
    assert "do not fit into the hours" in made.cautions[1]


def test_what_a_supplier_cannot_take_at_once_is_told_together(tern, fitter, plater, make_job, make_part):
    plater.at_once = 1
    plater.save()
    for number in range(9):
        bracket = make_part(tern, f"bracket {number}", route=[("zinc_plate", plater, 300)])
        make_job(tern, f"Fit bracket {number}", hours=1, needs=[bracket])

    made = plan()

    (caution,) = made.cautions
    assert (
        "and 1 more part do not fit into what Ferrand Plating takes at once until the end of 2033" in caution
    )
    assert caution.endswith("Let more go there at once, or look for a lead time far too long.")

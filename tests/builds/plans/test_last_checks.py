"""Checks before a first start-up or a handover are planned right before it; nobody counts on their hour."""

from dataclasses import replace
from datetime import date

import pytest

from builds.models import Area, JobLink, Milestone, Skill
from builds.network import load_workshop
from builds.network.checks import last_checks
from builds.network.keeping import first_plan, jobs_moved, previous_like, written
from builds.network.levelled import levelled_plan
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.check import check
from builds.services.plans import plan_keep
from builds.sheets.week import read_week

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it


@pytest.fixture
def commissioning(db):
    return Area.objects.create(name="commissioning", order=12)


@pytest.fixture
def tern_runs(tern, fitter, other_fitter, make_job, first_start_up, commissioning):
    """Two weeks of work in another area, then extinguishers, chocks and the start itself."""
    engine = make_job(tern, "Install engine", hours=80)
    checks = [make_job(tern, title, hours=1, area=commissioning) for title in ("Extinguishers", "Chocks")]
    release = make_job(tern, "Release sheet", hours=1, area=commissioning, after=[engine, *checks])
    start = make_job(tern, "First start-up", hours=1, area=commissioning, after=[release])
    first_start_up(tern, start, promised=date(2027, 3, 19))
    return engine, checks, release, start


def checks_of_today():
    solution = load_workshop(TODAY).solution
    return last_checks(solution.model, solution.network.links)


def keys(*jobs):
    return {f"job:{job.pk}" for job in jobs}


def planned():
    levelled = levelled_plan(load_workshop(TODAY).solution)
    assert levelled.refusal == ""
    assert check(levelled.problem, levelled.plan.placed) == ()
    return levelled


def starts_on(levelled, job):
    return from_minutes(levelled.plan.placed[f"job:{job.pk}"].start).date()


def test_checks_are_planned_right_before_the_start_up(tern_runs):
    """The engine is in on Tuesday the 16th; what is left for Wednesday morning is to sign and to start."""
    _, checks, release, start = tern_runs
    levelled = planned()
    assert starts_on(levelled, start) == date(2027, 3, 17)
    assert starts_on(levelled, release) == date(2027, 3, 17)
    assert {starts_on(levelled, job) for job in checks} == {date(2027, 3, 16)}


def test_work_of_another_area_is_no_check(tern_runs):
    engine, checks, release, _ = tern_runs
    assert checks_of_today() == keys(*checks, release)
    assert starts_on(planned(), engine) == TODAY


def test_what_takes_longer_than_a_day_is_no_check(tern_runs):
    _, (one, other), release, _ = tern_runs
    one.hours_likely = one.hours_high = 9
    one.save()
    assert checks_of_today() == keys(other, release)


def test_what_leads_elsewhere_too_is_no_check(tern_runs, tern, make_job):
    _, (one, other), release, _ = tern_runs
    make_job(tern, "Rolling road", after=[one])
    assert checks_of_today() == keys(other, release)


def test_what_a_part_waits_for_is_no_check(tern_runs, tern, make_part, plater):
    _, (one, other), release, _ = tern_runs
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 2)])
    part.operations.get().after_jobs.add(one)
    assert checks_of_today() == keys(other, release)


def test_what_leads_nowhere_is_no_check(tern_runs, tern, make_job, commissioning):
    _, checks, release, _ = tern_runs
    make_job(tern, "Settle the approval", hours=4, area=commissioning)
    assert checks_of_today() == keys(*checks, release)


def test_checks_of_another_car_are_its_own(tern_runs, skua, make_job, commissioning):
    _, checks, release, start = tern_runs
    other = make_job(skua, "Look on", hours=1, area=commissioning)
    JobLink.objects.create(before=other, after=start)
    assert checks_of_today() == keys(*checks, release)


def test_without_a_first_start_up_there_are_none(tern_runs, tern):
    tern.milestones.update(kind="own")
    assert checks_of_today() == frozenset()


def test_a_check_that_goes_with_its_start_up_has_not_moved(tern_runs):
    engine, checks, _, start = tern_runs
    before = planned()
    engine.hours_likely = engine.hours_high = 96  # two days more
    engine.save()
    after = planned()
    assert [starts_on(after, job) for job in (checks[0], start)] == [date(2027, 3, 18), date(2027, 3, 19)]
    previous = previous_like(after.problem, before.plan.placed)
    assert {one.key for one in jobs_moved(previous, after.plan)} == keys(start)


def test_a_kept_plan_with_its_checks_is_followed_as_it_is(tern_runs, now):
    kept = plan_keep(at=now)
    state = load_workshop(now.date())
    levelled = levelled_plan(state.solution, kept)
    assert levelled.plan.placed == levelled_plan(state.solution).plan.placed
    assert levelled.moved == ()
    assert written(levelled.plan) == kept.starts


def test_the_week_does_not_call_a_check_waiting_for_people(tern_runs):
    _, checks, *_ = tern_runs
    waiting = {one.title for one in read_week(TODAY, TODAY).waiting}
    assert waiting.isdisjoint(job.title for job in checks)


@pytest.fixture
def engine_builder(fitter, other_fitter):
    found = Skill.objects.create(name="engine builder")
    for person in (fitter, other_fitter):
        person.skills.add(found)
    return found


def test_oil_primed_by_the_hands_that_start_the_engine_waits_for_the_start(
    tern_runs, tern, make_job, engine_builder
):
    """The engine takes two weeks; the oil could be primed on the first day and has run down by the start."""
    _, checks, release, start = tern_runs
    start.skill = engine_builder
    start.save()
    prime = make_job(tern, "Prime oil", hours=2, skill=engine_builder)
    JobLink.objects.create(before=prime, after=release)
    levelled = planned()
    assert checks_of_today() == keys(*checks, release, prime)
    assert starts_on(levelled, prime) == date(2027, 3, 16)
    assert starts_on(levelled, start) == date(2027, 3, 17)


def test_a_leak_test_by_other_hands_stays_early(tern_runs, tern, make_job, engine_builder):
    _, checks, release, start = tern_runs
    start.skill = engine_builder
    start.save()
    leaks = make_job(tern, "Leak test of the tank", hours=2)
    JobLink.objects.create(before=leaks, after=release)
    assert checks_of_today() == keys(*checks, release)
    assert starts_on(planned(), leaks) == TODAY


@pytest.fixture
def tern_goes(tern, fitter, other_fitter, make_job, commissioning):
    """Two weeks of work in another area, then the last look, the build file and the handover."""
    trim = make_job(tern, "Trim", hours=80)
    look = make_job(tern, "Brakes, lights, torque marks", hours=2, area=commissioning)
    file = make_job(tern, "Build file", hours=6, area=commissioning)
    hand_over = make_job(tern, "Hand over", hours=2, area=commissioning, after=[trim, look, file])
    Milestone.objects.create(car=tern, kind="handover", name="handover").jobs.add(hand_over)
    return trim, look, file, hand_over


def test_final_checks_are_planned_right_before_the_handover(tern_goes):
    trim, look, file, hand_over = tern_goes
    levelled = planned()
    assert checks_of_today() == keys(look, file)
    assert starts_on(levelled, trim) == TODAY
    assert starts_on(levelled, hand_over) == date(2027, 3, 17)
    assert {starts_on(levelled, job) for job in (look, file)} == {date(2027, 3, 16)}


@pytest.mark.parametrize(("hours", "is_check"), [(16, True), (17, False)])
def test_what_takes_more_than_two_days_is_no_final_check(tern_goes, hours, is_check):
    _, look, file, _ = tern_goes
    file.hours_likely = file.hours_high = hours
    file.save()
    assert checks_of_today() == (keys(look, file) if is_check else keys(look))


def test_work_of_another_area_is_no_final_check_whosever_hands_it_takes(tern_goes, tern, make_job):
    fitting = Skill.objects.create(name="fitting")
    _, look, file, hand_over = tern_goes
    hand_over.skill = fitting
    hand_over.save()
    badge = make_job(tern, "Fit badges", hours=2, skill=fitting)
    JobLink.objects.create(before=badge, after=hand_over)
    assert checks_of_today() == keys(look, file)


def test_final_checks_cost_no_date(tern_goes, tern_runs, skua, make_job):
    """Everything else stays to the minute: the same plan with the checks as plain work is the measure."""
    other = make_job(skua, "Wire the car", hours=60)
    levelled = planned()
    pushed = {
        key for key in levelled.plan.placed if levelled.problem.tasks[levelled.problem.place[key]].as_late
    }
    plain = replace(
        levelled.problem, tasks=tuple(replace(task, as_late=False) for task in levelled.problem.tasks)
    )
    early = first_plan(plain)
    assert pushed
    assert f"job:{other.pk}" not in pushed
    for key, placed in levelled.plan.placed.items():
        if key not in pushed:
            assert placed == early.placed[key]

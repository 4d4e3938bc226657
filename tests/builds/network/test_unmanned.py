"""Jobs for which people are missing cost no other job its people."""

from datetime import date, datetime

import pytest
from django.utils import timezone

from builds.models import Skill
from builds.network import load_workshop
from builds.network.levelled import levelled_plan
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.check import check

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitting(fitter):
    skill = Skill.objects.create(name="fitting")
    fitter.skills.add(skill)
    return skill


def plan():
    made = levelled_plan(load_workshop(TODAY).solution)
    assert made.refusal == ""
    assert check(made.problem, made.plan.placed) == ()
    return made


def placed(made, *jobs):
    return [made.plan.placed[f"job:{job.pk}"] for job in jobs]


def days(made, *jobs):
    return sorted(from_minutes(one.start).date().day for one in placed(made, *jobs))


def test_where_hands_are_missing_jobs_for_one_still_wait_for_the_one_who_is_here(
    tern, fitter, fitting, make_job
):
    gearbox = make_job(tern, "Mate gearbox", hours=8, people=3, skill=fitting)
    alone = [make_job(tern, f"Fit panel {number}", hours=8, skill=fitting) for number in range(3)]

    made = plan()

    assert days(made, gearbox, *alone) == [3, 4, 5, 8]
    assert all(one.people == (f"person:{fitter.pk}",) for one in placed(made, gearbox, *alone))
    assert made.cautions == (
        "“Mate gearbox” (Tern) needs 3 people, and there is only Rafe Holloway. "
        "It is planned with those who are here.",
    )


def test_all_that_ask_for_more_hands_than_there_are_are_told_together(
    tern, fitter, other_fitter, fitting, make_job
):
    for number in range(12):
        make_job(tern, f"Lift body {number}", people=3 + number % 2, skill=fitting if number % 3 else None)
    pair = make_job(tern, "Hang door", people=2, skill=fitting)

    made = plan()

    (caution,) = made.cautions
    assert caution.endswith("; so are 11 more jobs that ask for more than there are.")
    assert all(len(one.people) == 2 for one in placed(made, pair))


def test_where_the_skill_is_missing_it_is_planned_as_if_somebody_were_free(tern, fitter, fitting, make_job):
    glass = make_job(tern, "Cut glass", people=2, skill=Skill.objects.create(name="glazier"))
    panel = make_job(tern, "Fit panel", skill=fitting)

    made = plan()

    assert [len(one.people) for one in placed(made, glass, panel)] == [0, 1]
    (caution,) = made.cautions
    assert "needs 1 with the skill glazier, and there is nobody. It is planned as if" in caution


def test_who_began_a_job_and_has_left_is_missed_once(tern, fitter, other_fitter, make_job):
    begun = timezone.make_aware(datetime(2027, 3, 1, 9))
    job = make_job(tern, "Lift engine", people=3, started_by=fitter, started_at=begun)
    fitter.here_until = date(2027, 3, 2)
    fitter.save()

    made = plan()

    assert [one.people for one in placed(made, job)] == [(f"person:{other_fitter.pk}",)]
    assert len(made.cautions) <= 2

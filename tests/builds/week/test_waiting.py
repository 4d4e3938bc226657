"""Each job that waits for people, room or its car says for whom, or for what, and until when."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from django.utils import timezone

from builds.models import Absence, Bay, Person, Skill
from builds.schedule.levelling.waits import waits_for
from builds.sheets import week
from builds.sheets.week import read_week

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it
BEGAN = timezone.make_aware(datetime(2027, 3, 2, 8))

pytestmark = pytest.mark.django_db


def why():
    return {one.title: one.why for one in read_week(TODAY, TODAY).waiting}


@pytest.fixture
def busy(tern, fitter, make_job):
    """Rafe is on a long job."""
    return make_job(tern, "Rewire", hours=24, started_at=BEGAN, started_by=fitter)


def test_for_the_only_one_with_the_skill(busy, skua, fitter, other_fitter, make_job):
    welder = Skill.objects.create(name="welder")
    fitter.skills.add(welder)
    make_job(skua, "Weld sill", skill=welder)
    assert why() == {"Weld sill": ("the only welder, Rafe Holloway, who is on “Rewire” (Tern) until Friday",)}


def test_for_somebody_who_is_away(tern, fitter, make_job):
    Absence.objects.create(person=fitter, first_day=TODAY, last_day=date(2027, 3, 10))
    make_job(tern, "Fit sump")
    assert why() == {"Fit sump": ("the only one who can, Rafe Holloway, who is not here until Thu 11 Mar",)}


@pytest.mark.parametrize(
    ("gap_min", "words"),
    [
        (29, "Rafe Holloway, who is on “Rewire” (Tern) until Friday"),
        (30, "Rafe Holloway, who has no gap long enough before the end of “Rewire” (Tern), Friday"),
    ],
)
def test_free_hours_that_are_too_few_are_said(busy, skua, fitter, make_job, monkeypatch, gap_min, words):
    make_job(skua, "Fit sump")
    with_gap = lambda *asked: tuple(replace(wait, gap_min=gap_min) for wait in waits_for(*asked))  # noqa: E731
    monkeypatch.setattr(week, "waits_for", with_gap)
    assert why() == {"Fit sump": (f"the only one who can, {words}",)}


def test_for_a_lift(busy, tern, skua, fitter, other_fitter, make_job):
    busy.bay = Bay.objects.create(name="two-post lift")
    busy.save()
    make_job(skua, "Drop gearbox", bay=busy.bay)
    assert why() == {"Drop gearbox": ("two-post lift, taken by “Rewire” (Tern) until Friday",)}


def test_a_job_that_waits_for_another_job_is_not_here(busy, tern, make_job):
    make_job(tern, "Prove wiring", after=[busy])
    assert why() == {}


def test_more_than_three_reasons_are_counted(tern, skua, fitter, other_fitter, make_job):
    others = [Person.objects.create_person(name=f"Hand {letter}", secret="4826") for letter in "AB"]
    for person in (fitter, other_fitter, *others):
        make_job(tern, f"Long job of {person}", hours=24, started_at=BEGAN, started_by=person)
    make_job(skua, "Fit sump")
    reasons = why()["Fit sump"]
    assert len(reasons) == 3
    assert reasons[-1] == "2 others who could do it"


def test_the_week_takes_the_same_queries_for_two_jobs_and_twenty(
    tern, fitter, make_job, django_assert_num_queries
):
    """19 of the network and two of stamps; people, their skills, absences, overtime, bays, the kept plan."""
    for count in (2, 18):
        for number in range(count):
            make_job(tern, f"Job {count} {number}")
        with django_assert_num_queries(27):
            read_week(TODAY, TODAY)

"""Today follows the kept plan: the day's jobs in its order, then what else is clear."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.models import Absence, KeptPlan, Skill
from builds.network import load_workshop
from builds.network.calendars import DAY_MIN
from builds.network.keeping import read
from builds.services.jobs import job_start
from builds.services.plans import plan_keep
from tests.builds.today.test_today_page import groups


@pytest.fixture(autouse=True)
def _every_day_is_worked(workshop, fitter):
    """So that there is something to do today, whatever day the tests run on."""
    for row in (workshop, fitter):
        row.saturday_hours = row.sunday_hours = 8
        row.save()
    workshop.country, workshop.region = "ZZ", ""  # without public holidays
    workshop.save()


def keep():
    return plan_keep(at=timezone.now())


def test_without_a_kept_plan_jobs_stand_by_what_presses(tern, make_job, as_fitter):
    make_job(tern, "Fit sump")
    assert groups(as_fitter) == {"Clear for you": ["Fit sump"]}


def test_the_day_stands_first_in_the_order_of_the_plan(tern, skua, make_job, fitter, as_fitter):
    first = make_job(tern, "Trial fit radiator", hours=3)
    make_job(tern, "Fit radiator", hours=3, after=[first])
    make_job(skua, "Rewire", hours=30)
    kept = keep()
    order = sorted(read(kept).items(), key=lambda item: item[1].start)
    titles = {f"job:{job.pk}": job.title for car in (tern, skua) for job in car.jobs.all()}
    day = order[0][1].start - order[0][1].start % DAY_MIN + DAY_MIN
    today = [titles[key] for key, placed in order if placed.start < day]

    found = groups(as_fitter)

    assert found["Planned for you today, in this order"] == today
    assert found.get("Also clear for you", []) == [
        title for title in ("Trial fit radiator", "Rewire") if title not in today
    ]


def test_a_held_job_of_the_day_stands_there_and_says_what_it_waits_for(tern, make_job, as_fitter):
    first = make_job(tern, "Trial fit radiator", hours=3)
    second = make_job(tern, "Fit radiator", hours=3, after=[first])
    keep()
    page = as_fitter.get("/today/").content.decode()
    assert groups(as_fitter) == {
        "Planned for you today, in this order": ["Trial fit radiator", "Fit radiator"]
    }
    assert "held: " in page
    assert "3 h today" in page
    assert f"/jobs/{second.pk}/start/" not in page


def test_a_job_in_hand_stands_once(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    job_start(job=job, by=fitter, at=timezone.now())
    keep()
    assert groups(as_fitter) == {"Planned for you today, in this order": ["Fit sump"]}


def test_others_have_their_own_day(tern, make_job, fitter, other_fitter, as_fitter, as_manager):
    weld = Skill.objects.create(name="welding")
    other_fitter.skills.add(weld)
    other_fitter.saturday_hours = other_fitter.sunday_hours = 8
    other_fitter.save()
    make_job(tern, "Weld sill", skill=weld)
    make_job(tern, "Fit sump")
    keep()
    assert groups(as_fitter)["Planned for you today, in this order"] == ["Fit sump"]
    assert "planned for Ines Brandt today" in as_fitter.get("/today/").content.decode()
    everybody = groups(as_manager)
    assert set(everybody["Planned for today"]) == {"Weld sill", "Fit sump"}
    page = as_manager.get("/today/").content.decode()
    assert "<b>Ines Brandt</b> · 8 h today" in page
    one = groups(as_manager, person=other_fitter.pk)
    assert one["Planned for Ines Brandt today, in this order"] == ["Weld sill"]


def test_what_moved_since_the_plan_is_said_with_names(tern, make_job, fitter, other_fitter, as_manager):
    for row in (fitter, other_fitter):
        row.saturday_hours = row.sunday_hours = 8
        row.save()
    job = make_job(tern, "Fit sump")
    kept = keep()
    was = read(kept)[f"job:{job.pk}"].people[0]
    gone, other = (fitter, other_fitter) if was == f"person:{fitter.pk}" else (other_fitter, fitter)
    today = timezone.localdate()
    Absence.objects.create(person=gone, first_day=today, last_day=today + timedelta(days=9))

    page = as_manager.get("/today/").content.decode()

    assert ": 1 job</summary>" in page
    assert f"was {gone.name}’s" in page
    assert groups(as_manager, person=other.pk)[f"Planned for {other.name} today, in this order"] == [
        "Fit sump"
    ]
    assert KeptPlan.objects.get() == kept  # looking changes nothing


def test_nothing_moved_is_not_mentioned(tern, make_job, fitter, as_fitter):
    make_job(tern, "Fit sump")
    keep()
    assert "Moved since" not in as_fitter.get("/today/").content.decode()


def test_more_work_than_there_are_hours_is_said_and_the_day_goes_on(tern, make_job, fitter, as_fitter):
    make_job(tern, "Fit sump")
    keep()
    for number in range(5):
        make_job(tern, f"Restore panel {number}", hours=9999)
    page = as_fitter.get("/today/").content.decode()
    assert "No plan can be made" not in page
    assert "The job lists ask for" in page
    assert "do not fit into the hours" in page
    assert groups(as_fitter)["Planned for you today, in this order"] == ["Fit sump"]


def test_a_job_that_nobody_can_do_is_named_and_the_others_are_planned(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    keep()
    job.skill = Skill.objects.create(name="glazier")
    job.save()
    make_job(tern, "Sweep bay")
    page = as_fitter.get("/today/").content.decode()
    assert "“Fit sump” (Tern) needs 1 with the skill glazier, and there is nobody." in page
    assert "No plan can be made" not in page


def test_a_large_workshop_keeps_the_plan_as_it_stands(tern, make_job, fitter, as_fitter, monkeypatch):
    make_job(tern, "Fit sump")
    keep()
    monkeypatch.setattr("builds.sheets.planned.LARGE", 0)
    assert groups(as_fitter) == {"Planned for you today, in this order": ["Fit sump"]}


def test_two_jobs_and_twenty_take_the_same_queries(
    tern, make_job, fitter, as_fitter, django_assert_num_queries
):
    """Those without a plan; and people, their skills, absences, bays."""
    make_job(tern, "Job")
    keep()
    for count in (1, 20):
        for number in range(count):
            make_job(tern, f"Job {count} {number}")
        with django_assert_num_queries(35):
            as_fitter.get("/today/")
    assert load_workshop(timezone.localdate()).facts().jobs

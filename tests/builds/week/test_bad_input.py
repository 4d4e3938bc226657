"""What cannot be is named on the page: never a fault, never a hang, never a date far away."""

import re
from datetime import date, timedelta

import pytest
from django.utils import timezone

from builds.models import Absence, Away, Closure, Skill
from parts.models import SupplierClosure

PAGES = ("/week/", "/today/")


@pytest.fixture
def job(workshop, tern, fitter, make_job, first_start_up):
    made = make_job(tern, "Fit sump", hours=4)
    first_start_up(tern, made)
    return made


def texts(client):
    """Both pages; each must answer."""
    answers = [client.get(path) for path in PAGES]
    assert [answer.status_code for answer in answers] == [200, 200]
    pages = [answer.content.decode() for answer in answers]
    assert not any(re.search(r"\b9999\b", page) for page in pages)
    return pages


def test_a_workshop_that_is_shut_for_years_is_named(as_manager, job):
    Closure.objects.create(first_day=date(2020, 1, 1), last_day=date(2060, 1, 1), reason="for ever")
    for page in texts(as_manager):
        assert "The workshop is shut on every working day to come." in page


def test_a_supplier_who_is_shut_for_years_is_named(as_manager, job, plater):
    SupplierClosure.objects.create(
        supplier=plater, first_day=date(2020, 1, 1), last_day=date(2060, 1, 1), reason="for ever"
    )
    for page in texts(as_manager):
        assert "Ferrand Plating is shut on every working day to come." in page


def test_somebody_away_for_ever_is_named(as_manager, job, fitter):
    welding = Skill.objects.create(name="welding")
    fitter.skills.add(welding)
    job.skill = welding
    job.save()
    Absence.objects.create(person=fitter, first_day=date(2020, 1, 1), last_day=date.max)
    week, _ = texts(as_manager)
    assert "No plan can be made." in week
    assert "Rafe Holloway is never here" in week


def test_a_skill_that_nobody_has_is_named(as_manager, job):
    job.skill = Skill.objects.create(name="glazier")
    job.save()
    week, _ = texts(as_manager)
    assert "“Fit sump” (Tern) needs 1 with the skill glazier, and there is nobody." in week


def test_somebody_without_hours_is_named(as_manager, job, fitter):
    for day in ("monday", "tuesday", "wednesday", "thursday", "friday"):
        setattr(fitter, f"{day}_hours", 0)
    fitter.save()
    week, _ = texts(as_manager)
    assert "Rafe Holloway is never here" in week


def test_a_job_that_asks_for_more_people_than_there_are_is_named(as_manager, job):
    job.people = 5
    job.save()
    week, _ = texts(as_manager)
    assert "“Fit sump” (Tern) needs 5 people, and there is only Rafe Holloway." in week


def test_a_car_that_is_away_for_years_is_named(as_manager, job, plater):
    today = timezone.localdate()
    Away.objects.create(
        car=job.car,
        supplier=plater,
        what_for="dipping",
        leaves_on=today,
        due_back_on=today + timedelta(days=4000),
    )
    week, _ = texts(as_manager)
    assert "Fit sump" in week


def test_hours_without_end_are_named(as_manager, job):
    job.hours_low = job.hours_likely = job.hours_high = 99_999
    job.save()
    week, _ = texts(as_manager)
    assert "99,999 hours" in week or "far too long" in week

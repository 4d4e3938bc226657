from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from builds.models import Away, Decision, Job, JobNote, TimeSpent
from builds.services.jobs import StillHeld, job_done, job_start


def test_a_started_job_is_in_hand_and_the_clock_runs(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job.refresh_from_db()
    assert (job.started_by, job.started_at) == (fitter, at)
    assert list(TimeSpent.objects.running().values_list("job", "person", "started_at")) == [
        (job.pk, fitter.pk, at)
    ]


def test_a_second_press_changes_nothing(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_start(job=job, by=fitter, at=later)
    job.refresh_from_db()
    assert job.started_at == at
    assert list(TimeSpent.objects.values_list("started_at", "minutes")) == [(at, None)]


def test_a_second_fitter_joins_and_the_first_stays_on_record(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Lift engine in", people=2)
    job_start(job=job, by=fitter, at=at)
    job_start(job=job, by=other_fitter, at=later)
    job.refresh_from_db()
    assert job.started_by == fitter
    assert set(TimeSpent.objects.running().values_list("person", flat=True)) == {
        fitter.pk,
        other_fitter.pk,
    }


def test_starting_another_job_stops_the_first_clock_with_its_minutes(tern, make_job, fitter, at, later):
    first, second = make_job(tern, "Fit radiator"), make_job(tern, "Make coolant pipes")
    job_start(job=first, by=fitter, at=at)
    job_start(job=second, by=fitter, at=later)
    assert list(TimeSpent.objects.values_list("job", "minutes")) == [(first.pk, 120), (second.pk, None)]


def test_a_done_job_is_not_started(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_done(job=job, by=fitter, at=at)
    with pytest.raises(ValidationError, match="is done already"):
        job_start(job=job, by=fitter, at=later)
    assert Job.objects.get().started_at is None
    assert not TimeSpent.objects.exists()


def test_a_job_on_the_car_is_not_started_while_the_car_is_away(tern, make_job, fitter, plater, at):
    on_car, at_bench = make_job(tern, "Fit radiator"), make_job(tern, "Make ducts", place="bench")
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="dipping",
        leaves_on=date(2026, 11, 25),
        due_back_on=date(2026, 12, 3),
    )
    with pytest.raises(ValidationError, match="Tern is away at Ferrand Plating"):
        job_start(job=on_car, by=fitter, at=at)
    assert not Job.objects.in_hand().exists()
    job_start(job=at_bench, by=fitter, at=at)
    assert Job.objects.in_hand().get() == at_bench


def test_a_job_on_the_car_is_started_once_the_car_is_back(tern, make_job, fitter, plater, at):
    job = make_job(tern, "Fit radiator")
    day = date(2026, 11, 26)
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="dipping",
        leaves_on=day - timedelta(9),
        due_back_on=day,
        back_on=day,
    )
    job_start(job=job, by=fitter, at=at)
    assert Job.objects.in_hand().get() == job


def hold_by_a_job(tern, make_job):
    return make_job(tern, "Fit radiator", after=[make_job(tern, "Trial fit radiator")])


def test_a_held_job_is_not_started_without_a_word(tern, make_job, fitter, at):
    job = hold_by_a_job(tern, make_job)
    with pytest.raises(StillHeld, match="Missing: “Trial fit radiator” is not done"):
        job_start(job=job, by=fitter, at=at, why="   ")
    assert not Job.objects.in_hand().exists()
    assert not TimeSpent.objects.exists()


def test_a_held_job_is_begun_with_a_reason_that_is_kept(tern, make_job, fitter, at):
    job = hold_by_a_job(tern, make_job)
    job_start(job=job, by=fitter, at=at, why="only the bracket, it is out of the way.")
    assert Job.objects.in_hand().get() == job
    assert JobNote.objects.get().text == (
        "Begun though held: only the bracket, it is out of the way. "
        "Missing then: “Trial fit radiator” is not done."
    )


def test_a_reason_for_a_job_that_is_not_held_is_not_needed_and_not_kept(tern, make_job, fitter, at):
    job_start(job=make_job(tern, "Fit sump"), by=fitter, at=at, why="I felt like it")
    assert not JobNote.objects.exists()


def test_a_job_begun_and_then_held_is_carried_on(tern, make_job, fitter, other_fitter, at, later):
    job = job_start(job=make_job(tern, "Fit sump"), by=fitter, at=at)
    Decision.objects.create(
        job=job, question="Which oil?", owed_by="us", due_on=at.date(), raised_by=fitter, raised_at=at
    )
    job_start(job=job, by=other_fitter, at=later)
    assert TimeSpent.objects.running().count() == 2


def test_the_page_of_a_held_job_asks_why_before_it_is_begun(tern, make_job, as_fitter):
    job = hold_by_a_job(tern, make_job)
    page = as_fitter.get(f"/jobs/{job.pk}/").content.decode()
    assert "Begin though it is held" in page
    refused = as_fitter.post(f"/jobs/{job.pk}/start/", follow=True).content.decode()
    assert "“Fit radiator” is held." in refused
    too_long = as_fitter.post(f"/jobs/{job.pk}/start/", {"why": "x" * 301}, follow=True).content.decode()
    assert "at most 300 characters" in too_long
    assert not Job.objects.in_hand().exists()
    as_fitter.post(f"/jobs/{job.pk}/start/", {"why": "the bracket only"})
    assert Job.objects.in_hand().get() == job


def test_a_press_on_a_stale_list_asks_why_on_its_line(tern, make_job, fitter, as_fitter, at):
    job = make_job(tern, "Fit sump")
    Decision.objects.create(
        job=job, question="Which oil?", owed_by="us", due_on=at.date(), raised_by=fitter, raised_at=at
    )
    other = make_job(tern, "Sweep bay")
    answer = as_fitter.post(
        f"/jobs/{job.pk}/start/", {"from": "today"}, headers={"HX-Request": "true"}
    ).content.decode()
    assert "“Fit sump” is held. Missing: “Which oil?” is not answered." in answer
    assert not Job.objects.in_hand().exists()
    assert other.title in answer

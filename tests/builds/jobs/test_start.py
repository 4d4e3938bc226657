from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from builds.models import Away, Job, TimeSpent
from builds.services.jobs import job_done, job_start


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

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from builds.models import Job, JobNote, TimeSpent
from builds.services.jobs import job_done, job_sign_off, job_start, job_take_back


def recorded(job):
    job.refresh_from_db()
    return (job.started_by, job.done_by, job.signed_off_by)


def test_a_tick_is_taken_back_and_remembered(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)
    job_take_back(job=job, by=other_fitter, at=later, what="done")
    assert recorded(job) == (fitter, None, None)
    note = JobNote.objects.get()
    assert note.text == "Tick taken back: Rafe Holloway had done it on Thu 26 Nov 2026, 09:30."
    assert (note.by, note.at) == (other_fitter, later)


def test_a_start_is_taken_back_and_the_time_spent_is_kept(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_take_back(job=job, by=fitter, at=later, what="start")
    assert recorded(job) == (None, None, None)
    assert TimeSpent.objects.get().minutes == 120
    assert JobNote.objects.get().text.startswith("Start taken back: Rafe Holloway")


def test_a_second_press_does_not_take_back_the_start_too(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)
    for _ in range(2):
        job_take_back(job=job, by=fitter, at=later, what="done")
    assert recorded(job) == (fitter, None, None)
    assert JobNote.objects.count() == 1


def test_the_start_of_a_done_job_stays(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)
    with pytest.raises(ValidationError, match="take back the tick first"):
        job_take_back(job=job, by=fitter, at=later, what="start")
    assert recorded(job) == (fitter, fitter, None)


@pytest.mark.parametrize(("act", "words"), [(job_start, "is in hand"), (job_done, "is done")])
def test_a_tick_that_a_later_job_was_begun_on_stays(tern, make_job, fitter, at, later, act, words):
    job = make_job(tern, "Trial fit radiator")
    after = make_job(tern, "Fit radiator", after=[job])
    job_done(job=job, by=fitter, at=at)
    act(job=after, by=fitter, at=at)
    with pytest.raises(ValidationError, match=f"“Fit radiator” comes after it and {words}"):
        job_take_back(job=job, by=fitter, at=later, what="done")
    assert recorded(job) == (None, fitter, None)
    assert not JobNote.objects.exists()


def test_a_tick_that_a_part_went_out_on_stays(tern, make_job, make_part, plater, fitter, at, later):
    job = make_job(tern, "Make header tank")
    part = make_part(tern, "header tank", made_by=job, route=[("powder_coat", plater, 5)])
    job_done(job=job, by=fitter, at=at)
    part.operations.update(sent_on=date(2026, 11, 26))
    with pytest.raises(ValidationError, match="header tank went out on the strength of it"):
        job_take_back(job=job, by=fitter, at=later, what="done")
    assert recorded(job) == (None, fitter, None)


def test_a_trial_fit_that_a_part_went_out_on_stays(tern, make_job, make_part, plater, fitter, at, later):
    job = make_job(tern, "Trial fit bracket")
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 5)])
    operation = part.operations.get()
    operation.after_jobs.add(job)
    job_done(job=job, by=fitter, at=at)
    part.operations.update(sent_on=date(2026, 11, 26))
    with pytest.raises(ValidationError, match="bracket went out on the strength of it"):
        job_take_back(job=job, by=fitter, at=later, what="done")
    assert recorded(job) == (None, fitter, None)


def test_only_a_manager_takes_back_what_was_signed_off(
    tern, make_job, fitter, other_fitter, manager, at, later
):
    job = make_job(tern, "Pressure test", needs_signature=True)
    job_done(job=job, by=fitter, at=at)
    job_sign_off(job=job, by=other_fitter, at=at)
    with pytest.raises(ValidationError, match="signed off by Ines Brandt: only a manager"):
        job_take_back(job=job, by=fitter, at=later, what="done")
    assert recorded(job) == (None, fitter, other_fitter)
    job_take_back(job=job, by=manager, at=later, what="done")
    assert recorded(job) == (None, None, None)
    assert JobNote.objects.get().text.endswith("Signed off by Ines Brandt.")


def test_nothing_recorded_is_nothing_taken_back(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    job_take_back(job=job, by=fitter, at=at + timedelta(1), what="start")
    assert recorded(job) == (None, None, None)
    assert not JobNote.objects.exists()
    assert Job.objects.get() == job

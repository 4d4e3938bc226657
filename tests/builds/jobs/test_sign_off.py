import pytest
from django.core.exceptions import ValidationError

from builds.services.jobs import job_done, job_sign_off


def refuse(job, by, at, words):
    before = (job.signed_off_by_id, job.signed_off_at)
    with pytest.raises(ValidationError, match=words):
        job_sign_off(job=job, by=by, at=at)
    job.refresh_from_db()
    assert (job.signed_off_by_id, job.signed_off_at) == before


@pytest.fixture
def done(tern, make_job, fitter, at):
    job = make_job(tern, "Pressure test", needs_signature=True)
    return job_done(job=job, by=fitter, at=at)


def test_a_second_person_signs(done, other_fitter, later):
    job_sign_off(job=done, by=other_fitter, at=later)
    done.refresh_from_db()
    assert (done.signed_off_by, done.signed_off_at, done.is_complete) == (other_fitter, later, True)


def test_the_same_signature_again_changes_nothing(done, other_fitter, at, later):
    for moment in (at, later):
        job_sign_off(job=done, by=other_fitter, at=moment)
    done.refresh_from_db()
    assert done.signed_off_at == at


def test_the_one_who_did_it_does_not_sign(done, fitter, later):
    refuse(done, fitter, later, "Rafe Holloway did “Pressure test” and so cannot sign it off")


def test_a_third_person_is_told_who_signed(done, other_fitter, manager, later):
    done = job_sign_off(job=done, by=other_fitter, at=later)
    refuse(done, manager, later, "Ines Brandt signed “Pressure test” off on")


def test_a_job_that_is_not_done_is_not_signed(tern, make_job, other_fitter, at):
    refuse(make_job(tern, "Pressure test", needs_signature=True), other_fitter, at, "is not done yet")


def test_a_job_that_asks_for_none_is_not_signed(tern, make_job, fitter, other_fitter, at):
    job = job_done(job=make_job(tern, "Sweep bay"), by=fitter, at=at)
    refuse(job, other_fitter, at, "asks for no second signature")

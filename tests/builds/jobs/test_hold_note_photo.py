from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from builds.models import Decision, JobNote, TimeSpent
from builds.services.jobs import job_done, job_hold, job_note, job_photo, job_start
from parts.models import StoredFile

DUE = date(2026, 12, 1)


def test_a_held_job_has_a_decision_owed_and_the_clock_stops(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    job_hold(job=job, reason="Thread is stripped", by=fitter, at=later, due_on=DUE, person=other_fitter)
    decision = Decision.objects.owed().get()
    assert (decision.job, decision.question, decision.owed_by, decision.person) == (
        job,
        "Thread is stripped",
        "us",
        other_fitter,
    )
    assert (decision.due_on, decision.raised_by, decision.raised_at) == (DUE, fitter, later)
    assert TimeSpent.objects.get().minutes == 120
    job.refresh_from_db()
    assert job.started_at == at


def test_the_same_hold_again_changes_nothing(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    for _ in range(2):
        job_hold(job=job, reason="Thread is stripped", by=fitter, at=at, due_on=DUE)
    assert Decision.objects.count() == 1


@pytest.mark.parametrize(
    ("reason", "due_on", "words"),
    [("  ", DUE, "cannot be blank"), ("Thread is stripped", date(2026, 11, 25), "day that has gone by")],
)
def test_a_hold_needs_a_reason_and_a_day_to_come(tern, make_job, fitter, at, reason, due_on, words):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    with pytest.raises(ValidationError, match=words):
        job_hold(job=job, reason=reason, by=fitter, at=at, due_on=due_on)
    assert not Decision.objects.exists()
    assert TimeSpent.objects.running().exists()


def test_a_done_job_cannot_be_held(tern, make_job, fitter, at):
    job = job_done(job=make_job(tern, "Fit radiator"), by=fitter, at=at)
    with pytest.raises(ValidationError, match="nothing can hold it"):
        job_hold(job=job, reason="Thread is stripped", by=fitter, at=at, due_on=DUE)
    assert not Decision.objects.exists()


def test_a_note_keeps_who_and_when(tern, make_job, fitter, at):
    job_note(job=make_job(tern, "Fit radiator"), text=" Lower hose is tight. ", by=fitter, at=at)
    assert list(JobNote.objects.values_list("text", "by", "at")) == [("Lower hose is tight.", fitter.pk, at)]


def test_a_note_pressed_twice_is_kept_once_and_said_again_later_twice(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    for moment in (at, at + timedelta(seconds=5), at + timedelta(hours=5)):
        job_note(job=job, text="Topped up.", by=fitter, at=moment)
    assert JobNote.objects.count() == 2


@pytest.mark.parametrize(("text", "words"), [("  ", "cannot be blank"), ("x" * 2001, "at most 2000")])
def test_a_note_has_words_and_not_too_many(tern, make_job, fitter, at, text, words):
    with pytest.raises(ValidationError, match=words):
        job_note(job=make_job(tern, "Fit radiator"), text=text, by=fitter, at=at)
    assert not JobNote.objects.exists()


def picture() -> SimpleUploadedFile:
    content = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(content, "JPEG")
    return SimpleUploadedFile("photo.jpg", content.getvalue(), "image/jpeg")


def test_a_photo_without_words_is_named_by_job_and_day(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    job_photo(job=job, upload=picture(), title="", by=fitter, at=at)
    photo = StoredFile.objects.get()
    assert (photo.kind, photo.job, photo.title) == ("photo", job, "Fit radiator, 26 Nov 2026")


def test_what_is_no_picture_is_refused(tern, make_job, fitter, at):
    upload = SimpleUploadedFile("photo.jpg", b"not a picture at all", "image/jpeg")
    with pytest.raises(ValidationError, match="picture"):
        job_photo(job=make_job(tern, "Fit radiator"), upload=upload, title="", by=fitter, at=at)
    assert not StoredFile.objects.exists()


def test_of_two_presses_at_once_the_one_that_was_kept_first_stays(tern, make_job, fitter, at):
    """The press of a moment later took the lock first."""
    job = make_job(tern, "Fit radiator")
    kept = job_note(job=job, text="Bolt is short", by=fitter, at=at + timedelta(milliseconds=3))
    assert job_note(job=job, text="Bolt is short", by=fitter, at=at) == kept

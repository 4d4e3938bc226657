"""What a fitter does with a job: start it, tick it done, take that back, sign, hold, note, photograph."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.db import transaction
from django.utils import timezone
from django.utils.dateformat import format as date_format

from builds.models import Away, Decision, Job, JobNote, Person
from builds.services.decisions import decision_raise
from builds.services.missing import missing_for
from builds.services.time import SAME_PRESS, clock_start, clock_stop, clocks_stop
from parts.models import Operation, StoredFile
from parts.services.files import file_add

LONGEST_NOTE = 2000

Recorded = Literal["start", "done"]


class StillHeld(ValidationError):
    """Something that the job needs is missing, and nobody said why it is begun all the same."""


@transaction.atomic
def job_start(*, job: Job, by: Person, at: datetime, why: str = "") -> Job:
    """Take a job in hand and run the person's clock on it. A second fitter joins the first.

    A held job is begun only with a reason, which is kept as a note with what was missing. Raises StillHeld
    without one, and ValidationError if the job is done, or is on the car and the car is away.
    """
    job = _locked(job)
    if job.done_at is not None:
        raise ValidationError(f"“{job}” is done already. Take the tick back first if it is not.")
    away = _car_away(job, timezone.localdate(at))
    if away is not None:
        raise ValidationError(
            f"{job.car} is away at {away.supplier}: “{job}” is on the car and cannot be started here."
        )
    if job.started_at is None:
        _refuse_held(job, by, at, " ".join(why.split()))
        job.started_at, job.started_by = at, by
        job.save(update_fields=["started_at", "started_by"])
    clock_start(job=job, person=by, at=at)
    return job


@transaction.atomic
def job_done(*, job: Job, by: Person, at: datetime) -> Job:
    """Tick a job done and stop the clocks on it. The same person's second press changes nothing.

    Raises ValidationError if somebody else ticked it, or something that it needs is missing: a job before
    it, a part, an answer. Each missing thing is named.
    """
    job = _locked(job)
    if job.done_at is not None:
        if job.done_by_id == by.pk:
            return job
        raise ValidationError(f"{job.done_by} ticked “{job}” done {_when(job.done_at)}.")
    missing = missing_for(job, at)
    if missing:
        raise ValidationError(f"“{job}” cannot be ticked done yet. Missing: {'; '.join(missing)}.")
    job.done_at, job.done_by = at, by
    job.save(update_fields=["done_at", "done_by"])
    clocks_stop(job=job, at=at)
    return job


@transaction.atomic
def job_take_back(*, job: Job, by: Person, at: datetime, what: Recorded) -> Job:
    """Take back a wrong start or tick; who had recorded it is kept as a note on the job.

    `what` says which of the two is meant, so that a second press does not take back the other one too.
    With the tick goes the signature. Raises ValidationError if a later job was begun on the strength of
    the tick, or a part went out on it, or if a fitter takes back what was signed off.
    """
    job = _locked(job)
    return _start_back(job, by, at) if what == "start" else _tick_back(job, by, at)


@transaction.atomic
def job_sign_off(*, job: Job, by: Person, at: datetime) -> Job:
    """Record that a second person checked a done job. The same signature again changes nothing.

    Raises ValidationError if `by` did it, it is not done, asks for no signature, or another person signed.
    """
    job = _locked(job)
    if job.done_at is None:
        raise ValidationError(f"“{job}” is not done yet; only a done job can be signed off.")
    if job.signed_off_at is not None:
        if job.signed_off_by_id == by.pk:
            return job
        raise ValidationError(f"{job.signed_off_by} signed “{job}” off {_when(job.signed_off_at)}.")
    if not job.needs_signature:
        raise ValidationError(f"“{job}” asks for no second signature.")
    if job.done_by_id == by.pk:
        raise ValidationError(f"{by} did “{job}” and so cannot sign it off: another person must check it.")
    job.signed_off_by, job.signed_off_at = by, at
    job.save(update_fields=["signed_off_by", "signed_off_at"])
    return job


@transaction.atomic
def job_hold(
    *,
    job: Job,
    reason: str,
    by: Person,
    at: datetime,
    due_on: date,
    owed_by: str = Decision.OwedBy.US,
    person: Person | None = None,
) -> Decision:
    """Hold a job: somebody owes a decision by a day. The clock of the one who holds it stops.

    Raises ValidationError as `decision_raise` does.
    """
    decision = decision_raise(
        job=job, question=reason, owed_by=owed_by, due_on=due_on, by=by, at=at, person=person
    )
    clock_stop(job=job, person=by, at=at)
    return decision


@transaction.atomic
def job_note(*, job: Job, text: str, by: Person, at: datetime) -> JobNote:
    """Write a note on a job. The same words again within two minutes are a second press: nothing changes."""
    job = _locked(job)
    text = text.strip()
    # after it as well: of two at once the later press may have been the first to be kept
    about_now = (at - SAME_PRESS, at + SAME_PRESS)
    again = JobNote.objects.filter(job=job, by=by, text=text, at__range=about_now).first()
    if again is not None:
        return again
    if len(text) > LONGEST_NOTE:
        raise ValidationError(
            {"text": f"A note has at most {LONGEST_NOTE} letters; this one has {len(text)}."}
        )
    note = JobNote(job=job, by=by, at=at, text=text)
    note.full_clean()
    note.save()
    return note


def job_photo(*, job: Job, upload: File[Any], title: str, by: Person, at: datetime) -> StoredFile:
    """Keep a photo of a job. Raises ValidationError if the file is not a picture."""
    title = " ".join(title.split()) or f"{job.title}, {date_format(timezone.localtime(at), 'j M Y')}"
    return file_add(
        kind=StoredFile.Kind.PHOTO, upload=upload, title=title[:120], revision="", job=job, by=by, at=at
    )


def _locked(job: Job) -> Job:
    """The job as it is now, not as it was when the page was drawn."""
    rows = Job.objects.select_for_update(of=("self",))
    return rows.select_related("car", "started_by", "done_by", "signed_off_by").get(pk=job.pk)


def _car_away(job: Job, today: date) -> Away | None:
    if job.place != Job.Place.ON_CAR:
        return None
    return Away.objects.away_on(today).filter(car=job.car_id).select_related("supplier").first()


def _refuse_held(job: Job, by: Person, at: datetime, why: str) -> None:
    missing = "; ".join(missing_for(job, at))
    if missing and not why:
        raise StillHeld(
            f"“{job}” is held. Missing: {missing}. Do another job first; or begin all the same and say why."
        )
    if missing:
        _remember(job, by, at, f"Begun though held: {why} Missing then: {missing}."[:LONGEST_NOTE])


def _start_back(job: Job, by: Person, at: datetime) -> Job:
    if job.done_at is not None:
        raise ValidationError(f"“{job}” is ticked done: take back the tick first.")
    if job.started_at is None:
        return job
    _remember(job, by, at, f"Start taken back: {job.started_by} had it in hand from {_day(job.started_at)}.")
    job.started_at, job.started_by = None, None
    job.save(update_fields=["started_at", "started_by"])
    clocks_stop(job=job, at=at)
    return job


def _tick_back(job: Job, by: Person, at: datetime) -> Job:
    if job.done_at is None:
        return job
    if job.signed_off_at is not None and not by.is_manager:
        raise ValidationError(
            f"“{job}” was signed off by {job.signed_off_by}: only a manager may take that back."
        )
    built_on = _built_on(job)
    if built_on:
        raise ValidationError(f"“{job}” cannot be taken back: {'; '.join(built_on)}.")
    signed = f" Signed off by {job.signed_off_by}." if job.signed_off_by else ""
    _remember(job, by, at, f"Tick taken back: {job.done_by} had done it on {_day(job.done_at)}.{signed}")
    job.done_at = job.done_by = job.signed_off_at = job.signed_off_by = None
    job.save(update_fields=["done_at", "done_by", "signed_off_at", "signed_off_by"])
    return job


def _built_on(job: Job) -> list[str]:
    """What was begun because this job was done, in words."""
    later = Job.objects.filter(links_in__before=job)
    begun = [
        f"“{after}” comes after it and is {'done' if after.done_at else 'in hand'}"
        for after in later
        if after.done_at is not None or after.started_at is not None
    ]
    gone = Operation.objects.exclude(sent_on=None).select_related("part", "process")
    lines = [*gone.filter(part__made_by=job, reworks=None), *gone.filter(after_jobs=job)]
    names = dict.fromkeys(f"{line.part} went out on the strength of it ({line.process})" for line in lines)
    return [*begun, *names]


def _remember(job: Job, by: Person, at: datetime, text: str) -> None:
    JobNote.objects.create(job=job, by=by, at=at, text=text)


def _day(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "D j M Y, H:i")


def _when(moment: datetime) -> str:
    return f"on {_day(moment)}"

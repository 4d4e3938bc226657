from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from builds.models import Decision, Job, JobLink, Need, TimeSpent
from builds.services.jobs import job_done, job_start
from parts.models import Operation


def refuse(job, by, at, words):
    with pytest.raises(ValidationError, match=words):
        job_done(job=job, by=by, at=at)
    job.refresh_from_db()
    assert (job.done_at, job.done_by) == (None, None)


def test_a_ticked_job_is_done_by_that_person(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    job_done(job=job, by=fitter, at=at)
    job.refresh_from_db()
    assert (job.done_by, job.done_at) == (fitter, at)


def test_the_tick_stops_every_clock_on_the_job(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Lift engine in", people=2)
    job_start(job=job, by=fitter, at=at)
    job_start(job=job, by=other_fitter, at=at + timedelta(minutes=30))
    job_done(job=job, by=fitter, at=later)
    assert sorted(TimeSpent.objects.values_list("minutes", flat=True)) == [90, 120]


def test_the_same_persons_second_tick_changes_nothing(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_done(job=job, by=fitter, at=at)
    job_done(job=job, by=fitter, at=later)
    job.refresh_from_db()
    assert job.done_at == at


def test_another_person_is_told_who_ticked_it(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_done(job=job, by=fitter, at=at)
    with pytest.raises(
        ValidationError, match="Rafe Holloway ticked “Fit radiator” done on Thu 26 Nov 2026, 09:30"
    ):
        job_done(job=job, by=other_fitter, at=later)
    job.refresh_from_db()
    assert (job.done_by, job.done_at) == (fitter, at)


def test_a_job_before_it_must_be_done(tern, make_job, fitter, at):
    before = make_job(tern, "Trial fit radiator")
    job = make_job(tern, "Fit radiator", after=[before])
    refuse(job, fitter, at, "Missing: “Trial fit radiator” is not done")
    job_done(job=before, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)


def test_a_job_before_it_must_have_its_second_signature(tern, make_job, fitter, at):
    before = make_job(tern, "Pressure test", needs_signature=True)
    job = make_job(tern, "Fill and bleed", after=[before])
    job_done(job=before, by=fitter, at=at)
    refuse(job, fitter, at, "“Pressure test” waits for its second signature")


def test_a_cure_must_have_its_time(tern, make_job, fitter, at):
    before, job = make_job(tern, "Bond bracket"), make_job(tern, "Fit pipe to bracket")
    JobLink.objects.create(before=before, after=job, lag_hours=24)
    job_done(job=before, by=fitter, at=at)
    refuse(job, fitter, at + timedelta(hours=23), "“Bond bracket” needs its time until Fri 27 Nov, 09:30")
    job_done(job=job, by=fitter, at=at + timedelta(hours=24))


def test_a_needed_part_must_be_accepted(tern, make_job, make_part, plater, fitter, at):
    part = make_part(tern, "radiator", route=[("fabricate", plater, 10)])
    job = make_job(tern, "Fit radiator", needs=[part])
    refuse(job, fitter, at, "radiator is not here yet .*: to do")
    day = date(2026, 11, 20)
    part.operations.update(sent_on=day, back_on=day)
    refuse(job, fitter, at, "radiator is not here yet .*: back")
    part.operations.update(result="accepted")
    job_done(job=job, by=fitter, at=at)


def test_a_part_is_needed_only_as_far_as_the_line_that_is_named(
    tern, make_job, make_part, plater, fitter, at
):
    part = make_part(tern, "bracket", route=[("fabricate", plater, 10), ("zinc_plate", plater, 5)])
    job = make_job(tern, "Trial fit bracket")
    Need.objects.create(job=job, part=part, operation=part.operations.first())
    refuse(job, fitter, at, "bracket is not here yet")
    day = date(2026, 11, 20)
    part.operations.filter(sequence=1).update(sent_on=day, back_on=day, result="accepted")
    job_done(job=job, by=fitter, at=at)


def test_a_rejected_part_is_made_good_by_its_rework(tern, make_job, make_part, plater, process, fitter, at):
    part = make_part(tern, "bracket", route=[("fabricate", plater, 10)])
    job = make_job(tern, "Fit bracket", needs=[part])
    day = date(2026, 11, 20)
    part.operations.update(sent_on=day, back_on=day, result="rejected", reason="bent")
    refuse(job, fitter, at, "bracket is not here yet .*: rejected")
    rework = Operation.objects.create(
        part=part,
        sequence=2,
        process=process("fabricate"),
        supplier=plater,
        reworks=part.operations.get(),
        lead_low_days=2,
        lead_likely_days=2,
        lead_high_days=2,
    )
    refuse(job, fitter, at, "bracket is not here yet")
    rework.sent_on = rework.back_on = day
    rework.result = "accepted"
    rework.save()
    job_done(job=job, by=fitter, at=at)


def test_a_part_of_our_own_must_be_made_first(tern, make_job, make_part, fitter, at):
    maker = make_job(tern, "Make header tank")
    job = make_job(tern, "Fit header tank", needs=[make_part(tern, "header tank", made_by=maker)])
    refuse(job, fitter, at, "header tank is not made yet")
    job_done(job=maker, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)


def test_an_owed_decision_must_be_answered(tern, make_job, fitter, at):
    job = make_job(tern, "Paint valve cover")
    decision = Decision.objects.create(
        job=job,
        question="Which colour?",
        owed_by="customer",
        due_on=date(2026, 12, 1),
        raised_by=fitter,
        raised_at=at,
    )
    refuse(job, fitter, at, "“Which colour\\?” is not answered")
    decision.answer, decision.decided_at, decision.decided_by = "black", at, fitter
    decision.save()
    job_done(job=job, by=fitter, at=at)


def test_everything_missing_is_named_at_once(tern, make_job, make_part, plater, fitter, at):
    before = make_job(tern, "Trial fit radiator")
    part = make_part(tern, "radiator", route=[("fabricate", plater, 10)])
    job = make_job(tern, "Fit radiator", after=[before], needs=[part])
    refuse(job, fitter, at, "“Trial fit radiator” is not done; radiator is not here yet")
    assert not Job.objects.exclude(done_at=None).exists()

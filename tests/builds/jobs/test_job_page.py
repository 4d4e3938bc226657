"""The page of one job."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from builds.models import Decision, JobLink, JobNote, TimeSpent
from builds.services.jobs import job_done, job_sign_off, job_start


def page_of(client, job):
    answer = client.get(f"/jobs/{job.pk}/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_it_says_what_holds_it_with_links(tern, make_job, make_part, plater, fitter, as_fitter):
    before = make_job(tern, "Trial fit radiator")
    part = make_part(tern, "radiator", route=[("fabricate", plater, 10)])
    job = make_job(tern, "Fit radiator", needs=[part])
    later = make_job(tern, "Fill and bleed", after=[job])
    JobLink.objects.create(before=before, after=job, lag_hours=Decimal(12))
    page = page_of(as_fitter, job)
    assert '<b class="condition">held</b>' in page
    assert f'<a href="/jobs/{before.pk}/">Trial fit radiator</a>' in page
    assert "then 12 h to wait" in page
    assert f'<a href="/jobs/{later.pk}/">Fill and bleed</a>' in page
    assert f'<a href="{part.get_absolute_url()}#line-' in page
    assert "Tick done" not in page


def test_it_says_where_its_parts_are(tern, make_job, make_part, plater, as_fitter):
    here = make_part(tern, "bracket", route=[("zinc_plate", plater, 5)])
    day = timezone.localdate() - timedelta(days=3)
    here.operations.update(sent_on=day, back_on=day, result="accepted")
    out = make_part(tern, "radiator", route=[("fabricate", plater, 10), ("powder_coat", plater, 5)])
    out.operations.filter(sequence=1).update(sent_on=day, promised_on=day + timedelta(days=30))
    page = page_of(as_fitter, make_job(tern, "Fit radiator", needs=[here, out]))
    assert "<b>bracket</b></a><br>in hand" in page
    assert "<b>radiator</b></a><br><span>out since" in page


def test_cautions_are_full_sentences_that_defer_to_local_rules(tern, make_job, as_fitter):
    from builds.models import Job

    page = page_of(as_fitter, make_job(tern, "Everything", cautions=list(Job.Caution.values)))
    assert page.count('<p class="caution">') == 7
    for words in ("Hot work:", "Lifting:", "Working under a car:", "Pressure test:", "Fuel handling:"):
        assert words in page


def test_every_caution_has_a_sentence_that_defers():
    from builds.cautions import CAUTIONS
    from builds.models import Job

    assert set(CAUTIONS) == set(Job.Caution.values)
    for sentence in CAUTIONS.values():
        assert "local" in sentence.lower() or "law of the place" in sentence
        assert sentence.endswith(".")


def test_the_history_names_who_did_and_who_signed(tern, make_job, fitter, other_fitter, as_fitter):
    job = make_job(tern, "Pressure test", needs_signature=True)
    moment = timezone.now()
    job_start(job=job, by=fitter, at=moment - timedelta(hours=2))
    job_done(job=job, by=fitter, at=moment - timedelta(hours=1))
    job_sign_off(job=job, by=other_fitter, at=moment)
    page = page_of(as_fitter, job)
    for words in (
        "taken in hand by Rafe Holloway",
        "ticked done by Rafe Holloway",
        "signed off by Ines Brandt",
        '<b class="condition">signed off</b>',
        "60 min",
    ):
        assert words in page


def test_only_a_manager_is_offered_to_change_it(tern, make_job, as_fitter, as_manager):
    job = make_job(tern, "Fit sump")
    assert "Change the job" not in page_of(as_fitter, job)
    assert f'href="/jobs/{job.pk}/edit/"' in page_of(as_manager, job)


def test_words_from_people_are_shown_as_text(tern, make_job, make_part, fitter, as_fitter):
    evil = "<img src=x onerror=alert(1)>"
    job = make_job(tern, evil, note=evil, needs=[make_part(tern, evil)])
    JobNote.objects.create(job=job, by=fitter, at=timezone.now(), text=evil)
    Decision.objects.create(
        job=job,
        question=evil,
        owed_by="customer",
        due_on=timezone.localdate(),
        raised_by=fitter,
        raised_at=timezone.now(),
    )
    assert evil not in page_of(as_fitter, job)


def test_a_refused_note_keeps_what_was_typed(tern, make_job, as_fitter):
    job = make_job(tern, "Fit sump")
    long = "word " * 500
    answer = as_fitter.post(f"/jobs/{job.pk}/note/", {"text": long})
    assert answer.status_code == 200
    assert long.strip() in answer.content.decode()
    assert "errorlist" in answer.content.decode()
    assert not JobNote.objects.exists()


def test_typed_time_is_added_and_compared_with_the_estimate(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump", hours=6)
    as_fitter.post(f"/jobs/{job.pk}/time/", {"hours": "1.5", "on": timezone.localdate().isoformat()})
    assert TimeSpent.objects.get().minutes == 90
    assert "Time spent: 1.5 h, likely 6 h" in page_of(as_fitter, job)


@pytest.mark.parametrize(
    "change", [{"hours": "-1"}, {"hours": "25"}, {"hours": "two"}, {"hours": "NaN"}, {"on": "2199-01-01"}]
)
def test_bad_time_is_refused_beside_the_field(tern, make_job, as_fitter, change):
    job = make_job(tern, "Fit sump")
    data = {"hours": "1", "on": timezone.localdate().isoformat(), **change}
    answer = as_fitter.post(f"/jobs/{job.pk}/time/", data)
    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert not TimeSpent.objects.exists()


def test_a_manager_types_anothers_time_and_a_fitter_only_his_own(
    tern, make_job, fitter, other_fitter, as_fitter, as_manager
):
    job = make_job(tern, "Fit sump")
    data = {"hours": "1", "on": timezone.localdate().isoformat(), "person": other_fitter.pk}
    as_fitter.post(f"/jobs/{job.pk}/time/", data)
    as_manager.post(f"/jobs/{job.pk}/time/", data)
    assert set(TimeSpent.objects.values_list("person", flat=True)) == {fitter.pk, other_fitter.pk}


def test_a_forgotten_clock_is_put_right(tern, make_job, fitter, other_fitter, as_fitter, client):
    job = make_job(tern, "Fit sump")
    entry = TimeSpent.objects.create(job=job, person=fitter, started_at=timezone.now(), minutes=900)
    client.force_login(other_fitter)
    refused = client.post(f"/time/{entry.pk}/", {"hours": "1"}).content.decode()
    assert "only a manager may put it right" in refused
    entry.refresh_from_db()
    assert entry.minutes == 900
    as_fitter.post(f"/time/{entry.pk}/", {"hours": "1.25"})
    entry.refresh_from_db()
    assert entry.minutes == 75


def test_a_handed_over_car_still_shows_its_jobs(tern, make_job, fitter, as_fitter):
    job = job_done(job=make_job(tern, "Fit sump"), by=fitter, at=timezone.now())
    tern.handed_over_on = timezone.localdate()
    tern.save()
    assert '<b class="condition">done</b>' in page_of(as_fitter, job)


def test_no_such_job_is_not_found(workshop, as_fitter):
    assert as_fitter.get("/jobs/4711/").status_code == 404


def test_two_neighbours_and_twenty_take_the_same_queries(
    tern, make_job, make_part, plater, fitter, as_fitter, django_assert_num_queries
):
    """19 of the network; 10 of the sheet; people for a hold; session, person, workshop’s name."""
    job = make_job(tern, "Fit radiator")

    def add(count, start):
        for number in range(start, start + count):
            before = make_job(tern, f"Before {number}")
            JobLink.objects.create(before=before, after=job)
            JobLink.objects.create(before=job, after=make_job(tern, f"After {number}"))
            part = make_part(tern, f"part {number}", route=[("zinc_plate", plater, 5)])
            job.part_needs.create(part=part)
            JobNote.objects.create(job=job, by=fitter, at=timezone.now(), text=f"{number}")

    add(2, 0)
    page_of(as_fitter, job)
    with django_assert_num_queries(34):
        page_of(as_fitter, job)
    add(18, 2)
    with django_assert_num_queries(34):
        page_of(as_fitter, job)


def test_starting_a_second_job_says_that_the_clock_of_the_first_stops(as_fitter, tern, make_job):
    first, second = make_job(tern, "Fit pump"), make_job(tern, "Fit pipes")
    as_fitter.post(reverse("job-start", args=[first.pk]), follow=True)

    page = as_fitter.post(reverse("job-start", args=[second.pk]), follow=True).content.decode()

    assert "It has stopped on “Fit pump”." in page

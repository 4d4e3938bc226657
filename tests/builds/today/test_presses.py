"""Presses on Today: with htmx the list comes back, without script the page does."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from builds.models import Decision, Job, JobNote, TimeSpent
from builds.services.jobs import job_done, job_start
from parts.models import StoredFile

OTHER_PIN = "7305"


def press(client, job, act, **data):
    """As htmx sends it from the Today page; gives the answer's text."""
    answer = client.post(
        f"/jobs/{job.pk}/{act}/", {"from": "today", "shown": "", **data}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_tick_brings_the_list_back_with_what_became_clear(tern, make_job, fitter, as_fitter):
    first = make_job(tern, "Trial fit radiator")
    second = make_job(tern, "Fit radiator", after=[first])
    page = press(as_fitter, first, "done")
    first.refresh_from_db()
    assert first.done_by == fitter
    assert page.lstrip().startswith('<div id="today"')
    assert f'formaction="/jobs/{second.pk}/done/"' in page
    assert 'class="line clear-now"' in page
    assert 'hx-swap-oob="true"' in page
    assert "“Trial fit radiator” is ticked done." in page


def test_a_refused_tick_is_told_on_its_line_and_changes_nothing(tern, make_job, as_fitter):
    first = make_job(tern, "Trial fit radiator")
    second = make_job(tern, "Fit radiator", after=[first], started_at=timezone.now())
    page = press(as_fitter, second, "done")
    second.refresh_from_db()
    assert second.done_at is None
    assert f'id="acts-{second.pk}"><p class="error-text" role="alert">“Fit radiator” cannot be ticked' in page


def test_without_script_the_press_leads_back_to_the_page(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    answer = as_fitter.post(f"/jobs/{job.pk}/done/", {"from": "today", "next": "/today/"}, follow=True)
    assert answer.redirect_chain == [("/today/", 302)]
    assert "“Fit sump” is ticked done." in answer.content.decode()
    job.refresh_from_db()
    assert job.done_by == fitter


def test_without_script_a_refusal_is_a_message(tern, make_job, as_fitter):
    job = make_job(tern, "Fit radiator", after=[make_job(tern, "Trial fit radiator")])
    answer = as_fitter.post(f"/jobs/{job.pk}/done/", {"next": "/today/"}, follow=True)
    assert 'class="message error">“Fit radiator” cannot be ticked done yet' in answer.content.decode()
    job.refresh_from_db()
    assert job.done_at is None


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org/", "javascript:alert(1)"])
def test_a_press_leads_to_no_other_server(tern, make_job, as_fitter, elsewhere):
    job = make_job(tern, "Fit sump")
    answer = as_fitter.post(f"/jobs/{job.pk}/start/", {"next": elsewhere})
    assert answer.url == f"/jobs/{job.pk}/"


def test_a_tick_pressed_twice_is_one_tick(tern, make_job, as_fitter):
    job = make_job(tern, "Fit sump")
    press(as_fitter, job, "done")
    moment = Job.objects.get().done_at
    assert "error-text" not in press(as_fitter, job, "done")
    assert Job.objects.get().done_at == moment


def test_start_stop_and_take_back(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    assert "Stop clock" in press(as_fitter, job, "start")
    assert "Carry on" in press(as_fitter, job, "clock-stop")
    assert TimeSpent.objects.get().minutes == 0
    press(as_fitter, job, "take-back", what="start")
    job.refresh_from_db()
    assert job.started_at is None


def test_take_back_must_say_what(tern, make_job, fitter, as_fitter):
    job = job_done(job=make_job(tern, "Fit sump"), by=fitter, at=timezone.now())
    assert as_fitter.post(f"/jobs/{job.pk}/take-back/", {"what": "everything"}).status_code == 404
    job.refresh_from_db()
    assert job.done_by == fitter


def test_the_other_person_signs_signed_in_as_himself(tern, make_job, other_fitter, fitter, as_fitter):
    job = make_job(tern, "Pressure test", needs_signature=True)
    job_done(job=job, by=other_fitter, at=timezone.now())
    assert "is signed off by Rafe Holloway" in press(as_fitter, job, "sign-off")
    job.refresh_from_db()
    assert job.signed_off_by == fitter


def test_the_other_person_signs_on_the_shared_tablet_with_his_pin(
    tern, make_job, fitter, other_fitter, as_fitter
):
    job = job_done(job=make_job(tern, "Pressure test", needs_signature=True), by=fitter, at=timezone.now())
    page = press(as_fitter, job, "sign-off", person=other_fitter.pk, pin=OTHER_PIN)
    job.refresh_from_db()
    assert (job.done_by, job.signed_off_by) == (fitter, other_fitter)
    assert "is signed off by Ines Brandt" in page
    assert as_fitter.session["_auth_user_id"] == str(fitter.pk)  # the tablet stays signed in as before


@pytest.mark.parametrize("pin", ["0000", "", "x" * 500])
def test_a_wrong_pin_signs_nothing_and_is_not_shown_again(
    tern, make_job, fitter, other_fitter, as_fitter, pin
):
    job = job_done(job=make_job(tern, "Pressure test", needs_signature=True), by=fitter, at=timezone.now())
    page = press(as_fitter, job, "sign-off", person=other_fitter.pk, pin=pin)
    job.refresh_from_db()
    assert job.signed_off_by is None
    assert "errorlist" in page
    assert not pin or pin not in page


def test_many_wrong_pins_lock_the_name(tern, make_job, fitter, other_fitter, as_fitter):
    job = job_done(job=make_job(tern, "Pressure test", needs_signature=True), by=fitter, at=timezone.now())
    for _ in range(5):
        press(as_fitter, job, "sign-off", person=other_fitter.pk, pin="0000")
    page = press(as_fitter, job, "sign-off", person=other_fitter.pk, pin=OTHER_PIN)
    assert "Too many wrong tries" in page
    job.refresh_from_db()
    assert job.signed_off_by is None


def test_the_doer_cannot_sign_with_his_own_pin(tern, make_job, fitter, as_fitter):
    job = job_done(job=make_job(tern, "Pressure test", needs_signature=True), by=fitter, at=timezone.now())
    page = press(as_fitter, job, "sign-off", person=fitter.pk, pin="4821")
    assert "did “Pressure test” and so cannot sign it off" in page
    job.refresh_from_db()
    assert job.signed_off_by is None


def test_more_opens_under_the_line(tern, make_job, as_fitter):
    job = make_job(tern, "Fit sump")
    page = as_fitter.get(f"/today/jobs/{job.pk}/", headers={"HX-Request": "true"}).content.decode()
    for act in ("hold", "note", "photo"):
        assert f'hx-post="/jobs/{job.pk}/{act}/"' in page


def test_a_hold_takes_the_job_off_the_clear_list(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    due = timezone.localdate() + timedelta(days=2)
    page = press(
        as_fitter, job, "hold", question="Thread stripped: helicoil?", owed_by="us", due_on=due.isoformat()
    )
    assert Decision.objects.get().due_on == due
    assert f'formaction="/jobs/{job.pk}/done/"' not in page


@pytest.mark.parametrize(
    "change",
    [
        {"question": ""},
        {"question": "x" * 301},
        {"due_on": "31/02/2027"},
        {"due_on": "2001-01-01"},
        {"owed_by": "the weather"},
        {"person": "99999"},
        {"owed_by": "customer", "with_person": "1"},
    ],
)
def test_a_bad_hold_comes_back_open_and_holds_nothing(tern, make_job, fitter, as_fitter, change):
    job = make_job(tern, "Fit sump")
    data = {"question": "Which?", "owed_by": "us", "due_on": "2099-01-01", **change}
    if data.pop("with_person", None):
        data["person"] = fitter.pk
    answer = as_fitter.post(
        f"/jobs/{job.pk}/hold/", {"from": "today", **data}, headers={"HX-Request": "true"}
    )
    assert answer.headers["HX-Retarget"] == f"#acts-{job.pk}"
    assert "errorlist" in answer.content.decode()
    assert not Decision.objects.exists()


def test_notes_and_photos_are_kept(tern, make_job, fitter, as_fitter):
    job = make_job(tern, "Fit sump")
    press(as_fitter, job, "note", text="Gasket is dry <b>now</b>")
    content = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(content, "JPEG")
    press(as_fitter, job, "photo", upload=SimpleUploadedFile("x.jpg", content.getvalue()), title="Gasket")
    assert JobNote.objects.get().text == "Gasket is dry <b>now</b>"
    assert StoredFile.objects.get().title == "Gasket"


def test_rubbish_as_a_photo_is_refused_in_words(tern, make_job, as_fitter):
    job = make_job(tern, "Fit sump")
    page = press(as_fitter, job, "photo", upload=SimpleUploadedFile("x.jpg", b"rubbish" * 1000), title="")
    assert "errorlist" in page
    assert not StoredFile.objects.exists()


def test_a_manager_stays_on_the_chosen_page(tern, make_job, fitter, as_manager):
    job = make_job(tern, "Fit sump")
    page = press(as_manager, job, "start", shown=fitter.pk)
    assert f'name="shown" value="{fitter.pk}"' in page


def test_a_job_that_is_gone_is_not_found(workshop, as_fitter):
    for act in ("start", "done", "sign-off", "clock-stop", "note", "hold", "photo", "time"):
        assert as_fitter.post(f"/jobs/987654/{act}/").status_code == 404
    assert as_fitter.get("/today/jobs/987654/").status_code == 404


def test_nothing_is_recorded_by_looking(tern, make_job, fitter, as_fitter):
    job = job_start(job=make_job(tern, "Fit sump"), by=fitter, at=timezone.now())
    for act in ("start", "done", "take-back", "sign-off", "clock-stop", "note", "hold", "photo", "time"):
        assert as_fitter.get(f"/jobs/{job.pk}/{act}/").status_code == 405


def test_whoever_is_not_signed_in_records_nothing(tern, make_job, client):
    job = make_job(tern, "Fit sump")
    client.post(f"/jobs/{job.pk}/done/")
    job.refresh_from_db()
    assert job.done_at is None

"""The paper that a customer keeps."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.utils import timezone
from pypdf import PdfReader

from builds.models import Customer, Decision, ProgressSheet
from builds.sheets.progress import read_progress
from parts.models import StoredFile


def _text(answer):
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    assert content.startswith(b"%PDF")
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages).split())


@pytest.fixture
def told(tern, skua, manager, fitter, make_job, make_part, plater, first_start_up):
    """Tern with one job done, a part out and late, a decision owed by its customer; Skua beside it."""
    now = timezone.now()
    today = timezone.localdate()
    tern.customer = Customer.objects.create(name="Mrs A. Quill")
    tern.save()
    skua.customer = Customer.objects.create(name="Dr P. Amara")
    skua.save()
    make_job(tern, "Trial fit radiator", done_at=now, done_by=fitter)
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    radiator.operations.update(
        sent_on=today - timedelta(days=40), promised_on=today - timedelta(days=9), cost="812.50"
    )
    fit = make_job(tern, "Fit radiator", needs=[radiator], hours_low=4, hours_high=30)
    first_start_up(tern, fit, promised=today + timedelta(days=9))
    Decision.objects.create(
        job=fit,
        question="Black or bare?",
        owed_by="customer",
        due_on=today + timedelta(days=5),
        raised_by=manager,
        raised_at=now,
    )
    make_job(skua, "Skua’s own job")
    return tern


def test_it_says_how_far_what_is_away_and_what_is_needed(as_manager, told):
    answer = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "A good month."}, follow=True)
    text = _text(answer)

    for words in (
        "Mrs A. Quill",
        "A good month.",
        "first start-up",
        "Trial fit radiator",
        "Radiator being made",
        "Black or bare?",
        "1 of 2 jobs are done",
    ):
        assert words in text


def test_no_supplier_no_price_no_lateness_and_no_other_customer(as_manager, told):
    answer = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": ""}, follow=True)
    text = _text(answer)

    for words in ("Ferrand", "812", "late", "Amara", "Skua"):
        assert words not in text
    assert "being asked" in text  # a day that passed without news is left open


def test_a_copy_is_kept_and_opens_as_it_was(as_manager, told):
    first = _text(as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "First."}, follow=True))
    sheet = ProgressSheet.objects.get()
    told.jobs.filter(done_at__isnull=False).update(title="Changed since")

    assert _text(as_manager.get(f"/progress/{sheet.pk}/")) == first
    assert sheet.facts["done"] == 1
    assert f"/progress/{sheet.pk}/" in as_manager.get(f"/cars/{told.pk}/progress/").content.decode()


def test_the_next_sheet_tells_only_what_was_done_since(as_manager, told, fitter, make_job):
    as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": ""})
    now = timezone.now()
    make_job(told, "Drain system", done_at=now, done_by=fitter)

    progress = read_progress(told, now, timezone.localdate())

    assert [job.title for job in progress.done_since] == ["Drain system"]


def test_words_that_do_not_fit_are_refused_and_nothing_is_kept(as_manager, told):
    page = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "x" * 1501})

    assert "under 1500 characters" in page.content.decode()
    assert ProgressSheet.objects.count() == 0


def test_a_fitter_may_not_print_or_read_one(as_fitter, told):
    assert as_fitter.get(f"/cars/{told.pk}/progress/new/").status_code == 403
    assert as_fitter.get(f"/cars/{told.pk}/progress/").status_code == 403


def test_markup_in_the_words_is_printed_as_typed(as_manager, told):
    answer = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "<b>bold</b>"}, follow=True)

    assert "<b>bold</b>" in _text(answer)


def test_work_begun_in_our_own_shop_is_not_away(told, make_part):
    today = timezone.localdate()
    make_part(told, "Bracket", route=[("weld", None, 4)]).operations.update(sent_on=today)

    away = read_progress(told, timezone.now(), today).away

    assert [part.name for part in away] == ["Radiator"]


def test_a_photo_that_has_gone_from_the_disk_does_not_stop_the_sheet(as_manager, told, manager):
    StoredFile.objects.create(
        kind="photo",
        file="photo/gone.jpg",
        title="the engine bay",
        content_type="image/jpeg",
        car=told,
        added_by=manager,
        added_at=timezone.now(),
    )

    text = _text(as_manager.post(f"/cars/{told.pk}/progress/new/", follow=True))

    assert "No photo this time." in text


def test_a_copy_that_has_gone_from_the_disk_is_told_in_words(as_manager, told):
    as_manager.post(f"/cars/{told.pk}/progress/new/")
    sheet = ProgressSheet.objects.get()
    sheet.pdf.storage.delete(sheet.pdf.name)

    assert as_manager.get(f"/progress/{sheet.pk}/").status_code == 404


def test_printing_pressed_twice_keeps_one_copy_and_other_words_make_another(as_manager, told):
    first = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "A good month."})
    second = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "A good month."})
    third = as_manager.post(f"/cars/{told.pk}/progress/new/", {"words": "A very good month."})

    assert first.url == second.url != third.url
    assert ProgressSheet.objects.count() == 2

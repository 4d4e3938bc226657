"""Printing a progress sheet and keeping the copy."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from builds.models import Car, Person, ProgressSheet, Workshop
from builds.services.time import SAME_PRESS
from builds.sheets.progress import Progress, read_progress

LONGEST_WORDS = 1500


def progress_sheet_print(*, car: Car, words: str, by: Person, at: datetime) -> ProgressSheet:
    """Draw the sheet as things stand, keep a copy with its date, and give it.

    A second press within two minutes gives the first copy: another would say that nothing was done since.
    Raises ValidationError if the manager's own words are too long for the page.
    """
    words = words.strip()
    if len(words) > LONGEST_WORDS:
        raise ValidationError({"words": f"Keep your own words under {LONGEST_WORDS} characters."})
    progress = read_progress(car, at, timezone.localdate(at))
    pdf = _drawn(progress, words)
    with transaction.atomic():
        Car.objects.select_for_update().get(pk=car.pk)  # of two presses at once the second waits here
        again = ProgressSheet.objects.filter(
            car=car, printed_by=by, printed_at__range=(at - SAME_PRESS, at + SAME_PRESS)
        ).first()
        if again is not None and again.facts.get("words") == words:
            return again
        sheet = ProgressSheet(car=car, printed_at=at, printed_by=by, facts={**progress.facts, "words": words})
        sheet.pdf.save("sheet.pdf", ContentFile(pdf), save=False)
        sheet.save()
    return sheet


def _drawn(progress: Progress, words: str) -> bytes:
    photo = _photo(progress)
    context: dict[str, Any] = {
        "progress": progress if photo else replace(progress, photo=None),
        "words": words,
        "workshop": Workshop.objects.current(),
        "customer": progress.car.customer,
    }
    images = {"photo": photo} if photo else {}
    pdf: bytes = import_string(settings.PDF_RENDERER)("print/progress_sheet.html", context, images=images)
    return pdf


def _photo(progress: Progress) -> bytes:
    """Nothing where there is no photo, or it has gone from the disk: the sheet is printed without it."""
    if progress.photo is None:
        return b""
    try:
        with progress.photo.file.open("rb") as file:
            return bytes(file.read())
    except OSError:
        return b""

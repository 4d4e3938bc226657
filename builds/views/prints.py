"""Printed sheets of a car: the customer's progress sheet, and the job list for the wall."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from builds.access import managers_only, signed_in_person
from builds.codes import qr_png, tablet_address
from builds.models import Car, ProgressSheet, Workshop
from builds.network import load_workshop
from builds.services.progress import LONGEST_WORDS, progress_sheet_print
from builds.sheets.car import job_areas
from builds.sheets.progress import read_progress


@managers_only
@require_http_methods(["GET", "POST"])
def progress_sheet_new(request: HttpRequest, car_id: int) -> HttpResponse:
    """See what would be printed; a POST prints it and keeps the copy."""
    car = get_object_or_404(Car.objects.in_work().select_related("customer"), pk=car_id)
    words, refused = request.POST.get("words", ""), ""
    if request.method == "POST":
        try:
            sheet = progress_sheet_print(
                car=car, words=words, by=signed_in_person(request), at=timezone.now()
            )
            return redirect("progress-sheet", sheet.pk)
        except ValidationError as error:
            refused = " ".join(error.messages)
    context = {
        "car": car,
        "progress": read_progress(car, timezone.now(), timezone.localdate()),
        "words": words,
        "longest": LONGEST_WORDS,
        "refused": refused,
    }
    return render(request, "builds/progress_sheet_new.html", context)


@managers_only
@require_safe
def progress_sheets(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car, pk=car_id)
    sheets = car.progress_sheets.select_related("printed_by")
    return render(request, "builds/progress_sheets.html", {"car": car, "sheets": sheets})


@managers_only
@require_safe
def progress_sheet(request: HttpRequest, sheet_id: int) -> HttpResponseBase:
    """The copy as it was printed."""
    sheet = get_object_or_404(ProgressSheet.objects.select_related("car"), pk=sheet_id)
    name = f"{slugify(sheet.car.name)}-{timezone.localdate(sheet.printed_at):%Y-%m-%d}.pdf"
    try:
        copy = sheet.pdf.open("rb")
    except FileNotFoundError as error:
        raise Http404("The sheet is on record, but its copy is no longer on the disk.") from error
    return FileResponse(copy, content_type="application/pdf", filename=name)


@require_safe
def car_job_list(request: HttpRequest, car_id: int) -> HttpResponse:
    """The job list for the wall, with a code that opens the sheet on a tablet."""
    car = get_object_or_404(Car.objects.in_work(), pk=car_id)
    today = timezone.localdate()
    state = load_workshop(today)  # the date on the wall has the people there are in it
    facts = state.facts()
    address = tablet_address(request, reverse("car", args=[car.pk]))
    context = {
        "car": car,
        "facts": state.dated().cars[car.pk],
        "problems": state.dated().problems,
        "areas": job_areas(car, facts),
        "workshop": Workshop.objects.current(),
        "address": address,
        "today": today,
    }
    images = {"code": qr_png(address)}
    pdf = import_string(settings.PDF_RENDERER)("print/job_list.html", context, images=images)
    headers = {"Content-Disposition": f'inline; filename="job-list-{slugify(car.name)}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)

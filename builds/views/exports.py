"""Handing out what is recorded."""

from __future__ import annotations

import io

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from builds.access import managers_only
from builds.exporting.files import workbook_bytes, zip_bytes
from builds.exporting.lists import car_lists
from builds.exporting.sheets import every_table
from builds.models import Car


@managers_only
@require_GET
def export(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/export.html", {"cars": Car.objects.all()})


@managers_only
@require_GET
def export_workbook(request: HttpRequest) -> FileResponse:
    sheets = [*car_lists(Car.objects.all()), *every_table()]
    return download(workbook_bytes(sheets), f"workshop-{timezone.localdate():%Y-%m-%d}.xlsx")


@managers_only
@require_GET
def export_csv(request: HttpRequest) -> FileResponse:
    sheets = [*car_lists(Car.objects.all()), *every_table()]
    return download(zip_bytes(sheets), f"workshop-{timezone.localdate():%Y-%m-%d}.zip")


@managers_only
@require_GET
def export_car(request: HttpRequest, car_id: int) -> FileResponse:
    """The job list and parts list of one car, as an import reads them."""
    car = get_object_or_404(Car, pk=car_id)
    return download(workbook_bytes(car_lists([car])), f"{slugify(car.name) or 'car'}-lists.xlsx")


def download(content: bytes, name: str) -> FileResponse:
    return FileResponse(io.BytesIO(content), as_attachment=True, filename=name)

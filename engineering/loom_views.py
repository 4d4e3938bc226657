"""The tables of a loom as a workbook: empty, of the generic car, or of a kept sheet."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from engineering.jobs import job_or_404
from engineering.models import CalcSheet
from engineering.sheets.loom_files import workbook_of
from engineering.sheets.loom_rows import generic_lines


@require_GET
def loom_workbook_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """A workbook to fill in; `?from=generic` with the generic car in it."""
    job_or_404(job_id)
    is_generic = request.GET.get("from") == "generic"
    return _answer(generic_lines() if is_generic else {}, "loom-generic" if is_generic else "loom-empty")


@require_GET
def loom_workbook(request: HttpRequest, sheet_id: int) -> HttpResponse:
    sheet = get_object_or_404(CalcSheet, pk=sheet_id, kind="loom")
    return _answer(sheet.inputs, f"loom-{sheet.pk}-revision-{sheet.revision}")


def _answer(tables: dict[str, list[dict[str, str]]], name: str) -> HttpResponse:
    return HttpResponse(
        workbook_of(tables),
        content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        headers={"Content-Disposition": f'attachment; filename="{name}.xlsx"'},
    )

"""Pages of calc sheets. Everybody signed in may make and see them."""

import csv
import io
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from engineering.bench.sheet import bench_context
from engineering.forms import SheetForm
from engineering.jobs import job_or_404
from engineering.kept_tanks import overtaken
from engineering.models import Bench, CalcSheet
from engineering.parts import abroad, out_with, parts_of, weighed_parts
from engineering.services import calc_sheet_part as part_of_sheet
from engineering.services import calc_sheet_save
from engineering.sheets import KINDS, SheetKind
from engineering.sheets.kind import NO_COMPLIANCE
from engineering.sheets.loom_rows import generic_lines


@require_GET
def calc_sheet_list(request: HttpRequest, job_id: int) -> HttpResponse:
    job = job_or_404(job_id)
    context = {
        "job": job,
        "sheets": CalcSheet.objects.newest_of_each(job),
        "benches": Bench.objects.filter(job=job).with_sheet(),
        "kinds": list(KINDS.values()),
    }
    return render(request, "engineering/list.html", context)


@require_http_methods(["GET", "POST"])
def calc_sheet_new(request: HttpRequest, job_id: int, kind: str) -> HttpResponse:
    job, sheet_kind = job_or_404(job_id), _kind_or_404(kind)
    form = sheet_kind.form(_posted(request), request.FILES or None, initial=_first_lines(request, job, kind))
    form.offer(job)
    if form.is_valid() and not form.taken_in:
        saved = _save(request, form, job, kind, after_revision=0)
        if saved:
            return redirect(saved)
    return _form_page(request, form, job, sheet_kind)


@require_POST
def calc_sheet_try(request: HttpRequest, job_id: int, kind: str) -> HttpResponse:
    """Show the result of what stands in the form, and keep nothing."""
    job, sheet_kind = job_or_404(job_id), _kind_or_404(kind)
    form = sheet_kind.form(request.POST, request.FILES)
    form.offer(job)
    return _form_page(request, form, job, sheet_kind, tried=_work_out(form, sheet_kind))


@require_GET
def calc_sheet(request: HttpRequest, sheet_id: int) -> HttpResponse:
    sheet = _sheet_or_404(sheet_id)
    context = _sheet_context(sheet)
    context |= {
        "parts": parts_of(sheet.job),
        "abroad": abroad(context["revisions"][0]),
        "gives_facts": KINDS[sheet.kind].facts is not None,
    }
    return render(request, "engineering/sheet.html", context)


@require_POST
def calc_sheet_part(request: HttpRequest, sheet_id: int) -> HttpResponse:
    """Say which part is made from the sheet."""
    sheet = _sheet_or_404(sheet_id)
    wanted = request.POST.get("part", "")
    part = next((part for part in parts_of(sheet.job) if str(part.pk) == wanted), None)
    if wanted and part is None:
        messages.error(request, f"That is not a part of {sheet.job.car}. Choose one from the list.")
        return redirect(sheet)
    part_of_sheet(sheet=sheet, part=part)
    messages.success(request, f"This sheet is of “{part}”." if part else "This sheet is of no single part.")
    return redirect(sheet)


@require_http_methods(["GET", "POST"])
def calc_sheet_revise(request: HttpRequest, sheet_id: int) -> HttpResponse:
    sheet = _sheet_or_404(sheet_id)
    form = _revise_form(request, sheet)
    if form.is_valid() and not form.taken_in:
        saved = _save(request, form, sheet.job, sheet.kind, after_revision=sheet.revision)
        if saved:
            return redirect(saved)
    return _form_page(request, form, sheet.job, KINDS[sheet.kind], sheet=sheet)


@require_POST
def calc_sheet_revise_try(request: HttpRequest, sheet_id: int) -> HttpResponse:
    """Show what a revision would give, and keep nothing."""
    sheet = _sheet_or_404(sheet_id)
    form, sheet_kind = _revise_form(request, sheet), KINDS[sheet.kind]
    return _form_page(request, form, sheet.job, sheet_kind, sheet=sheet, tried=_work_out(form, sheet_kind))


@require_GET
def calc_sheet_print(request: HttpRequest, sheet_id: int) -> HttpResponse:
    sheet = _sheet_or_404(sheet_id)
    render_pdf = import_string(settings.PDF_RENDERER)
    pdf: bytes = render_pdf("engineering/print.html", _sheet_context(sheet))
    name = f"calc-sheet-{sheet.pk}-revision-{sheet.revision}.pdf"
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@require_GET
def calc_sheet_table(request: HttpRequest, sheet_id: int) -> HttpResponse:
    """The table of a sheet for a spreadsheet: the byte order mark tells it that this is UTF-8."""
    sheet = _sheet_or_404(sheet_id)
    table = KINDS[sheet.kind].table
    if table is None:
        raise Http404("This kind of sheet has no table.")
    text = io.StringIO()
    csv.writer(text).writerows(table(sheet.inputs, sheet.results))
    name = f"calc-sheet-{sheet.pk}-revision-{sheet.revision}.csv"
    return HttpResponse(
        "\ufeff" + text.getvalue(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _posted(request: HttpRequest) -> QueryDict | None:
    """What was sent, were it empty; None where nothing was."""
    return request.POST if request.method == "POST" else None


def _first_lines(request: HttpRequest, job: Any, kind: str) -> dict[str, Any]:
    """What a new sheet begins with, where it does not begin empty.

    A weight sheet: the parts of the car whose mass is known, with their places still to be typed; a loom:
    the generic car. Each only where it is asked for.
    """
    if kind == "weight" and request.GET.get("from") == "parts":
        return {"items": [{"name": name, "mass_kg": mass_kg} for name, mass_kg in weighed_parts(job)]}
    if kind == "loom" and request.GET.get("from") == "generic":
        return generic_lines()
    return {}


def _kind_or_404(kind: str) -> SheetKind:
    if kind not in KINDS:
        raise Http404(f"There is no calc sheet of the kind “{kind}”.")
    return KINDS[kind]


def _sheet_or_404(sheet_id: int) -> CalcSheet:
    return get_object_or_404(CalcSheet.objects.select_related("job__car", "made_by", "part"), pk=sheet_id)


def _revise_form(request: HttpRequest, sheet: CalcSheet) -> SheetForm:
    form = KINDS[sheet.kind].form(_posted(request), request.FILES or None, initial=_blank_where_unused(sheet))
    form.offer(sheet.job)
    form.fix_title(sheet.title)
    return form


def _blank_where_unused(sheet: CalcSheet) -> dict[str, Any]:
    """Stored inputs, and nothing (not the usual figure) in the fields that the sheet left empty."""
    return {name: sheet.inputs.get(name) for name in KINDS[sheet.kind].form.base_fields}


def _save(
    request: HttpRequest, form: SheetForm, job: Any, kind: str, *, after_revision: int
) -> CalcSheet | None:
    try:
        return calc_sheet_save(
            job=job,
            kind=kind,
            title=form.cleaned_data["title"],
            inputs=form.inputs(),
            by=request.user,
            at=timezone.now(),
            after_revision=after_revision,
        )
    except ValidationError as error:
        form.add_error(None, error)
        return None


def _work_out(form: SheetForm, sheet_kind: SheetKind) -> dict[str, Any] | None:
    if not form.is_valid():
        return None
    inputs = form.inputs()
    try:
        results = sheet_kind.work_out(inputs)
    except ValidationError as error:
        form.add_error(None, error)
        return None
    return {"shown": sheet_kind.show(inputs, results), "notes": results["notes"]}


def _form_page(
    request: HttpRequest,
    form: SheetForm,
    job: Any,
    sheet_kind: SheetKind,
    *,
    sheet: CalcSheet | None = None,
    tried: dict[str, Any] | None = None,
) -> HttpResponse:
    context = {"form": form, "job": job, "kind": sheet_kind, "sheet": sheet, "no_compliance": NO_COMPLIANCE}
    context["out_with"] = out_with(sheet) if sheet else []
    return render(request, "engineering/form.html", context | (tried or {}))


def _sheet_context(sheet: CalcSheet) -> dict[str, Any]:
    sheet_kind = KINDS[sheet.kind]
    revisions = list(
        CalcSheet.objects.of(sheet.job, sheet.kind, sheet.title).newest_first().select_related("made_by")
    )
    before = next((other for other in revisions if other.revision < sheet.revision), None)
    has_changed = before is not None and sheet_kind.changed is not None
    return bench_context(sheet) | {
        "sheet": sheet,
        "job": sheet.job,
        "kind": sheet_kind,
        "inputs": sheet_kind.form.shown(sheet.inputs),
        "shown": sheet_kind.show(sheet.inputs, sheet.results),
        "notes": sheet.results["notes"],
        "revisions": revisions,
        "before": before,
        "overtaken": overtaken(sheet.inputs),
        "changed": sheet_kind.changed(before.inputs, sheet.inputs) if has_changed else None,
        "no_compliance": NO_COMPLIANCE,
    }

"""New jobs and other wordings of jobs: for managers."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from builds.access import managers_only
from builds.forms.job_edit import JobSheetForm, with_more_rows, wording_lines, wording_of
from builds.models import Car, Job
from builds.services.job_edit import ChangedMeanwhile, JobWording, job_save, skill_missing


@managers_only
@require_http_methods(["GET", "POST"])
def job_new(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car, pk=car_id)
    return _edit(request, car, None)


@managers_only
@require_http_methods(["GET", "POST"])
def job_edit(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_object_or_404(Job.objects.select_related("car"), pk=job_id)
    return _edit(request, job.car, job)


def _edit(request: HttpRequest, car: Car, job: Job | None) -> HttpResponse:
    if request.method == "GET":
        area = request.GET.get("area", "")
        form = JobSheetForm(car, job, initial={"area": area} if area.isdecimal() else None)
        return _page(request, car, job, form)
    if "more" in request.POST:
        return _page(request, car, job, JobSheetForm(car, job, with_more_rows(request.POST)))
    form = JobSheetForm(car, job, request.POST)
    if not form.is_valid():
        return _page(request, car, job, form)
    wording = form.wording()
    try:
        saved = job_save(car=car, job=job, version=form.plain.cleaned_data["version"], wording=wording)
    except ChangedMeanwhile as clash:
        return _clash(request, car, clash, wording)
    except ValidationError as error:
        _errors_add(form, error)
        return _page(request, car, job, form)
    messages.success(request, f"“{saved}” is saved.")
    if missing := skill_missing(saved):
        messages.warning(request, missing)
    return redirect(saved)


def _clash(request: HttpRequest, car: Car, clash: ChangedMeanwhile, yours: JobWording) -> HttpResponse:
    """Both wordings side by side; the form keeps what was typed and would now replace what stands there."""
    now, typed = wording_lines(wording_of(clash.now)), wording_lines(yours)
    differences = [(name, now[name], typed[name]) for name in now if now[name] != typed[name]]
    data = request.POST.copy()
    data["version"] = str(clash.now.version)
    form = JobSheetForm(car, clash.now, data)
    form.is_valid()
    form.plain.add_error(None, clash.messages[0])
    return _page(request, car, clash.now, form, differences=differences)


def _errors_add(form: JobSheetForm, error: ValidationError) -> None:
    if not hasattr(error, "error_dict"):
        form.plain.add_error(None, error)
        return
    for name, found in error.error_dict.items():
        field = name if name in form.plain.fields and name != NON_FIELD_ERRORS else None
        form.plain.add_error(field, ValidationError(found))


def _page(
    request: HttpRequest,
    car: Car,
    job: Job | None,
    form: JobSheetForm,
    *,
    differences: list[tuple[str, str, str]] | None = None,
) -> HttpResponse:
    context = {"car": car, "job": job, "form": form, "differences": differences}
    return render(request, "builds/job_edit.html", context)

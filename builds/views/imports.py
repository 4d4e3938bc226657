"""Reading lists from files: send, look, confirm."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from builds.access import managers_only, signed_in_person
from builds.exporting.examples import example_sheet
from builds.exporting.files import csv_bytes, workbook_bytes
from builds.forms.start import CarFromFileForm, ListsForm, NewCarForm
from builds.importing.columns import JOB_COLUMNS, PART_COLUMNS
from builds.importing.faults import FileRefused
from builds.models import Car
from builds.services.imports import ImportPlan, ListFiles, NewCar, import_add, import_preview
from builds.services.imports.uploads import Slip, files_keep, files_read, files_remove, slip_read
from builds.views.exports import download

MOST_SHOWN = 200  # lines of each kind on the page; all of them are added
EXAMPLE_FORMATS = {"csv": csv_bytes, "xlsx": lambda sheet: workbook_bytes([sheet])}


@managers_only
@require_http_methods(["GET", "POST"])
def import_jobs(request: HttpRequest, car_id: int) -> HttpResponse:
    return _import(request, car_id, "job_list")


@managers_only
@require_http_methods(["GET", "POST"])
def import_parts(request: HttpRequest, car_id: int) -> HttpResponse:
    return _import(request, car_id, "parts_list")


@managers_only
@require_http_methods(["GET", "POST"])
def car_start_file(request: HttpRequest) -> HttpResponse:
    form = CarFromFileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        return _looked_at(request, form, form.new_car(), form.typed())
    return render(request, "builds/start_file.html", {"form": form, **_columns("job_list")})


@managers_only
@require_POST
def import_confirm(request: HttpRequest) -> HttpResponse:
    """Add what was looked at. What the browser sends is only the signed slip."""
    by = signed_in_person(request)
    try:
        slip = slip_read(request.POST.get("slip", ""), by)
        files = files_read(slip)
    except FileRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("cars")
    target = _target(slip)
    if target is None:
        messages.error(request, "The car is not as it was when you looked: nothing was added. Start afresh.")
        return redirect("car-start-file" if slip.car_id is None else "cars")
    try:
        car, plan = import_add(
            target=target, files=files, may_add_names=slip.may_add_names, by=by, today=timezone.localdate()
        )
    except ValidationError as error:
        return _refused_late(request, slip, target, files, error)
    files_remove(slip)
    messages.success(request, _added(car, plan))
    return redirect(car)


@managers_only
@require_GET
def import_example(request: HttpRequest, kind: str, ending: str) -> HttpResponse:
    if kind not in ("jobs", "parts") or ending not in EXAMPLE_FORMATS:
        raise Http404
    sheet = example_sheet(kind)
    return download(
        EXAMPLE_FORMATS[ending](sheet), f"example-{sheet.name.lower().replace(' ', '-')}.{ending}"
    )


def _import(request: HttpRequest, car_id: int, wanted: str) -> HttpResponse:
    car = get_object_or_404(Car, pk=car_id)
    form = ListsForm(request.POST or None, request.FILES or None, required=wanted)
    if form.is_valid():
        return _looked_at(request, form, car, {})
    return _upload_page(request, form, car, wanted)


def _upload_page(request: HttpRequest, form: ListsForm, car: Car, wanted: str) -> HttpResponse:
    return render(request, "builds/import.html", {"form": form, "car": car, **_columns(wanted)})


def _looked_at(
    request: HttpRequest, form: ListsForm, target: Car | NewCar, typed: dict[str, str]
) -> HttpResponse:
    """The page that shows what would be added, or the form again where a file cannot be read at all."""
    files, by = form.files_sent(), signed_in_person(request)
    may_add_names = form.cleaned_data["add_names"]
    try:
        plan = import_preview(
            target=target, files=files, may_add_names=may_add_names, by=by, today=timezone.localdate()
        )
    except FileRefused as refusal:
        form.add_error(None, str(refusal))
    except ValidationError as error:
        form.add_error(None, error)
    else:
        slip = None
        if plan.can_be_added:
            job_list, parts_list = files_keep(files)
            car_id = target.pk if isinstance(target, Car) else None
            slip = Slip(job_list, parts_list, car_id, typed, may_add_names, by.pk)
        return _preview(request, plan, target, slip)
    if isinstance(target, Car):
        wanted = "job_list" if form.fields["job_list"].required else "parts_list"
        return _upload_page(request, form, target, wanted)
    return render(request, "builds/start_file.html", {"form": form, **_columns("job_list")})


def _preview(request: HttpRequest, plan: ImportPlan, target: Car | NewCar, slip: Slip | None) -> HttpResponse:
    return render(
        request,
        "builds/import_preview.html",
        {
            "plan": plan,
            "car": target if isinstance(target, Car) else None,
            "name": target.name,
            "slip": slip.signed() if slip else "",
            # with a fault in the file, rows read so far would look as if they were whole
            "jobs": [] if plan.faults else [(job, plan.befores[job]) for job in plan.jobs[:MOST_SHOWN]],
            "parts": [] if plan.faults else plan.parts[:MOST_SHOWN],
            "lines": [] if plan.faults else plan.lines[:MOST_SHOWN],
            "there": [*plan.jobs_there, *plan.parts_there][:MOST_SHOWN],
            "there_count": len(plan.jobs_there) + len(plan.parts_there),
            "most_shown": MOST_SHOWN,
        },
    )


def _refused_late(
    request: HttpRequest, slip: Slip, target: Car | NewCar, files: ListFiles, error: ValidationError
) -> HttpResponse:
    """Something changed between the look and the act: show what is wrong now."""
    messages.error(request, "Something has changed since you looked: nothing was added.")
    try:
        plan = import_preview(
            target=target,
            files=files,
            may_add_names=slip.may_add_names,
            by=signed_in_person(request),
            today=timezone.localdate(),
        )
    except ValidationError:
        messages.error(request, " ".join(error.messages))
        return redirect("car-start-file")
    return _preview(request, plan, target, None)


def _target(slip: Slip) -> Car | NewCar | None:
    """The car of the slip, or the one to be started, read by its form once more; None if that is gone."""
    if slip.car_id is not None:
        return Car.objects.filter(pk=slip.car_id).first()
    form = NewCarForm(dict(slip.new_car))
    return form.new_car() if form.is_valid() else None


def _added(car: Car, plan: ImportPlan) -> str:
    there = len(plan.jobs_there) + len(plan.parts_there)
    left = f" Rows that were there already and are left as they are: {there}." if there else ""
    wanted = plan.suppliers_wanted
    choose = f" New lines of route cards without a supplier: {wanted}." if wanted else ""
    return f"Added to {car}: {plan.counts}.{left}{choose}"


def _columns(wanted: str) -> dict[str, object]:
    """What the page says about the columns, the list it is for first."""
    lists = [("jobs", "Job list", JOB_COLUMNS), ("parts", "Parts list", PART_COLUMNS)]
    return {"wanted": wanted, "lists": lists if wanted == "job_list" else lists[::-1]}

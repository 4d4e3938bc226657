"""The sheet of one part, and writing it and its route card."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only
from builds.forms.parts import LineForm, PartForm
from builds.forms.refusals import add_refusal
from builds.models import Car
from builds.network import load_workshop
from builds.services.route_cards import line_write, part_write
from builds.sheets.part import read_part
from parts.models import Operation, Part
from parts.services.parts import operation_delete as operation_strike_out


@require_safe
def part(request: HttpRequest, part_id: int) -> HttpResponse:
    facts = load_workshop(timezone.localdate()).facts()
    try:
        sheet = read_part(part_id, facts)
    except Part.DoesNotExist as error:
        raise Http404("There is no such part.") from error
    return render(request, "builds/part.html", {"sheet": sheet, "today": facts.today})


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def part_new(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car, pk=car_id)
    form = PartForm(request.POST or None, car=car, instance=Part(car=car))
    return _part_form(request, form, car)


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def part_edit(request: HttpRequest, part_id: int) -> HttpResponse:
    found = get_object_or_404(Part.objects.select_related("car"), pk=part_id)
    form = PartForm(request.POST or None, car=found.car, instance=found)
    return _part_form(request, form, found.car)


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def operation_new(request: HttpRequest, part_id: int) -> HttpResponse:
    found = get_object_or_404(Part.objects.select_related("car"), pk=part_id)
    return _line_form(request, LineForm(request.POST or None, part=found), found, None)


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def operation_edit(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = get_object_or_404(Operation.objects.select_related("part__car", "process"), pk=operation_id)
    form = LineForm(request.POST or None, part=operation.part, operation=operation)
    return _line_form(request, form, operation.part, operation)


@managers_only
@require_POST
def operation_delete(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = get_object_or_404(Operation.objects.select_related("part", "process"), pk=operation_id)
    try:
        operation_strike_out(operation=operation)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"“{operation}” is struck out.")
    return redirect(operation.part)


def _part_form(request: HttpRequest, form: PartForm, car: Car) -> HttpResponse:
    # the form writes what was typed into the instance, so the name as it stands is taken from the database
    shown = Part.objects.filter(pk=form.instance.pk).first()
    if form.is_valid():
        try:
            saved = part_write(part=form.save(commit=False), version=form.cleaned_data["version"])
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{saved} is {'changed' if shown else 'entered'}.")
            return redirect(saved)
    return render(request, "builds/part_edit.html", {"form": form, "part": shown, "car": car})


def _line_form(
    request: HttpRequest, form: LineForm, found: Part, operation: Operation | None
) -> HttpResponse:
    if form.is_valid():
        try:
            line = line_write(
                part=found,
                wording=form.wording(),
                operation=operation,
                version=form.cleaned_data["version"],
                lines_seen=form.cleaned_data.get("lines_seen"),
            )
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"Line {line.sequence} of the route card is written.")
            return redirect(found)
    return render(
        request, "builds/operation_edit.html", {"form": form, "part": found, "operation": operation}
    )

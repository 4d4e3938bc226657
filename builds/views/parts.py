"""The sheet of one part, and writing it and its route card."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.parts import LineForm, PartForm
from builds.forms.refusals import add_refusal
from builds.models import Car
from builds.network import load_workshop
from builds.services.route_cards import Written, line_strike_out, line_write, part_write
from builds.sheets.coats import CoatNote, coat_note
from builds.sheets.part import read_part
from builds.sheets.trade import Rulings, line_rulings, part_rulings
from parts.models import Operation, Part
from parts.services.trade import RuleBroken, card_line


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
def part_check(request: HttpRequest, part_id: int) -> HttpResponse:
    """What the rules of the trade would say to the part as it is being typed; saves nothing."""
    found = get_object_or_404(Part.objects.select_related("car"), pk=part_id)
    form = PartForm(request.POST, car=found.car, instance=found)
    form.is_valid()
    return render(request, "builds/rulings.html", {"rulings": _part_rulings(request, form)})


@managers_only
@require_POST
def operation_new_check(request: HttpRequest, part_id: int) -> HttpResponse:
    """What the rules of the trade would say to a new line as it is being typed; saves nothing."""
    found = get_object_or_404(Part.objects.select_related("car"), pk=part_id)
    return _line_check(request, LineForm(request.POST, part=found), found, None)


@managers_only
@require_POST
def operation_check(request: HttpRequest, operation_id: int) -> HttpResponse:
    """As `operation_new_check`, of a line that stands there already."""
    operation = get_object_or_404(Operation.objects.select_related("part__car", "process"), pk=operation_id)
    form = LineForm(request.POST, part=operation.part, operation=operation)
    return _line_check(request, form, operation.part, operation)


@managers_only
@require_POST
def operation_delete(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = get_object_or_404(Operation.objects.select_related("part", "process"), pk=operation_id)
    try:
        written = line_strike_out(operation=operation)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"“{operation}” is struck out.")
        _warn(request, written)
    return redirect(operation.part)


def _part_form(request: HttpRequest, form: PartForm, car: Car) -> HttpResponse:
    # the form writes what was typed into the instance, so the name as it stands is taken from the database
    shown = Part.objects.filter(pk=form.instance.pk).first()
    if form.is_valid():
        try:
            written = part_write(
                part=form.save(commit=False),
                version=form.cleaned_data["version"],
                reasons=request.POST.dict(),
                by=signed_in_person(request),
            )
        except RuleBroken as error:
            form.add_error(None, _broken_words(error))
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{written.part} is {'changed' if shown else 'entered'}.")
            _warn(request, written)
            return redirect(written.part)
    sets = Part.objects.of_car(car.pk).exclude(colour_set="").values_list("colour_set", flat=True)
    context = {
        "form": form,
        "part": shown,
        "car": car,
        "colour_sets": sets.order_by("colour_set").distinct(),
        "rulings": _part_rulings(request, form) if shown and form.is_bound else None,
    }
    return render(request, "builds/part_edit.html", context)


def _line_form(
    request: HttpRequest, form: LineForm, found: Part, operation: Operation | None
) -> HttpResponse:
    if form.is_valid():
        try:
            written = line_write(
                part=found,
                wording=form.wording(),
                operation=operation,
                version=form.cleaned_data["version"],
                lines_seen=form.cleaned_data.get("lines_seen"),
                reasons=request.POST.dict(),
                by=signed_in_person(request),
            )
        except RuleBroken as error:
            form.add_error(None, _broken_words(error))
        except ValidationError as error:
            add_refusal(form, error)
        else:
            number = written.line.sequence if written.line else ""
            messages.success(request, f"Line {number} of the route card is written.")
            _warn(request, written)
            return redirect(found)
    context = {
        "form": form,
        "part": found,
        "operation": operation,
        "rulings": _line_rulings(request, form, found, operation),
        "coat": _coat(form, operation),
    }
    return render(request, "builds/operation_edit.html", context)


def _line_check(
    request: HttpRequest, form: LineForm, found: Part, operation: Operation | None
) -> HttpResponse:
    form.is_valid()  # what is not filled in yet is no fault here
    context = {"rulings": _line_rulings(request, form, found, operation), "coat": _coat(form, operation)}
    return render(request, "builds/rulings.html", context)


def _coat(form: LineForm, operation: Operation | None) -> CoatNote | None:
    line = form.card_line(operation) if form.is_bound else operation and card_line(operation)
    return coat_note(line.process, line.text) if line else None


def _line_rulings(
    request: HttpRequest, form: LineForm, found: Part, operation: Operation | None
) -> Rulings | None:
    if form.is_bound:
        line, follows = form.card_line(operation), form.cleaned_data.get("follows")
    elif operation is not None:
        line, follows = card_line(operation), form.initial["follows"]
    else:
        return None
    if line is None:
        return None
    return line_rulings(found, line, operation=operation, follows=follows, given=request.POST.dict())


def _part_rulings(request: HttpRequest, form: PartForm) -> Rulings:
    material = form.cleaned_data.get("material")
    return part_rulings(
        form.instance,
        material=(material.key, material.name) if material else ("", ""),
        features=form.cleaned_data.get("features", ()),
        given=request.POST.dict(),
    )


def _broken_words(error: RuleBroken) -> str:
    broken = "A rule of the trade stands" if len(error.findings) == 1 else "Rules of the trade stand"
    return (
        f"Nothing is saved yet. {broken} against this: {'; '.join(one.title for one in error.findings)}. "
        "Below is why, and what to do; if you let it stand all the same, say there for what reason."
    )


def _warn(request: HttpRequest, written: Written) -> None:
    for finding in written.warnings:
        messages.warning(request, f"{finding.title}. {finding.why}. ({finding.source})")

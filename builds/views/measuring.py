"""Small calculations on a part: its mass and surface, and what a coat adds to its sizes."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.measuring import GrowthForm, MeasureForm
from builds.services.route_cards import part_write
from builds.sheets.coats import FORMULA, GrowthRows
from parts.models import Operation, Part
from parts.trade.growth import COATS
from parts.trade.shapes import DENSITY_SOURCE


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def part_measure(request: HttpRequest, part_id: int) -> HttpResponse:
    """Work out mass and surface of a simple shape; a POST takes both over into the part."""
    found = get_object_or_404(Part.objects.select_related("car", "material"), pk=part_id)
    given = request.POST or request.GET
    form = MeasureForm(given) if "shape" in given else MeasureForm(initial=MeasureForm.first_values(found))
    is_worked_out = form.is_bound and form.is_valid()
    if request.method == "POST" and is_worked_out:
        found.mass_kg, found.area_m2 = form.mass_kg, form.area_m2
        try:
            part_write(part=found, version=_version(request), by=signed_in_person(request))
        except ValidationError as error:
            form.add_error(None, error.messages)
            found.refresh_from_db()
            is_worked_out = False
        else:
            messages.success(request, f"{found}: mass and surface are taken over.")
            return redirect(found)
    context = {
        "form": form,
        "part": found,
        "measured": form.measured if is_worked_out else None,
        "all_kg": form.mass_kg * found.quantity if is_worked_out else None,
        "all_m2": form.area_m2 * found.quantity if is_worked_out else None,
        "density_source": DENSITY_SOURCE,
        "given": [(name, value) for name, value in given.items() if name in form.fields],
    }
    template = "builds/part_measure.html"
    return render(request, f"{template}#measured" if request.htmx else template, context)


@require_safe
def operation_growth(request: HttpRequest, operation_id: int) -> HttpResponse:
    """What the coat of a line adds to sizes and threads."""
    operation = get_object_or_404(
        Operation.objects.select_related("part__car", "process", "supplier"), pk=operation_id
    )
    process = operation.process.key
    first = GrowthForm.first_values(operation)
    given = request.GET if "film_um" in request.GET else first if first["film_um"] is not None else None
    form = GrowthForm(given, process=process, initial=first)
    context = {
        "form": form,
        "operation": operation,
        "part": operation.part,
        "coat": COATS.get(process),
        "rows": GrowthRows(form.growth).rows if form.is_bound and form.is_valid() else None,
        "formula": FORMULA,
    }
    template = "builds/operation_growth.html"
    return render(request, f"{template}#growth" if request.htmx else template, context)


def _version(request: HttpRequest) -> int | None:
    text = request.POST.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None

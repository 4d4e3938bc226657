"""Starting a car: empty, from the build template, or as another was planned."""

from __future__ import annotations

from collections import Counter

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from builds.access import managers_only, signed_in_person
from builds.forms.start import CopiedCarForm, NewCarForm
from builds.models import Car
from builds.services.start import build_template, car_start_from_template
from builds.services.start import car_start as start_empty
from builds.services.start_copy import car_start_copy as start_copied
from parts.models import Operation


@managers_only
@require_http_methods(["GET", "POST"])
def car_start(request: HttpRequest) -> HttpResponse:
    """The ways to start a car; the form on the page itself starts an empty one."""
    form = NewCarForm(request.POST or None)
    if form.is_valid():
        try:
            car = start_empty(
                **vars(form.new_car()), by=signed_in_person(request), today=timezone.localdate()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{car} is started. Its job list is empty: add jobs, or read a list.")
            return redirect(car)
    return render(request, "builds/start.html", {"form": form, "has_cars": Car.objects.exists()})


@managers_only
@require_http_methods(["GET", "POST"])
def car_start_template(request: HttpRequest) -> HttpResponse:
    form = NewCarForm(request.POST or None)
    if form.is_valid():
        try:
            car = car_start_from_template(
                **vars(form.new_car()), by=signed_in_person(request), today=timezone.localdate()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _started(car))
            return redirect(car)
    template = build_template()
    return render(
        request,
        "builds/start_template.html",
        {
            "form": form,
            "areas": Counter(row.area for row in template.jobs).items(),
            "jobs": len(template.jobs),
            "parts": sum(1 for part in template.parts.values() if part.comes != "equipment"),
        },
    )


@managers_only
@require_http_methods(["GET", "POST"])
def car_start_copy(request: HttpRequest) -> HttpResponse:
    form = CopiedCarForm(request.POST or None)
    if form.is_valid():
        try:
            car = start_copied(
                source=form.cleaned_data["source"],
                **vars(form.new_car()),
                by=signed_in_person(request),
                today=timezone.localdate(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _started(car))
            return redirect(car)
    return render(request, "builds/start_copy.html", {"form": form, "has_cars": Car.objects.exists()})


def _started(car: Car) -> str:
    open_lines = Operation.objects.filter(part__car=car, supplier__isnull=True).count()
    lines = "1 line of a route card has" if open_lines == 1 else f"{open_lines} lines of route cards have"
    choose = f" {lines} no supplier yet." if open_lines else ""
    jobs, parts = _count(car.jobs.count(), "job"), _count(car.parts.count(), "part")
    return f"{car} is started with {jobs} and {parts}.{choose}"


def _count(number: int, name: str) -> str:
    return f"{number} {name}{'' if number == 1 else 's'}"

"""The cars at a glance, and the sheet of one car."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from builds.models import Car
from builds.network import load_workshop
from builds.sheets.car import car_sheet
from builds.sheets.cars import cars_at_a_glance


@require_safe
def cars(request: HttpRequest) -> HttpResponse:
    """At first as if somebody were always free; the page then fetches the dates with the people there are."""
    state = load_workshop(timezone.localdate())
    with_people = "people" in request.GET
    facts = state.dated() if with_people else state.facts()
    return render(request, "builds/cars.html", cars_at_a_glance(facts, with_people=with_people))


@require_safe
def car(request: HttpRequest, car_id: int) -> HttpResponse:
    found = get_object_or_404(Car.objects.select_related("customer"), pk=car_id)
    if found.handed_over_on is not None:
        return render(request, "builds/car_gone.html", {"car": found})
    with_people = "people" in request.GET
    context = car_sheet(found, timezone.localdate(), with_people=with_people)
    return render(request, "builds/car.html", context)

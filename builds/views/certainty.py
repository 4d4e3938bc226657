"""How certain the dates are, and how good the forecasts were."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from builds.access import managers_only
from builds.models import Car
from builds.network import load_car
from builds.sheets.certainty import read_certainty
from builds.sheets.promises import read_promises


@require_safe
def car_certainty(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car.objects.in_work(), pk=car_id)
    context = {"car": car, "certainty": read_certainty(car, timezone.localdate())}
    return render(request, "builds/certainty.html", context)


@require_safe
def car_window(request: HttpRequest, car_id: int) -> HttpResponse:
    """Even chance and four in five of one car, fetched by the page of all cars after it is shown."""
    car = get_object_or_404(Car.objects.in_work(), pk=car_id)
    start_up = load_car(car.pk, timezone.localdate()).facts().cars[car.pk].first_start_up
    return render(request, "builds/car_window.html", {"car": car, "start_up": start_up})


@managers_only
@require_safe
def promises(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/promises.html", {"log": read_promises()})

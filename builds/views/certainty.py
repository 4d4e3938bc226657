"""How certain the dates are, and how good the forecasts were."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from builds.access import managers_only
from builds.models import Car
from builds.network import load_workshop
from builds.sheets.certainty import read_certainty
from builds.sheets.promises import read_promises


@require_safe
def car_certainty(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car.objects.in_work(), pk=car_id)
    state = load_workshop(timezone.localdate())
    context = {"car": car, "certainty": read_certainty(car, state), "problems": state.dated().problems}
    return render(request, "builds/certainty.html", context)


@managers_only
@require_safe
def promises(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/promises.html", {"log": read_promises()})

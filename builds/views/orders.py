"""Orders: everything not yet ordered, and marking it ordered."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.orders import OrderFilterForm, OrdersForm
from builds.forms.refusals import add_refusal
from builds.network import load_workshop
from builds.sheets.ordering import read_orders
from parts.models import Operation
from parts.services.operations import operations_order


@require_safe
def orders(request: HttpRequest) -> HttpResponse:
    return _page(request, OrdersForm())


@managers_only
@require_POST
def orders_place(request: HttpRequest) -> HttpResponse:
    """Mark the ticked lines ordered: all of them, or none."""
    form = OrdersForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        try:
            ordered = operations_order(
                operations=list(given["operations"]),
                on=given["on"],
                by=signed_in_person(request),
                promised_on=given["promised_on"],
            )
        except ValidationError as error:
            add_refusal(form, error)
        else:
            count = "1 line is" if len(ordered) == 1 else f"{len(ordered)} lines are"
            messages.success(request, f"{count} marked ordered.")
            query = f"?{request.GET.urlencode()}" if request.GET else ""
            return redirect(f"{reverse('orders')}{query}")
    return _page(request, form)


def _page(request: HttpRequest, form: OrdersForm) -> HttpResponse:
    today = timezone.localdate()
    facts = load_workshop(today).facts()
    shown = OrderFilterForm(request.GET)
    context: dict[str, Any] = {
        "sheet": read_orders(facts, shown.wanted(today, form.ticked)),
        "form": form,
        "shown": shown,
        "problems": facts.problems,
    }
    if context["sheet"].is_empty:
        context["has_lines"] = Operation.objects.exists()
    return render(request, "builds/orders.html", context)

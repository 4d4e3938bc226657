"""Putting the wire of a loom on Orders."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from builds.access import managers_only, signed_in_person
from builds.forms.loom_order import LoomOrderForm
from builds.forms.refusals import add_refusal
from builds.services.loom_order import loom_order as order_wire
from engineering.bench.buying import buy_lines, no_longer_needed
from engineering.models import CalcSheet
from engineering.sheets.kind import NO_COMPLIANCE


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def loom_order(request: HttpRequest, loom_id: int) -> HttpResponse:
    """What the loom needs, what is on Orders for it, and a button for the rest."""
    looms = CalcSheet.objects.filter(kind="loom").select_related("job__car")
    sheet = get_object_or_404(looms, pk=loom_id)
    form = LoomOrderForm(request.POST if request.method == "POST" else None, sheet=sheet)
    if form.is_valid():
        try:
            parts = order_wire(sheet=sheet, order=form.order(), by=signed_in_person(request))
        except ValidationError as error:
            add_refusal(form, error)
        else:
            lines = "1 line stands" if len(parts) == 1 else f"{len(parts)} lines stand"
            messages.success(request, f"{lines} on Orders for {sheet.title} now.")
            return redirect(f"{reverse('orders')}?car={sheet.job.car_id}&when=all")
    lines = buy_lines(sheet)
    context = {
        "sheet": sheet,
        "job": sheet.job,
        "form": form,
        "lines": lines,
        "short": [line for line in lines if line.more_m],
        "needless": no_longer_needed(sheet),
        "notes": sheet.results["notes"],
        "no_compliance": NO_COMPLIANCE,
    }
    return render(request, "builds/loom_order.html", context)

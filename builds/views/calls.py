"""Noting a call to a supplier."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from builds.access import signed_in_person
from builds.forms.calls import CallForm
from builds.forms.refusals import add_refusal
from builds.network import load_workshop
from builds.sheets.chasing import asked_lines
from parts.models import Operation, Supplier
from parts.services.calls import call_note


@require_http_methods(["GET", "HEAD", "POST"])
def call_new(request: HttpRequest, supplier_id: int) -> HttpResponse:
    """The lines that the chase list asks about come ticked."""
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    out = Operation.objects.out().filter(supplier=supplier, part__car__handed_over_on__isnull=True)
    lines = list(out.select_related("part__car", "process").order_by("part__car__name", "part__name", "pk"))
    asked = (
        frozenset()
        if request.method == "POST"
        else asked_lines(load_workshop(timezone.localdate()), supplier)
    )
    form = CallForm(request.POST or None, lines=lines, asked=asked, initial={"spoke_to": supplier.contact})
    if form.is_valid():
        try:
            call = call_note(
                supplier=supplier,
                at=timezone.now(),
                today=timezone.localdate(),
                by=signed_in_person(request),
                said=form.cleaned_data["said"],
                spoke_to=form.cleaned_data["spoke_to"],
                about=form.about(),
                promises=form.promises(),
            )
        except ValidationError as error:
            add_refusal(form, error)
        else:
            days = call.promises.count()
            promised = f", with {days} new day{'s' * (days > 1)} promised" if days else ""
            messages.success(request, f"The call to {supplier} is noted{promised}.")
            return redirect("chase-list")
    return render(request, "builds/call_new.html", {"form": form, "supplier": supplier})

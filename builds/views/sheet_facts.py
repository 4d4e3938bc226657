"""Taking what a calc sheet knows over into its part."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from builds.access import managers_only, signed_in_person
from builds.services.sheet_facts import facts_take_over
from engineering.models import CalcSheet


@managers_only
@require_POST
def sheet_take_over(request: HttpRequest, sheet_id: int) -> HttpResponse:
    sheet = get_object_or_404(CalcSheet.objects.select_related("job", "part"), pk=sheet_id)
    try:
        part = facts_take_over(sheet=sheet, by=signed_in_person(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(sheet)
    messages.success(request, f"“{part}” has the mass, sizes and surface of {sheet}.")
    return redirect(part)

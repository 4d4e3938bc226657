"""The people's week, with the people there are."""

from __future__ import annotations

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from builds.sheets.week import read_week

FURTHEST_DAYS = 366


@require_safe
def week(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    return render(request, "builds/week.html", {"week": read_week(today, _from(request, today))})


def _from(request: HttpRequest, today: date) -> date:
    """The day asked for; today where it is none, is past, or is more than a year ahead."""
    try:
        day = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return today
    return day if 0 <= (day - today).days <= FURTHEST_DAYS else today

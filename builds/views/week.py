"""The people's week, on the screen and for the wall; keeping the plan, and looking for a better one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.views.decorators.http import require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.models import Improving, Workshop
from builds.services import plans as services
from builds.sheets.improving import last_improving, read_improving
from builds.sheets.week import read_week

FURTHEST_DAYS = 366


class SecondsForm(forms.Form):
    """How long to look."""

    seconds = forms.TypedChoiceField(
        label="For at most",
        choices=[(each, f"{each} seconds") for each in services.SECONDS],
        coerce=int,
        initial=60,
    )


@require_safe
def week(request: HttpRequest) -> HttpResponse:
    """At first without even chance and four in five; the page then fetches them."""
    today, with_windows = timezone.localdate(), "people" in request.GET
    sheet = read_week(today, _from(request, today), with_windows=with_windows)
    search = last_improving()
    context = {
        "week": sheet,
        "search": search,
        "plan_before": services.plan_before(search.improving, sheet.kept) if search else None,
        "is_offered": search is not None and services.is_offered(search.improving, sheet.kept),
        "seconds_form": SecondsForm(),
    }
    return render(request, "builds/week.html", context)


@require_safe
def week_print(request: HttpRequest) -> HttpResponse:
    """The week for the wall."""
    today = timezone.localdate()
    sheet = read_week(today, _from(request, today), with_windows=True)
    context = {"week": sheet, "workshop": Workshop.objects.current(), "today": today}
    pdf = import_string(settings.PDF_RENDERER)("print/week.html", context)
    name = f"week-{(sheet.days[0] if sheet.days else today):%Y-%m-%d}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


@managers_only
@require_POST
def plan_keep(request: HttpRequest) -> HttpResponse:
    try:
        services.plan_keep(at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "The plan is kept: Today follows it.")
    return redirect("week")


@managers_only
@require_POST
def plan_improve(request: HttpRequest) -> HttpResponse:
    form = SecondsForm(request.POST)
    try:
        if not form.is_valid():
            raise ValidationError(form.errors["seconds"])
        services.improving_ask(
            seconds=form.cleaned_data["seconds"], by=signed_in_person(request), at=timezone.now()
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("week")


@managers_only
@require_POST
def plan_stop(request: HttpRequest, improving_id: int) -> HttpResponse:
    services.improving_stop(improving=get_object_or_404(Improving, pk=improving_id))
    messages.success(request, "It stops within a few seconds and keeps the best that it has.")
    return redirect("week")


@managers_only
@require_POST
def plan_back(request: HttpRequest, improving_id: int) -> HttpResponse:
    improving = get_object_or_404(Improving, pk=improving_id)
    back = partial(services.plan_back, improving=improving, at=timezone.now())
    return _to_the_week(request, back, "The plan from before is followed again.")


@managers_only
@require_POST
def plan_take(request: HttpRequest, improving_id: int) -> HttpResponse:
    improving = get_object_or_404(Improving, pk=improving_id)
    take = partial(services.plan_take, improving=improving, at=timezone.now())
    return _to_the_week(request, take, "The plan found is kept: Today follows it.")


@managers_only
@require_POST
def plan_leave(request: HttpRequest, improving_id: int) -> HttpResponse:
    improving = get_object_or_404(Improving, pk=improving_id)
    leave = partial(services.plan_leave, improving=improving)
    return _to_the_week(request, leave, "It is left: the plan stays as it was.")


def _to_the_week(request: HttpRequest, service: Callable[[], object], done: str) -> HttpResponse:
    """Call a service and say on The week that it is done, or why it is not."""
    try:
        service()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, done)
    return redirect("week")


@require_safe
def plan_progress(request: HttpRequest, improving_id: int) -> HttpResponse:
    """How far a search is: a piece of The week, fetched anew while it runs; then the page comes afresh."""
    improving = get_object_or_404(Improving.objects.select_related("asked_by"), pk=improving_id)
    search = read_improving(improving, timezone.now())
    answer = render(request, "builds/week.html#search", {"search": search})
    if not search.is_running and getattr(request, "htmx", False):
        answer.headers["HX-Refresh"] = "true"
    return answer


def _from(request: HttpRequest, today: date) -> date:
    """The day asked for; today where it is none, is past, or is more than a year ahead."""
    try:
        day = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return today
    return day if 0 <= (day - today).days <= FURTHEST_DAYS else today

"""Workshop settings, and the page that leads to everything without a tab of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import resolve, reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from builds.access import managers_only, signed_in_person
from builds.forms.settings import BayForm, NameForm, WorkshopForm
from builds.forms.spans import DaySpanForm
from builds.models import Area, Bay, Closure, Skill, Workshop
from builds.services import settings as services


@dataclass(frozen=True)
class Door:
    """A line of the More page."""

    url: str
    name: str
    what_for: str


DOORS = (
    ("week", "The week", "Who is on what this week and next, with the people there are."),
    ("what-if", "What if", "More people, a batch split, express: each car beside what it is, unsaved."),
    ("deliveries", "Goods in", "Scan or tick what has come, several at once."),
    ("order-list", "Purchase orders", "What was ordered on paper, what of it has come."),
    ("suppliers", "Suppliers", "Who makes and finishes parts, whom to ask for, when they are shut."),
    ("people", "People", "Who works here, who is away, who has what in hand."),
    ("workshop-settings", "Workshop settings", "Hours, closures, holidays, areas, skills, lifts and bays."),
    ("trade-rules", "Rules of the trade", "What comes first, what takes which finish, and why."),
    ("car-start", "Start a car", "From the build template, from another car, or from a file."),
    ("promises", "Promises", "What was promised, what the forecast said then, and what happened."),
    (
        "calendars",
        "Calendar on a phone",
        "What goes out, comes in and is to be ordered, in your own calendar.",
    ),
    ("export", "Export", "Everything recorded, as a spreadsheet to keep or to take along."),
)


@require_GET
def more(request: HttpRequest) -> HttpResponse:
    viewer = signed_in_person(request)
    doors = [Door(reverse(name), label, what_for) for name, label, what_for in DOORS]
    if not viewer.is_manager:
        doors = [door for door in doors if not getattr(resolve(door.url).func, "for_managers", False)]
        own = Door(
            viewer.get_absolute_url(), "Your own sheet", "Your hours, your absences, your time this week."
        )
        doors.append(own)
    return render(request, "builds/more.html", {"doors": doors})


@managers_only
@require_http_methods(["GET", "POST"])
def workshop_settings(request: HttpRequest) -> HttpResponse:
    form = WorkshopForm(request.POST or None, instance=Workshop.objects.current())
    if form.is_valid():
        try:
            services.workshop_update(version=form.cleaned_data["version"], changes=form.changes())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "The settings are saved.")
            return redirect("workshop-settings")
    return _settings_page(request, form=form)


@managers_only
@require_POST
def closure_new(request: HttpRequest) -> HttpResponse:
    form = DaySpanForm(request.POST, prefix="closure")
    if form.is_valid():
        try:
            services.closure_create(**form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "The closure is recorded.")
            return redirect("workshop-settings")
    return _settings_page(request, closure_form=form)


@managers_only
@require_POST
def closure_delete(request: HttpRequest, closure_id: int) -> HttpResponse:
    services.closure_delete(closure=get_object_or_404(Closure, pk=closure_id))
    messages.success(request, "The closure is removed.")
    return redirect("workshop-settings")


@managers_only
@require_POST
def area_new(request: HttpRequest) -> HttpResponse:
    return _named_new(request, "area", services.area_create)


@managers_only
@require_POST
def area_edit(request: HttpRequest, area_id: int) -> HttpResponse:
    get_object_or_404(Area, pk=area_id)
    return _named_edit(
        request, lambda was, name: services.area_rename(area_id=area_id, was=was, name=name), "areas"
    )


@managers_only
@require_POST
def area_move(request: HttpRequest, area_id: int) -> HttpResponse:
    get_object_or_404(Area, pk=area_id)
    services.area_move(area_id=area_id, up=request.POST.get("to") == "up")
    return _back_to("areas")


@managers_only
@require_POST
def area_delete(request: HttpRequest, area_id: int) -> HttpResponse:
    get_object_or_404(Area, pk=area_id)
    return _said(request, lambda: services.area_delete(area_id=area_id), "The area is removed.", "areas")


@managers_only
@require_POST
def skill_new(request: HttpRequest) -> HttpResponse:
    return _named_new(request, "skill", services.skill_create)


@managers_only
@require_POST
def skill_edit(request: HttpRequest, skill_id: int) -> HttpResponse:
    get_object_or_404(Skill, pk=skill_id)
    return _named_edit(
        request, lambda was, name: services.skill_rename(skill_id=skill_id, was=was, name=name), "skills"
    )


@managers_only
@require_POST
def skill_delete(request: HttpRequest, skill_id: int) -> HttpResponse:
    get_object_or_404(Skill, pk=skill_id)
    return _said(request, lambda: services.skill_delete(skill_id=skill_id), "The skill is removed.", "skills")


@managers_only
@require_POST
def bay_new(request: HttpRequest) -> HttpResponse:
    form = BayForm(request.POST, prefix="bay")
    if form.is_valid():
        given = form.cleaned_data
        try:
            added = services.bay_create(name=given["name"], places=given["places"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"“{added}” is added. Say on each job that needs it that it does.")
            return _back_to("bays")
    return _settings_page(request, bay_form=form)


@managers_only
@require_POST
def bay_edit(request: HttpRequest, bay_id: int) -> HttpResponse:
    get_object_or_404(Bay, pk=bay_id)
    form = BayForm(request.POST)
    if not form.is_valid():
        return _refused(request, form, "bays")
    given = form.cleaned_data
    return _said(
        request,
        lambda: services.bay_change(
            bay_id=bay_id, version=given["version"] or 0, name=given["name"], places=given["places"]
        ),
        "Changed.",
        "bays",
    )


@managers_only
@require_POST
def bay_delete(request: HttpRequest, bay_id: int) -> HttpResponse:
    get_object_or_404(Bay, pk=bay_id)
    return _said(request, lambda: services.bay_delete(bay_id=bay_id), "The lift or bay is removed.", "bays")


def _settings_page(
    request: HttpRequest,
    *,
    form: WorkshopForm | None = None,
    closure_form: DaySpanForm | None = None,
    area_form: NameForm | None = None,
    skill_form: NameForm | None = None,
    bay_form: BayForm | None = None,
) -> HttpResponse:
    saved = Workshop.objects.current()
    today = timezone.localdate()
    context: dict[str, Any] = {
        "form": form or WorkshopForm(instance=saved),
        "closure_form": closure_form or DaySpanForm(prefix="closure"),
        "area_form": area_form or NameForm(prefix="area", label="New area"),
        "skill_form": skill_form or NameForm(prefix="skill", label="New skill"),
        "bay_form": bay_form or BayForm(prefix="bay"),
        "regions": services.regions(saved.country),
        "holidays": services.public_holidays(saved.country, saved.region, years=(today.year, today.year + 1)),
        "closures": Closure.objects.filter(last_day__gte=today),
        "past_closures": Closure.objects.filter(last_day__lt=today).order_by("-first_day"),
        "areas": Area.objects.all(),
        "skills": Skill.objects.all(),
        "bays": Bay.objects.all(),
    }
    return render(request, "builds/settings.html", context)


def _named_new(request: HttpRequest, kind: str, create: Callable[..., Area | Skill]) -> HttpResponse:
    form = NameForm(request.POST, prefix=kind, label=f"New {kind}")
    if form.is_valid():
        try:
            added = create(name=form.cleaned_data["name"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"The {kind} “{added}” is added.")
            return _back_to(f"{kind}s")
    forms_shown: dict[str, Any] = {f"{kind}_form": form}
    return _settings_page(request, **forms_shown)


def _named_edit(request: HttpRequest, rename: Callable[[str, str], object], anchor: str) -> HttpResponse:
    form = NameForm(request.POST)
    if not form.is_valid():
        return _refused(request, form, anchor)
    given = form.cleaned_data
    return _said(request, lambda: rename(given["was"], given["name"]), "Renamed.", anchor)


def _said(request: HttpRequest, act: Callable[[], object], done: str, anchor: str) -> HttpResponse:
    """Do it, and say on the page what came of it."""
    try:
        act()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, done)
    return _back_to(anchor)


def _refused(request: HttpRequest, form: forms.Form, anchor: str) -> HttpResponse:
    for field, errors in form.errors.items():
        messages.error(request, f"{form[field].label}: {' '.join(errors)}")
    return _back_to(anchor)


def _back_to(anchor: str) -> HttpResponse:
    return redirect(f"{reverse('workshop-settings')}#{anchor}")

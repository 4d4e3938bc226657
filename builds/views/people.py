"""People, their absences, and what each has in hand."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from builds.access import managers_only, signed_in_person
from builds.forms.people import PersonForm, person_initial
from builds.forms.spans import DaySpanForm, OvertimeForm, SpanForm
from builds.models import Absence, Overtime, Person
from builds.services import people as services
from builds.sheets import roll as roll

LONGER = "longer"  # the two forms of the page have fields of the same names


@require_GET
def people(request: HttpRequest) -> HttpResponse:
    """Everybody sees who is here; hours and reasons are for managers."""
    everybody = roll.read_roll(timezone.localdate())
    return render(
        request,
        "builds/people.html",
        {
            "here": [line for line in everybody if line.person.is_active],
            "left": [line for line in everybody if not line.person.is_active],
        },
    )


@require_GET
def person(request: HttpRequest, person_id: int) -> HttpResponse:
    return _person_page(request, get_object_or_404(Person, pk=person_id))


@managers_only
@sensitive_post_parameters("secret", "secret_again")
@require_http_methods(["GET", "POST"])
def person_new(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None, for_new=True)
    if form.is_valid():
        try:
            added = services.person_create(details=form.details(), secret=form.cleaned_data["secret"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{added.name} is entered and can sign in.")
            return redirect(added)
    return render(request, "builds/person_edit.html", {"form": form})


@managers_only
@sensitive_post_parameters("secret", "secret_again")
@require_http_methods(["GET", "POST"])
def person_edit(request: HttpRequest, person_id: int) -> HttpResponse:
    edited = get_object_or_404(Person, pk=person_id)
    form = PersonForm(request.POST or None, for_new=False, initial=person_initial(edited))
    if form.is_valid():
        try:
            changed = services.person_update(
                person_id=person_id,
                version=form.cleaned_data["version"],
                details=form.details(),
                secret=form.cleaned_data["secret"],
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            if changed == request.user:
                update_session_auth_hash(request, changed)  # a new password of my own does not sign me out
            messages.success(request, f"{changed.name} is changed.")
            return redirect(changed)
    return render(request, "builds/person_edit.html", {"form": form, "person": edited})


@managers_only
@require_POST
def absence_new(request: HttpRequest, person_id: int) -> HttpResponse:
    away = get_object_or_404(Person, pk=person_id)
    form = DaySpanForm(request.POST)
    if _recorded(form, services.absence_create, away):
        messages.success(request, "The absence is recorded.")
        return redirect(away)
    return _person_page(request, away, absence_form=form)


@managers_only
@require_POST
def absence_delete(request: HttpRequest, absence_id: int) -> HttpResponse:
    absence = get_object_or_404(Absence.objects.select_related("person"), pk=absence_id)
    services.absence_delete(absence=absence)
    messages.success(request, "The absence is removed.")
    return redirect(absence.person)


@managers_only
@require_POST
def overtime_new(request: HttpRequest, person_id: int) -> HttpResponse:
    working = get_object_or_404(Person, pk=person_id)
    form = OvertimeForm(request.POST, prefix=LONGER)
    if _recorded(form, services.overtime_create, working):
        messages.success(request, "The overtime is recorded, and the plan counts with it.")
        return redirect(working)
    return _person_page(request, working, overtime_form=form)


@managers_only
@require_POST
def overtime_delete(request: HttpRequest, overtime_id: int) -> HttpResponse:
    overtime = get_object_or_404(Overtime.objects.select_related("person"), pk=overtime_id)
    services.overtime_delete(overtime=overtime)
    messages.success(request, "The overtime is removed.")
    return redirect(overtime.person)


def _recorded(form: SpanForm, create: Callable[..., object], person: Person) -> bool:
    """Whether what the form says is written; else the form says why not."""
    if not form.is_valid():
        return False
    try:
        create(person=person, **form.cleaned_data)
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True


def _person_page(
    request: HttpRequest,
    shown: Person,
    *,
    absence_form: DaySpanForm | None = None,
    overtime_form: OvertimeForm | None = None,
) -> HttpResponse:
    viewer = signed_in_person(request)
    sheet = roll.read_person(shown, now=timezone.localtime())
    return render(
        request,
        "builds/person.html",
        {
            "person": shown,
            "sheet": sheet,
            "is_private_shown": viewer.is_manager or viewer == shown,
            "absence_form": absence_form or DaySpanForm(),
            "overtime_form": overtime_form or OvertimeForm(prefix=LONGER),
        },
    )

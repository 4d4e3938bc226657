"""Signing in and out, and the ground that somebody reads best on."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from builds.addresses import own_address
from builds.context import GROUNDS
from builds.forms.accounts import FirstManagerForm, PasswordForm, PinForm
from builds.models import Person
from builds.services import accounts as services

GROUND_KEPT_S = 365 * 24 * 3600
BACKEND = "django.contrib.auth.backends.ModelBackend"


@login_not_required
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Fitters choose their name, managers type theirs and a password."""
    if not Person.objects.exists():
        return redirect("first-manager")
    if request.method == "GET" and isinstance(request.user, Person):
        return redirect(_next_address(request) or _first_page(request.user))
    form = PasswordForm(request.POST or None)
    if form.is_valid():
        given = form.cleaned_data
        try:
            person = services.sign_in_with_password(
                name=given["name"], password=given["password"], now=timezone.now()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return _signed_in(request, person)
    fitters = Person.objects.filter(role=Person.Role.FITTER, is_active=True)
    return render(
        request, "builds/sign_in.html", {"form": form, "fitters": fitters, "next": _next_address(request)}
    )


@login_not_required
@sensitive_post_parameters("pin")
@require_http_methods(["GET", "POST"])
def sign_in_pin(request: HttpRequest, person_id: int) -> HttpResponse:
    """The PIN pad of one fitter. Managers and people who left have none, as if they were not there."""
    person = get_object_or_404(Person, pk=person_id, role=Person.Role.FITTER, is_active=True)
    form = PinForm(request.POST or None)
    if form.is_valid():
        try:
            services.sign_in_with_pin(person=person, pin=form.cleaned_data["pin"], now=timezone.now())
        except ValidationError as error:
            form.add_error("pin", error)
        else:
            return _signed_in(request, person)
    return render(
        request, "builds/sign_in_pin.html", {"form": form, "person": person, "next": _next_address(request)}
    )


@login_not_required
@sensitive_post_parameters("secret", "secret_again")
@require_http_methods(["GET", "POST"])
def first_manager(request: HttpRequest) -> HttpResponse:
    """Only while the workshop has nobody at all."""
    if Person.objects.exists():
        messages.warning(request, services.SOMEBODY_THERE)
        return redirect("sign-in")
    form = FirstManagerForm(request.POST or None)
    if form.is_valid():
        given = form.cleaned_data
        try:
            person = services.first_manager_create(
                workshop_name=given["workshop_name"], name=given["name"], password=given["secret"]
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            _begin_session(request, person)
            messages.success(
                request, "You are the first manager. Look through the settings, then enter the rest."
            )
            return redirect("workshop-settings")
    return render(request, "builds/sign_in_first.html", {"form": form})


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("sign-in")


@login_not_required
@require_POST
def ground(request: HttpRequest) -> HttpResponse:
    """Keep on this device whether pages are dark on light or light on dark."""
    response = redirect(_next_address(request) or "/")
    chosen = request.POST.get("ground", "")
    if chosen in GROUNDS:
        response.set_cookie(
            "ground", chosen, max_age=GROUND_KEPT_S, samesite="Lax", httponly=True, secure=settings.HTTPS
        )
    return response


def _signed_in(request: HttpRequest, person: Person) -> HttpResponse:
    _begin_session(request, person)
    asked = _next_address(request)
    # the front page is where everybody is sent who is not signed in; nobody asked for it by name
    return redirect(_first_page(person) if asked in ("", resolve_url("cars")) else asked)


def _begin_session(request: HttpRequest, person: Person) -> None:
    login(request, person, backend=BACKEND)
    # a moment, not a length: a length would begin again whenever something is kept in the session
    request.session.set_expiry(timezone.now() + services.SESSION_LASTS)


def _first_page(person: Person) -> str:
    return resolve_url("cars" if person.is_manager else "today")


def _next_address(request: HttpRequest) -> str:
    """Where to go afterwards: an address of this server, or ''."""
    address = own_address(request, request.POST.get("next") or request.GET.get("next", ""))
    return "" if address == resolve_url("sign-in") else address

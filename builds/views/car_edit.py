"""Changing what is known about a car: its card, where it is, milestones and promises. Managers only."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from builds.access import managers_only, signed_in_person
from builds.facts import CarFacts, Window
from builds.forms.cars import AwayForm, BackForm, CarForm, DueBackForm, MilestoneForm, PromiseForm
from builds.models import Away, Car, Milestone, MilestonePromise
from builds.network import load_workshop
from builds.network.contradictions import promise_contradictions
from builds.services import cars as services
from builds.services.people import day_in_words


def _add_errors(form: Form, error: ValidationError) -> None:
    """Put a service's refusal beside the field that it names, or at the head of the form."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, errors in error.error_dict.items():
        form.add_error(name if name in form.fields else None, errors)


@managers_only
@require_http_methods(["GET", "POST"])
def car_edit(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car.objects.select_related("customer"), pk=car_id)
    form = CarForm(request.POST) if request.method == "POST" else CarForm.of(car)
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"]
        try:
            services.car_save(car=car, version=version, customer=form.customer(), **form.card())
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(request, f"{form.cleaned_data['name']} is saved.")
            return redirect("car", car_id)
    return render(request, "builds/car_edit.html", {"car": car, "form": form})


@managers_only
@require_http_methods(["GET", "POST"])
def car_where(request: HttpRequest, car_id: int) -> HttpResponse:
    """Where the car is and will be; a POST books a stay away."""
    car = get_object_or_404(Car, pk=car_id)
    today = timezone.localdate()
    form = AwayForm(request.POST) if request.method == "POST" else AwayForm(initial={"leaves_on": today})
    if request.method == "POST" and form.is_valid():
        try:
            away = services.car_goes_away(car=car, **form.cleaned_data)
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(
                request, f"{car} is away at {away.supplier} from {day_in_words(away.leaves_on)}."
            )
            return redirect("car-where", car_id)
    return _where_page(request, car, form)


def _where_page(request: HttpRequest, car: Car, form: Form, refused: str = "") -> HttpResponse:
    today = timezone.localdate()
    aways = list(Away.objects.filter(car=car).select_related("supplier").order_by("-leaves_on"))
    return render(
        request,
        "builds/car_where.html",
        {
            "car": car,
            "form": form,
            "refused": refused,
            "current": [away for away in aways if away.back_on is None],
            "past": [away for away in aways if away.back_on is not None],
            "today": today,
        },
    )


@managers_only
@require_POST
def away_back(request: HttpRequest, away_id: int) -> HttpResponse:
    away = get_object_or_404(Away.objects.select_related("car"), pk=away_id)
    form = BackForm(request.POST)
    if not form.is_valid():
        return _where_page(request, away.car, AwayForm(), "Give the day on which the car came back.")
    try:
        services.car_comes_back(away=away, on=form.cleaned_data["on"], today=timezone.localdate())
    except ValidationError as error:
        return _where_page(request, away.car, AwayForm(), " ".join(error.messages))
    messages.success(request, f"{away.car} is back.")
    return redirect("car", away.car_id)


@managers_only
@require_POST
def away_change(request: HttpRequest, away_id: int) -> HttpResponse:
    """A new day due back, or a stay struck out before it began."""
    away = get_object_or_404(Away.objects.select_related("car"), pk=away_id)
    form = DueBackForm(request.POST)
    try:
        if "cancel" in request.POST:
            services.away_cancel(away=away, today=timezone.localdate())
        elif form.is_valid():
            services.away_change(away=away, due_back_on=form.cleaned_data["due_back_on"])
        else:
            return _where_page(request, away.car, AwayForm(), "Give the new day on which it is due back.")
    except ValidationError as error:
        return _where_page(request, away.car, AwayForm(), " ".join(error.messages))
    messages.success(request, "Recorded.")
    return redirect("car-where", away.car_id)


@managers_only
@require_http_methods(["GET", "POST"])
def car_promise(request: HttpRequest, car_id: int) -> HttpResponse:
    car = get_object_or_404(Car, pk=car_id)
    today = timezone.localdate()
    form = PromiseForm(request.POST, car=car) if request.method == "POST" else PromiseForm(car=car)
    state = load_workshop(today)
    facts = state.dated().cars.get(car.pk)
    if request.method == "POST" and form.is_valid():
        by, milestone = signed_in_person(request), form.cleaned_data["milestone"]
        try:
            promise = services.milestone_promise(
                by=by, today=today, forecast=_window(facts, milestone), **form.cleaned_data
            )
        except ValidationError as error:
            _add_errors(form, error)
        else:
            day = day_in_words(promise.promised_on)
            messages.success(request, f"{car}: {promise.milestone} is promised for {day}.")
            for words in promise_contradictions(load_workshop(today).solution, car.pk):
                messages.warning(request, words)
            return redirect("car", car_id)
    given = MilestonePromise.objects.filter(milestone__car=car).select_related("milestone", "by")
    context = {"car": car, "form": form, "given": given.order_by("-given_on", "-pk"), "facts": facts}
    return render(request, "builds/car_promise.html", context)


def _window(facts: CarFacts | None, milestone: Milestone) -> Window | None:
    """What the forecast says of a milestone now."""
    found = [one for one in facts.milestones if one.milestone_id == milestone.pk] if facts else []
    return found[0].window if found else None


@managers_only
@require_http_methods(["GET", "POST"])
def milestone_new(request: HttpRequest, car_id: int) -> HttpResponse:
    return _milestone(request, get_object_or_404(Car, pk=car_id), None)


@managers_only
@require_http_methods(["GET", "POST"])
def milestone_edit(request: HttpRequest, milestone_id: int) -> HttpResponse:
    milestone = get_object_or_404(Milestone.objects.select_related("car"), pk=milestone_id)
    return _milestone(request, milestone.car, milestone)


def _milestone(request: HttpRequest, car: Car, milestone: Milestone | None) -> HttpResponse:
    if request.method == "POST":
        form = MilestoneForm(request.POST, car=car)
    elif milestone is not None:
        initial = {
            "kind": milestone.kind,
            "name": milestone.name,
            "jobs": milestone.jobs.all(),
            "seen": services.milestone_seen(milestone),
        }
        form = MilestoneForm(car=car, initial=initial)
    else:
        form = MilestoneForm(car=car)
    if request.method == "POST" and form.is_valid():
        try:
            services.milestone_save(car=car, milestone=milestone, **form.cleaned_data)
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(request, "The milestone is saved.")
            return redirect("car", car.pk)
    return render(request, "builds/milestone.html", {"car": car, "form": form, "milestone": milestone})

"""The page of one job, and each act on it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_POST

from builds.access import signed_in_person
from builds.addresses import own_address
from builds.forms.jobs import (
    AnswerForm,
    BeginForm,
    CorrectedTimeForm,
    DecisionForm,
    NoteForm,
    PhotoForm,
    SignForm,
    TakeBackForm,
    TimeForm,
)
from builds.models import Job, Person, TimeSpent
from builds.services import jobs as services
from builds.services.accounts import sign_in_with_pin
from builds.services.time import clock_stop, time_corrected, time_typed
from builds.sheets.job import read_job
from builds.sheets.today import Press
from builds.views.today import acts_answer, is_from_today, today_answer

Act = Callable[[Job, Person, datetime], str]  # gives what to say once it is recorded


@require_GET
def job(request: HttpRequest, job_id: int) -> HttpResponse:
    return job_page(request, job_id)


@require_POST
def job_start(request: HttpRequest, job_id: int) -> HttpResponse:
    form = BeginForm(request.POST)
    if not form.is_valid():
        return _refused(request, _job(job_id), ValidationError(form.errors["why"]))

    def act(job: Job, by: Person, at: datetime) -> str:
        other = TimeSpent.objects.running().filter(person=by).exclude(job=job).select_related("job").first()
        services.job_start(job=job, by=by, at=at, why=form.cleaned_data["why"])
        stopped = f" It has stopped on “{other.job}”." if other else ""
        return f"“{job}” is in hand; {by}’s clock runs on it.{stopped}"

    return _press(request, job_id, act)


@require_POST
def job_done(request: HttpRequest, job_id: int) -> HttpResponse:
    def act(job: Job, by: Person, at: datetime) -> str:
        done = services.job_done(job=job, by=by, at=at)
        signature = " It waits for a second signature." if not done.is_complete else ""
        return f"“{job}” is ticked done.{signature}"

    return _press(request, job_id, act)


@require_POST
def job_take_back(request: HttpRequest, job_id: int) -> HttpResponse:
    form = TakeBackForm(request.POST)
    if not form.is_valid():
        raise Http404("Say whether the start or the tick is taken back.")
    what = form.cleaned_data["what"]

    def act(job: Job, by: Person, at: datetime) -> str:
        services.job_take_back(job=job, by=by, at=at, what=what)
        return f"“{job}”: the {'tick' if what == 'done' else 'start'} is taken back."

    return _press(request, job_id, act)


@sensitive_post_parameters("pin")
@require_POST
def job_sign_off(request: HttpRequest, job_id: int) -> HttpResponse:
    """Signed by the person who is signed in, or on a shared tablet by another with name and PIN."""

    def act(job: Job, by: Person, at: datetime) -> str:
        services.job_sign_off(job=job, by=by, at=at)
        return f"“{job}” is signed off by {by}."

    if "pin" not in request.POST:
        return _press(request, job_id, act)
    form = SignForm(request.POST, auto_id=f"sign-{job_id}-%s")

    def act_for_other(job: Job, by: Person, at: datetime) -> str:
        signer, pin = form.cleaned_data["person"], form.cleaned_data["pin"]
        return act(job, sign_in_with_pin(person=signer, pin=pin, now=at), at)

    return _write(request, job_id, "sign", form, act_for_other)


@require_POST
def job_clock_stop(request: HttpRequest, job_id: int) -> HttpResponse:
    def act(job: Job, by: Person, at: datetime) -> str:
        entry = clock_stop(job=job, person=by, at=at)
        return f"{by}’s clock is stopped at {entry.minutes} min on “{job}”." if entry else ""

    return _press(request, job_id, act)


@require_POST
def job_hold(request: HttpRequest, job_id: int) -> HttpResponse:
    form = DecisionForm(request.POST, today=timezone.localdate(), auto_id=f"hold-{job_id}-%s")

    def act(job: Job, by: Person, at: datetime) -> str:
        given = dict(form.cleaned_data)
        services.job_hold(job=job, reason=given.pop("question"), by=by, at=at, **given)
        return f"“{job}” is held until this is decided."

    return _write(request, job_id, "hold", form, act)


@require_POST
def job_note(request: HttpRequest, job_id: int) -> HttpResponse:
    form = NoteForm(request.POST, auto_id=f"note-{job_id}-%s")

    def act(job: Job, by: Person, at: datetime) -> str:
        services.job_note(job=job, text=form.cleaned_data["text"], by=by, at=at)
        return f"The note on “{job}” is kept."

    return _write(request, job_id, "note", form, act)


@require_POST
def job_photo(request: HttpRequest, job_id: int) -> HttpResponse:
    form = PhotoForm(request.POST, request.FILES, auto_id=f"photo-{job_id}-%s")

    def act(job: Job, by: Person, at: datetime) -> str:
        services.job_photo(job=job, by=by, at=at, **form.cleaned_data)
        return f"The photo of “{job}” is kept."

    return _write(request, job_id, "photo", form, act)


@require_POST
def job_time(request: HttpRequest, job_id: int) -> HttpResponse:
    by = signed_in_person(request)
    form = TimeForm(request.POST, today=timezone.localdate(), by=by, auto_id=f"time-{job_id}-%s")

    def act(job: Job, by: Person, at: datetime) -> str:
        given = form.cleaned_data
        time_typed(job=job, person=given.get("person") or by, minutes=form.minutes, on=given["on"], at=at)
        return f"The time on “{job}” is noted."

    return _write(request, job_id, "time", form, act)


@require_POST
def time_correct(request: HttpRequest, entry_id: int) -> HttpResponse:
    entry = get_object_or_404(TimeSpent, pk=entry_id)
    form = CorrectedTimeForm(request.POST, auto_id=f"entry-{entry_id}-%s")

    def act(job: Job, by: Person, at: datetime) -> str:
        time_corrected(entry=entry, minutes=form.minutes, by=by)
        return f"The time on “{job}” is put right."

    return _write(request, entry.job_id, "entry", form, act)


def job_page(request: HttpRequest, job_id: int, **bound: object) -> HttpResponse:
    """The job's page; `bound` are forms that were refused, with what was typed in them."""
    try:
        sheet = read_job(job_id, timezone.localdate())
    except Job.DoesNotExist as error:
        raise Http404("There is no such job.") from error
    viewer, ids = signed_in_person(request), f"{job_id}-%s"
    today = timezone.localdate()
    context = {
        "sheet": sheet,
        "job": sheet.job,
        "my_clock": any(entry.person_id == viewer.pk for entry in sheet.running),
        "hold_form": DecisionForm(today=today, auto_id=f"hold-{ids}"),
        "note_form": NoteForm(auto_id=f"note-{ids}"),
        "photo_form": PhotoForm(auto_id=f"photo-{ids}"),
        "sign_form": SignForm(auto_id=f"sign-{ids}"),
        "time_form": TimeForm(today=today, by=viewer, auto_id=f"time-{ids}"),
        "answer_form": AnswerForm(auto_id=f"answer-{ids}"),
        **bound,
    }
    return render(request, "builds/job.html", context)


def errors_add(form: Form, error: ValidationError, names: dict[str, str] | None = None) -> None:
    """Put a service's refusal beside the field it is about, or at the head of the form."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, found in error.error_dict.items():
        field = (names or {}).get(name, name)
        form.add_error(field if field in form.fields else None, ValidationError(found))


def _press(request: HttpRequest, job_id: int, act: Act) -> HttpResponse:
    """An act that needs no words."""
    job = _job(job_id)
    try:
        said = act(job, signed_in_person(request), timezone.now())
    except ValidationError as error:
        return _refused(request, job, error)
    return _recorded(request, job, said)


def _write(request: HttpRequest, job_id: int, name: str, form: Form, act: Act) -> HttpResponse:
    """An act that comes with a form; a refusal gives the form back with what was typed."""
    job = _job(job_id)
    if form.is_valid():
        try:
            said = act(job, signed_in_person(request), timezone.now())
        except ValidationError as error:
            errors_add(form, error, {"minutes": "hours"})
        else:
            return _recorded(request, job, said)
    if is_from_today(request):
        return acts_answer(request, job, name, form)
    return job_page(request, job_id, **{f"{name}_form": form, "opened": name})


def _job(job_id: int) -> Job:
    return get_object_or_404(Job.objects.select_related("car", "done_by"), pk=job_id)


def _recorded(request: HttpRequest, job: Job, said: str) -> HttpResponse:
    if is_from_today(request):
        after = frozenset(job.links_out.values_list("after_id", flat=True))
        return today_answer(request, said, Press(job.pk, fresh_ids=after))
    if said:
        messages.success(request, said)
    return redirect(_back(request, job))


def _refused(request: HttpRequest, job: Job, error: ValidationError) -> HttpResponse:
    if is_from_today(request):
        is_held = isinstance(error, services.StillHeld)
        return today_answer(request, "", Press(job.pk, refused=tuple(error.messages), is_held=is_held))
    for message in error.messages:
        messages.error(request, message)
    return redirect(_back(request, job))


def _back(request: HttpRequest, job: Job) -> str:
    """Where the press was made, if that is a page of this server."""
    return own_address(request, request.POST.get("next", "")) or job.get_absolute_url()

"""The Today page, and the answers to presses made on it."""

from __future__ import annotations

from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET
from django_htmx.http import reswap, retarget

from builds.access import signed_in_person
from builds.forms.jobs import DecisionForm, NoteForm, PhotoForm, SignForm
from builds.models import Job, Person
from builds.sheets.today import Press, read_today


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    shown = shown_person(request, request.GET.get("person", ""))
    return render(request, "builds/today.html", _context(request, shown))


@require_GET
def job_acts(request: HttpRequest, job_id: int) -> HttpResponse:
    """What else can be done with a line: hold, note, photo. Without script the job’s page has it."""
    job = get_object_or_404(Job.objects.select_related("car", "done_by"), pk=job_id)
    return render(request, "builds/today_acts.html", _acts_context(request, job))


def is_from_today(request: HttpRequest) -> bool:
    """Whether htmx pressed this on the Today page, which then wants its list back."""
    return bool(getattr(request, "htmx", False)) and request.POST.get("from") == "today"


def today_answer(request: HttpRequest, said: str, press: Press) -> HttpResponse:
    """The whole list anew: a tick can clear jobs anywhere on it."""
    shown = shown_person(request, request.POST.get("shown", ""))
    return render(request, "builds/today.html#list", {**_context(request, shown, press), "said": said})


def acts_answer(request: HttpRequest, job: Job, name: str, form: Form) -> HttpResponse:
    """The opened line again, with what was typed and what is wrong with it."""
    context = {**_acts_context(request, job), f"{name}_form": form, "opened": name}
    answer = render(request, "builds/today_acts.html", context)
    return reswap(retarget(answer, f"#acts-{job.pk}"), "innerHTML")


def shown_person(request: HttpRequest, chosen: str) -> Person | None:
    """A fitter sees his own page; a manager everybody's, or that of the person chosen."""
    viewer = signed_in_person(request)
    if not viewer.is_manager:
        return viewer
    if not chosen:
        return None
    if not chosen.isdecimal():
        raise Http404("There is no such person.")
    return get_object_or_404(Person, pk=int(chosen), is_active=True)


def _context(request: HttpRequest, shown: Person | None, press: Press | None = None) -> dict[str, object]:
    viewer = signed_in_person(request)
    here = reverse("today") + (f"?person={shown.pk}" if shown and viewer.is_manager else "")
    return {
        "sheet": read_today(person=shown, viewer=viewer, now=timezone.now(), press=press),
        "shown": shown,
        "here": here,
        "on": timezone.localdate(),
    }


def _acts_context(request: HttpRequest, job: Job) -> dict[str, object]:
    today = timezone.localdate()
    shown = request.GET.get("shown", request.POST.get("shown", ""))
    ids = f"{job.pk}-%s"
    return {
        "job": job,
        "shown_id": shown,
        "panel": True,
        "hold_form": DecisionForm(today=today, auto_id=f"hold-{ids}"),
        "note_form": NoteForm(auto_id=f"note-{ids}"),
        "photo_form": PhotoForm(auto_id=f"photo-{ids}"),
        "sign_form": SignForm(auto_id=f"sign-{ids}"),
    }

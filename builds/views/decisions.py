"""Asking for a decision, and recording the answer."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from builds.access import signed_in_person
from builds.forms.jobs import AnswerForm, DecisionForm
from builds.models import Decision, Job
from builds.services import decisions as services
from builds.views.jobs import errors_add


@require_http_methods(["GET", "POST"])
def decision_new(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_object_or_404(Job.objects.select_related("car"), pk=job_id)
    form = DecisionForm(request.POST or None, today=timezone.localdate())
    if form.is_valid():
        try:
            services.decision_raise(
                job=job, by=signed_in_person(request), at=timezone.now(), **form.cleaned_data
            )
        except ValidationError as error:
            errors_add(form, error)
        else:
            messages.success(request, f"“{job}” is held until this is decided.")
            return redirect(job)
    return render(request, "builds/decision_new.html", {"form": form, "job": job})


@require_http_methods(["GET", "POST"])
def decision_answer(request: HttpRequest, decision_id: int) -> HttpResponse:
    asked = Decision.objects.select_related("job__car", "person", "raised_by", "decided_by")
    decision = get_object_or_404(asked, pk=decision_id)
    form = AnswerForm(request.POST or None)
    if form.is_valid():
        try:
            services.decision_answer(
                decision=decision,
                answer=form.cleaned_data["answer"],
                by=signed_in_person(request),
                at=timezone.now(),
            )
        except ValidationError as error:
            errors_add(form, error)
        else:
            messages.success(request, f"The answer to “{decision}” is recorded.")
            return redirect(decision.job)
    return render(request, "builds/decision_answer.html", {"form": form, "decision": decision})

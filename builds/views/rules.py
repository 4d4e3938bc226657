"""The rules of the trade: reading them, and writing the workshop's own."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only
from builds.forms.refusals import add_refusal
from builds.forms.rules import RuleForm, VerdictForm
from builds.sheets.rules import read_rules
from parts.models import MaterialVerdict, TradeRule
from parts.services import rules as services


@managers_only
@require_safe
def trade_rules(request: HttpRequest) -> HttpResponse:
    sheet = read_rules(request.GET.get("process", ""))
    template = "builds/trade_rules.html"
    return render(request, f"{template}#tables" if request.htmx else template, {"sheet": sheet})


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def trade_rule_new(request: HttpRequest) -> HttpResponse:
    form = RuleForm(request.POST or None)
    return _written(request, form, "New rule of the trade", lambda given: services.rule_add(**given))


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def trade_rule_edit(request: HttpRequest, rule_id: int) -> HttpResponse:
    rule = get_object_or_404(TradeRule.objects.select_related("before", "after"), pk=rule_id)
    form = RuleForm(request.POST or None, rule=rule)
    return _written(request, form, str(rule), lambda given: services.rule_change(rule=rule, **given))


@managers_only
@require_POST
def trade_rule_delete(request: HttpRequest, rule_id: int) -> HttpResponse:
    rule = get_object_or_404(TradeRule.objects.select_related("before", "after"), pk=rule_id)
    return _removed(request, str(rule), lambda: services.rule_remove(rule=rule))


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def trade_verdict_new(request: HttpRequest) -> HttpResponse:
    form = VerdictForm(request.POST or None)
    return _written(request, form, "A finish on a material", lambda given: services.verdict_add(**given))


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def trade_verdict_edit(request: HttpRequest, verdict_id: int) -> HttpResponse:
    row = get_object_or_404(MaterialVerdict.objects.select_related("process", "material"), pk=verdict_id)
    form = VerdictForm(request.POST or None, row=row)
    title = f"{row.process} on {row.material}"
    return _written(request, form, title, lambda given: services.verdict_change(row=row, **given))


@managers_only
@require_POST
def trade_verdict_delete(request: HttpRequest, verdict_id: int) -> HttpResponse:
    row = get_object_or_404(MaterialVerdict.objects.select_related("process", "material"), pk=verdict_id)
    return _removed(request, f"{row.process} on {row.material}", lambda: services.verdict_remove(row=row))


def _written(
    request: HttpRequest,
    form: forms.Form,
    title: str,
    write: Callable[[dict[str, str]], TradeRule | MaterialVerdict],
) -> HttpResponse:
    if form.is_valid():
        given = dict(form.cleaned_data)
        if "before" in form.fields or "process" in form.fields:
            del given["seen"]  # a new row was seen by nobody
        try:
            written = write(given)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"“{written}” is written. It counts on every route card from now on.")
            return redirect("trade-rules")
    return render(request, "builds/trade_rule_edit.html", {"form": form, "title": title})


def _removed(request: HttpRequest, name: str, remove: Callable[[], None]) -> HttpResponse:
    try:
        remove()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"“{name}” is removed.")
    return redirect("trade-rules")

"""Goods in, several lines at once: scanned one after the other, or ticked."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from builds.access import signed_in_person
from builds.forms.batches import readable_numbers
from builds.forms.deliveries import DeliveryForm
from builds.forms.refusals import add_refusal
from builds.network import load_workshop
from builds.sheets.deliveries import read_delivery, read_scan
from builds.sheets.moved import moved_words
from parts.models import Operation
from parts.services.days import day_words
from parts.services.deliveries import deliveries_take_in


@require_http_methods(["GET", "HEAD", "POST"])
def deliveries(request: HttpRequest) -> HttpResponse:
    """Put what was scanned on the list, or take in what is on it; what the address names is listed whole."""
    form = DeliveryForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and request.POST.get("act") == "take in":
        if form.is_valid() and _taken_in(request, form):
            return redirect("deliveries")
        return _page(request, form, _chosen(request.POST), "")
    form.is_valid()
    scan = getattr(form, "cleaned_data", {}).get("scan", "")
    if not scan:
        chosen = _chosen(request.POST) or _named(request.GET)
        return _page(request, form, chosen, "")
    scanned = read_scan(scan)
    chosen = [*scanned.operation_ids, *_chosen(request.POST)]  # the newest stands first
    return _page(request, DeliveryForm(_typed(request)), list(dict.fromkeys(chosen)), scanned.words)


def _taken_in(request: HttpRequest, form: DeliveryForm) -> bool:
    counts = form.counts()
    if form.errors:
        return False
    today = timezone.localdate()
    before = load_workshop(today)
    before.facts()  # read before anything is written
    try:
        taken = deliveries_take_in(
            counts=counts,
            on=form.cleaned_data["on"],
            by=signed_in_person(request),
            left_seen=form.left_seen(),
        )
    except ValidationError as error:
        add_refusal(form, error)
        return False
    whole = sum(bool(line.result) for line in taken)
    said = f"{len(taken)} line{'s are' if len(taken) > 1 else ' is'} in, {day_words(form.cleaned_data['on'])}"
    said += f"; of {len(taken) - whole} some pieces are still out" if whole < len(taken) else ""
    messages.success(request, f"{said}. {moved_words(before, load_workshop(today))}")
    return True


def _page(request: HttpRequest, form: DeliveryForm, chosen: list[int], words: str) -> HttpResponse:
    context = {"delivery": read_delivery(chosen, request.POST), "form": form, "words": words}
    return render(request, "builds/deliveries.html", context)


def _typed(request: HttpRequest) -> QueryDict:
    """The day as typed, and an empty field for the next scan."""
    data = request.POST.copy()
    data["scan"] = ""
    return data


def _chosen(data: QueryDict) -> list[int]:
    """As they stood on the page: a set would lose what was scanned last."""
    return [number for text in data.getlist("lines") for number in readable_numbers([text])]


def _named(query: QueryDict) -> list[int]:
    """What is out of the batch or the order in the address."""
    for name in ("batch", "order"):
        numbers = readable_numbers(query.getlist(name))
        if numbers:
            rows = Operation.objects.out().filter(**{f"{name}__in": numbers}).order_by("part__name", "pk")
            return list(rows.values_list("pk", flat=True))
    return []

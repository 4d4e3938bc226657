"""Finishing: what may go together, batches, and the note that goes out with one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from builds.access import managers_only, signed_in_person
from builds.forms.batches import BatchForm, SendForm, VersionForm, readable_numbers
from builds.models import Workshop
from builds.network import WorkshopState, load_workshop
from builds.network.calendars import public_holidays
from builds.sheets.finishing import (
    BatchSheet,
    Piece,
    read_batch,
    read_finishing,
    read_lots_like,
    read_waiting_like,
)
from builds.sheets.finishing_desk import StandingSheet, read_desk, read_standing, without_desk
from builds.sheets.leaving import compare
from parts.models import FinishingBatch, Supplier
from parts.services import batches as services

COMPOSE = "builds/batch_compose.html"


@require_GET
def finishing(request: HttpRequest) -> HttpResponse:
    state = load_workshop(timezone.localdate())
    facts = state.facts()
    sheet = read_finishing(facts)
    chooses = signed_in_person(request).is_manager and facts.has_dates
    desk = read_desk(state, sheet) if chooses else without_desk(sheet)
    return render(
        request,
        "builds/finishing.html",
        {"sheet": sheet, "desk": desk, "today": facts.today, "problems": facts.problems},
    )


@managers_only
@require_http_methods(["GET", "POST"])
def batch_new(request: HttpRequest) -> HttpResponse:
    return _compose(request, None)


@managers_only
@require_http_methods(["GET", "POST"])
def batch_change(request: HttpRequest, batch_id: int) -> HttpResponse:
    changed = get_object_or_404(FinishingBatch.objects.select_related("supplier", "process"), pk=batch_id)
    if changed.sent_on is not None:
        messages.error(request, "It has gone out: nothing about it can be changed any more.")
        return redirect("batch", batch_id)
    return _compose(request, changed)


@require_GET
def batch(request: HttpRequest, batch_id: int) -> HttpResponse:
    return _batch_page(request, batch_id, None)


@managers_only
@require_POST
def batch_send(request: HttpRequest, batch_id: int) -> HttpResponse:
    going = get_object_or_404(FinishingBatch, pk=batch_id)
    form = SendForm(request.POST)
    if form.is_valid():
        said = form.cleaned_data
        try:
            services.batch_send(
                batch=going,
                on=said["on"],
                by=signed_in_person(request),
                promised_on=said["promised_on"],
                leave_behind=said["stays"],
                version=said["version"],
            )
        except ValidationError as error:
            _add_errors(form, error)
        else:
            messages.success(request, f"Recorded: {going} is out. Goods in is on the Waiting sheet.")
            return redirect("batch", batch_id)
    return _batch_page(request, batch_id, form)


@managers_only
@require_POST
def batch_take_back(request: HttpRequest, batch_id: int) -> HttpResponse:
    sent = get_object_or_404(FinishingBatch, pk=batch_id)
    form = VersionForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was taken back: reload the page and press again.")
        return redirect("batch", batch_id)
    try:
        services.batch_take_back(
            batch=sent, by=signed_in_person(request), version=form.cleaned_data["version"]
        )
    except ValidationError as error:
        _say(request, error)
    else:
        messages.success(request, f"Taken back: {sent} is here and waits as before.")
    return redirect("batch", batch_id)


@managers_only
@require_POST
def batch_dissolve(request: HttpRequest, batch_id: int) -> HttpResponse:
    gone = get_object_or_404(FinishingBatch, pk=batch_id)
    name = str(gone)
    form = VersionForm(request.POST)
    if not form.is_valid():
        messages.error(request, "The batch was not dissolved: reload the page and press again.")
        return redirect("batch", batch_id)
    try:
        services.batch_dissolve(batch=gone, version=form.cleaned_data["version"])
    except ValidationError as error:
        _say(request, error)
        return redirect("finishing")
    messages.success(request, f"Dissolved: {name}. Its pieces are free for another.")
    return redirect("finishing")


# Making up a batch


def _compose(request: HttpRequest, changed: FinishingBatch | None) -> HttpResponse:
    """Tick pieces, choose, see what it does; a POST saves what was seen."""
    today = timezone.localdate()
    state = load_workshop(today)
    facts = state.facts()
    data = request.POST if request.method == "POST" else _seen(request.GET, changed)
    ticked = readable_numbers(data.getlist("operation"))
    shown = read_lots_like(ticked, facts, changed)
    pieces = [piece for sheet in shown for piece in sheet.pieces]
    suppliers = _finishers(pieces)
    form = BatchForm(_with_supplier(data, pieces, ticked), suppliers=suppliers, today=today)
    saved = _checked(request, form, changed, today)
    if saved is not None:
        messages.success(request, f"{'Changed' if changed else 'Made'}: {saved}.")
        return redirect("batch", saved.pk)
    chosen = [piece for piece in pieces if piece.id in ticked]
    context = {
        "batch": changed,
        "lots": shown,
        "ticked": ticked,
        "form": form,
        "suppliers": suppliers,
        "comparison": _comparison(state, chosen, form),
        "chosen": chosen,
    }
    return render(request, f"{COMPOSE}#effects" if request.htmx else COMPOSE, context)  # type: ignore[attr-defined]


def _seen(query: QueryDict, changed: FinishingBatch | None) -> QueryDict:
    """What the address says, or what the batch is now where it says nothing."""
    data = query.copy()
    if changed is not None and "look" not in data:
        numbers = changed.operations.values_list("pk", flat=True)
        data.setlist("operation", [str(number) for number in numbers])
        data["supplier"], data["leaves"] = str(changed.supplier_id), changed.leaves
        data["planned_on"] = changed.planned_on.isoformat() if changed.planned_on else ""
        data["note"], data["version"] = changed.note, str(changed.version)
    data.setdefault("leaves", FinishingBatch.Leaves.WHEN_READY)
    return data


def _finishers(pieces: Sequence[Piece]) -> list[Supplier]:
    """Who offers all the processes of these pieces: one, unless somebody mixed lots."""
    found = Supplier.objects.all()
    for process_id in {piece.operation.process_id for piece in pieces}:
        found = found.filter(processes=process_id)
    return list(found) if pieces else []


def _with_supplier(data: QueryDict, pieces: Sequence[Piece], ticked: Collection[int]) -> QueryDict:
    """The same data; with nobody chosen yet, the finisher that most of the route cards name."""
    if "supplier" in data:
        return data
    named = Counter(piece.operation.supplier_id for piece in pieces if piece.id in ticked)
    filled = data.copy()
    if named:
        filled["supplier"] = str(named.most_common(1)[0][0])
    return filled


def _checked(
    request: HttpRequest, form: BatchForm, changed: FinishingBatch | None, today: date
) -> FinishingBatch | None:
    """Save on POST, else only check; what is wrong stands on the form."""
    if not form.is_valid():
        return None
    said = form.cleaned_data
    arguments = {
        "operation_ids": said["operation"],
        "supplier": said["supplier"],
        "leaves": said["leaves"],
        "planned_on": said["planned_on"],
        "today": today,
        "batch": changed,
        "public_holidays": _public_holidays(today),
    }
    try:
        if request.method == "POST":
            return services.batch_save(**arguments, note=said["note"], version=said["version"])
        services.batch_check(**arguments)
    except ValidationError as error:
        _add_errors(form, error)
    return None


def _public_holidays(today: date) -> frozenset[date]:
    workshop = Workshop.objects.current()
    return public_holidays(workshop.country, workshop.region, today.year, today.year + 4)


def _comparison(state: WorkshopState, chosen: Sequence[Piece], form: BatchForm) -> object:
    planned_on = form.cleaned_data.get("planned_on") if form.cleaned_data.get("leaves") == "fixed" else None
    return compare(state, chosen, planned_on) if chosen else None


# One batch


def _batch_page(request: HttpRequest, batch_id: int, form: SendForm | None) -> HttpResponse:
    """`form` is a refused goods out, shown again with what was typed."""
    today = timezone.localdate()
    shown = get_object_or_404(FinishingBatch.objects.select_related("supplier", "process"), pk=batch_id)
    state = load_workshop(today)
    waiting = shown.sent_on is None
    alike = read_waiting_like(shown, state.facts()) if waiting else (read_batch(shown, state.facts()),)
    sheet = next(found for found in alike if found.batch.pk == shown.pk)
    # at first without the dates with people; the page then fetches them
    dated = state.dated() if "people" in request.GET else None
    stays = form["stays"].value() if form else [str(piece.id) for piece in sheet.not_ready]
    return render(
        request,
        "builds/batch.html",
        {
            "sheet": sheet,
            "batch": shown,
            "waiting": waiting,
            "with_people": dated is not None,
            "problems": dated.problems if dated else (),
            "comparison": compare(state, sheet.pieces, shown.planned_on, dated)
            if waiting and sheet.pieces
            else None,
            "form": form or SendForm(initial={"on": today, "version": shown.version}),
            "stays": readable_numbers(stays),
            "standing": _standing(request, state, sheet, alike) if waiting else None,
            "today": today,
        },
    )


def _standing(
    request: HttpRequest, state: WorkshopState, sheet: BatchSheet, alike: Sequence[BatchSheet]
) -> StandingSheet | None:
    """For those who choose: the batch, with those of its finish, against the best answer now."""
    if not signed_in_person(request).is_manager or not state.facts().has_dates:
        return None
    return read_standing(state, sheet, alike)


# Refusals


def _add_errors(form: BatchForm | SendForm, error: ValidationError) -> None:
    """Put each sentence where it belongs; one about a field that the form lacks goes to its head."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for field, errors in error.error_dict.items():
        form.add_error(field if field in form.fields else None, errors)


def _say(request: HttpRequest, error: ValidationError) -> None:
    for sentence in error.messages:
        messages.error(request, sentence)

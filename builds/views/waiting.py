"""Waiting on suppliers, the chase list, and goods out, goods in and promises for one line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.addresses import own_address
from builds.forms.refusals import add_refusal
from builds.forms.waiting import ASIDE, GoodsInForm, GoodsOutForm, MissingForm, NextForm, PromiseForm
from builds.models import Person
from builds.network import load_workshop
from builds.sheets.chasing import read_chase_list
from builds.sheets.moved import moved_words
from builds.sheets.waiting import read_waiting
from parts.models import Operation, Part
from parts.services import operations as services
from parts.services import short_pieces
from parts.services.days import day_words
from parts.services.pieces import count_of
from parts.services.promises import supplier_promise
from parts.services.suppliers import shut_words


@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/waiting.html", _waiting_context())


@require_safe
def chase_list(request: HttpRequest) -> HttpResponse:
    state = load_workshop(timezone.localdate())
    is_manager = signed_in_person(request).is_manager
    return render(
        request, "builds/chase_list.html", {"chase": read_chase_list(state, with_customers=is_manager)}
    )


@require_http_methods(["GET", "HEAD", "POST"])
def goods_in(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation, person = _operation(operation_id), signed_in_person(request)
    form = GoodsInForm(
        request.POST or None,
        request.FILES or None,
        operation=operation,
        is_manager=person.is_manager,
        **_shown(request, operation),
    )
    return _act(request, operation, form, "goods_in", lambda: _take_in(operation, form, person))


@require_http_methods(["GET", "HEAD", "POST"])
def goods_out(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation, person = _operation(operation_id), signed_in_person(request)
    form = GoodsOutForm(request.POST or None, operation=operation, **_shown(request, operation))
    return _act(request, operation, form, "goods_out", lambda: _send(operation, form, person))


@require_http_methods(["GET", "HEAD", "POST"])
def operation_promise(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation, person = _operation(operation_id), signed_in_person(request)
    form = PromiseForm(request.POST or None, **_shown(request, operation))
    return _act(request, operation, form, "promise", lambda: _promise(operation, form, person))


WAYS = {
    MissingForm.GO_ON: short_pieces.pieces_go_on_without,
    MissingForm.AGAIN: short_pieces.pieces_make_again,
}


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def pieces_missing(request: HttpRequest, operation_id: int) -> HttpResponse:
    """What is to be done about pieces that did not come back with the others."""
    operation, person = _operation(operation_id), signed_in_person(request)
    given = request.POST if request.method == "POST" else None
    form = MissingForm(given, operation=operation, **_shown(request, operation))
    if form.is_valid():
        before = load_workshop(timezone.localdate())
        before.facts()
        try:
            said = _missing_done(operation, form, person)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            moved = moved_words(before, load_workshop(timezone.localdate()))
            messages.success(request, f"{said} {moved}")
            return redirect(_next(request, form, operation))
    context = {"operation": operation, "form": form, "count": count_of(operation)}
    return render(request, "builds/waiting_missing.html", context)


def _missing_done(operation: Operation, form: MissingForm, by: Person) -> str:
    way = form.cleaned_data["way"]
    if way == MissingForm.ENOUGH:
        part = short_pieces.pieces_do_without(operation=operation, by=by)
        return f"{part} is {part.quantity} off now."
    part = WAYS[way](operation=operation, by=by, needed_by=form.cleaned_data["needs"])
    if part.pk == operation.part_id:
        return f"{part} is made again: its route card begins anew."
    return f"“{part}” is a part of its own now, {part.quantity} off."


@managers_only
@require_POST
def pieces_together(request: HttpRequest, part_id: int) -> HttpResponse:
    """Undo a parting of pieces."""
    part = get_object_or_404(Part, pk=part_id)
    try:
        whole = short_pieces.pieces_together_again(part=part, by=signed_in_person(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(part)
    messages.success(request, f"“{part}” is one part with “{whole}” again, {whole.quantity} off.")
    return redirect(whole)


@managers_only
@require_POST
def operation_take_back(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = _operation(operation_id)
    form = NextForm(request.POST)
    try:
        line = services.operation_take_back(operation=operation, by=signed_in_person(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Taken back: “{line}” is {line.state} again.")
    return redirect(_next(request, form, operation))


def _operation(operation_id: int) -> Operation:
    rows = Operation.objects.select_related("part__car", "process", "supplier", "batch", "sent_drawing")
    return get_object_or_404(rows, pk=operation_id)


def _shown(request: HttpRequest, operation: Operation) -> dict[str, Any]:
    """The page it came from, and ids of its own: forms of several lines may be open on one page."""
    return {"initial": {"next": request.GET.get("next", "")}, "auto_id": f"line-{operation.pk}-%s"}


def _act(
    request: HttpRequest, operation: Operation, form: NextForm, name: str, act: Callable[[], str]
) -> HttpResponse:
    """Show the form; or do it, and show the page that it came from. A refusal comes back in the form."""
    if form.is_valid():
        before = load_workshop(timezone.localdate())
        before.facts()  # read before anything is written
        try:
            said = f"{act()} {moved_words(before, load_workshop(timezone.localdate()))}"
        except ValidationError as error:
            if error_code(error) == services.ALREADY:
                return _done(request, operation, form, " ".join(error.messages), messages.INFO)
            add_refusal(form, error)
        else:
            return _done(request, operation, form, said, messages.SUCCESS)
    context = {"operation": operation, "form": form, **_beforehand(operation)}
    if request.htmx:  # type: ignore[attr-defined]
        response = render(request, f"builds/waiting_{name}.html#form", context)
        # a refusal belongs below its own line; what worked redraws the whole list
        response["HX-Retarget"], response["HX-Reswap"] = f"#act-{operation.pk}", "innerHTML"
        return response
    return render(request, f"builds/waiting_{name}.html", context)


def error_code(error: ValidationError) -> str | None:
    """The code of a refusal that is one sentence; None for those that name fields."""
    return None if hasattr(error, "error_dict") else error.error_list[0].code


def _done(request: HttpRequest, operation: Operation, form: NextForm, said: str, level: int) -> HttpResponse:
    messages.add_message(request, level, said)
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "builds/waiting.html#list", {**_waiting_context(), "is_swap": True})
    return redirect(_next(request, form, operation))


def _next(request: HttpRequest, form: NextForm, operation: Operation) -> str:
    wanted = form.cleaned_data.get("next", "") if form.is_valid() else ""
    return own_address(request, wanted) or operation.part.get_absolute_url()


def _waiting_context() -> dict[str, object]:
    today = timezone.localdate()
    facts = load_workshop(today).facts()
    return {"sheet": read_waiting(facts), "problems": facts.problems, "today": today}


def _beforehand(operation: Operation) -> dict[str, object]:
    """What somebody should know before anything is recorded about a line that is still to do."""
    if operation.sent_on is not None:
        return {}
    shut = shut_words(operation.supplier, timezone.localdate()) if operation.supplier else ""
    return {"comes_first": services.comes_first(operation), "shut": shut}


def _take_in(operation: Operation, form: GoodsInForm, by: Person) -> str:
    given = form.cleaned_data
    on = operation.back_on or given["on"]
    if given["verdict"] == ASIDE:
        services.operation_take_in(operation=operation, on=on, by=by)
        return f"“{operation}” is back, goods in {day_words(on)}, and still to be checked."
    figures = form.figures
    line = services.operation_count_in(
        operation=operation,
        on=on,
        by=by,
        **figures,
        reason=given["reason"],
        photo=given["photo"],
        cost=given.get("cost"),
        rework=given["rework"],
        left_seen=given["left_seen"],
    )
    return f"{_came_words(line, on)}{_wrong_words(line, figures['rejected'])}"


def _came_words(line: Operation, on: date) -> str:
    if line.result:
        return f"“{line}” is {line.result}, goods in {day_words(on)}."
    count = count_of(line)
    left = f" {count.left} {'is' if count.left == 1 else 'are'} still out." if count.left else ""
    lost = " Somebody has to say what is done about the lost ones." if count.lost else ""
    return f"“{line}”: {count.words}, goods in {day_words(on)}.{left}{lost}"


def _wrong_words(line: Operation, rejected: int) -> str:
    if not rejected:
        return ""
    rework = Operation.objects.filter(reworks=line).select_related("supplier").first()
    if rework is None:
        return " Add the line that makes it good to its route card."
    where = rework.supplier.name if rework.supplier else "our own bench"
    return f" What is wrong goes again to {where}: line {rework.sequence} of its route card."


def _send(operation: Operation, form: GoodsOutForm, by: Person) -> str:
    given = form.cleaned_data
    line = services.operation_send(
        operation=operation, on=given["on"], by=by, promised_on=given.get("promised_on")
    )
    word = services.gone_word(operation.process)
    said = f"“{operation}” is {word} since {day_words(given['on'])}."
    if line.sent_drawing:
        said += f" Drawing revision {line.sent_drawing.revision} goes with it."
    shut = shut_words(operation.supplier, given["on"]) if operation.supplier else ""
    return f"{said} {shut}".strip()


def _promise(operation: Operation, form: PromiseForm, by: Person) -> str:
    given = form.cleaned_data
    supplier_promise(
        operation=operation, promised_on=given["promised_on"], on=given["on"], by=by, note=given["note"]
    )
    return f"“{operation}” is promised for {day_words(given['promised_on'])}."

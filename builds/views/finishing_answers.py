"""The batch calculation: one lot's own page, and choosing an answer."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from builds.access import managers_only
from builds.batching.working import NotWorkedOut
from builds.forms.answers import AskForm, ChooseForm
from builds.network import WorkshopState, load_workshop
from builds.network.calendars import public_holidays
from builds.sheets.finishing import read_finishing
from builds.sheets.finishing_answers import cost_words, days_words, title
from builds.sheets.finishing_desk import day_worth_pence
from builds.sheets.finishing_lot import Pool, find_pool, read_lot
from parts.batching.answers import Answer
from parts.models import FinishingBatch, Operation
from parts.services.batches import LotPlan, batches_plan

CHANGED = (
    "The answers have changed since the page was made: a piece, a price or the day. Nothing was planned. "
    "Look at them again and choose."
)


@managers_only
@require_safe
def finishing_lot(request: HttpRequest, lot_id: int) -> HttpResponse:
    form = AskForm(request.GET)
    form.is_valid()
    state = load_workshop(timezone.localdate())
    try:
        pool = _pool(state, lot_id, form)
    except NotWorkedOut as refusal:
        messages.error(request, str(refusal))
        return redirect("finishing")
    page = read_lot(state, pool)
    return render(request, "builds/finishing_lot.html", {"page": page, "answers": page.answers, "form": form})


@managers_only
@require_POST
def finishing_choose(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Plan the batches of an answer, if it is still the answer that was seen."""
    get_object_or_404(Operation, pk=lot_id)
    form = ChooseForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was planned: reload the page and choose again.")
        return redirect("finishing")
    state = load_workshop(timezone.localdate())
    try:
        pool = _pool(state, lot_id, form)
    except NotWorkedOut:
        messages.error(request, CHANGED)
        return redirect("finishing")
    number = form.cleaned_data["answer"]
    if pool.working.seen != form.cleaned_data["seen"] or number >= len(pool.working.answers):
        messages.error(request, CHANGED)
        return redirect("finishing")
    try:
        made = _plan(state, pool, pool.working.answers[number])
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)
        return redirect("finishing")
    names = ", ".join(f"batch {batch.pk}" for batch in made)
    messages.success(request, f"Planned: {names} for {pool.working.supplier}.")
    return redirect("batch", made[0].pk) if len(made) == 1 else redirect("finishing")


def _pool(state: WorkshopState, lot_id: int, form: AskForm) -> Pool:
    pool = find_pool(
        state,
        read_finishing(state.facts()),
        lot_id,
        supplier_id=form.cleaned_data.get("finisher"),
        day_pence=day_worth_pence() if form.day_pence is None else form.day_pence,
    )
    if pool is None:
        raise Http404
    return pool


def _plan(state: WorkshopState, pool: Pool, answer: Answer) -> list[FinishingBatch]:
    working, today = pool.working, state.model.today
    lost = days_words(answer.days_lost) if answer.days_lost else "no day"
    return batches_plan(
        lots=[LotPlan(lot.piece_ids, working.leaves_on(lot)) for lot in answer.lots],
        supplier=working.supplier,
        because=(
            f"{title(working, answer)}: {cost_words(working, answer)}, {lost} of first start-up lost. "
            f"{working.reason_for(answer)}"
        ),
        today=today,
        instead_of=pool.versions,
        public_holidays=_holidays(state, today),
    )


def _holidays(state: WorkshopState, today: date) -> frozenset[date]:
    rows = state.model.rows
    return public_holidays(rows.country, rows.region, today.year, today.year + 4)

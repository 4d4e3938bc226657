"""Papers of a loom as PDF: labels, pin-outs, form board."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.module_loading import import_string
from django.views.decorators.http import require_GET

from engineering.bench.board import (
    MOST_SHEETS,
    PAPERS,
    Board,
    Paper,
    board_of,
    full_size,
    overview,
    sheets_of,
)
from engineering.bench.labels import labels_context
from engineering.bench.pins import read_pin_outs
from engineering.models import CalcSheet
from engineering.sheets import KINDS
from engineering.sheets.kind import NO_COMPLIANCE

CHECK_RULE = [
    {"at": 2 + mm, "to": 1.5 if mm % 50 == 0 else 3 if mm % 10 == 0 else 4.5} for mm in range(0, 101, 5)
]
"""Graduations of the rule by which a print is checked, in mm on the paper."""


@require_GET
def loom_labels(request: HttpRequest, loom_id: int) -> HttpResponse:
    """Labels for both ends of every wire; `?ratio=3` for sleeves of 3:1."""
    sheet = loom_or_404(loom_id)
    ratio = 3 if request.GET.get("ratio") == "3" else 2
    context = labels_context(sheet, ratio) | {"what": "Labels of the wires"}
    return pdf_answer(
        "engineering/print_labels.html", context, f"labels-{sheet.pk}-revision-{sheet.revision}"
    )


@require_GET
def loom_pin_outs(request: HttpRequest, loom_id: int) -> HttpResponse:
    """What goes into each cavity; `?connector=` shows one."""
    sheet = loom_or_404(loom_id)
    return render(request, "engineering/pin_outs.html", _pins_context(request, sheet))


@require_GET
def loom_pin_outs_print(request: HttpRequest, loom_id: int) -> HttpResponse:
    sheet = loom_or_404(loom_id)
    context = _pins_context(request, sheet)
    if context["refusal"]:
        messages.error(request, context["refusal"])
        return redirect("loom-pin-outs", sheet.pk)
    return pdf_answer(
        "engineering/print_pin_outs.html", context, f"pin-outs-{sheet.pk}-revision-{sheet.revision}"
    )


def _pins_context(request: HttpRequest, sheet: CalcSheet) -> dict[str, Any]:
    found, refusal = read_pin_outs(sheet)
    connector = request.GET.get("connector", "")[:80]
    return {
        "sheet": sheet,
        "job": sheet.job,
        "what": "Pin-outs of the connectors",
        "all_pins": found,
        "pins": [one for one in found if connector in ("", one.name)],
        "connector": connector,
        "refusal": refusal,
        "notes": sheet.results["notes"],
        "no_compliance": NO_COMPLIANCE,
    }


@require_GET
def loom_board(request: HttpRequest, loom_id: int) -> HttpResponse:
    """The form board: an overview to scale, or full size on `?paper=a4` or `a3`."""
    sheet = loom_or_404(loom_id)
    board = board_of(sheet)
    if board is None:
        messages.error(request, "No run has a wire with a size yet, so there is nothing to lay on a board.")
        return redirect(sheet)
    paper = PAPERS.get(request.GET.get("paper", ""))
    name = f"form-board-{sheet.pk}-revision-{sheet.revision}"
    if paper is not None and len(sheets_of(board, paper)) > MOST_SHEETS:
        messages.error(
            request, f"Full size on {paper.name} takes more than {MOST_SHEETS} sheets: take larger paper."
        )
        return redirect(sheet)
    context = _board_context(sheet, board, paper)
    return pdf_answer("engineering/print_board.html", context, f"{name}-{paper.name}" if paper else name)


def _board_context(sheet: CalcSheet, board: Board, paper: Paper | None) -> dict[str, Any]:
    view = overview(board)
    bar = float(view["bar"]["long"])
    return {
        "sheet": sheet,
        "job": sheet.job,
        "what": "Form board",
        "style": paper.style if paper else PAPERS["a4"].style,
        "paper": paper,
        "pages": full_size(board, paper) if paper else [],
        "view": view,
        "bar_width": f"{bar + 40:.2f}",
        "bar_end": f"{bar + 1:.2f}",
        "tail": f"{sheet.inputs['tail_mm']:g}",
        "shown": KINDS["loom"].show(sheet.inputs, sheet.results),
        "joints": sorted(board.names_at.items()),
    }


def loom_or_404(loom_id: int) -> CalcSheet:
    """The sheet, if it is one of a loom."""
    looms = CalcSheet.objects.filter(kind="loom").select_related("job__car", "made_by")
    return get_object_or_404(looms, pk=loom_id)


def pdf_answer(template: str, context: dict[str, Any], name: str) -> HttpResponse:
    """A template of a paper, drawn."""
    pdf = import_string(settings.PDF_RENDERER)(template, context | {"rule_mm": CHECK_RULE})
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)

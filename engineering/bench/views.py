"""Pages of the bench. Everybody signed in may use them."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from engineering.bench import services
from engineering.bench.page import STILL, BenchPage, Wanted
from engineering.bench.readings import ReadingForm, compare
from engineering.loom.bench import expected_ohm, ohm_words, volt_words
from engineering.loom.copper import voltage_drop_v
from engineering.loom.cutting import CutRow
from engineering.models import Bench, BenchChange, BenchReading, CalcSheet
from engineering.sheets.kind import NO_COMPLIANCE


@require_POST
def bench_take(request: HttpRequest, sheet_id: int) -> HttpResponse:
    """Cut from this revision."""
    sheet = get_object_or_404(CalcSheet.objects.select_related("job"), pk=sheet_id)
    try:
        bench = services.bench_take(sheet=sheet, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(sheet)
    messages.success(request, f"Revision {sheet.revision} is at the bench: cut from this one.")
    return redirect(bench)


@require_GET
def bench(request: HttpRequest, bench_id: int) -> HttpResponse:
    page = BenchPage(_bench_or_404(bench_id), _wanted(request))
    return render(request, "engineering/bench.html", _context(request, page))


@require_POST
def bench_tick(request: HttpRequest, bench_id: int) -> HttpResponse:
    """Tick one box, or take its tick back."""
    loom = _bench_or_404(bench_id)
    act, step, sent, label = (*request.POST.get("act", "").split(" ", 3), "", "", "", "")[:4]
    refusal = ""
    if act not in ("tick", "untick"):
        refusal = "Press one of the boxes: nothing was recorded."
    else:
        try:
            services.bench_tick(
                bench=loom,
                label=label,
                step=step,
                seen=_seen(sent, loom),
                is_done=act == "tick",
                by=request.user,
                at=timezone.now(),
            )
        except ValidationError as error:
            refusal = " ".join(error.messages)
    return _answer(request, loom, label, refusal)


def _answer(request: HttpRequest, loom: Bench, label: str, refusal: str) -> HttpResponse:
    page = BenchPage(_bench_or_404(loom.pk), _wanted(request), {label: refusal})
    if getattr(request, "htmx", False) and label in page.rows:
        context = _context(request, page) | {"line": page.line(label), "is_piece": True}
        return render(request, "engineering/bench.html#answer", context)
    if refusal:
        messages.error(request, refusal)
    back = _page_address(request, page.bench)
    if getattr(request, "htmx", False):  # the wire is gone: its line cannot be shown again
        return HttpResponse(headers={"HX-Redirect": back})
    row = page.rows.get(label)
    return redirect(f"{back}#wire-{row.order}" if row else back)


@require_POST
def bench_change_seen(request: HttpRequest, bench_id: int, change_id: int) -> HttpResponse:
    """Say that what a newer revision asks for has been seen to, or take that back."""
    change = get_object_or_404(BenchChange.objects.select_related("bench"), pk=change_id, bench_id=bench_id)
    services.bench_change_seen(
        change=change, is_seen=request.POST.get("act") != "untick", by=request.user, at=timezone.now()
    )
    return redirect(f"{_page_address(request, change.bench)}#changes")


@require_http_methods(["GET", "POST"])
def bench_wire(request: HttpRequest, bench_id: int, laying_no: int) -> HttpResponse:
    """One wire: its readings beside the calculation, and a form for the next."""
    page = BenchPage(_bench_or_404(bench_id))
    row = next((row for row in page.rows.values() if row.order == laying_no), None)
    if row is None:
        raise Http404("There is no such wire at the bench.")
    form = ReadingForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and _keep_reading(request, page.bench, form):
        messages.success(request, f"{request.POST.get('label')}: the reading is kept.")
        return redirect("bench-wire", bench_id, laying_no)
    return render(request, "engineering/bench_wire.html", _wire_context(page, row, form))


def _keep_reading(request: HttpRequest, loom: Bench, form: ReadingForm) -> bool:
    try:
        services.bench_reading_keep(
            bench=loom,
            label=request.POST.get("label", ""),
            seen=_seen(request.POST.get("sheet", ""), loom),
            given=form.given(),
            by=request.user,
            at=timezone.now(),
        )
    except ValidationError as error:
        form.add_error(None, error.messages)  # type: ignore[arg-type]  # a list is allowed
        return False
    return True


@require_POST
def bench_reading_take_back(request: HttpRequest, bench_id: int, reading_id: int) -> HttpResponse:
    """Remove a reading that was typed wrongly."""
    reading = get_object_or_404(
        BenchReading.objects.select_related("bench__sheet"), pk=reading_id, bench_id=bench_id
    )
    row = services.cut_rows(reading.bench.sheet).get(reading.label)
    services.bench_reading_take_back(reading=reading)
    messages.success(request, f"{reading.label}: the reading is taken back.")
    return redirect("bench-wire", bench_id, row.order) if row else redirect(reading.bench)


def _bench_or_404(bench_id: int) -> Bench:
    return get_object_or_404(Bench.objects.with_sheet(), pk=bench_id)


def _seen(sent: str, loom: Bench) -> CalcSheet:
    """The revision that the tablet showed. Raises ValidationError if it is none of this loom's."""
    if sent == str(loom.sheet_id):
        return loom.sheet
    known = CalcSheet.objects.of(loom.job_id, "loom", loom.title)
    found = (
        known.filter(pk=int(sent)).first() if sent.isascii() and sent.isdigit() and len(sent) < 12 else None
    )
    if found is None:
        raise ValidationError("That page is not of this loom any more: reload it. Nothing was recorded.")
    return found


def _wanted(request: HttpRequest) -> Wanted:
    given = {name: request.GET.get(name, "")[:80] for name in ("still", "run", "connector")}
    if given["still"] not in dict(STILL):
        given["still"] = ""
    return Wanted(**given)


def _page_address(request: HttpRequest, loom: Bench) -> str:
    query = request.GET.urlencode()
    return reverse("bench", args=[loom.pk]) + (f"?{query}" if query else "")


def _context(request: HttpRequest, page: BenchPage) -> dict[str, Any]:
    return {
        "page": page,
        "bench": page.bench,
        "sheet": page.bench.sheet,
        "job": page.bench.job,
        "still": STILL,
        "query": request.GET.urlencode(),
        "notes": page.bench.sheet.results["notes"],
        "no_compliance": NO_COMPLIANCE,
    }


def _wire_context(page: BenchPage, row: CutRow, form: ReadingForm) -> dict[str, Any]:
    sheet = page.bench.sheet
    wire = next((wire for wire in sheet.results["wires"] if wire["label"] == row.label), {})
    running_c = page.running_c.get(row.label, 20.0)
    ohm = expected_ohm(row.size, row.cut_mm)
    current_a = wire.get("current_a", 0.0)
    return {
        "bench": page.bench,
        "sheet": sheet,
        "job": page.bench.job,
        "line": page.line(row.label),
        "row": row,
        "form": form,
        "ohm": ohm_words(ohm),
        "load": f"{current_a:.1f}" if current_a else "",
        "cold": volt_words(voltage_drop_v(current_a, ohm, 1)),
        "warm": volt_words(voltage_drop_v(current_a, ohm, 1, running_c)),
        "running": f"{running_c:.0f}",
        "compared": [
            compare(reading, row, running_c)
            for reading in page.bench.readings.filter(label=row.label).select_related("by")
        ],
        "before": _neighbour(page, row, -1),
        "after": _neighbour(page, row, 1),
        "notes": sheet.results["notes"],
        "no_compliance": NO_COMPLIANCE,
    }


def _neighbour(page: BenchPage, row: CutRow, step: int) -> CutRow | None:
    return next((other for other in page.rows.values() if other.order == row.order + step), None)

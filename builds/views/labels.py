"""Goods-out notes and labels as PDF, and the page that the code on a label opens."""

from __future__ import annotations

from collections.abc import Sequence

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from builds.access import signed_in_person
from builds.codes import tablet_address
from builds.forms.waiting import GoodsInForm
from builds.models import Workshop
from builds.network import load_workshop
from builds.sheets import goods_out_note as notes
from builds.sheets.part import read_part
from parts.models import FinishingBatch, Operation, Part


@require_safe
def batch_note(request: HttpRequest, batch_id: int) -> HttpResponse:
    """What goes with the batch; no customer and no prices stand on it."""
    batch = get_object_or_404(FinishingBatch.objects.select_related("supplier", "process"), pk=batch_id)
    workshop = _workshop()
    note = notes.batch_note(batch, _address(request, workshop))
    return _note_pdf(workshop, note, f"goods-out-note-{batch.pk}")


@require_safe
def operation_note(request: HttpRequest, operation_id: int) -> HttpResponse:
    """The same for one part that goes out by itself."""
    operation = _operation(operation_id)
    if operation.supplier is None:
        messages.error(request, f"“{operation}” is done in our own workshop: no note goes with it.")
        return redirect(operation.part)
    workshop = _workshop()
    note = notes.single_note(operation, _address(request, workshop))
    return _note_pdf(workshop, note, f"goods-out-note-{slugify(operation.part.name)}")


@require_safe
def batch_labels(request: HttpRequest, batch_id: int) -> HttpResponse:
    batch = get_object_or_404(FinishingBatch, pk=batch_id)
    rows = notes.note_lines(Operation.objects.filter(batch=batch)).order_by("part__car__name", "part__name")
    return _labels_pdf(request, list(rows), f"batch-{batch.pk}", reverse("batch", args=[batch.pk]))


@require_safe
def operation_labels(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = _operation(operation_id)
    return _labels_pdf(request, [operation], slugify(operation.part.name), operation.part.get_absolute_url())


@require_safe
def label(request: HttpRequest, workshop_code: str, part_code: str) -> HttpResponse:
    """What can be done now with the piece that carries the label."""
    if workshop_code.lower() != _workshop().code.lower():
        return _refused(request, is_ours=False)
    part = Part.objects.filter(code=part_code.upper()).first() if part_code.isalnum() else None
    if part is None:
        return _refused(request, is_ours=True)
    sheet = read_part(part.pk, load_workshop(timezone.localdate()).facts())
    at = next((line for line in sheet.lines if not line.operation.result), None)
    form = None
    if at is not None and at.can_take_in:
        form = GoodsInForm(
            operation=at.operation,
            is_manager=signed_in_person(request).is_manager,
            initial={"next": request.path},
            auto_id=f"line-{at.operation.pk}-%s",
        )
    context = {"sheet": sheet, "line": at, "form": form, "operation": at.operation if at else None}
    return render(request, "builds/label.html", context)


def _workshop() -> Workshop:
    """The workshop with the code that all its labels carry, which it keeps from the first label on."""
    workshop = Workshop.objects.current()
    if workshop._state.adding:
        workshop.save()
    return workshop


def _operation(operation_id: int) -> Operation:
    return get_object_or_404(notes.note_lines(Operation.objects.all()), pk=operation_id)


def _address(request: HttpRequest, workshop: Workshop) -> notes.Address:
    """The address in the code of a line: that of its part's label."""

    def address(operation: Operation) -> str:
        return tablet_address(request, reverse("label", args=[workshop.code, operation.part.code]))

    return address


def _note_pdf(workshop: Workshop, note: notes.Note, name: str) -> HttpResponse:
    context = {"workshop": workshop, "note": note, "today": timezone.localdate()}
    pdf = import_string(settings.PDF_RENDERER)("print/goods_out_note.html", context, images=note.images)
    return _pdf(pdf, name)


def _labels_pdf(request: HttpRequest, operations: Sequence[Operation], name: str, back: str) -> HttpResponse:
    """`each` in the address says whether a bag or a piece gets a label."""
    each = "piece" if request.GET.get("each") == "piece" else "bag"
    over = notes.too_many(operations) if each == "piece" else None
    if over is not None:
        messages.error(
            request,
            f"“{over.part}” is {over.pieces:,} off: nobody sticks so many labels. Print one for the bag.",
        )
        return redirect(back)
    if not operations:
        messages.error(request, "Nothing is in it, so there is no label to print.")
        return redirect(back)
    workshop = _workshop()
    labels, images = notes.labels(operations, each=each, address=_address(request, workshop))
    context = {"workshop": workshop, "labels": labels, "name": name}
    pdf = import_string(settings.PDF_RENDERER)("print/labels.html", context, images=images)
    return _pdf(pdf, f"labels-{name}")


def _pdf(pdf: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


def _refused(request: HttpRequest, *, is_ours: bool) -> HttpResponse:
    return render(request, "builds/label_refused.html", {"is_ours": is_ours}, status=404)

"""Purchase orders: made for one supplier, shown, printed, changed and taken back."""

from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.batches import VersionForm
from builds.forms.orders import SOON, OrderChangeForm, OrderNewForm
from builds.forms.refusals import add_refusal
from builds.models import Workshop
from builds.network import load_workshop
from builds.sheets.ordering import OrderFilter, read_orders
from builds.sheets.purchasing import OrderSheet, read_order, read_order_list
from parts.models import Operation, PurchaseOrder, Supplier
from parts.services import orders as services

DUE = timedelta(weeks=2)  # what has to be ordered by then is ticked already


@require_safe
def order_list(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/order_list.html", {"orders": read_order_list(timezone.localdate())})


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def order_new(request: HttpRequest, supplier_id: int) -> HttpResponse:
    """All that could be ordered from one supplier now; what is ticked goes on one paper."""
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    form = OrderNewForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        given = dict(form.cleaned_data)
        given["operations"] = list(given["operations"])
        try:
            made = services.order_make(supplier=supplier, by=signed_in_person(request), **given)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"Order {made.pk} is made: print it, or send it as a file.")
            return redirect("order", made.pk)
    today = timezone.localdate()
    until = None if request.GET.get("when") == "all" else today + SOON
    ticked = frozenset(request.POST.getlist("operations"))
    shown = OrderFilter(supplier_id=supplier.pk, until=until, ticked=ticked)
    lines = read_orders(load_workshop(today).facts(), shown).now
    if request.method != "POST":
        ticked = frozenset(str(line.operation.pk) for line in lines if line.is_due_by(today + DUE))
    context = {
        "supplier": supplier,
        "lines": [line for line in lines if line.operation.supplier_id == supplier.pk],
        "form": form,
        "ticked": ticked,
        "is_all": until is None,
    }
    return render(request, "builds/order_new.html", context)


@require_safe
def order(request: HttpRequest, order_id: int) -> HttpResponse:
    return _page(request, _order(order_id), None)


@managers_only
@require_POST
def order_change(request: HttpRequest, order_id: int) -> HttpResponse:
    changed, form = _order(order_id), OrderChangeForm(request.POST)
    if form.is_valid():
        try:
            services.order_change(order=changed, by=signed_in_person(request), **form.cleaned_data)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"Order {order_id} is changed.")
            return redirect("order", order_id)
    return _page(request, changed, form)


@managers_only
@require_POST
def order_cancel(request: HttpRequest, order_id: int) -> HttpResponse:
    found = _order(order_id)
    form = VersionForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was cancelled: reload the page and press again.")
        return redirect("order", order_id)
    try:
        services.order_cancel(order=found, by=signed_in_person(request), version=form.cleaned_data["version"])
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Order {order_id} is cancelled; its lines are to be ordered again.")
    return redirect("order", order_id)


@managers_only
@require_POST
def order_line_off(request: HttpRequest, operation_id: int) -> HttpResponse:
    operation = get_object_or_404(Operation.objects.select_related("part", "order"), pk=operation_id)
    order_id = operation.order_id
    try:
        line = services.order_line_take_off(operation=operation, by=signed_in_person(request))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"“{line}” is off the order and is to be ordered again.")
    return redirect("order", order_id) if order_id else redirect(operation.part)


@require_safe
def order_paper(request: HttpRequest, order_id: int) -> HttpResponse:
    """The order as PDF. Prices stand on it only for a manager who asks for them."""
    found = _order(order_id)
    with_prices = request.GET.get("prices") == "1" and signed_in_person(request).is_manager
    context = {
        "workshop": Workshop.objects.current(),
        "sheet": read_order(found, timezone.localdate()),
        "order": found,
        "with_prices": with_prices,
    }
    pdf = import_string(settings.PDF_RENDERER)("print/order.html", context, images={})
    headers = {"Content-Disposition": f'inline; filename="order-{found.pk}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)


def _order(order_id: int) -> PurchaseOrder:
    rows = PurchaseOrder.objects.select_related("supplier", "ordered_by")
    return get_object_or_404(rows, pk=order_id)


def _page(request: HttpRequest, found: PurchaseOrder, form: OrderChangeForm | None) -> HttpResponse:
    """`form` is a refused change, shown again with what was typed."""
    sheet = read_order(found, timezone.localdate())
    context = {"sheet": sheet, "order": found, "form": form or _form(sheet)}
    return render(request, "builds/order.html", context)


def _form(sheet: OrderSheet) -> OrderChangeForm:
    found = sheet.order
    return OrderChangeForm(
        initial={
            "expected_on": found.expected_on,
            "their_reference": found.their_reference,
            "note": found.note,
            "version": found.version,
        }
    )

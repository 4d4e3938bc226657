"""A supplier's prices: entered, changed, removed. For managers."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from builds.access import managers_only
from builds.forms.batches import VersionForm
from builds.forms.refusals import add_refusal
from builds.forms.supplier_prices import SupplierPriceForm
from parts.models import Supplier, SupplierPrice
from parts.services import prices as services


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def supplier_price_new(request: HttpRequest, supplier_id: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    return _form(request, SupplierPrice(supplier=supplier))


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def supplier_price_edit(request: HttpRequest, price_id: int) -> HttpResponse:
    return _form(request, _found(price_id))


@managers_only
@require_POST
def supplier_price_delete(request: HttpRequest, price_id: int) -> HttpResponse:
    price = _found(price_id)
    form = VersionForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was removed: reload the page and press again.")
        return redirect(price.supplier)
    try:
        services.price_remove(price=price, version=form.cleaned_data["version"])
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)
    else:
        messages.success(request, f"The prices for {price} are removed.")
    return redirect(price.supplier)


def _found(price_id: int) -> SupplierPrice:
    return get_object_or_404(SupplierPrice.objects.select_related("supplier", "process"), pk=price_id)


def _form(request: HttpRequest, price: SupplierPrice) -> HttpResponse:
    form = SupplierPriceForm(request.POST or None, instance=price)
    if request.method == "POST" and form.is_valid():
        try:
            saved = services.price_save(
                price=form.save(commit=False), version=form.cleaned_data.get("version")
            )
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"The prices for {saved} are kept.")
            return redirect(f"{saved.supplier.get_absolute_url()}#prices")
    return render(request, "builds/supplier_price.html", {"form": form, "price": price})

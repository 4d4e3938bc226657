"""Suppliers: the list, one supplier's sheet, writing it, and the days on which it is shut."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.refusals import add_refusal
from builds.forms.spans import DaySpanForm
from builds.forms.suppliers import SupplierForm
from builds.network import load_workshop
from builds.sheets.supplier import read_supplier, read_suppliers
from builds.sheets.supplier_prices import read_prices
from builds.sheets.track import read_tracks
from parts.models import Supplier, SupplierClosure
from parts.services import suppliers as services

CALLS_SHOWN = 10


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    return render(request, "builds/suppliers.html", {"lines": read_suppliers(timezone.localdate())})


@require_safe
def supplier(request: HttpRequest, supplier_id: int) -> HttpResponse:
    return _sheet(request, get_object_or_404(Supplier, pk=supplier_id), DaySpanForm())


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def supplier_new(request: HttpRequest) -> HttpResponse:
    return _form(request, SupplierForm(request.POST or None))


@managers_only
@require_http_methods(["GET", "HEAD", "POST"])
def supplier_edit(request: HttpRequest, supplier_id: int) -> HttpResponse:
    found = get_object_or_404(Supplier, pk=supplier_id)
    return _form(request, SupplierForm(request.POST or None, instance=found))


@managers_only
@require_POST
def supplier_closure_new(request: HttpRequest, supplier_id: int) -> HttpResponse:
    found = get_object_or_404(Supplier, pk=supplier_id)
    form = DaySpanForm(request.POST)
    if form.is_valid():
        try:
            services.closure_add(supplier=found, **form.cleaned_data)
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{found} is recorded as shut on those days.")
            return redirect(found)
    return _sheet(request, found, form)


@managers_only
@require_POST
def supplier_closure_delete(request: HttpRequest, closure_id: int) -> HttpResponse:
    closure = get_object_or_404(SupplierClosure.objects.select_related("supplier"), pk=closure_id)
    services.closure_remove(closure=closure)
    messages.success(request, "The closure is removed.")
    return redirect(closure.supplier)


def _sheet(request: HttpRequest, found: Supplier, closure_form: DaySpanForm) -> HttpResponse:
    state = load_workshop(timezone.localdate())
    facts = state.facts()
    context = {
        "sheet": read_supplier(found, state),
        "tracks": read_tracks(found, state),
        "prices": read_prices(found) if signed_in_person(request).is_manager else (),
        "calls": found.calls.select_related("by").prefetch_related("promises__operation__part")[:CALLS_SHOWN],
        "closure_form": closure_form,
        "today": facts.today,
    }
    return render(request, "builds/supplier.html", context)


def _form(request: HttpRequest, form: SupplierForm) -> HttpResponse:
    # the form writes what was typed into the instance, so the name as it stands is taken from the database
    shown = Supplier.objects.filter(pk=form.instance.pk).first()
    if form.is_valid():
        try:
            saved = services.supplier_save(
                supplier=form.save(commit=False),
                processes=form.cleaned_data["processes"],
                seen=form.cleaned_data["seen"],
            )
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"{saved} is {'changed' if shown else 'entered'}.")
            return redirect(saved)
    return render(request, "builds/supplier_edit.html", {"form": form, "supplier": shown})

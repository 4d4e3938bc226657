"""Suppliers: the list, a sheet with the record so far, writing them, and closures."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.network import load_workshop
from builds.sheets.supplier import read_supplier, week_words
from parts.models import Supplier, SupplierClosure
from parts.services.operations import operation_accept, operation_reject, operation_send
from parts.services.promises import supplier_promise


@pytest.fixture
def data() -> dict[str, Any]:
    return {"name": "Emberline Coatings", "carriage_days": 1, "monday": "on", "tuesday": "on", "seen": ""}


def test_the_record_compares_the_first_promise_with_what_came(
    tern: Any, make_part: Any, welder: Any, fitter: Any, today: Any, day: Any
) -> None:
    def send(name: str, promised: int | None) -> Any:
        part = make_part(tern, name, route=[("fabricate", welder, 5)])
        promised_on = None if promised is None else day(promised)
        return operation_send(
            operation=part.operations.get(), on=day(-20), by=fitter, promised_on=promised_on
        )

    late, early, never, bad = send("late", -9), send("early", -2), send("never", None), send("bad", -5)
    supplier_promise(operation=late, promised_on=day(-1), on=day(-9), by=fitter)  # put off, and then kept
    operation_accept(operation=late, on=day(-2), by=fitter)
    operation_accept(operation=early, on=day(-3), by=fitter)
    operation_accept(operation=never, on=day(-4), by=fitter)
    operation_reject(operation=bad, on=day(-5), by=fitter, reason="bent")
    sheet = read_supplier(welder, load_workshop(today))
    assert [
        (line.operation.part.name, line.days_after_promise, line.operation.result) for line in sheet.record
    ] == [
        ("late", 7, "accepted"),
        ("early", -1, "accepted"),
        ("never", None, "accepted"),
        ("bad", 0, "rejected"),
    ]
    assert (sheet.kept, sheet.promised, sheet.rejected, sheet.to_do) == (2, 3, 1, 1)


def test_the_working_week_in_words() -> None:
    assert week_words(Supplier()) == "Monday to Friday"
    assert week_words(Supplier(monday=False, saturday=True)) == "Tuesday to Saturday"
    assert week_words(Supplier(wednesday=False)) == "Mon, Tue, Thu, Fri"


def test_the_list_says_what_is_out_and_who_is_shut(
    tank: Any, welder: Any, fitter: Any, today: Any, day: Any, as_fitter: Client
) -> None:
    operation_send(operation=tank.operations.first(), on=day(-9), by=fitter, promised_on=day(-2))
    SupplierClosure.objects.create(supplier=welder, first_day=day(-1), last_day=day(3))
    page = as_fitter.get(reverse("suppliers")).content.decode()
    assert "1 out, <b>1 late</b>" in page
    assert "shut until" in page


def test_an_empty_list_says_what_comes_next(as_fitter: Client, as_manager: Client) -> None:
    assert "No suppliers yet" in as_fitter.get(reverse("suppliers")).content.decode()
    assert "Enter a supplier" in as_manager.get(reverse("suppliers")).content.decode()


def test_a_supplier_is_entered_with_its_processes(data: Any, process: Any, as_manager: Client) -> None:
    answer = as_manager.post(reverse("supplier-new"), {**data, "processes": [process("paint").pk]})
    made = Supplier.objects.get()
    assert (answer.status_code, answer.url) == (302, made.get_absolute_url())
    assert (made.working_weekdays, [each.key for each in made.processes.all()]) == ({0, 1}, ["paint"])


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"name": "ferrand PLATING"}, "supplier of that name already"),
        ({"carriage_days": "-1"}, "greater than or equal to 0"),
        ({"carriage_days": "9999999999"}, "less than or equal to 60"),
        ({"minimum_lot_charge": "-2"}, "cannot be less than 0"),
        ({"minimum_lot_charge": "1" * 30}, "errorlist"),
        ({"largest_length_mm": "0"}, "at least 1 mm"),
        ({"largest_length_mm": "9" * 30}, "errorlist"),
        ({"email": "nonsense"}, "valid email address"),
        ({"monday": "", "tuesday": ""}, "at least one day of the week"),
        ({"processes": ["9" * 30]}, "errorlist"),
    ],
)
def test_an_impossible_supplier_is_refused_in_words(
    plater: Any, data: Any, as_manager: Client, wrong: Any, words: str
) -> None:
    sent = {name: value for name, value in {**data, **wrong}.items() if value != "" or name == "name"}
    answer = as_manager.post(reverse("supplier-new"), sent)
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Supplier.objects.count() == 1


def test_two_people_edit_one_supplier_and_the_second_is_told(
    plater: Any, data: Any, as_manager: Client
) -> None:
    url = reverse("supplier-edit", args=[plater.pk])
    seen = as_manager.get(url).context["form"].initial["seen"]
    assert as_manager.post(url, {**data, "phone": "1", "seen": seen}).status_code == 302
    answer = as_manager.post(url, {**data, "phone": "2", "seen": seen})
    assert "changed by somebody else meanwhile" in answer.content.decode()
    assert Supplier.objects.get().phone == "1"


def test_a_closure_is_entered_and_removed(plater: Any, day: Any, as_manager: Client) -> None:
    url = reverse("supplier-closure-new", args=[plater.pk])
    as_manager.post(url, {"first_day": day(1), "last_day": day(5), "reason": "summer"})
    closure = SupplierClosure.objects.get()
    answer = as_manager.post(url, {"first_day": day(4), "last_day": day(9)})
    assert "on record as shut" in answer.content.decode()
    as_manager.post(reverse("supplier-closure-delete", args=[closure.pk]))
    assert not SupplierClosure.objects.exists()


def test_the_minimum_lot_charge_is_for_managers(plater: Any, as_fitter: Client, as_manager: Client) -> None:
    plater.minimum_lot_charge = 61
    plater.save()
    assert "61.00" not in as_fitter.get(plater.get_absolute_url()).content.decode()
    assert "61.00" in as_manager.get(plater.get_absolute_url()).content.decode()


def test_only_managers_write(plater: Any, day: Any, data: Any, as_fitter: Client) -> None:
    closure = SupplierClosure.objects.create(supplier=plater, first_day=day(1), last_day=day(2))
    for url in (
        reverse("supplier-new"),
        reverse("supplier-edit", args=[plater.pk]),
        reverse("supplier-closure-new", args=[plater.pk]),
        reverse("supplier-closure-delete", args=[closure.pk]),
    ):
        assert as_fitter.post(url, data).status_code == 403
    assert (Supplier.objects.count(), SupplierClosure.objects.count()) == (1, 1)


def test_text_is_shown_as_text(plater: Any, as_fitter: Client) -> None:
    plater.name = plater.note = plater.contact = "<script>alert(1)</script>"
    plater.save()
    for url in (plater.get_absolute_url(), reverse("suppliers")):
        assert "<script>alert" not in as_fitter.get(url).content.decode()

"""What is written about a supplier."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from parts.models import Supplier, SupplierClosure
from parts.services.suppliers import closure_add, closure_remove, shut_words, supplier_save, supplier_seen


def test_a_supplier_is_saved_with_its_processes(process: Any) -> None:
    made = supplier_save(supplier=Supplier(name=" Marsh  Lane Trim "), processes=[process("trim")])
    assert made.name == "Marsh Lane Trim"
    assert list(made.processes.all()) == [process("trim")]


def test_two_people_change_one_supplier_and_the_second_is_told(plater: Any, process: Any) -> None:
    seen = supplier_seen(plater)
    plater.phone = "01632 960 999"
    supplier_save(supplier=plater, processes=[process("zinc_plate")], seen=seen)
    mine = Supplier.objects.get()
    mine.phone = "01632 960 000"
    with pytest.raises(ValidationError, match="changed by somebody else"):
        supplier_save(supplier=mine, processes=[], seen=seen)
    assert Supplier.objects.get().phone == "01632 960 999"
    assert plater.processes.count() == 1


@pytest.mark.parametrize(
    "fields",
    [
        {"name": ""},
        {"name": "FERRAND plating"},
        {"name": "x" * 81},
        {"carriage_days": 61},
        {"minimum_lot_charge": Decimal("-1")},
        {"largest_length_mm": 0},
        {"email": "not an address"},
        {
            "monday": False,
            "tuesday": False,
            "wednesday": False,
            "thursday": False,
            "friday": False,
        },
    ],
    ids=str,
)
def test_an_impossible_supplier_is_refused(plater: Any, fields: Any) -> None:
    with pytest.raises(ValidationError):
        supplier_save(supplier=Supplier(**{"name": "Other", **fields}), processes=[])
    assert Supplier.objects.count() == 1


def test_a_closure_is_recorded_and_removed(plater: Any, day: Any) -> None:
    closure = closure_add(supplier=plater, first_day=day(1), last_day=day(5), reason="summer")
    assert "is shut until" in shut_words(plater, day(3))
    assert "summer" in shut_words(plater, day(3))
    closure_remove(closure=closure)
    assert not SupplierClosure.objects.exists()


def test_a_day_on_which_a_supplier_does_not_work(plater: Any, today: Any, day: Any) -> None:
    saturday, monday = day(5 - today.weekday()), day(-today.weekday())
    assert shut_words(plater, saturday) == (
        "Ferrand Plating does not work on a Saturday: check that somebody took it."
    )
    assert shut_words(plater, monday) == ""


@pytest.mark.parametrize(("first", "last"), [(5, 4), (0, 400)])
def test_an_impossible_closure_is_refused(plater: Any, day: Any, first: int, last: int) -> None:
    with pytest.raises(ValidationError):
        closure_add(supplier=plater, first_day=day(first), last_day=day(last))
    assert not SupplierClosure.objects.exists()


def test_a_closure_over_another_is_refused(plater: Any, day: Any) -> None:
    closure_add(supplier=plater, first_day=day(1), last_day=day(5))
    with pytest.raises(ValidationError, match="already"):
        closure_add(supplier=plater, first_day=day(5), last_day=day(9))
    assert SupplierClosure.objects.count() == 1

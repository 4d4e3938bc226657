"""What a supplier charges by process: entered, changed, removed, seen by managers only."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from parts.models import Supplier, SupplierPrice


@pytest.fixture
def zinc(plater: Any, process: Any) -> Any:
    plater.processes.add(process("zinc_plate"))
    return process("zinc_plate")


@pytest.fixture
def price(plater: Any, zinc: Any) -> SupplierPrice:
    return SupplierPrice.objects.create(
        supplier=plater, process=zinc, minimum_lot_charge=140, per_kg=Decimal("1.9"), largest_lot_kg=60
    )


def test_prices_are_entered_for_a_process(plater: Any, zinc: Any, as_manager: Client) -> None:
    answer = as_manager.post(
        reverse("supplier-price-new", args=[plater.pk]),
        {"process": zinc.pk, "minimum_lot_charge": "140", "per_kg": "1.90", "largest_lot_kg": "60"},
    )

    made = SupplierPrice.objects.get()
    assert (answer.status_code, answer.url) == (302, plater.get_absolute_url() + "#prices")
    assert (made.minimum_lot_charge, made.per_kg, made.largest_lot_kg) == (140, Decimal("1.90"), 60)
    assert (made.setup, made.per_m2, made.per_piece, made.per_line, made.version) == (None,) * 4 + (1,)


def test_the_sheet_says_what_it_charges_to_managers_only(
    price: SupplierPrice, plater: Any, as_manager: Client, as_fitter: Client
) -> None:
    Supplier.objects.filter(pk=plater.pk).update(carriage_charge=18)
    shown = as_manager.get(plater.get_absolute_url()).content.decode()
    assert "£140 at least" in shown
    assert "£1.90 a kg" in shown
    assert "60 kg" in shown
    assert "£18.00 there and back" in shown

    assert "£" not in as_fitter.get(plater.get_absolute_url()).content.decode()


def test_prices_are_changed_and_count_up(price: SupplierPrice, as_manager: Client) -> None:
    as_manager.post(
        reverse("supplier-price-edit", args=[price.pk]), {"minimum_lot_charge": "155", "version": 1}
    )

    price.refresh_from_db()
    assert (price.minimum_lot_charge, price.per_kg, price.version) == (155, None, 2)


@pytest.mark.parametrize("version", ["1", ""])
def test_of_two_who_change_prices_the_second_is_told(
    price: SupplierPrice, as_manager: Client, version: str
) -> None:
    SupplierPrice.objects.update(version=2, per_kg=2)

    answer = as_manager.post(
        reverse("supplier-price-edit", args=[price.pk]), {"minimum_lot_charge": "155", "version": version}
    )

    assert "changed by somebody else meanwhile" in answer.content.decode()
    assert SupplierPrice.objects.get().minimum_lot_charge == 140


def test_prices_are_removed(price: SupplierPrice, as_manager: Client) -> None:
    as_manager.post(reverse("supplier-price-delete", args=[price.pk]), {"version": 1})

    assert not SupplierPrice.objects.exists()


@pytest.mark.parametrize("version", ["7", ""])
def test_prices_that_were_changed_meanwhile_are_not_removed(
    price: SupplierPrice, as_manager: Client, version: str
) -> None:
    as_manager.post(reverse("supplier-price-delete", args=[price.pk]), {"version": version})

    assert SupplierPrice.objects.exists()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({}, "Nothing is stated"),
        ({"minimum_lot_charge": "-1"}, "greater than or equal to 0"),
        ({"per_kg": "x"}, "Enter a number"),
        ({"per_m2": "1" * 30}, "errorlist"),
        ({"largest_lot_pieces": "0"}, "greater than or equal to 1"),
        ({"largest_lot_kg": "0"}, "greater than or equal to 0.01"),
    ],
)
def test_impossible_prices_are_refused_in_words(
    plater: Any, zinc: Any, as_manager: Client, sent: dict[str, str], words: str
) -> None:
    answer = as_manager.post(reverse("supplier-price-new", args=[plater.pk]), {"process": zinc.pk, **sent})

    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert not SupplierPrice.objects.exists()


def test_a_second_price_for_one_process_is_refused(
    price: SupplierPrice, plater: Any, zinc: Any, as_manager: Client
) -> None:
    url = reverse("supplier-price-new", args=[plater.pk])
    assert f'value="{zinc.pk}"' not in as_manager.get(url).content.decode()

    as_manager.post(url, {"process": zinc.pk, "setup": "5"})

    assert SupplierPrice.objects.count() == 1


def test_a_process_that_the_supplier_does_not_do_is_refused(
    plater: Any, process: Any, as_manager: Client
) -> None:
    as_manager.post(
        reverse("supplier-price-new", args=[plater.pk]), {"process": process("paint").pk, "setup": "5"}
    )

    assert not SupplierPrice.objects.exists()


def test_only_managers_see_and_write_prices(price: SupplierPrice, plater: Any, as_fitter: Client) -> None:
    for url in (
        reverse("supplier-price-new", args=[plater.pk]),
        reverse("supplier-price-edit", args=[price.pk]),
        reverse("supplier-price-delete", args=[price.pk]),
    ):
        assert as_fitter.post(url, {"setup": "5", "version": 1}).status_code == 403
    assert (SupplierPrice.objects.count(), SupplierPrice.objects.get().setup) == (1, None)


def test_carriage_and_how_much_at_once_are_kept_with_the_supplier(plater: Any, as_manager: Client) -> None:
    url = reverse("supplier-edit", args=[plater.pk])
    seen = as_manager.get(url).context["form"].initial["seen"]
    as_manager.post(
        url,
        {
            "name": plater.name,
            "carriage_days": 1,
            "monday": "on",
            "seen": seen,
            "carriage_charge": "18.50",
            "at_once": "12",
        },
    )

    plater.refresh_from_db()
    assert (plater.carriage_charge, plater.at_once) == (Decimal("18.50"), 12)

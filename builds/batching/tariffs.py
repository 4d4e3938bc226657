"""Price lists as the core's tariff and limits, and what is not known of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.urls import reverse

from parts.batching.pieces import LotLimits, Tariff
from parts.models import Process, Supplier, SupplierPrice

LOTS_ONLY = Tariff(setup_pence=1)  # a stand-in that counts lots where no charge is known

Prices = Mapping[tuple[int, int], SupplierPrice]  # by supplier and process


@dataclass(frozen=True)
class Gap:
    """Something that is not known, what was done about it, and where it can be entered."""

    words: str
    url: str


@dataclass(frozen=True)
class PriceList:
    """What a finisher charges for one process, as far as it is known."""

    tariff: Tariff
    limits: LotLimits
    is_priced: bool
    price: SupplierPrice | None
    gaps: tuple[Gap, ...]


def read_prices(supplier_ids: Iterable[int]) -> Prices:
    """All prices of these suppliers, in one query."""
    rows = SupplierPrice.objects.filter(supplier__in=set(supplier_ids)).select_related("supplier", "process")
    return {(row.supplier_id, row.process_id): row for row in rows}


def price_list(supplier: Supplier, process: Process, prices: Prices) -> PriceList:
    """The row for the process; where it states no minimum, the one that stands with the supplier."""
    price = prices.get((supplier.pk, process.pk))
    minimum = price.minimum_lot_charge if price else None
    if minimum is None:
        minimum = supplier.minimum_lot_charge
    tariff = Tariff(
        minimum_pence=pence(minimum),
        setup_pence=pence(price and price.setup),
        per_m2_pence=pence(price and price.per_m2),
        per_kg_pence=pence(price and price.per_kg),
        per_piece_pence=pence(price and price.per_piece),
        per_line_pence=pence(price and price.per_line),
        carriage_pence=pence(supplier.carriage_charge),
    )
    is_priced = price is not None or minimum is not None or supplier.carriage_charge is not None
    return PriceList(
        tariff=tariff if is_priced else LOTS_ONLY,
        limits=_limits(supplier, price),
        is_priced=is_priced,
        price=price,
        gaps=tuple(_gaps(supplier, process, price, minimum)),
    )


def pence(amount: Decimal | None) -> int:
    return round(amount * 100) if amount else 0


def _limits(supplier: Supplier, price: SupplierPrice | None) -> LotLimits:
    largest = (supplier.largest_length_mm, supplier.largest_width_mm, supplier.largest_height_mm)
    if price is None:
        return LotLimits(largest)
    return LotLimits(
        largest,
        area_cm2=round(price.largest_lot_m2 * 10_000) if price.largest_lot_m2 else None,
        mass_g=round(price.largest_lot_kg * 1_000) if price.largest_lot_kg else None,
        pieces=price.largest_lot_pieces,
    )


def _gaps(
    supplier: Supplier, process: Process, price: SupplierPrice | None, minimum: Decimal | None
) -> Iterable[Gap]:
    if price is None:
        known = "the minimum lot charge stands in" if minimum is not None else "lots are counted instead"
        yield Gap(
            f"{supplier} has no prices for {process.name.lower()}: {known}.",
            reverse("supplier-price-new", args=[supplier.pk]),
        )
    if supplier.carriage_charge is None:
        yield Gap(
            f"What carriage to {supplier} costs is not stated: it is left out.",
            reverse("supplier-edit", args=[supplier.pk]),
        )

"""A supplier's prices in words."""

from __future__ import annotations

from dataclasses import dataclass

from parts.batching.reasons import pounds
from parts.models import Supplier, SupplierPrice


@dataclass(frozen=True)
class PriceRow:
    price: SupplierPrice
    charges: tuple[str, ...]
    limits: tuple[str, ...]


def read_prices(supplier: Supplier) -> tuple[PriceRow, ...]:
    """By process, in one query."""
    rows = supplier.prices.select_related("process", "supplier")
    return tuple(PriceRow(row, charges_in_words(row), limits_in_words(row)) for row in rows)


def charges_in_words(price: SupplierPrice) -> tuple[str, ...]:
    """'£140 at least' …, those that are stated."""
    parts = (
        (price.minimum_lot_charge, "{} at least"),
        (price.setup, "{} for each lot"),
        (price.per_m2, "{} a m²"),
        (price.per_kg, "{} a kg"),
        (price.per_piece, "{} a piece"),
        (price.per_line, "{} for each kind of part"),
    )
    return tuple(words.format(pounds(round(amount * 100))) for amount, words in parts if amount is not None)


def limits_in_words(price: SupplierPrice) -> tuple[str, ...]:
    """'200 pieces', '60 kg', '4 m²': those that are stated."""
    most = price.largest_lot_pieces
    pieces = [f"{most} {'piece' if most == 1 else 'pieces'}"] if most else []
    measures = ((price.largest_lot_kg, "kg"), (price.largest_lot_m2, "m²"))
    return (*pieces, *(f"{amount.normalize():f} {unit}" for amount, unit in measures if amount is not None))

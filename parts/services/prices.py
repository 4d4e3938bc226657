"""What a supplier charges for one process: entered, changed, removed."""

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Supplier, SupplierPrice

PRICE_FIELDS = (
    "minimum_lot_charge",
    "setup",
    "per_m2",
    "per_kg",
    "per_piece",
    "per_line",
    "largest_lot_pieces",
    "largest_lot_kg",
    "largest_lot_m2",
)


@transaction.atomic
def price_save(*, price: SupplierPrice, version: int | None = None) -> SupplierPrice:
    """Save new prices, or those read at `version` and changed since.

    Raises ValidationError if somebody else changed or removed them meanwhile, the supplier does not do the
    process, or nothing is stated at all.
    """
    supplier = Supplier.objects.select_for_update().get(pk=price.supplier_id)
    if price.pk is not None:
        price.version = _locked(price, version).version + 1
    elif not supplier.processes.filter(pk=price.process_id).exists():
        raise ValidationError(
            {"process": f"{supplier} does not do that. Tick it under “What it does” of the supplier first."}
        )
    if all(getattr(price, name) is None for name in PRICE_FIELDS):
        raise ValidationError("Nothing is stated. Give at least one price or limit, or leave the prices out.")
    price.full_clean()
    price.save()
    return price


@transaction.atomic
def price_remove(*, price: SupplierPrice, version: int | None = None) -> None:
    """Take prices off the record. Raises ValidationError if they were changed or removed since `version`."""
    _locked(price, version).delete()


def _locked(price: SupplierPrice, version: int | None) -> SupplierPrice:
    now = SupplierPrice.objects.select_for_update().filter(pk=price.pk).first()
    if now is None:
        raise ValidationError("Somebody has removed these prices in the meantime. Nothing was changed.")
    if version != now.version:
        raise ValidationError(
            f"The prices for {now} were changed by somebody else meanwhile. Nothing of yours was saved: "
            "look at what stands there now and make your change again."
        )
    return now

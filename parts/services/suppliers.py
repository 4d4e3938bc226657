"""Suppliers, and the days on which they are shut."""

from collections.abc import Collection
from datetime import date, timedelta
from hashlib import sha256

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Process, Supplier, SupplierClosure
from parts.models.suppliers import WEEKDAYS

from .days import day_words

SUPPLIER_FIELDS = (
    "name",
    "contact",
    "phone",
    "email",
    "address",
    "note",
    *WEEKDAYS,
    "carriage_days",
    "carriage_charge",
    "carrier",
    "at_once",
    "minimum_lot_charge",
    "largest_length_mm",
    "largest_width_mm",
    "largest_height_mm",
)
LONGEST_CLOSURE = timedelta(days=366)


@transaction.atomic
def supplier_save(*, supplier: Supplier, processes: Collection[Process], seen: str | None = None) -> Supplier:
    """Save a new supplier, or one that looked like `seen` (see `supplier_seen`) when it was opened.

    Raises ValidationError if somebody else changed it meanwhile, or a value cannot be right.
    """
    if supplier.pk is not None:
        now = Supplier.objects.select_for_update().get(pk=supplier.pk)
        if supplier_seen(now) != seen:
            raise ValidationError(
                f"“{now}” was changed by somebody else meanwhile. Nothing of yours was saved: "
                "look at what stands there now and make your change again."
            )
    supplier.name = " ".join(supplier.name.split())
    wrong = {
        name: "A size must be at least 1 mm; leave it empty if it is not known."
        for name in ("largest_length_mm", "largest_width_mm", "largest_height_mm")
        if getattr(supplier, name) == 0
    }
    if wrong:
        raise ValidationError(wrong)
    supplier.full_clean()
    supplier.save()
    supplier.processes.set(processes)
    return supplier


def supplier_seen(supplier: Supplier) -> str:
    """A mark that changes when anything written about the supplier does."""
    values = [str(getattr(supplier, name)) for name in SUPPLIER_FIELDS]
    values += sorted(str(key) for key in supplier.processes.values_list("pk", flat=True))
    return sha256("\n".join(values).encode()).hexdigest()[:16]


@transaction.atomic
def closure_add(*, supplier: Supplier, first_day: date, last_day: date, reason: str = "") -> SupplierClosure:
    """Record that the supplier is shut. Raises ValidationError for days that cannot be right."""
    Supplier.objects.select_for_update().get(pk=supplier.pk)  # of two adding the same days, one is told
    closure = SupplierClosure(
        supplier=supplier, first_day=first_day, last_day=last_day, reason=" ".join(reason.split())
    )
    closure.full_clean()
    if last_day - first_day > LONGEST_CLOSURE:
        raise ValidationError({"last_day": "A closure of more than a year: check the dates."})
    overlap = supplier.closures.filter(first_day__lte=last_day, last_day__gte=first_day).first()
    if overlap is not None:
        raise ValidationError(
            f"{supplier} is on record as shut from {day_words(overlap.first_day)} "
            f"to {day_words(overlap.last_day)} already. Remove that first."
        )
    closure.save()
    return closure


@transaction.atomic
def closure_remove(*, closure: SupplierClosure) -> None:
    """Take a closure off the record."""
    closure.delete()


def shut_words(supplier: Supplier, day: date) -> str:
    """Why nobody is likely to be there on that day, as a sentence; empty on an ordinary day."""
    closure = supplier.closures.filter(first_day__lte=day, last_day__gte=day).first()
    if closure is not None:
        reason = f" ({closure.reason})" if closure.reason else ""
        return f"{supplier} is shut until {day_words(closure.last_day)}{reason}: check that somebody took it."
    if day.weekday() not in supplier.working_weekdays:
        return f"{supplier} does not work on a {day:%A}: check that somebody took it."
    return ""

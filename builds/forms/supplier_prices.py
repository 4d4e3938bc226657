"""What is typed about a supplier's prices."""

from __future__ import annotations

from typing import Any

from django import forms

from parts.models import Process, SupplierPrice
from parts.services.prices import PRICE_FIELDS

LABELS = {
    "minimum_lot_charge": "Minimum lot charge (£)",
    "setup": "For each lot, whatever is in it (£)",
    "per_m2": "For a m² (£)",
    "per_kg": "For a kg (£)",
    "per_piece": "For a piece (£)",
    "per_line": "For each kind of part (£)",
    "largest_lot_pieces": "Most pieces in a lot",
    "largest_lot_kg": "Most kg in a lot",
    "largest_lot_m2": "Most m² in a lot",
}
HELP = {
    "minimum_lot_charge": "A lot costs at least this.",
    "setup": "Jigging, a colour change, a certificate: added to every lot.",
    "per_line": "Added for each line of the note.",
}


class SupplierPriceForm(forms.ModelForm):
    """Empty means: not known, or not charged."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, required=False)

    class Meta:
        model = SupplierPrice
        fields = ("process", *PRICE_FIELDS)
        labels = LABELS
        help_texts = HELP

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        supplier = self.instance.supplier
        if self.instance.pk:
            del self.fields["process"]
            self.initial["version"] = self.instance.version
        else:
            free = Process.objects.filter(suppliers=supplier).exclude(prices__supplier=supplier)
            self.fields["process"].queryset = free  # type: ignore[attr-defined]  # a field of choices from a query

    @property
    def charges(self) -> list[Any]:
        return [self[name] for name in PRICE_FIELDS[:6]]

    @property
    def limits(self) -> list[Any]:
        return [self[name] for name in PRICE_FIELDS[6:]]

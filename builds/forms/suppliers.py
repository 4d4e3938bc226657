"""What is typed about suppliers."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.forms.rows import RowsField
from parts.models import Process, Supplier
from parts.models.suppliers import WEEKDAYS
from parts.services.suppliers import SUPPLIER_FIELDS, supplier_seen


class SupplierForm(forms.ModelForm):
    processes = RowsField(
        label="What it does",
        queryset=Process.objects.all(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    class Meta:
        model = Supplier
        fields = SUPPLIER_FIELDS
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "address": forms.Textarea(attrs={"rows": 3}),
            "phone": forms.TextInput(attrs={"type": "tel"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["processes"] = self.instance.processes.all()
            self.initial["seen"] = supplier_seen(self.instance)

    @property
    def week(self) -> list[Any]:
        """The tick boxes of the working week."""
        return [self[day] for day in WEEKDAYS]

"""Which lines were ordered, and when."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from builds.forms.rows import RowsField
from builds.forms.spans import day_input
from builds.models import Car
from builds.sheets.ordering import OrderFilter
from parts.models import Operation, Supplier

SOON = timedelta(weeks=6)


class OrderFilterForm(forms.Form):
    """What the page shows. Nonsense in the address shows the usual page."""

    supplier = forms.ModelChoiceField(queryset=Supplier.objects.all(), required=False, empty_label="all")
    car = forms.ModelChoiceField(queryset=Car.objects.in_work(), required=False, empty_label="all")
    when = forms.ChoiceField(
        label="Order by", choices=[("", "the next six weeks"), ("all", "whenever")], required=False
    )

    def wanted(self, today: date, ticked: Collection[str]) -> OrderFilter:
        given = self.cleaned_data if self.is_valid() else {}
        supplier, car = given.get("supplier"), given.get("car")
        return OrderFilter(
            supplier_id=supplier.pk if supplier else None,
            car_id=car.pk if car else None,
            until=None if given.get("when") == "all" else today + SOON,
            ticked=frozenset(ticked),
        )


class OrderWordingForm(forms.Form):
    """What is agreed with the supplier."""

    expected_on = forms.DateField(
        label="Expected on", widget=day_input(), required=False, help_text="What was asked for or promised."
    )
    their_reference = forms.CharField(label="Their reference", required=False, max_length=60)
    note = forms.CharField(
        label="Words to the supplier",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class OrderChangeForm(OrderWordingForm):
    version = forms.IntegerField(widget=forms.HiddenInput)


class OrderNewForm(OrderWordingForm):
    operations = RowsField(
        queryset=Operation.objects.select_related("part__car", "process", "supplier"),
        error_messages={
            "required": "Tick at least one line: an order needs something on it.",
            "invalid_choice": "Somebody has struck out one of the ticked lines. Reload the page.",
            "invalid_pk_value": "One of the ticked lines is none: “%(pk)s”. Reload the page.",
        },
    )
    on = forms.DateField(label="Ordered on", widget=day_input())

    field_order = ("on", "expected_on", "their_reference", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)


class OrdersForm(forms.Form):
    operations = RowsField(
        queryset=Operation.objects.select_related("part__car", "process"),
        error_messages={
            "required": "Tick at least one line.",
            "invalid_choice": "Somebody has struck out one of the ticked lines. Reload the page.",
            "invalid_pk_value": "One of the ticked lines is none: “%(pk)s”. Reload the page.",
        },
    )
    on = forms.DateField(label="Ordered on", widget=day_input())
    promised_on = forms.DateField(
        label="Promised for",
        widget=day_input(),
        required=False,
        help_text="If one day was given for all of them.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)

    @property
    def ticked(self) -> set[str]:
        """Ids as they were sent, so that a refusal keeps the ticks."""
        return set(self.data.getlist("operations")) if self.is_bound else set()

"""What is typed when goods go out and come in, and when a supplier promises a day."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from builds.forms.spans import day_input
from parts.models import Operation, Process

ACCEPT, REJECT, ASIDE = "accept", "reject", "aside"


class NextForm(forms.Form):
    """Where to go when it is done; the view checks that it is one of our own pages."""

    next = forms.CharField(widget=forms.HiddenInput, required=False, max_length=300)


class GoodsInForm(NextForm):
    """One form with three buttons: accept, reject, or put aside to be checked."""

    on = forms.DateField(label="Came in on", widget=day_input())
    count = forms.IntegerField(
        label="Pieces counted", required=False, min_value=0, max_value=10_000, widget=forms.NumberInput
    )
    cost = forms.DecimalField(
        label="Cost of all of them", required=False, min_value=0, max_digits=9, decimal_places=2
    )
    reason = forms.CharField(
        label="What is wrong, if you reject it",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    rework = forms.BooleanField(
        label="Put the rework on the route card as the next line", required=False, initial=True
    )
    verdict = forms.ChoiceField(
        choices=[(ACCEPT, "accept"), (REJECT, "reject"), (ASIDE, "take in, check later")],
        error_messages={"required": "Press one of the buttons: accept, reject, or take in."},
    )

    def __init__(self, *args: Any, operation: Operation, is_manager: bool, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", operation.back_on or timezone.localdate())
        super().__init__(*args, **kwargs)
        self.fields["count"].help_text = f"{operation.part.quantity} went out."
        if operation.back_on is not None:
            # the day of goods in is on record already; only the verdict is missing
            self.fields["on"].disabled = True
        if not is_manager:
            del self.fields["cost"]  # what things cost is for managers


class GoodsOutForm(NextForm):
    on = forms.DateField(label="Went out on", widget=day_input())
    promised_on = forms.DateField(
        label="Promised for",
        widget=day_input(),
        required=False,
        help_text="What the supplier said, if anything.",
    )

    def __init__(self, *args: Any, operation: Operation, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)
        if operation.process.kind == Process.Kind.SUPPLY:
            self.fields["on"].label = "Ordered on"
        if operation.supplier_id is None and operation.process.kind != Process.Kind.SUPPLY:
            self.fields["on"].label = "Begun on"
            del self.fields["promised_on"]


class PromiseForm(NextForm):
    promised_on = forms.DateField(label="Promised for", widget=day_input())
    on = forms.DateField(label="Said on", widget=day_input())
    note = forms.CharField(label="Who said what", required=False, max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)

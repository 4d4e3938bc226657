"""What a manager says about a finishing batch."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict

from builds.forms.spans import day_input
from parts.models import FinishingBatch, Supplier

MOST_PIECES = 500
NOW = "now"  # a fixed date that is today, to say it in one press


def readable_numbers(texts: Iterable[str]) -> set[int]:
    """Those of the texts that are numbers: what a page ticks again when it shows a refused form."""
    return {int(text) for text in texts if _is_number(text)}


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 16


class WholeNumbers(forms.Field):
    """Numbers of operations, from boxes of one name. What is gone is for the service to say."""

    widget = forms.MultipleHiddenInput
    default_error_messages = {
        "invalid": "A ticked piece could not be read. Reload the page and tick again.",
        "too_many": f"More than {MOST_PIECES} pieces are ticked. Make two batches.",
    }

    def to_python(self, value: Any) -> list[int]:
        texts = [str(text) for text in value or []]
        if len(texts) > MOST_PIECES:
            raise forms.ValidationError(self.error_messages["too_many"])
        if not all(map(_is_number, texts)):
            raise forms.ValidationError(self.error_messages["invalid"])
        return list(dict.fromkeys(int(text) for text in texts))


class BatchForm(forms.Form):
    """Members, finisher and when it leaves."""

    operation = WholeNumbers(required=False)
    supplier = forms.ModelChoiceField(
        queryset=Supplier.objects.none(),
        label="Finisher",
        empty_label="Choose a finisher",
        error_messages={
            "required": "Choose the finisher.",
            "invalid_choice": "That supplier does not offer this finish. Choose another.",
        },
    )
    leaves = forms.ChoiceField(
        label="It leaves",
        widget=forms.RadioSelect,
        choices=[
            (FinishingBatch.Leaves.WHEN_READY, "when the last is ready"),
            (NOW, "today"),
            (FinishingBatch.Leaves.FIXED, "on a date"),
        ],
        error_messages={
            "required": "Say when the batch leaves.",
            "invalid_choice": "Say when the batch leaves.",
        },
    )
    planned_on = forms.DateField(
        label="Date",
        required=False,
        widget=day_input(),
        help_text="Only for “on a date”.",
        error_messages={"invalid": "The date could not be read. Pick a day, or type it as 12/03/2027."},
    )
    note = forms.CharField(
        label="Note for the finisher",
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: QueryDict, *, suppliers: Iterable[Supplier], today: date) -> None:
        super().__init__(data)
        self.today = today
        numbers = [supplier.pk for supplier in suppliers]
        self.fields["supplier"].queryset = Supplier.objects.filter(pk__in=numbers)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("leaves") == NOW:
            cleaned["leaves"], cleaned["planned_on"] = FinishingBatch.Leaves.FIXED, self.today
        return cleaned

    @property
    def sentences(self) -> list[str]:
        """All that is wrong, without the names of fields."""
        return [sentence for errors in self.errors.values() for sentence in errors]


class SendForm(forms.Form):
    """Goods out of a whole batch."""

    on = forms.DateField(label="Goods out on", widget=day_input())
    promised_on = forms.DateField(
        label="Promised back", required=False, widget=day_input(), help_text="What the finisher said."
    )
    stays = WholeNumbers(required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)


class VersionForm(forms.Form):
    """An act on a batch as it was seen."""

    version = forms.IntegerField(widget=forms.HiddenInput)

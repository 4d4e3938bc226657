"""Which lines were ordered, and when."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from builds.forms.spans import day_input
from parts.models import Operation


class OrdersForm(forms.Form):
    operations = forms.ModelMultipleChoiceField(
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

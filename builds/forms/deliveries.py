"""What a hand scanner types, which lines came in, and how many of each."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from builds.forms.rows import RowsField
from builds.forms.spans import day_input
from parts.models import Operation

MOST = 10_000
LONGEST_SCAN = 300


class DeliveryForm(forms.Form):
    scan = forms.CharField(
        label="Scan a label, or type its letters",
        required=False,
        max_length=LONGEST_SCAN,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autofocus": True, "spellcheck": "false"}),
    )
    lines = RowsField(
        queryset=Operation.objects.select_related("part__car", "process", "supplier"),
        required=False,
        error_messages={
            "invalid_choice": "Somebody has struck out one of the ticked lines. Reload the page.",
            "invalid_pk_value": "One of the ticked lines is none: “%(pk)s”. Reload the page.",
        },
    )
    on = forms.DateField(label="Came in on", widget=day_input())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)

    def left_seen(self) -> dict[int, int]:
        """How many pieces of each line were out when the list was shown."""
        found = {line.pk: self.data.get(f"left-{line.pk}", "") for line in self.cleaned_data["lines"]}
        return {key: int(text[:6]) for key, text in found.items() if text.isascii() and text.isdigit()}

    def counts(self) -> dict[Operation, int | None]:
        """How many of each line, None for all; what is no number stands as an error on the form."""
        found: dict[Operation, int | None] = {}
        for line in self.cleaned_data["lines"]:
            typed = self.data.get(f"count-{line.pk}", "").strip()
            if not typed:
                found[line] = None
            elif typed.isascii() and typed.isdigit() and int(typed[:6]) <= MOST:
                found[line] = int(typed[:6])
            else:
                name = f"{line.part.car}, {line.part}"
                self.add_error(None, f"{name}: “{typed[:20]}” is no number of pieces. Give 1 to {MOST:,}.")
        return found

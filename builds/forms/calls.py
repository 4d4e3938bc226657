"""What is typed after a call to a supplier."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from builds.forms.spans import day_input
from parts.models import Operation


class CallForm(forms.Form):
    """Whom, what, and for each line that is out: whether it was spoken of, and the day promised."""

    spoke_to = forms.CharField(label="Spoke to", required=False, max_length=80)
    said = forms.CharField(
        label="What was said", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, lines: Sequence[Operation], asked: frozenset[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = lines
        for line in lines:
            name = f"{line.part.car}: {line.part}, {line.process.name.lower()}"
            self.fields[f"about_{line.pk}"] = forms.BooleanField(
                label=name, required=False, initial=line.pk in asked
            )
            self.fields[f"promised_{line.pk}"] = forms.DateField(
                label=f"New day for {name}", required=False, widget=day_input()
            )

    def rows(self) -> list[tuple[Operation, forms.BoundField, forms.BoundField]]:
        """Each line with its two fields, for the template."""
        return [(line, self[f"about_{line.pk}"], self[f"promised_{line.pk}"]) for line in self.lines]

    def about(self) -> set[int]:
        return {line.pk for line in self.lines if self.cleaned_data.get(f"about_{line.pk}")}

    def promises(self) -> dict[int, date]:
        given = {line.pk: self.cleaned_data.get(f"promised_{line.pk}") for line in self.lines}
        return {number: day for number, day in given.items() if day}

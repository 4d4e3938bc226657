"""What a manager says about the answers of a batch calculation."""

from __future__ import annotations

from decimal import Decimal

from django import forms


class AskForm(forms.Form):
    """What the calculation goes by, beside what is known."""

    finisher = forms.IntegerField(required=False, min_value=1, max_value=2**31 - 1)
    worth = forms.DecimalField(
        label="A day of first start-up is worth (£)",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(100_000),
        decimal_places=2,
        help_text="Empty: as the workshop’s settings say; if they do not, no day is given up for money.",
    )

    @property
    def day_pence(self) -> int | None:
        worth = self.cleaned_data.get("worth")
        return None if worth is None else round(worth * 100)


class ChooseForm(AskForm):
    """One of the answers, as it was seen."""

    answer = forms.IntegerField(min_value=0, max_value=10_000)
    seen = forms.CharField(max_length=40)

"""Days off: first and last day, both included."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from builds.services.people import day_in_words

EARLIEST = date(2000, 1, 1)
FURTHEST_AHEAD = timedelta(days=5 * 366)
LONGEST = timedelta(days=366)


def day_input() -> forms.DateInput:
    """A date picker where the browser has one; its format is the one that such an input sends."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class SpanForm(forms.Form):
    """The last day may stay empty for a single day."""

    first_day = forms.DateField(label="First day", widget=day_input())
    last_day = forms.DateField(
        label="Last day", widget=day_input(), required=False, help_text="Empty: that one day only."
    )

    def clean_first_day(self) -> date:
        return sensible_day(self.cleaned_data["first_day"])

    def clean_last_day(self) -> date | None:
        day = self.cleaned_data["last_day"]
        return None if day is None else sensible_day(day)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_day"), cleaned.get("last_day")
        if first is None or "last_day" in self.errors:
            return cleaned
        last = cleaned["last_day"] = last or first
        if last < first:
            self.add_error("last_day", f"The last day is before the first, {day_in_words(first)}.")
        elif last - first > LONGEST:
            self.add_error("last_day", "That is more than a year. Check the dates.")
        return cleaned


class DaySpanForm(SpanForm):
    """Days off, and why."""

    reason = forms.CharField(label="Reason", max_length=80, required=False)


class OvertimeForm(SpanForm):
    """Days on which somebody works longer."""

    hours = forms.DecimalField(
        label="Hours a day longer",
        initial=2,
        min_value=Decimal("0.25"),
        max_value=Decimal(16),
        max_digits=4,
        decimal_places=2,
    )


def sensible_day(day: date) -> date:
    """The day, if it is one that somebody can have meant. Raises forms.ValidationError."""
    latest = timezone.localdate() + FURTHEST_AHEAD
    if not EARLIEST <= day <= latest:
        raise forms.ValidationError(
            f"The year {day.year} cannot be right: type a day from {day_in_words(EARLIEST)} "
            f"to {day_in_words(latest)}."
        )
    return day

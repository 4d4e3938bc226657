"""What is typed about a job by the people who do it."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms

from builds.models import Decision, Person
from builds.services.jobs import LONGEST_NOTE


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class NoteForm(forms.Form):
    text = forms.CharField(label="Note", max_length=LONGEST_NOTE, widget=forms.Textarea(attrs={"rows": 3}))


class BeginForm(forms.Form):
    """Why a held job is begun all the same; empty where it is not held."""

    why = forms.CharField(label="Why begin while it is held", max_length=300, required=False)


class PhotoForm(forms.Form):
    upload = forms.FileField(
        label="Photo",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        error_messages={"required": "Take or choose a photo first."},
    )
    title = forms.CharField(label="What it shows", max_length=120, required=False)


class DecisionForm(forms.Form):
    """A question that holds the job: asked from the tablet as ‘hold’, or as a decision."""

    question = forms.CharField(label="What must be decided, or what is wrong", max_length=300)
    owed_by = forms.ChoiceField(
        label="Who owes the answer",
        choices=Decision.OwedBy.choices,
        initial=Decision.OwedBy.US,
        widget=forms.RadioSelect,
    )
    person = forms.ModelChoiceField(
        label="Who of us",
        queryset=Person.objects.filter(is_active=True),
        required=False,
        empty_label="not said",
    )
    due_on = forms.DateField(label="Wanted by", widget=DayInput())

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        initial = {"due_on": _next_weekday(today), **kwargs.pop("initial", {})}
        super().__init__(*args, initial=initial, **kwargs)


class AnswerForm(forms.Form):
    answer = forms.CharField(label="What was decided", max_length=300)


class TimeForm(forms.Form):
    hours = forms.DecimalField(
        label="Hours",
        min_value=Decimal("0.02"),
        max_value=24,
        max_digits=5,
        decimal_places=2,
        help_text="1.5 is an hour and a half.",
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    on = forms.DateField(label="On", widget=DayInput())
    person = forms.ModelChoiceField(
        label="Whose time", queryset=Person.objects.filter(is_active=True), required=False, empty_label=None
    )

    def __init__(self, *args: Any, today: date, by: Person, **kwargs: Any) -> None:
        initial = {"on": today, "person": by, **kwargs.pop("initial", {})}
        super().__init__(*args, initial=initial, **kwargs)
        if not by.is_manager:
            del self.fields["person"]

    @property
    def minutes(self) -> int:
        return int((self.cleaned_data["hours"] * 60).to_integral_value())


class CorrectedTimeForm(forms.Form):
    hours = forms.DecimalField(
        label="Hours",
        min_value=0,
        max_value=168,
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )

    @property
    def minutes(self) -> int:
        return int((self.cleaned_data["hours"] * 60).to_integral_value())


class SignForm(forms.Form):
    """A second person signs on a tablet where somebody else is signed in: name and PIN."""

    person = forms.ModelChoiceField(
        label="Who checked it",
        queryset=Person.objects.filter(is_active=True, role=Person.Role.FITTER),
        error_messages={"required": "Choose who checked it."},
    )
    pin = forms.CharField(
        label="PIN",
        max_length=12,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class TakeBackForm(forms.Form):
    """Which of the two is meant, so that a second press does not take back the other one too."""

    what = forms.ChoiceField(choices=[("start", "start"), ("done", "done")])


def _next_weekday(today: date) -> date:
    day = today + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return day

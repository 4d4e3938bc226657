"""What is typed about the workshop itself."""

from decimal import Decimal
from typing import Any

from django import forms

from builds.models import Workshop
from builds.models.workshop import WEEKDAYS
from builds.services import settings as services

from .people import plain_hours

HOURS = [f"{day}_hours" for day in WEEKDAYS]


class WorkshopForm(forms.ModelForm):
    """Text to values only; `workshop_update` saves them, under a lock."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    address = forms.CharField(
        label="Address", max_length=400, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    # the service knows the countries, and its refusal names them
    country = forms.CharField(label="Public holidays of", widget=forms.Select)

    job_curve = forms.ChoiceField(
        label="How job hours spread between low and high",
        choices=Workshop.Curve.choices,
        widget=forms.RadioSelect,
        required=False,  # a page opened before there was a choice sends none
    )

    class Meta:
        model = Workshop
        fields = (
            *("name", "address", "phone", "email"),
            *(*HOURS, "day_starts", "country", "region", "units", "job_curve"),
            "day_worth",
        )
        labels = {"day_worth": "What a day of first start-up is worth to us (£)"}
        widgets = {
            "day_starts": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "region": forms.TextInput(attrs={"class": "short", "list": "regions", "autocomplete": "off"}),
            "units": forms.RadioSelect,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["country"].widget.choices = services.countries()
        self.fields["version"].initial = self.instance.version
        for name in HOURS:
            self.initial[name] = plain_hours(Decimal(getattr(self.instance, name)))
            self.fields[name].label = name.removesuffix("_hours").capitalize()
        self.fields["region"].help_text = _region_help(self.instance.country)

    def clean_region(self) -> str:
        return self.cleaned_data["region"].strip()

    def changes(self) -> dict[str, Any]:
        given = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        return given if given["job_curve"] else {**given, "job_curve": self.instance.job_curve}


class NameForm(forms.Form):
    """The name of an area or a skill; `was` is the one that stood there when the page was opened."""

    name = forms.CharField(label="Name", max_length=40)
    was = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, label: str = "Name", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = label


class BayForm(forms.Form):
    """A lift, a bay or a booth; `version` is the one that stood there when the page was opened."""

    name = forms.CharField(label="Lift, bay or booth", max_length=60)
    places = forms.IntegerField(label="How many there are", min_value=1, max_value=99, initial=1)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, required=False)


def _region_help(country: str) -> str:
    choices = [f"{region.code} {region.name}".strip() for region in services.regions(country)]
    if not choices:
        return "This country has no regions here: leave it empty."
    return f"The letters of one of these, or empty for the whole country: {', '.join(choices)}."

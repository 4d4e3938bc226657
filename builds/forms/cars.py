"""What is typed about a car."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.models import Car, Job, Milestone
from parts.models import Supplier

from .rows import RowsField
from .spans import day_input


class CarForm(forms.Form):
    name = forms.CharField(label="Name", max_length=40)
    description = forms.CharField(
        label="Description", max_length=120, required=False, help_text="For example ‘1966 two-door fastback’."
    )
    place = forms.CharField(label="Where in the workshop", max_length=80, required=False)
    arrived_on = forms.DateField(label="Came in on", required=False, widget=day_input())
    handed_over_on = forms.DateField(
        label="Handed over on",
        required=False,
        widget=day_input(),
        help_text="Once this is filled in the car leaves every list.",
    )
    note = forms.CharField(label="Note", required=False, max_length=4000, widget=forms.Textarea)
    customer_name = forms.CharField(label="Customer", max_length=80, required=False)
    customer_phone = forms.CharField(label="Telephone", max_length=40, required=False)
    customer_email = forms.EmailField(label="E-mail", required=False)
    customer_address = forms.CharField(
        label="Address", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 3})
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    CARD = ("name", "description", "place", "arrived_on", "handed_over_on", "note")

    @classmethod
    def of(cls, car: Car) -> CarForm:
        customer = car.customer
        initial = {name: getattr(car, name) for name in (*cls.CARD, "version")}
        for name in ("name", "phone", "email", "address"):
            initial[f"customer_{name}"] = getattr(customer, name, "")
        return cls(initial=initial)

    def card(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.CARD}

    def customer(self) -> dict[str, str]:
        return {name: self.cleaned_data[f"customer_{name}"] for name in ("name", "phone", "email", "address")}

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        came, went = given.get("arrived_on"), given.get("handed_over_on")
        if came and went and went < came:
            self.add_error("handed_over_on", "The car cannot be handed over before it came in.")
        return given


class AwayForm(forms.Form):
    supplier = forms.ModelChoiceField(label="At", queryset=Supplier.objects.all())
    what_for = forms.CharField(label="For", max_length=120)
    leaves_on = forms.DateField(label="Leaves on", widget=day_input())
    due_back_on = forms.DateField(label="Due back on", widget=day_input())


class BackForm(forms.Form):
    on = forms.DateField(label="Back on", widget=day_input())


class DueBackForm(forms.Form):
    due_back_on = forms.DateField(label="Now due back on", widget=day_input())


class PromiseForm(forms.Form):
    milestone = forms.ModelChoiceField(label="Milestone", queryset=Milestone.objects.none(), empty_label=None)
    promised_on = forms.DateField(label="Promised day", widget=day_input())
    reason = forms.CharField(label="Why it is this day", max_length=300)
    weight = forms.IntegerField(
        label="How much a late day matters",
        min_value=1,
        max_value=9,
        required=False,
        help_text="1 as a rule, up to 9: what a late day costs beside the other promises when the plan "
        "must choose. Empty: as it was.",
    )

    def __init__(self, *args: Any, car: Car, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["milestone"].queryset = car.milestones.all()


class MilestoneForm(forms.Form):
    kind = forms.ChoiceField(label="Milestone", choices=Milestone.Kind.choices)
    name = forms.CharField(
        label="Its name", max_length=60, required=False, help_text="Only for one of our own."
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)
    jobs = RowsField(
        label="Reached after",
        queryset=Job.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one job that the milestone is reached after."},
    )

    def __init__(self, *args: Any, car: Car, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["jobs"].queryset = Job.objects.of_car(car.pk)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if given.get("kind") == Milestone.Kind.OWN and not given.get("name"):
            self.add_error("name", "Give your own milestone a name.")
        return given

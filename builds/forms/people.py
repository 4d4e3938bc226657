"""What is typed about people."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from builds.models import Person, Skill
from builds.models.workshop import WEEKDAYS
from builds.services.people import PersonDetails

from .accounts import TwiceTyped
from .rows import RowsField
from .spans import day_input, sensible_day


def plain_hours(hours: Decimal) -> str:
    """8 rather than 8.00 in a field."""
    return f"{hours.normalize():f}"


def hours_fields() -> dict[str, forms.DecimalField]:
    """Hours of each weekday, by the name of the column."""
    columns = {f"{day}_hours": day.capitalize() for day in WEEKDAYS}
    fields = {}
    for column, label in columns.items():
        usual = Person._meta.get_field(column).default
        fields[column] = forms.DecimalField(
            label=label, min_value=0, max_value=16, max_digits=4, decimal_places=2, initial=usual
        )
    return fields


class PersonForm(TwiceTyped):
    """One form for somebody new and for a change; `for_new` asks for the password or PIN."""

    name = forms.CharField(label="Name", max_length=60)
    role = forms.ChoiceField(
        label="Role",
        choices=Person.Role.choices,
        initial=Person.Role.FITTER,
        widget=forms.RadioSelect,
    )
    skills = RowsField(
        label="Skills", queryset=Skill.objects.all(), required=False, widget=forms.CheckboxSelectMultiple
    )
    here_from = forms.DateField(
        label="Works here from", required=False, widget=day_input(), help_text="Empty: already."
    )
    here_until = forms.DateField(
        label="Works here until", required=False, widget=day_input(), help_text="Empty: for good."
    )
    is_active = forms.BooleanField(label="Works here and may sign in", required=False, initial=True)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, initial=1)

    def __init__(self, *args: Any, for_new: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.update(hours_fields())
        for name in ("secret", "secret_again"):
            self.fields[name].required = for_new
        self.fields["secret"].label = "Password or PIN" if for_new else "New password or PIN"
        kept = "" if for_new else " Empty: the old one stays."
        self.fields[
            "secret"
        ].help_text = (
            f"A manager: a password of 10 characters or more. A fitter: a PIN of 4 to 8 digits.{kept}"
        )

    def clean_here_from(self) -> date | None:
        day = self.cleaned_data["here_from"]
        return day and sensible_day(day)

    def clean_here_until(self) -> date | None:
        day = self.cleaned_data["here_until"]
        return day and sensible_day(day)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        first, last = given.get("here_from"), given.get("here_until")
        if first and last and last < first:
            self.add_error("here_until", "Somebody cannot leave before they begin here.")
        return given

    def details(self) -> PersonDetails:
        given = self.cleaned_data
        return PersonDetails(
            name=given["name"],
            role=given["role"],
            is_active=given["is_active"],
            hours=tuple(given[f"{day}_hours"] for day in WEEKDAYS),
            skills=tuple(given["skills"]),
            here_from=given["here_from"],
            here_until=given["here_until"],
        )


def person_initial(person: Person) -> dict[str, Any]:
    """What the form shows of somebody who is there already."""
    columns = ("name", "role", "is_active", "here_from", "here_until", "version")
    shown = {column: getattr(person, column) for column in columns}
    shown |= {
        f"{day}_hours": plain_hours(hours)
        for day, hours in zip(WEEKDAYS, person.hours_by_weekday, strict=True)
    }
    return shown | {"skills": person.skills.all()}

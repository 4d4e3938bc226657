"""What is put into a question under What if: one form for each kind of change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms

from builds.models import Skill
from builds.network import WorkshopState
from builds.network.changes import (
    BatchLeaves,
    Change,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
)
from builds.network.solution import FIRST_START_UP
from builds.network.whatif import carriage_days
from builds.services.people import day_in_words
from builds.sheets.whatif import LETTERS

from .spans import day_input, sensible_day

YEAR_DAYS = 366
HOURS = {"min_value": Decimal("0.5"), "max_value": Decimal(16), "max_digits": 4, "decimal_places": 1}


class TriedForm(forms.Form):
    """Base: which question it goes into."""

    heading = ""
    kind = forms.CharField(widget=forms.HiddenInput)
    to = forms.ChoiceField(label="In question", choices=[(letter, letter.upper()) for letter in LETTERS])

    def __init__(self, data: Any, *, name: str, state: WorkshopState, people: dict[int, str]) -> None:
        self.state = state
        self.tomorrow = state.model.next_day
        super().__init__(data, auto_id=f"{name}_%s", initial={"kind": name})
        self.prepare(state, people)

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        """Fill in the choices."""

    def change(self) -> Change:
        raise NotImplementedError

    def choices(self, name: str, choices: Iterable[tuple[int, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.TypedChoiceField)
        field.choices = list(choices)

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to choose from."""
        choosing = [field for field in self.fields.values() if isinstance(field, forms.TypedChoiceField)]
        return any(not field.choices for field in choosing)

    def clean_day(self, name: str) -> date:
        day = sensible_day(self.cleaned_data[name])
        if day < self.state.model.today:
            raise forms.ValidationError("That day is past. Give today or a day to come.")
        return day


def choice(label: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(label=label, coerce=int)


class PersonTried(TriedForm):
    heading = "One more person"
    skill = choice("Who can do")
    first = forms.DateField(label="From", widget=day_input())
    days = forms.IntegerField(label="For days, weekends included", min_value=1, max_value=366, initial=14)
    hours = forms.DecimalField(label="Hours a day", initial=8, **HOURS)
    name = forms.CharField(label="Name", max_length=60, required=False, help_text="Needed to keep it.")

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        self.choices("skill", Skill.objects.values_list("pk", "name"))
        self.fields["first"].initial = self.tomorrow

    def clean_first(self) -> date:
        return self.clean_day("first")

    def change(self) -> Change:
        given = self.cleaned_data
        name = " ".join(given["name"].split())
        return ExtraPerson(given["skill"], given["first"], given["days"], given["hours"], name)


class OvertimeTried(TriedForm):
    heading = "Overtime"
    person = choice("Who")
    first = forms.DateField(label="From", widget=day_input())
    days = forms.IntegerField(label="For days, weekends included", min_value=1, max_value=366, initial=14)
    hours = forms.DecimalField(label="Hours a day longer", initial=2, **HOURS)

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        self.choices("person", people.items())
        self.fields["first"].initial = self.tomorrow

    def clean_first(self) -> date:
        return self.clean_day("first")

    def change(self) -> Change:
        given = self.cleaned_data
        return Overtime(given["person"], given["first"], given["days"], given["hours"])


class BatchTried(TriedForm):
    heading = "Split a finishing batch"
    batch = choice("Batch")
    on = forms.DateField(
        label="Goes on",
        widget=day_input(),
        help_text="With what is ready by then; the rest follows by itself.",
    )

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        rows = state.model.rows
        batches = rows.batches.values()
        self.choices("batch", [(one.id, f"{one.process__name.lower()} batch {one.id}") for one in batches])
        self.fields["on"].initial = self.tomorrow

    def clean_on(self) -> date:
        day = self.clean_day("on")
        lines = self.state.model.rows.operations.values()
        takers = (line.supplier_id for line in lines if line.batch_id == self.cleaned_data.get("batch"))
        supplier = self.state.model.rows.suppliers.get(next(takers, None) or 0)
        if supplier is None:
            return day
        works = self.state.model.calendars[f"supplier:{supplier.id}"]
        coming = (day + timedelta(days=number) for number in range(YEAR_DAYS))
        next_day = next((one for one in coming if works.days_between(one, one + timedelta(days=1))), None)
        if next_day is not None and next_day != day:
            raise forms.ValidationError(
                f"{supplier.name} does not work on {day_in_words(day)}. "
                f"The next day it works is {day_in_words(next_day)}."
            )
        return day

    def change(self) -> Change:
        return BatchLeaves(self.cleaned_data["batch"], self.cleaned_data["on"])


class PullTried(TriedForm):
    heading = "Take a part out of its batch"
    line = choice("Part")

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        batches = state.model.rows.batches
        self.choices("line", _lines(state, lambda line: line.state == "to do" and line.batch_id in batches))

    def change(self) -> Change:
        return PulledOut(self.cleaned_data["line"])


class ExpressTried(TriedForm):
    heading = "Express or air freight"
    line = choice("What has not gone yet")
    days = forms.IntegerField(
        label="Working days, there and back", min_value=1, max_value=366, help_text="The supplier’s own days."
    )

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        self.choices("line", _lines(state, lambda line: line.state == "to do" and line.lead_likely_days > 0))

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        line = self.state.model.open_operations.get(given.get("line") or 0)
        if line is not None and "days" in given:
            road = carriage_days(self.state.model.rows, line)
            if given["days"] < road:
                self.add_error("days", f"Carriage alone takes {road} of the supplier’s days.")
            elif given["days"] >= self.state.model.lead_days(line):
                now = self.state.model.lead_days(line)
                self.add_error("days", f"It takes {now} days as it is: give fewer.")
        return given

    def change(self) -> Change:
        return Express(self.cleaned_data["line"], self.cleaned_data["days"])


class DueTried(TriedForm):
    heading = "Something out comes in on a day"
    line = choice("What is out")
    on = forms.DateField(label="Comes in on", widget=day_input())

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        self.choices("line", _lines(state, lambda line: line.state == "out"))
        self.fields["on"].initial = self.tomorrow

    def clean_on(self) -> date:
        return self.clean_day("on")

    def change(self) -> Change:
        return DueIn(self.cleaned_data["line"], self.cleaned_data["on"])


class PromiseTried(TriedForm):
    heading = "Move a promise"
    milestone = choice("Milestone")
    on = forms.DateField(label="Promised for", widget=day_input())

    def prepare(self, state: WorkshopState, people: dict[int, str]) -> None:
        rows = state.model.rows
        ahead = [one for one in rows.milestones if state.solution.is_open(one.job_ids) and one.job_ids]
        ahead.sort(key=lambda one: (one.kind != FIRST_START_UP, rows.cars[one.car_id].name))
        self.choices("milestone", [(one.id, f"{rows.cars[one.car_id].name}: {one.name}") for one in ahead])
        self.fields["on"].initial = state.model.today + timedelta(days=30)

    def clean_on(self) -> date:
        return self.clean_day("on")

    def change(self) -> Change:
        return PromiseMoved(self.cleaned_data["milestone"], self.cleaned_data["on"])


KINDS: dict[str, type[TriedForm]] = {
    "person": PersonTried,
    "overtime": OvertimeTried,
    "batch": BatchTried,
    "pull": PullTried,
    "express": ExpressTried,
    "due": DueTried,
    "promise": PromiseTried,
}


def tried_forms(data: Any, state: WorkshopState, people: dict[int, str]) -> list[TriedForm]:
    """One form for each kind; the one that `data` is for is bound to it."""
    asked = data.get("kind", "")
    return [
        form(data if name == asked else None, name=name, state=state, people=people)
        for name, form in KINDS.items()
    ]


def _lines(state: WorkshopState, wanted: Any) -> Iterator[tuple[int, str]]:
    rows = state.model.rows
    for line in state.model.open_operations.values():
        if wanted(line):
            part = rows.parts[line.part_id]
            yield line.id, f"{rows.cars[part.car_id].name}: {part.name}, {line.process__name.lower()}"

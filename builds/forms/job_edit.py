"""Writing a line of the job list. Jobs and parts are named by typing, helped by the car's own list."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from builds.models import Area, Bay, Car, Job, Skill
from builds.services.job_edit import PLAIN_FIELDS, JobWording
from parts.models import Operation, Part, Supplier

BLANK_ROWS = 3
MOST_ROWS = 100

Choices = Mapping[str, Any]  # what is typed, folded -> what it names


def _hours(label: str) -> forms.DecimalField:
    number = forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"})
    return forms.DecimalField(label=label, min_value=0, max_digits=7, decimal_places=2, widget=number)


class JobForm(forms.Form):
    """The plain values of a job; links and needs have rows of their own."""

    area = forms.ModelChoiceField(label="Area", queryset=Area.objects.all(), empty_label=None)
    title = forms.CharField(label="What has to be done", max_length=200)
    place = forms.ChoiceField(label="Where it is done", choices=Job.Place.choices)
    hours_low = _hours("Hours, low")
    hours_likely = _hours("Hours, likely")
    hours_high = _hours("Hours, high")
    people = forms.IntegerField(label="People needed", min_value=1, max_value=20, initial=1)
    skill = forms.ModelChoiceField(
        label="Skill", queryset=Skill.objects.all(), required=False, empty_label="none: anybody"
    )
    bay = forms.ModelChoiceField(
        label="Lift or bay that it needs",
        queryset=Bay.objects.all(),
        required=False,
        empty_label="none",
        help_text="Kept from the job’s start until it is done.",
    )
    supplier = forms.ModelChoiceField(
        label="Supplier that the car goes to",
        queryset=Supplier.objects.all(),
        required=False,
        empty_label="none",
        help_text="Only for a job away with the car.",
    )
    needs_signature = forms.BooleanField(label="Needs a second signature", required=False)
    cautions = forms.MultipleChoiceField(
        label="Cautions",
        choices=Job.Caution.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(
        label="Note", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    key = forms.SlugField(
        label="Short name for files",
        max_length=60,
        required=False,
        help_text="Letters, digits and hyphens; once per car.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, initial=1)


class NamedField(forms.CharField):
    """Text that must name one thing of the car's list; its value is that thing."""

    def __init__(self, what: str, **kwargs: Any) -> None:
        super().__init__(max_length=260, required=False, **kwargs)
        self.what = what
        self.named: Choices = {}

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = self.named.get(_folded(text))
        if found is None:
            raise forms.ValidationError(
                f"There is no {self.what} “{text}” on this car. Choose one from the list."
            )
        return found


class AfterRow(forms.Form):
    job = NamedField("job", label="Comes after")
    lag_hours = forms.DecimalField(
        label="Hours to wait in between",
        min_value=0,
        max_digits=6,
        decimal_places=1,
        required=False,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )

    def __init__(self, *args: Any, named: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].named = named
        self.fields["job"].widget.attrs["list"] = "jobs-of-car"


class NeedRow(forms.Form):
    part = NamedField("part", label="Needs the part")

    def __init__(self, *args: Any, named: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].named = named
        self.fields["part"].widget.attrs["list"] = "parts-of-car"


class JobSheetForm:
    """The whole page: one form for the job and a row for each link and need."""

    def __init__(
        self,
        car: Car,
        job: Job | None,
        data: QueryDict | None = None,
        *,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        self.jobs = {job_label(each): each for each in _jobs_of(car) if job is None or each.pk != job.pk}
        self.parts = _part_choices(car)
        started = wording_of(job) if job else None
        plain = {name: getattr(started, name) for name in PLAIN_FIELDS} if started else {}
        version = {"version": job.version} if job else {}
        self.plain = JobForm(data, initial={**plain, **version, **(initial or {})})
        afters = [
            {"job": job_label(before), "lag_hours": lag}
            for before, lag in (started.after if started else {}).items()
        ]
        needs = [{"part": part_label(*need)} for need in (started.needs if started else {}).items()]
        self.afters = _rows(AfterRow, data, "after", afters, {_folded(k): v for k, v in self.jobs.items()})
        self.needs = _rows(NeedRow, data, "need", needs, {_folded(k): v for k, v in self.parts.items()})

    def is_valid(self) -> bool:
        # each is asked, so that all that is wrong is shown at once
        return all([self.plain.is_valid(), self.afters.is_valid(), self.needs.is_valid()])

    def wording(self) -> JobWording:
        given = {name: self.plain.cleaned_data[name] for name in PLAIN_FIELDS}
        given["cautions"] = tuple(given["cautions"])
        return JobWording(
            **given,
            after={
                row["job"]: row.get("lag_hours") or Decimal(0)
                for row in self.afters.cleaned_data
                if row.get("job")
            },
            needs=dict(row["part"] for row in self.needs.cleaned_data if row.get("part")),
        )


def _rows(
    row: type[forms.Form], data: QueryDict | None, prefix: str, there: list[Any], named: Choices
) -> Any:
    made = forms.formset_factory(row, extra=BLANK_ROWS, max_num=MOST_ROWS, absolute_max=MOST_ROWS)
    return made(data, prefix=prefix, initial=there, form_kwargs={"named": named})


def with_more_rows(data: QueryDict) -> QueryDict:
    """The same typed page with three more blank rows for links and for needs."""
    more = data.copy()
    for prefix in ("after", "need"):
        name = f"{prefix}-TOTAL_FORMS"
        total = data.get(name, "")
        so_far = int(total) if total.isdecimal() and len(total) < 4 else 0
        more[name] = str(min(so_far + BLANK_ROWS, MOST_ROWS))
    return more


def wording_of(job: Job) -> JobWording:
    """The job as it stands in the database."""
    links = job.links_in.select_related("before__area")
    needs = job.part_needs.select_related("part", "operation__process")
    plain = {name: getattr(job, name) for name in PLAIN_FIELDS}
    plain["cautions"] = tuple(job.cautions)
    return JobWording(
        **plain,
        after={link.before: link.lag_hours for link in links},
        needs={need.part: need.operation for need in needs},
    )


def wording_lines(wording: JobWording) -> dict[str, str]:
    """Each thing that is written on the line, in words, by what it is called on the page."""
    lines = {"Hours": f"{wording.hours_low:g} / {wording.hours_likely:g} / {wording.hours_high:g}"}
    for name in PLAIN_FIELDS:
        if not name.startswith("hours"):
            lines[str(JobForm.base_fields[name].label)] = _in_words(getattr(wording, name))
    lines["Place"] = Job.Place(wording.place).label
    del lines["Where it is done"]
    afters = (job_label(job) + (f" (+{lag:g} h)" if lag else "") for job, lag in wording.after.items())
    lines["Comes after"] = _in_words(tuple(afters))
    lines["Needs"] = _in_words(tuple(part_label(*need) for need in wording.needs.items()))
    return lines


def job_label(job: Job) -> str:
    """What a person types to name a job of the same car: 'cooling: Fit radiator'."""
    return f"{job.area.name}: {job.title}"


def part_label(part: Part, operation: Operation | None) -> str:
    """What a person types to name a part, or a part as it is after one line of its route card."""
    if operation is None:
        return part.name
    return f"{part.name}, after line {operation.sequence} ({operation.process.name.lower()})"


def _jobs_of(car: Car) -> list[Job]:
    return list(car.jobs.select_related("area"))


def _part_choices(car: Car) -> dict[str, tuple[Part, Operation | None]]:
    choices: dict[str, tuple[Part, Operation | None]] = {}
    for part in car.parts.prefetch_related("operations__process"):
        choices[part_label(part, None)] = (part, None)
        for line in part.operations.all():
            choices[part_label(part, line)] = (part, line)
    return choices


def _in_words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(value) or "none"
    return str(value) if value not in (None, "") else "none"


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()

"""What is typed about parts, route cards and files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.db.models import Exists, OuterRef

from builds.forms.rows import RowsField
from builds.forms.waiting import NextForm
from builds.models import Car, Job
from parts.models import Operation, Part, Process, StoredFile, Supplier
from parts.services.parts import PART_FIELDS, LineWording
from parts.trade.cards import CardLine


class PartForm(forms.ModelForm):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, initial=1)
    features = forms.MultipleChoiceField(
        label="What a finisher must know",
        choices=Part.Feature.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = Part
        fields = PART_FIELDS
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "colour_set": forms.TextInput(attrs={"list": "colour-sets", "autocomplete": "off"}),
        }
        help_texts = {
            "made_by": "The route card can begin only when this job is done.",
            "material": "Decides which finishes it takes.",
        }

    def __init__(self, *args: Any, car: Car, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["version"] = self.instance.version
        jobs = self.fields["made_by"]
        jobs.queryset = Job.objects.of_car(car.pk).select_related("area")
        jobs.label_from_instance = lambda job: f"{job.area}: {job}"
        for name in ("length_mm", "width_mm", "height_mm"):
            self.fields[name].min_value = 1
            self.fields[name].widget.attrs["min"] = 1


def lead_field(label: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=0, max_value=500)


class _ByUse(forms.models.ModelChoiceIterator):
    """Processes that stand on some route card first, the others by kind."""

    def __iter__(self) -> Iterator[Any]:
        yield "", self.field.empty_label
        groups: dict[str, list[Any]] = {"Used here": []}
        for process in self.queryset:
            kind = "Used here" if process.is_used else process.get_kind_display().capitalize()
            groups.setdefault(kind, []).append(self.choice(process))
        yield from ((name, choices) for name, choices in groups.items() if choices)


class ProcessField(forms.ModelChoiceField):
    """One process out of half a hundred."""

    iterator = _ByUse

    def __init__(self, **kwargs: Any) -> None:
        used = Exists(Operation.objects.filter(process=OuterRef("pk")))
        super().__init__(queryset=Process.objects.annotate(is_used=used), empty_label="choose one", **kwargs)


class LineForm(forms.Form):
    """A line of a route card."""

    process = ProcessField()
    supplier = forms.ModelChoiceField(
        queryset=Supplier.objects.all(), required=False, empty_label="our own workshop, or not chosen yet"
    )
    follows = forms.ModelChoiceField(
        label="Comes", queryset=Operation.objects.none(), required=False, empty_label="first of all"
    )
    lead_low_days = lead_field("Low")
    lead_likely_days = lead_field("Likely")
    lead_high_days = lead_field("High")
    colour = forms.CharField(max_length=60, required=False)
    coating_class = forms.CharField(label="Coating class", max_length=60, required=False)
    specification = forms.CharField(label="Other specification", max_length=200, required=False)
    masking = forms.CharField(
        max_length=200, required=False, help_text="Threads, faces and bores to keep clean."
    )
    cost = forms.DecimalField(
        label="Cost of all of them", required=False, min_value=0, max_digits=9, decimal_places=2
    )
    makes_good = forms.ModelChoiceField(
        label="Makes good",
        queryset=Operation.objects.none(),
        required=False,
        empty_label="no rejected line",
        help_text="The rejected line that this one puts right.",
    )
    after_jobs = RowsField(
        label="Goes only after these jobs",
        queryset=Job.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="A trial fit before the plater, for example.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, initial=1)
    lines_seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, part: Part, operation: Operation | None = None, **kwargs: Any) -> None:
        card = part.operations.select_related("process").order_by("sequence")
        new = {"follows": card.last(), "lines_seen": card.count()}
        kwargs["initial"] = _line_initial(operation) if operation else new
        super().__init__(*args, **kwargs)
        if operation is not None:
            del self.fields["lines_seen"]
        others = card.exclude(pk=operation.pk) if operation else card
        follows, makes_good, jobs = (self.fields[name] for name in ("follows", "makes_good", "after_jobs"))
        follows.queryset = others
        follows.label_from_instance = lambda line: f"after line {line.sequence}, {line.process.name.lower()}"
        makes_good.queryset = others.filter(result=Operation.Result.REJECTED, rework__isnull=True)
        makes_good.label_from_instance = lambda line: f"line {line.sequence}, {line.process.name.lower()}"
        jobs.queryset = Job.objects.of_car(part.car_id).select_related("area")
        jobs.label_from_instance = lambda job: f"{job.area}: {job}"
        if operation is not None or not makes_good.queryset.exists():
            del self.fields["makes_good"]
        if operation is not None and operation.sent_on is not None:
            # it has gone out: what the supplier was told is history
            for name in ("process", "supplier", "colour", "coating_class", "specification", "masking"):
                self.fields[name].disabled = True

    def card_line(self, operation: Operation | None) -> CardLine | None:
        """What the rules of the trade see of it, as far as it is filled in; None without a process."""
        given = self.cleaned_data
        process = given.get("process")
        if process is None:
            return None
        texts = (given.get(name, "") for name in ("colour", "coating_class", "specification"))
        return CardLine(
            id=operation.pk if operation else 0,
            process=process.key,
            name=process.name,
            text=", ".join(text for text in texts if text),
            is_gone=operation is not None and operation.sent_on is not None,
        )

    def wording(self) -> LineWording:
        given = {**self.cleaned_data, "after_jobs": tuple(self.cleaned_data["after_jobs"])}
        del given["version"]
        given.pop("lines_seen", None)
        return LineWording(**given)


def _line_initial(operation: Operation) -> dict[str, Any]:
    others = ("follows", "makes_good", "after_jobs", "lines_seen")
    names = [name for name in LineForm.base_fields if name not in others]
    above = operation.part.operations.filter(sequence__lt=operation.sequence)
    return {
        **{name: getattr(operation, name) for name in names},
        "process": operation.process_id,
        "supplier": operation.supplier_id,
        "follows": above.order_by("sequence").last(),
        "after_jobs": operation.after_jobs.all(),
    }


class FileForm(NextForm):
    """A photo or a drawing on a car, a job or a part."""

    kind = forms.ChoiceField(choices=StoredFile.Kind.choices, widget=forms.HiddenInput)
    car = forms.ModelChoiceField(queryset=Car.objects.all(), required=False, widget=forms.HiddenInput)
    job = forms.ModelChoiceField(
        queryset=Job.objects.select_related("car"), required=False, widget=forms.HiddenInput
    )
    part = forms.ModelChoiceField(
        queryset=Part.objects.select_related("car"), required=False, widget=forms.HiddenInput
    )
    upload = forms.FileField(label="File", max_length=200)
    title = forms.CharField(label="What it shows", max_length=120, required=False)
    revision = forms.CharField(label="Revision", max_length=12, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        things = [cleaned[name] for name in ("car", "job", "part") if cleaned.get(name)]
        if len(things) != 1 and not {"car", "job", "part"} & set(self.errors):
            raise forms.ValidationError("Say what the file belongs to: one car, one job or one part.")
        if things and not cleaned.get("title"):
            cleaned["title"] = str(things[0])[:120]
        return cleaned

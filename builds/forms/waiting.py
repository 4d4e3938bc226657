"""What is typed when goods go out and come in, and when a supplier promises a day."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from builds.forms.spans import day_input
from parts.models import Operation, Process
from parts.services.pieces import count_of

ACCEPT, REJECT, LOST, COUNT, ASIDE = "accept", "reject", "lost", "count", "aside"
MOST = 10_000


class NextForm(forms.Form):
    """Where to go when it is done; the view checks that it is one of our own pages."""

    next = forms.CharField(widget=forms.HiddenInput, required=False, max_length=300)


def _pieces(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, required=False, min_value=0, max_value=MOST, widget=forms.NumberInput
    )


class GoodsInForm(NextForm):
    """A button for each thing that can have come of it; without figures a button means all of it."""

    on = forms.DateField(label="Came in on", widget=day_input())
    count = _pieces("Right")
    rejected = _pieces("Wrong")
    lost = _pieces("Lost")
    left_seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    cost = forms.DecimalField(label="Cost", required=False, min_value=0, max_digits=9, decimal_places=2)
    reason = forms.CharField(
        label="What is wrong, or how they were lost",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    photo = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    rework = forms.BooleanField(
        label="Put the rework on the route card as the next line", required=False, initial=True
    )
    verdict = forms.ChoiceField(
        choices=[
            (ACCEPT, "accept"),
            (REJECT, "reject"),
            (LOST, "lost"),
            (COUNT, "record the count"),
            (ASIDE, "take in, check later"),
        ],
        error_messages={"required": "Press one of the buttons: accept, reject, or take in."},
    )

    def __init__(self, *args: Any, operation: Operation, is_manager: bool, **kwargs: Any) -> None:
        self.counted = count_of(operation)
        initial = kwargs.setdefault("initial", {})
        initial.setdefault("on", operation.back_on or timezone.localdate())
        initial.setdefault("left_seen", self.counted.left)
        super().__init__(*args, **kwargs)
        if operation.back_on is not None:
            # the day of goods in is on record already; only the verdict is missing
            self.fields["on"].disabled = True
        if not is_manager:
            del self.fields["cost"]  # what things cost is for managers

    @property
    def figures(self) -> dict[str, int]:
        """How many are right, wrong and lost: as typed, else all that is left by the button."""
        given = self.cleaned_data
        typed = {name: given.get(name) for name in ("count", "rejected", "lost")}
        named = {ACCEPT: "count", REJECT: "rejected", LOST: "lost"}.get(given["verdict"])
        if named and typed[named] is None:
            rest = sum(figure or 0 for figure in typed.values())
            typed[named] = max(0, self.counted.left - rest)
        return {
            "accepted": typed["count"] or 0,
            "rejected": typed["rejected"] or 0,
            "lost": typed["lost"] or 0,
        }


class MissingForm(NextForm):
    """What is to be done about pieces that did not come back."""

    GO_ON, AGAIN, ENOUGH = "go on", "again", "enough"
    way = forms.ChoiceField(
        choices=[(GO_ON, "go on without them"), (AGAIN, "make them again"), (ENOUGH, "fewer are enough")],
        error_messages={"required": "Press one of the buttons."},
    )
    needs = forms.TypedMultipleChoiceField(
        label="Jobs that wait for the missing ones too",
        required=False,
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, operation: Operation, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        needs = operation.part.job_needs.select_related("job").filter(job__done_at__isnull=True)
        self.fields["needs"].choices = [(need.pk, need.job.title) for need in needs]  # type: ignore[attr-defined]  # a field of choices
        self.fields["needs"].initial = [need.pk for need in needs]


class GoodsOutForm(NextForm):
    on = forms.DateField(label="Went out on", widget=day_input())
    promised_on = forms.DateField(
        label="Promised for",
        widget=day_input(),
        required=False,
        help_text="What the supplier said, if anything.",
    )

    def __init__(self, *args: Any, operation: Operation, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)
        if operation.process.kind == Process.Kind.SUPPLY:
            self.fields["on"].label = "Ordered on"
        if operation.supplier_id is None and operation.process.kind != Process.Kind.SUPPLY:
            self.fields["on"].label = "Begun on"
            del self.fields["promised_on"]


class PromiseForm(NextForm):
    promised_on = forms.DateField(label="Promised for", widget=day_input())
    on = forms.DateField(label="Said on", widget=day_input())
    note = forms.CharField(label="Who said what", required=False, max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("on", timezone.localdate())
        super().__init__(*args, **kwargs)

"""How the wire of a loom is bought."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from builds.forms.parts import lead_field
from builds.models import Job
from builds.services.loom_order import WireOrder
from engineering.bench.buying import REELS_M
from engineering.models import CalcSheet
from parts.models import Supplier


class LoomOrderForm(forms.Form):
    needed_by = forms.ModelChoiceField(
        Job.objects.none(),
        label="Needed by the job",
        help_text="The order-by date is that of this job less the lead time.",
    )
    supplier = forms.ModelChoiceField(
        Supplier.objects.all(), label="Supplier", required=False, empty_label="not chosen yet"
    )
    reel_m = forms.TypedChoiceField(
        label="Bought in reels of",
        coerce=int,
        choices=[(metres, f"{metres} m" if metres > 1 else "by the metre") for metres in REELS_M],
        initial=50,
        help_text="Wire of 10 mm² and more is bought by the metre (common practice, no source).",
    )
    lead_low_days = lead_field("Lead time, low, working days")
    lead_likely_days = lead_field("likely")
    lead_high_days = lead_field("high")

    def __init__(self, *args: Any, sheet: CalcSheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jobs = self.fields["needed_by"]
        jobs.queryset = Job.objects.of_car(sheet.job.car_id).filter(done_at=None).select_related("area")
        jobs.label_from_instance = lambda job: f"{job.area}: {job}"
        # common practice, no source: stock wire comes in days, an odd colour in two weeks
        leads = {"lead_low_days": 1, "lead_likely_days": 3, "lead_high_days": 10}
        self.initial = {"needed_by": _waiting_job(sheet), **leads} | self.initial

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or self.cleaned_data
        typed = (given.get(f"lead_{name}_days") for name in ("low", "likely", "high"))
        leads = [days for days in typed if days is not None]
        if len(leads) == 3 and leads != sorted(leads):
            raise ValidationError("Lead times must run low, likely, high, in rising order.")
        return given

    def order(self) -> WireOrder:
        return WireOrder(**self.cleaned_data)


def _waiting_job(sheet: CalcSheet) -> Job | None:
    """The sheet's own job; if that is done, the first open one that comes after it."""
    if sheet.job.done_at is None:
        return sheet.job
    after = Job.objects.filter(links_in__before=sheet.job, done_at=None).order_by("pk").first()
    return after or Job.objects.filter(car=sheet.job.car_id, area=sheet.job.area_id, done_at=None).first()

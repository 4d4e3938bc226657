"""Calc sheets: stored calculations, each tied to a job of a car."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef
from django.urls import reverse

from engineering.sheets import KINDS


class CalcSheetQuerySet(models.QuerySet["CalcSheet"]):
    def newest_first(self) -> "CalcSheetQuerySet":
        return self.order_by("title", "-revision")

    def of(self, job: Any, kind: str, title: str) -> "CalcSheetQuerySet":
        """Every revision of one sheet; titles that differ in capitals only are the same sheet."""
        return self.filter(job=job, kind=kind, title__iexact=title)

    def newest_of_each(self, job: Any) -> "CalcSheetQuerySet":
        """The last revision of every sheet of a job."""
        later = CalcSheet.objects.filter(
            job=OuterRef("job"),
            kind=OuterRef("kind"),
            title=OuterRef("title"),
            revision__gt=OuterRef("revision"),
        )
        return self.filter(~Exists(later), job=job).select_related("made_by").newest_first()


class CalcSheet(models.Model):
    """One revision of a calculation. A revision is never changed: a new figure makes a new revision."""

    job = models.ForeignKey("builds.Job", on_delete=models.CASCADE, related_name="calc_sheets")
    part = models.ForeignKey(
        "parts.Part",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="calc_sheets",
        help_text="What is made from this sheet, if it is one part.",
    )
    kind = models.CharField(max_length=20, help_text="Key of `engineering.sheets.KINDS`.")
    title = models.CharField(max_length=120)
    revision = models.PositiveSmallIntegerField(default=1)
    inputs = models.JSONField(help_text="What was typed, by field name; every name carries its unit.")
    results = models.JSONField(help_text="What came out, by name; every name carries its unit.")
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    objects = CalcSheetQuerySet.as_manager()

    class Meta:
        ordering = ["title", "-revision"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "kind", "title", "revision"],
                name="calc_sheet_revision_once",
                violation_error_message=(
                    "This job already has that revision of the sheet; reload and try again."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title}, revision {self.revision}"

    def get_absolute_url(self) -> str:
        return reverse("calc-sheet", args=[self.pk])

    @property
    def kind_name(self) -> str:
        """What kind of sheet it is, for people."""
        return KINDS[self.kind].name

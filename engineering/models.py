"""Calc sheets: stored calculations, each tied to a job of a car."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from engineering.loom.bench import Step
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


class BenchQuerySet(models.QuerySet["Bench"]):
    def of_sheet(self, sheet: CalcSheet) -> "BenchQuerySet":
        """The bench of a sheet, whatever its revision."""
        return self.filter(job=sheet.job_id, title__iexact=sheet.title)

    def with_sheet(self) -> "BenchQuerySet":
        return self.select_related("sheet", "job__car", "taken_by")


class Bench(models.Model):
    """A loom that is being made: which revision of its sheet is cut from now."""

    job = models.ForeignKey("builds.Job", on_delete=models.CASCADE, related_name="benches")
    title = models.CharField(max_length=120, help_text="Of the sheet, in all its revisions.")
    sheet = models.ForeignKey(CalcSheet, on_delete=models.CASCADE, related_name="+")
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()

    objects = BenchQuerySet.as_manager()

    class Meta:
        ordering = ["job", "title"]
        verbose_name_plural = "benches"
        constraints = [
            models.UniqueConstraint(
                fields=["job", "title"],
                name="bench_once",
                violation_error_message="That loom is at the bench already; reload and look again.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title} at the bench"

    def get_absolute_url(self) -> str:
        return reverse("bench", args=[self.pk])


class BenchTaking(models.Model):
    """One revision was taken to the bench."""

    bench = models.ForeignKey(Bench, on_delete=models.CASCADE, related_name="takings")
    sheet = models.ForeignKey(CalcSheet, on_delete=models.CASCADE, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["bench", "sheet"],
                name="bench_taking_once",
                violation_error_message="That revision is at the bench already.",
            ),
        ]

    def __str__(self) -> str:
        return f"revision {self.sheet.revision} taken"


class BenchTick(models.Model):
    """One step of one wire is done. Undone, it is removed."""

    bench = models.ForeignKey(Bench, on_delete=models.CASCADE, related_name="ticks")
    label = models.CharField("wire", max_length=80)
    step = models.CharField(max_length=12, choices=[(step.value, step.value) for step in Step])
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["bench", "label", "step"],
                name="bench_tick_once",
                violation_error_message="That is ticked already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.step}"


class BenchReading(models.Model):
    """What a meter showed on one wire, as it was made then."""

    class Meter(models.TextChoices):
        TWO_LEADS = "two", "plain meter, two leads"
        FOUR_LEADS = "four", "milliohm meter, four leads"

    bench = models.ForeignKey(Bench, on_delete=models.CASCADE, related_name="readings")
    label = models.CharField("wire", max_length=80)
    size = models.CharField(max_length=20)
    cut_mm = models.FloatField("cut length, mm")
    is_open = models.BooleanField("no continuity", default=False)
    ohm = models.FloatField("resistance, ohm", null=True, blank=True)
    meter = models.CharField(max_length=4, choices=Meter, default=Meter.TWO_LEADS)
    drop_v = models.FloatField("voltage drop, V", null=True, blank=True)
    at_a = models.FloatField("at a current, A", null=True, blank=True)
    is_warm = models.BooleanField(
        "on the car, running warm", default=False, help_text="Else at the bench, in the workshop's own air."
    )
    instrument = models.CharField(max_length=60, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(is_open=True) | Q(ohm__isnull=False) | Q(drop_v__isnull=False),
                name="bench_reading_says_something",
                violation_error_message="Give a resistance, or a voltage drop and its current.",
            ),
            models.CheckConstraint(
                condition=Q(drop_v__isnull=True, at_a__isnull=True)
                | Q(drop_v__isnull=False, at_a__isnull=False),
                name="bench_reading_drop_at_current",
                violation_error_message="A voltage drop needs its current, and a current its drop.",
            ),
            models.CheckConstraint(
                condition=Q(is_open=False) | Q(ohm__isnull=True),
                name="bench_reading_open_or_ohm",
                violation_error_message="Either there is no continuity, or a resistance.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} read"


class BenchChange(models.Model):
    """What a newer revision means for one wire at the bench, and whether that has been seen to."""

    class Kind(models.TextChoices):
        NEW = "new", "new"
        CHANGED = "changed", "changed"
        GONE = "gone", "gone"

    bench = models.ForeignKey(Bench, on_delete=models.CASCADE, related_name="changes")
    sheet = models.ForeignKey(CalcSheet, on_delete=models.CASCADE, related_name="+")
    label = models.CharField("wire", max_length=80)
    kind = models.CharField(max_length=8, choices=Kind)
    words = models.CharField("what changed", max_length=600, blank=True)
    lost = models.CharField("ticks that no longer hold", max_length=80, blank=True)
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    seen_at = models.DateTimeField("seen to", null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["bench", "sheet", "label"],
                name="bench_change_once",
                violation_error_message="That change is named already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label}, {self.kind} in revision {self.sheet.revision}"


class WireBought(models.Model):
    """Wire of one colour and size that was put on Orders for a loom, as a part of its car."""

    job = models.ForeignKey("builds.Job", on_delete=models.CASCADE, related_name="+")
    title = models.CharField(max_length=120, help_text="Of the loom's sheet, in all its revisions.")
    revision = models.PositiveSmallIntegerField(help_text="For which it was put there first.")
    colour = models.CharField(max_length=80, blank=True)
    size = models.CharField(max_length=20)
    insulation = models.CharField(max_length=8, blank=True)
    piece_m = models.FloatField("length of one reel, m")
    part = models.OneToOneField("parts.Part", on_delete=models.CASCADE, related_name="wire_bought")

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "wire bought"
        constraints = [
            models.CheckConstraint(
                condition=Q(piece_m__gt=0),
                name="wire_bought_piece_positive",
                violation_error_message="A reel must be longer than 0 m.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.size} {self.colour}, {self.piece_m:g} m"

    @property
    def metres(self) -> float:
        """All pieces of the part together."""
        return float(self.part.quantity * self.piece_m)

"""Parts, what they are made of, and the processes that a route card may name."""

from decimal import Decimal
from secrets import choice

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.urls import reverse


class ProcessQuerySet(models.QuerySet["Process"]):
    def finishes(self) -> "ProcessQuerySet":
        return self.filter(kind=Process.Kind.FINISH)


class Process(models.Model):
    """One kind of operation: fabricate, machine, anodise, zinc plate, supply …"""

    class Kind(models.TextChoices):
        SUPPLY = "supply", "bought in"
        MAKE = "make", "makes or changes the part"
        FINISH = "finish", "finishes the surface, in batches"

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=Kind)
    order = models.PositiveSmallIntegerField(default=0)

    objects = ProcessQuerySet.as_manager()

    class Meta:
        ordering = ["order", "name"]
        verbose_name_plural = "processes"
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="process_name_once",
                violation_error_message="There is a process of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_finish(self) -> bool:
        return self.kind == self.Kind.FINISH


class Material(models.Model):
    """What a part is made of, as far as a finisher has to know."""

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "name"]

    def __str__(self) -> str:
        return self.name


class MaterialVerdict(models.Model):
    """Whether a material takes a finish. No row means that nothing is known against it."""

    class Verdict(models.TextChoices):
        OK = "ok", "suits"
        CARE = "care", "with care"
        NO = "no", "not suited"

    process = models.ForeignKey(Process, on_delete=models.CASCADE, related_name="verdicts")
    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="verdicts")
    verdict = models.CharField(max_length=4, choices=Verdict)
    reason = models.TextField()
    source = models.TextField()

    class Meta:
        ordering = ["process", "material"]
        constraints = [models.UniqueConstraint(fields=["process", "material"], name="verdict_once")]

    def __str__(self) -> str:
        return f"{self.process} on {self.material}: {self.get_verdict_display()}"


class TradeRule(models.Model):
    """Which of two processes comes first on a route card, and why. A workshop adds its own."""

    class Weight(models.TextChoices):
        MUST = "must", "must"
        SHOULD = "should", "should"

    before = models.ForeignKey(Process, on_delete=models.CASCADE, related_name="rules_before")
    after = models.ForeignKey(Process, on_delete=models.CASCADE, related_name="rules_after")
    weight = models.CharField("must or should", max_length=6, choices=Weight)
    reason = models.TextField()
    source = models.TextField(default="the workshop’s own rule")
    is_own = models.BooleanField("the workshop’s own", default=True)

    class Meta:
        ordering = ["before", "after"]
        constraints = [
            models.UniqueConstraint(
                fields=["before", "after"],
                name="trade_rule_once",
                violation_error_message="There is a rule for these two processes already.",
            ),
            models.CheckConstraint(
                condition=~Q(before=models.F("after")),
                name="trade_rule_of_two_processes",
                violation_error_message="A process cannot come before itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before} before {self.after}"


def part_code() -> str:
    """Eight letters and figures without those that are mistaken for each other on a dirty label."""
    return "".join(choice("23456789ABCDEFGHJKMNPQRSTVWXYZ") for _ in range(8))


class PartQuerySet(models.QuerySet["Part"]):
    def of_car(self, car_id: int) -> "PartQuerySet":
        return self.filter(car_id=car_id)


class Part(models.Model):
    """An item that must be in hand before a job. Its way there is its route card."""

    class Feature(models.TextChoices):
        """What a finisher and a rule of the trade must know beside the material."""

        SEALED = "sealed", "has a sealed hollow section"
        VENTED = "vented", "its hollow sections have vent and drain holes"
        HIGH_STRENGTH = "high strength", "high-strength steel or fastener (10.9 and above, or over 1000 MPa)"
        STEEL_INSERT = "steel insert", "has a steel insert, stud or thread bush"
        BONDED = "bonded", "has a bonded or glued joint"
        LAPPED = "lapped", "has lapped joints or crevices"

    car = models.ForeignKey("builds.Car", on_delete=models.CASCADE, related_name="parts")
    # Printed on the label of the piece; another workshop’s label does not open anything here.
    code = models.CharField(max_length=12, unique=True, default=part_code, editable=False)
    name = models.CharField(max_length=120)
    drawing_number = models.CharField(max_length=40, blank=True)
    material = models.ForeignKey(
        Material, on_delete=models.PROTECT, null=True, blank=True, related_name="parts"
    )
    quantity = models.PositiveIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(10_000)]
    )
    mass_kg = models.DecimalField(
        "mass of one (kg)",
        max_digits=8,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.001")), MaxValueValidator(5000)],
    )
    length_mm = models.PositiveIntegerField("length (mm)", null=True, blank=True)
    width_mm = models.PositiveIntegerField("width (mm)", null=True, blank=True)
    height_mm = models.PositiveIntegerField("height (mm)", null=True, blank=True)
    area_m2 = models.DecimalField(
        "surface of one (m²)",
        max_digits=9,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.0001")), MaxValueValidator(500)],
    )
    features = models.JSONField("what a finisher must know", default=list, blank=True)
    colour_set = models.CharField(
        "seen together with",
        max_length=60,
        blank=True,
        help_text="Parts that carry the same words here are seen side by side and share a lot.",
    )
    # The route card can begin only when this job is done: it gives the drawing, the pattern or the blank.
    made_by = models.ForeignKey(
        "builds.Job",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="makes",
        verbose_name="job that makes it",
    )
    # Pieces that came late or not at all, parted from the others so that these can go on.
    split_from = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, editable=False, related_name="split_off"
    )
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = PartQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                "car",
                Lower("name"),
                name="part_name_once_per_car",
                violation_error_message="This car has a part of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(quantity__gte=1),
                name="part_quantity_at_least_one",
                violation_error_message="The quantity must be at least 1.",
            ),
            models.CheckConstraint(
                condition=Q(mass_kg__isnull=True) | Q(mass_kg__gt=0),
                name="part_mass_positive",
                violation_error_message="The mass must be greater than 0 kg.",
            ),
            models.CheckConstraint(
                condition=Q(area_m2__isnull=True) | Q(area_m2__gt=0),
                name="part_area_positive",
                violation_error_message="The surface must be greater than 0 m².",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("part", args=[self.pk])

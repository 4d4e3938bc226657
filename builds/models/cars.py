"""Cars, whose they are, where they are, and what has been promised about them."""

from datetime import date

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse

from parts.models import Supplier


class Customer(models.Model):
    """Private: only managers see it."""

    name = models.CharField(max_length=80)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class CarQuerySet(models.QuerySet["Car"]):
    def in_work(self) -> "CarQuerySet":
        """Not handed over yet."""
        return self.filter(handed_over_on__isnull=True)


class Car(models.Model):
    name = models.CharField(max_length=40)
    description = models.CharField(
        max_length=120, blank=True, help_text="For example ‘1966 two-door fastback’."
    )
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="cars"
    )
    place = models.CharField("where in the workshop", max_length=80, blank=True)
    arrived_on = models.DateField(null=True, blank=True)
    handed_over_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = CarQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="car_name_once",
                violation_error_message="There is a car of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("car", args=[self.pk])


class AwayQuerySet(models.QuerySet["Away"]):
    def not_back(self) -> "AwayQuerySet":
        """Gone and not returned, or still to go."""
        return self.filter(back_on__isnull=True)

    def away_on(self, day: date) -> "AwayQuerySet":
        """Out of the workshop on that day, as recorded."""
        return self.filter(leaves_on__lte=day).filter(Q(back_on__isnull=True) | Q(back_on__gt=day))


class Away(models.Model):
    """The car itself at a supplier: nothing can be done on it here from leaving until it is back."""

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="aways")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="cars_there")
    what_for = models.CharField(max_length=120)
    leaves_on = models.DateField()
    due_back_on = models.DateField()
    back_on = models.DateField(null=True, blank=True)

    objects = AwayQuerySet.as_manager()

    class Meta:
        ordering = ["leaves_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(due_back_on__gte=F("leaves_on")),
                name="away_due_after_leaving",
                violation_error_message="The car cannot be due back before it leaves.",
            ),
            models.CheckConstraint(
                condition=Q(back_on__isnull=True) | Q(back_on__gte=F("leaves_on")),
                name="away_back_after_leaving",
                violation_error_message="The car cannot be back before it left.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.car} at {self.supplier}"


class Milestone(models.Model):
    """A zero-length point that matters: reached when all its jobs are done."""

    class Kind(models.TextChoices):
        FIRST_START_UP = "first start-up", "first start-up"
        FIRST_DRIVE = "first drive", "first drive"
        HANDOVER = "handover", "handover"
        OWN = "own", "one of our own"

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="milestones")
    kind = models.CharField(max_length=20, choices=Kind)
    name = models.CharField(max_length=60)
    jobs = models.ManyToManyField("builds.Job", related_name="milestones", verbose_name="reached after")
    # What a late day costs beside the other promises, when the levelled plan has to choose.
    weight = models.PositiveSmallIntegerField(
        "how much a late day matters (1 to 9)",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(9)],
    )

    class Meta:
        ordering = ["car", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["car", "kind"],
                condition=~Q(kind="own"),
                name="milestone_kind_once",
                violation_error_message="The car has that milestone already.",
            ),
            models.UniqueConstraint(
                "car",
                Lower("name"),
                name="milestone_name_once",
                violation_error_message="The car has a milestone of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(weight__gte=1, weight__lte=9),
                name="milestone_weight_in_range",
                violation_error_message="How much a late day matters runs from 1 to 9.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class MilestonePromise(models.Model):
    """What the customer was told, and why it changed. The newest row counts; the old ones stay."""

    milestone = models.ForeignKey(Milestone, on_delete=models.CASCADE, related_name="promises")
    promised_on = models.DateField()
    given_on = models.DateField()
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    # What the forecast said when it was given, so that forecasts can be held against what happened.
    even_chance_on = models.DateField(null=True, blank=True)
    four_in_five_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["given_on", "pk"]

    def __str__(self) -> str:
        return f"{self.milestone} promised for {self.promised_on}"

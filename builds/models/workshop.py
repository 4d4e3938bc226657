"""The workshop's own settings: one row."""

from datetime import time
from decimal import Decimal
from secrets import token_hex

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
HOURS = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(16))]


class WeekHours(models.Model):
    """Hours worked on each day of the week."""

    monday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=8, validators=HOURS)
    tuesday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=8, validators=HOURS)
    wednesday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=8, validators=HOURS)
    thursday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=8, validators=HOURS)
    friday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=8, validators=HOURS)
    saturday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=0, validators=HOURS)
    sunday_hours = models.DecimalField(max_digits=4, decimal_places=2, default=0, validators=HOURS)

    class Meta:
        abstract = True

    @property
    def hours_by_weekday(self) -> tuple[Decimal, ...]:
        """Seven numbers, Monday first."""
        return tuple(getattr(self, f"{day}_hours") for day in WEEKDAYS)


def workshop_code() -> str:
    return token_hex(4)


class WorkshopManager(models.Manager["Workshop"]):
    def current(self) -> "Workshop":
        """The one row, or unsaved defaults before anybody has filled it in."""
        return self.first() or Workshop()


class Workshop(WeekHours):
    class Units(models.TextChoices):
        METRIC = "metric", "litres, millimetres, kilograms"
        IMPERIAL = "imperial", "imperial gallons beside litres, inches beside millimetres"
        US = "us", "US gallons beside litres, inches beside millimetres"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=80, default="Our workshop")
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    day_starts = models.TimeField("work starts at", default=time(8, 0))
    country = models.CharField("public holidays of", max_length=2, default="GB", help_text="ISO 3166 letters")
    region = models.CharField(max_length=10, default="ENG", blank=True)
    units = models.CharField("units shown", max_length=10, choices=Units, default=Units.METRIC)

    class Curve(models.TextChoices):
        PERT = "pert", "PERT: the likely figure counts most"
        TRIANGULAR = "triangular", "triangular: the ends count more"

    job_curve = models.CharField(
        "how job hours spread between low and high", max_length=10, choices=Curve, default=Curve.PERT
    )
    day_worth = models.DecimalField(
        "what a day of first start-up is worth to us",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0))],
        help_text="Set against lot charges when finishing batches are weighed up. Empty: not said.",
    )
    # Printed in every label, so that a label of another workshop is known for one.
    code = models.CharField(max_length=12, default=workshop_code, editable=False)
    is_demo = models.BooleanField(default=False, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = WorkshopManager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="one_workshop"),
            models.CheckConstraint(
                condition=Q(monday_hours__gt=0)
                | Q(tuesday_hours__gt=0)
                | Q(wednesday_hours__gt=0)
                | Q(thursday_hours__gt=0)
                | Q(friday_hours__gt=0)
                | Q(saturday_hours__gt=0)
                | Q(sunday_hours__gt=0),
                name="workshop_works_some_day",
                violation_error_message="The workshop must work on at least one day of the week.",
            ),
            models.CheckConstraint(
                condition=Q(day_worth__isnull=True) | Q(day_worth__gte=0),
                name="workshop_day_worth_not_negative",
                violation_error_message="A day cannot be worth less than 0.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Closure(models.Model):
    """Days on which the whole workshop is shut, first and last included."""

    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="closure_in_order",
                violation_error_message="A closure cannot end before it begins.",
            ),
        ]

    def __str__(self) -> str:
        return f"shut {self.first_day} to {self.last_day}"


class Bay(models.Model):
    """A lift, a bay or a booth: a job that needs one waits until one is free."""

    name = models.CharField(max_length=60)
    places = models.PositiveSmallIntegerField(
        "how many there are", default=1, validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="bay_name_once",
                violation_error_message="There is a bay of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1),
                name="bay_has_a_place",
                violation_error_message="There must be at least one of them.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

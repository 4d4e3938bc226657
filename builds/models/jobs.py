"""The job list of a car."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse

from parts.models import Operation, Part, Supplier

from .cars import Car
from .workshop import Bay

HOURS = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(9999))]


class Area(models.Model):
    """The part of the car that a job concerns."""

    name = models.CharField(max_length=40)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order", "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="area_name_once",
                violation_error_message="There is an area of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Skill(models.Model):
    name = models.CharField(max_length=40)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="skill_name_once",
                violation_error_message="There is a skill of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class JobQuerySet(models.QuerySet["Job"]):
    def of_car(self, car_id: int) -> JobQuerySet:
        return self.filter(car_id=car_id)

    def open(self) -> JobQuerySet:
        return self.filter(done_at__isnull=True)

    def in_hand(self) -> JobQuerySet:
        return self.filter(started_at__isnull=False, done_at__isnull=True)

    def awaiting_signature(self) -> JobQuerySet:
        return self.filter(done_at__isnull=False, needs_signature=True, signed_off_at__isnull=True)


class Job(models.Model):
    """One line of a job list. Held and clear are worked out from the network and stand in no column."""

    class Place(models.TextChoices):
        ON_CAR = "on", "on the car"
        BENCH = "bench", "at the bench"
        AWAY = "away", "away with the car"

    class Caution(models.TextChoices):
        HOT_WORK = "hot work", "hot work"
        LIFTING = "lifting", "lifting"
        UNDER_CAR = "working under a car", "working under a car"
        PRESSURE_TEST = "pressure test", "pressure test"
        BATTERY = "battery disconnect", "battery disconnect"
        FUEL = "fuel handling", "fuel handling"
        BRAKES = "brakes", "brakes"

    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="jobs")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="jobs")
    key = models.SlugField(
        max_length=60, blank=True, help_text="Short name for files; unique within the car."
    )
    position = models.PositiveIntegerField(default=0)
    title = models.CharField(max_length=200)
    place = models.CharField(max_length=6, choices=Place, default=Place.ON_CAR)
    hours_low = models.DecimalField(max_digits=7, decimal_places=2, validators=HOURS)
    hours_likely = models.DecimalField(max_digits=7, decimal_places=2, validators=HOURS)
    hours_high = models.DecimalField(max_digits=7, decimal_places=2, validators=HOURS)
    people = models.PositiveSmallIntegerField("people needed", default=1, validators=[MaxValueValidator(20)])
    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs")
    supplier = models.ForeignKey(
        Supplier,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="jobs_with_car",
        help_text="Only for a job away with the car.",
    )
    bay = models.ForeignKey(
        Bay, on_delete=models.SET_NULL, null=True, blank=True, related_name="jobs", verbose_name="lift or bay"
    )
    needs_signature = models.BooleanField("needs a second signature", default=False)
    cautions = models.JSONField(default=list, blank=True)
    note = models.TextField(blank=True)
    after = models.ManyToManyField(
        "self",
        symmetrical=False,
        through="JobLink",
        through_fields=("after", "before"),
        related_name="before_these",
        blank=True,
    )
    needs = models.ManyToManyField(Part, through="Need", related_name="needed_by", blank=True)

    started_at = models.DateTimeField("in hand since", null=True, blank=True)
    started_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs_in_hand"
    )
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs_done"
    )
    signed_off_at = models.DateTimeField(null=True, blank=True)
    signed_off_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="jobs_signed_off",
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["area__order", "position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["car", "key"],
                condition=~Q(key=""),
                name="job_key_once_per_car",
                violation_error_message="This car has a job with that short name already.",
            ),
            models.UniqueConstraint(
                "car",
                "area",
                Lower("title"),
                name="job_title_once_per_area",
                violation_error_message="This car has a job of that title in that area already.",
            ),
            models.CheckConstraint(
                condition=Q(hours_low__gte=0)
                & Q(hours_low__lte=F("hours_likely"))
                & Q(hours_likely__lte=F("hours_high")),
                name="job_hours_in_order",
                violation_error_message="Hours must run low, likely, high, each no less than the one before.",
            ),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True, done_by__isnull=True)
                | Q(done_at__isnull=False, done_by__isnull=False),
                name="job_done_by_somebody",
                violation_error_message="A done job needs the person who did it.",
            ),
            models.CheckConstraint(
                condition=Q(signed_off_at__isnull=True, signed_off_by__isnull=True)
                | Q(signed_off_at__isnull=False, signed_off_by__isnull=False, done_at__isnull=False),
                name="job_signed_off_after_done",
                violation_error_message="Only a done job can be signed off.",
            ),
            models.CheckConstraint(
                condition=Q(signed_off_by__isnull=True) | ~Q(signed_off_by=F("done_by")),
                name="job_signed_off_by_another",
                violation_error_message="The second signature must come from another person.",
            ),
            models.CheckConstraint(
                condition=Q(supplier__isnull=True) | Q(place="away"),
                name="job_supplier_only_when_away",
                violation_error_message="Only a job away with the car has a supplier.",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("job", args=[self.pk])

    @property
    def is_complete(self) -> bool:
        """Done, and signed off where that is asked: what comes after may begin."""
        return self.done_at is not None and (not self.needs_signature or self.signed_off_at is not None)


class JobLink(models.Model):
    """`after` may begin when `before` is done and the lag has passed (a cure runs through the night)."""

    before = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="links_out")
    after = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="links_in")
    lag_hours = models.DecimalField(
        "wait in between (hours by the clock)", max_digits=6, decimal_places=1, default=0, validators=HOURS
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["before", "after"],
                name="job_link_once",
                violation_error_message="That job is listed twice.",
            ),
            models.CheckConstraint(
                condition=~Q(before=F("after")),
                name="job_not_after_itself",
                violation_error_message="A job cannot come after itself.",
            ),
            models.CheckConstraint(
                condition=Q(lag_hours__gte=0),
                name="job_link_lag_not_negative",
                violation_error_message="The wait in between cannot be less than 0.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.after} after {self.before}"


class Need(models.Model):
    """A job needs a part: as it is after one line of its route card, or finished altogether."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="part_needs")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="job_needs")
    operation = models.ForeignKey(
        Operation,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="job_needs",
        help_text="Empty: the whole route card.",
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "part"],
                name="need_once",
                violation_error_message="That part is listed twice.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job} needs {self.part}"


class JobNote(models.Model):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="notes")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    text = models.TextField(max_length=2000)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.text[:60]


class TimeSpentQuerySet(models.QuerySet["TimeSpent"]):
    def running(self) -> TimeSpentQuerySet:
        return self.filter(minutes__isnull=True)


class TimeSpent(models.Model):
    """Time on a job: started and not stopped yet (no minutes), stopped, or typed."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="time_spent")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="time_spent")
    started_at = models.DateTimeField()
    minutes = models.PositiveIntegerField(null=True, blank=True, validators=[MaxValueValidator(24 * 60 * 7)])

    objects = TimeSpentQuerySet.as_manager()

    class Meta:
        ordering = ["started_at", "pk"]
        verbose_name_plural = "time spent"
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(minutes__isnull=True),
                name="one_clock_per_person",
                violation_error_message="That person’s clock is already running on a job.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} on {self.job}"

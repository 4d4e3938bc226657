"""Suppliers and the days on which they work."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse

from .parts import Process

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class Supplier(models.Model):
    """A firm that makes, finishes or sells parts, or works on the whole car."""

    name = models.CharField(max_length=80)
    processes = models.ManyToManyField(Process, blank=True, related_name="suppliers")
    contact = models.CharField("whom to ask for", max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True)
    note = models.TextField(blank=True)

    monday = models.BooleanField(default=True)
    tuesday = models.BooleanField(default=True)
    wednesday = models.BooleanField(default=True)
    thursday = models.BooleanField(default=True)
    friday = models.BooleanField(default=True)
    saturday = models.BooleanField(default=False)
    sunday = models.BooleanField(default=False)

    carriage_days = models.PositiveSmallIntegerField(
        "carriage, working days each way", default=0, validators=[MaxValueValidator(60)]
    )
    minimum_lot_charge = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    largest_length_mm = models.PositiveIntegerField("largest piece, length (mm)", null=True, blank=True)
    largest_width_mm = models.PositiveIntegerField("largest piece, width (mm)", null=True, blank=True)
    largest_height_mm = models.PositiveIntegerField("largest piece, height (mm)", null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="supplier_name_once",
                violation_error_message="There is a supplier of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(monday=True)
                | Q(tuesday=True)
                | Q(wednesday=True)
                | Q(thursday=True)
                | Q(friday=True)
                | Q(saturday=True)
                | Q(sunday=True),
                name="supplier_works_some_day",
                violation_error_message="A supplier must work on at least one day of the week.",
            ),
            models.CheckConstraint(
                condition=Q(minimum_lot_charge__isnull=True) | Q(minimum_lot_charge__gte=0),
                name="supplier_lot_charge_not_negative",
                violation_error_message="The minimum lot charge cannot be less than 0.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("supplier", args=[self.pk])

    @property
    def working_weekdays(self) -> frozenset[int]:
        """The days it works, Monday being 0."""
        return frozenset(number for number, day in enumerate(WEEKDAYS) if getattr(self, day))


class SupplierClosure(models.Model):
    """Days on which a supplier is shut, first and last included."""

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="closures")
    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="supplier_closure_in_order",
                violation_error_message="A closure cannot end before it begins.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier} shut {self.first_day} to {self.last_day}"

"""Suppliers and the days on which they work."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
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
    carriage_charge = models.DecimalField(
        "carriage, one trip there and back",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0))],
    )
    carrier = models.CharField(
        "whose van calls there",
        max_length=60,
        blank=True,
        help_text="Suppliers of one carrier can share a trip. Empty: nobody else’s.",
    )
    at_once = models.PositiveSmallIntegerField(
        "how many of our lines at once",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(999)],
        help_text="Empty: as many as we send.",
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
            models.CheckConstraint(
                condition=Q(carriage_charge__isnull=True) | Q(carriage_charge__gte=0),
                name="supplier_carriage_not_negative",
                violation_error_message="Carriage cannot cost less than 0.",
            ),
            models.CheckConstraint(
                condition=Q(at_once__isnull=True) | Q(at_once__gte=1),
                name="supplier_takes_at_least_one",
                violation_error_message="A supplier takes at least one of our lines at once.",
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


MONEY = [MinValueValidator(Decimal(0))]


class SupplierPrice(models.Model):
    """What a supplier charges for a lot of one process, and the most it takes into a lot.

    Empty fields mean that nothing is known: no charge of that kind, no limit.
    """

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="prices")
    process = models.ForeignKey(Process, on_delete=models.CASCADE, related_name="prices")
    minimum_lot_charge = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=MONEY
    )
    setup = models.DecimalField(
        "for each lot, whatever is in it",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=MONEY,
    )
    per_m2 = models.DecimalField(
        "for a m²", max_digits=8, decimal_places=2, null=True, blank=True, validators=MONEY
    )
    per_kg = models.DecimalField(
        "for a kg", max_digits=8, decimal_places=2, null=True, blank=True, validators=MONEY
    )
    per_piece = models.DecimalField(
        "for a piece", max_digits=8, decimal_places=2, null=True, blank=True, validators=MONEY
    )
    per_line = models.DecimalField(
        "for each kind of part", max_digits=8, decimal_places=2, null=True, blank=True, validators=MONEY
    )
    largest_lot_pieces = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    largest_lot_kg = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal("0.01"))]
    )
    largest_lot_m2 = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal("0.01"))]
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["supplier", "process"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "process"],
                name="supplier_price_once",
                violation_error_message="That supplier has prices for that process already.",
            ),
            models.CheckConstraint(
                condition=(Q(minimum_lot_charge__isnull=True) | Q(minimum_lot_charge__gte=0))
                & (Q(setup__isnull=True) | Q(setup__gte=0))
                & (Q(per_m2__isnull=True) | Q(per_m2__gte=0))
                & (Q(per_kg__isnull=True) | Q(per_kg__gte=0))
                & (Q(per_piece__isnull=True) | Q(per_piece__gte=0))
                & (Q(per_line__isnull=True) | Q(per_line__gte=0)),
                name="supplier_price_not_negative",
                violation_error_message="A price cannot be less than 0.",
            ),
            models.CheckConstraint(
                condition=(Q(largest_lot_pieces__isnull=True) | Q(largest_lot_pieces__gte=1))
                & (Q(largest_lot_kg__isnull=True) | Q(largest_lot_kg__gt=0))
                & (Q(largest_lot_m2__isnull=True) | Q(largest_lot_m2__gt=0)),
                name="supplier_lot_limits_positive",
                violation_error_message="The largest lot must be greater than 0.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.process} at {self.supplier}"


class Call(models.Model):
    """Somebody rang a supplier: with whom they spoke, about what, and what was said."""

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="calls")
    operations = models.ManyToManyField("parts.Operation", blank=True, related_name="calls")
    made_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    spoke_to = models.CharField(max_length=80, blank=True)
    said = models.CharField("what was said", max_length=500)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.said[:60]}"

"""Lines of a route card: where a part goes, when, and what came of it."""

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from .batches import FinishingBatch
from .files import StoredFile
from .orders import PurchaseOrder
from .parts import Part, Process
from .suppliers import Call, Supplier


class OperationQuerySet(models.QuerySet["Operation"]):
    def to_do(self) -> "OperationQuerySet":
        return self.filter(sent_on__isnull=True)

    def out(self) -> "OperationQuerySet":
        """Gone out (for a bought-in part: ordered) and not back yet."""
        return self.filter(sent_on__isnull=False, back_on__isnull=True)

    def back_unchecked(self) -> "OperationQuerySet":
        return self.filter(back_on__isnull=False, result="")

    def open(self) -> "OperationQuerySet":
        """Neither accepted nor rejected: the part still needs this operation."""
        return self.filter(result="")

    def at_suppliers(self) -> "OperationQuerySet":
        return self.filter(supplier__isnull=False)

    def finishes(self) -> "OperationQuerySet":
        return self.filter(process__kind=Process.Kind.FINISH)

    def late_on(self, day: date) -> "OperationQuerySet":
        """Out past the last promise; an operation that nobody promised is never late."""
        return self.out().filter(promised_on__lt=day)


class Operation(models.Model):
    """One line of a route card. Its state is read from what was recorded, never typed."""

    class State(models.TextChoices):
        TO_DO = "to do", "to do"
        OUT = "out", "out"
        BACK = "back", "back"
        ACCEPTED = "accepted", "accepted"
        REJECTED = "rejected", "rejected"

    class Result(models.TextChoices):
        ACCEPTED = "accepted", "accepted"
        REJECTED = "rejected", "rejected"

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="operations")
    sequence = models.PositiveSmallIntegerField("line")
    process = models.ForeignKey(Process, on_delete=models.PROTECT, related_name="operations")
    supplier = models.ForeignKey(
        Supplier,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="operations",
        help_text="Empty: done in our own workshop.",
    )
    # Jobs that must be done before this line: the trial fit before the anodiser, for example.
    after_jobs = models.ManyToManyField("builds.Job", blank=True, related_name="operations_after")
    lead_low_days = models.PositiveSmallIntegerField("lead time, low", validators=[MaxValueValidator(500)])
    lead_likely_days = models.PositiveSmallIntegerField(
        "lead time, likely", validators=[MaxValueValidator(500)]
    )
    lead_high_days = models.PositiveSmallIntegerField("lead time, high", validators=[MaxValueValidator(500)])

    colour = models.CharField(max_length=60, blank=True)
    coating_class = models.CharField(max_length=60, blank=True)
    specification = models.CharField("other specification", max_length=200, blank=True)
    masking = models.CharField(max_length=200, blank=True)

    batch = models.ForeignKey(
        FinishingBatch, on_delete=models.SET_NULL, null=True, blank=True, related_name="operations"
    )
    order = models.ForeignKey(
        PurchaseOrder, on_delete=models.SET_NULL, null=True, blank=True, related_name="lines"
    )
    # How many of the part this line is for; empty: all of them. Rework is of the rejected ones only.
    quantity = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    sent_on = models.DateField("goods out", null=True, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    promised_on = models.DateField("promised", null=True, blank=True)
    back_on = models.DateField("goods in", null=True, blank=True)
    result = models.CharField(max_length=10, choices=Result, blank=True)
    reason = models.CharField("reason for rejection", max_length=300, blank=True)
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cost = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    sent_drawing = models.ForeignKey(
        StoredFile, on_delete=models.SET_NULL, null=True, blank=True, related_name="sent_with"
    )
    reworks = models.OneToOneField(
        "self",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="rework",
        help_text="The rejected line that this one makes good.",
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = OperationQuerySet.as_manager()

    class Meta:
        ordering = ["part", "sequence"]
        constraints = [
            models.UniqueConstraint(
                fields=["part", "sequence"],
                name="operation_line_once",
                violation_error_message="The route card has a line of that number already.",
            ),
            models.CheckConstraint(
                condition=Q(lead_low_days__lte=F("lead_likely_days"))
                & Q(lead_likely_days__lte=F("lead_high_days")),
                name="operation_lead_in_order",
                violation_error_message="Lead times must run low, likely, high, in rising order.",
            ),
            models.CheckConstraint(
                condition=Q(back_on__isnull=True) | Q(sent_on__isnull=False, back_on__gte=F("sent_on")),
                name="operation_back_after_out",
                violation_error_message="A part cannot come in before it went out.",
            ),
            models.CheckConstraint(
                condition=Q(result="") | Q(back_on__isnull=False),
                name="operation_result_needs_goods_in",
                violation_error_message="Only a part that is back can be accepted or rejected.",
            ),
            models.CheckConstraint(
                condition=~Q(result="rejected") | ~Q(reason=""),
                name="operation_rejection_needs_reason",
                violation_error_message="A rejection needs its reason.",
            ),
            models.CheckConstraint(
                condition=Q(batch__isnull=True) | Q(supplier__isnull=False),
                name="operation_in_batch_has_supplier",
                violation_error_message="Work done in our own shop cannot be in a finishing batch.",
            ),
            models.CheckConstraint(
                condition=Q(cost__isnull=True) | Q(cost__gte=Decimal(0)),
                name="operation_cost_not_negative",
                violation_error_message="A cost cannot be less than 0.",
            ),
            models.CheckConstraint(
                condition=Q(quantity__isnull=True) | Q(quantity__gte=1),
                name="operation_quantity_at_least_one",
                violation_error_message="A line is for at least one piece.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.process}"

    @property
    def state(self) -> str:
        if self.result:
            return self.result
        if self.back_on is not None:
            return self.State.BACK
        return self.State.TO_DO if self.sent_on is None else self.State.OUT

    @property
    def pieces(self) -> int:
        """How many pieces the line is for."""
        return self.part.quantity if self.quantity is None else self.quantity

    @property
    def finish_text(self) -> str:
        """Colour, class and the rest in one phrase."""
        return ", ".join(text for text in (self.colour, self.coating_class, self.specification) if text)

    def days_late_on(self, day: date) -> int:
        """Calendar days past the last promise while still out; 0 when not late or never promised."""
        if self.state != self.State.OUT or self.promised_on is None:
            return 0
        return max(0, (day - self.promised_on).days)


class Overrule(models.Model):
    """A manager let a line stand against a rule of the trade, and why."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="overrules")
    rule = models.CharField(max_length=120, help_text="Key of the rule, as the check names it.")
    words = models.TextField(help_text="What the rule said at that time.")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["operation", "rule"],
                name="overrule_once",
                violation_error_message="That rule is overruled for this line already.",
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="overrule_needs_reason",
                violation_error_message="Overruling a rule needs its reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rule} overruled for {self.operation}"


class GoodsIn(models.Model):
    """Some or all pieces of a line came in, or were given up as lost."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="goods_in")
    came_on = models.DateField()
    accepted = models.PositiveIntegerField(default=0)
    rejected = models.PositiveIntegerField(default=0)
    lost = models.PositiveIntegerField(default=0)
    reason = models.CharField("what is wrong, or how they were lost", max_length=300, blank=True)
    photo = models.ForeignKey(StoredFile, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["came_on", "pk"]
        verbose_name_plural = "goods in"
        constraints = [
            models.CheckConstraint(
                condition=Q(accepted__gt=0) | Q(rejected__gt=0) | Q(lost__gt=0),
                name="goods_in_of_something",
                violation_error_message="Goods in needs at least one piece.",
            ),
            models.CheckConstraint(
                condition=Q(rejected=0, lost=0) | ~Q(reason=""),
                name="goods_in_loss_needs_reason",
                violation_error_message="Rejected or lost pieces need their reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.accepted + self.rejected} of {self.operation} on {self.came_on}"


class SupplierPromise(models.Model):
    """What a supplier said, and when: each new promise is kept beside the old ones."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="promises")
    promised_on = models.DateField()
    made_on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)
    call = models.ForeignKey(Call, on_delete=models.SET_NULL, null=True, blank=True, related_name="promises")

    class Meta:
        ordering = ["made_on", "pk"]

    def __str__(self) -> str:
        return f"{self.operation} promised for {self.promised_on}"

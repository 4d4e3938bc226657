"""Finishing batches: things sent to one finisher together."""

from django.db import models
from django.db.models import Q

from .parts import Process
from .suppliers import Supplier


class FinishingBatchQuerySet(models.QuerySet["FinishingBatch"]):
    def waiting(self) -> "FinishingBatchQuerySet":
        return self.filter(sent_on__isnull=True)


class FinishingBatch(models.Model):
    class Leaves(models.TextChoices):
        WHEN_READY = "ready", "when all are ready"
        FIXED = "fixed", "on a fixed date"

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="batches")
    process = models.ForeignKey(Process, on_delete=models.PROTECT, related_name="batches")
    colour = models.CharField(max_length=60, blank=True)
    coating_class = models.CharField(max_length=60, blank=True)
    leaves = models.CharField(max_length=6, choices=Leaves, default=Leaves.WHEN_READY)
    planned_on = models.DateField("planned goods out", null=True, blank=True)
    sent_on = models.DateField("goods out", null=True, blank=True)
    note = models.TextField(blank=True)
    # Why these and then, as the batch calculation said when it was chosen; empty if made up by hand.
    chosen_because = models.TextField(blank=True, editable=False)
    chosen_on = models.DateField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = FinishingBatchQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        verbose_name_plural = "finishing batches"
        constraints = [
            models.CheckConstraint(
                condition=Q(leaves="ready") | Q(planned_on__isnull=False),
                name="batch_fixed_needs_date",
                violation_error_message="A batch that leaves on a fixed date needs that date.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.process.name.lower()} batch {self.pk}"

    @property
    def finish_text(self) -> str:
        return ", ".join(text for text in (self.colour, self.coating_class) if text)

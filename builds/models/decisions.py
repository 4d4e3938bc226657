"""Decisions that somebody owes before a job can go on."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from .jobs import Job


class DecisionQuerySet(models.QuerySet["Decision"]):
    def owed(self) -> "DecisionQuerySet":
        return self.filter(decided_at__isnull=True)


class Decision(models.Model):
    """A question that holds a job until the customer or one of us answers it."""

    class OwedBy(models.TextChoices):
        CUSTOMER = "customer", "the customer"
        US = "us", "one of us"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="decisions")
    question = models.CharField(max_length=300)
    owed_by = models.CharField(max_length=10, choices=OwedBy)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="decisions_owed",
        verbose_name="who of us",
    )
    due_on = models.DateField("wanted by")
    raised_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    raised_at = models.DateTimeField()
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    answer = models.CharField(max_length=300, blank=True)

    objects = DecisionQuerySet.as_manager()

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(decided_at__isnull=True) | ~Q(answer=""),
                name="decision_needs_answer",
                violation_error_message="A decision needs its answer.",
            ),
            models.CheckConstraint(
                condition=Q(person__isnull=True) | Q(owed_by="us"),
                name="decision_person_is_ours",
                violation_error_message="Only a decision that one of us owes names a person.",
            ),
        ]

    def __str__(self) -> str:
        return self.question

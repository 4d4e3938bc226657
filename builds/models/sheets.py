"""Printed progress sheets: a copy of each is kept."""

from uuid import uuid4

from django.conf import settings
from django.db import models

from .cars import Car


def sheet_name(instance: "ProgressSheet", filename: str) -> str:
    return f"progress/{uuid4().hex}.pdf"


class ProgressSheet(models.Model):
    car = models.ForeignKey(Car, on_delete=models.CASCADE, related_name="progress_sheets")
    printed_at = models.DateTimeField()
    printed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    pdf = models.FileField(upload_to=sheet_name)
    facts = models.JSONField(help_text="The figures printed, so that the next sheet can say what changed.")

    class Meta:
        ordering = ["-printed_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.car}, {self.printed_at:%d %b %Y}"

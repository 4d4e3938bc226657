"""Marks that tell whether a table was changed since it was last read."""

from django.db import models


class TableStamp(models.Model):
    """What a table is marked with until somebody changes it. Written by the database (`builds.stamps`)."""

    name = models.CharField(max_length=32, primary_key=True)
    stamp = models.CharField(max_length=32)

    def __str__(self) -> str:
        return f"{self.name} {self.stamp}"

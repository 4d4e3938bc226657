"""Photos and drawings on cars, jobs and parts."""

from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import Q


def stored_name(instance: "StoredFile", filename: str) -> str:
    """A name of our own: what the sender called the file never reaches the disk."""
    ending = filename.rpartition(".")[2].lower()
    return f"{instance.kind}/{uuid4().hex}.{ending if ending.isalnum() else 'bin'}"


class StoredFileQuerySet(models.QuerySet["StoredFile"]):
    def photos(self) -> "StoredFileQuerySet":
        return self.filter(kind=StoredFile.Kind.PHOTO)

    def drawings(self) -> "StoredFileQuerySet":
        return self.filter(kind=StoredFile.Kind.DRAWING)


class StoredFile(models.Model):
    """A photo, or a drawing with its revision, on exactly one car, job or part."""

    class Kind(models.TextChoices):
        PHOTO = "photo", "photo"
        DRAWING = "drawing", "drawing"

    kind = models.CharField(max_length=10, choices=Kind)
    file = models.FileField(upload_to=stored_name)
    title = models.CharField(max_length=120)
    revision = models.CharField(max_length=12, blank=True)
    content_type = models.CharField(max_length=60)
    car = models.ForeignKey(
        "builds.Car", on_delete=models.CASCADE, null=True, blank=True, related_name="files"
    )
    job = models.ForeignKey(
        "builds.Job", on_delete=models.CASCADE, null=True, blank=True, related_name="files"
    )
    part = models.ForeignKey(
        "parts.Part", on_delete=models.CASCADE, null=True, blank=True, related_name="files"
    )
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    objects = StoredFileQuerySet.as_manager()

    class Meta:
        ordering = ["-added_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(car__isnull=False, job__isnull=True, part__isnull=True)
                | Q(car__isnull=True, job__isnull=False, part__isnull=True)
                | Q(car__isnull=True, job__isnull=True, part__isnull=False),
                name="file_on_one_thing",
                violation_error_message="A file belongs to exactly one car, job or part.",
            ),
            models.CheckConstraint(
                condition=~Q(kind="drawing") | ~Q(revision=""),
                name="drawing_has_revision",
                violation_error_message="A drawing needs its revision.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title} rev. {self.revision}" if self.revision else self.title

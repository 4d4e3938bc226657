"""People: who may sign in, what they can do, when they are here."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.urls import reverse

from .workshop import WeekHours


class PersonManager(BaseUserManager["Person"]):
    def create_person(self, *, name: str, secret: str, **fields: Any) -> Person:
        """Save a person with a hashed password or PIN."""
        person = self.model(name=name, **fields)
        person.set_password(secret)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, name: str | None) -> Person:
        return self.get(name__iexact=name)


class Person(AbstractBaseUser, WeekHours):
    """Somebody who works here. A manager signs in with a password, a fitter with a PIN."""

    class Role(models.TextChoices):
        MANAGER = "manager", "manager"
        FITTER = "fitter", "fitter"

    name = models.CharField(max_length=60, unique=True)
    role = models.CharField(max_length=10, choices=Role, default=Role.FITTER)
    skills = models.ManyToManyField("builds.Skill", blank=True, related_name="people")
    here_from = models.DateField("works here from", null=True, blank=True)
    here_until = models.DateField("works here until", null=True, blank=True, help_text="The last day.")
    is_active = models.BooleanField("works here", default=True)
    failed_tries = models.PositiveSmallIntegerField(default=0, editable=False)
    locked_until = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = PersonManager()

    USERNAME_FIELD = "name"

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="person_name_once",
                violation_error_message="There is a person of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(here_from__isnull=True)
                | Q(here_until__isnull=True)
                | Q(here_until__gte=F("here_from")),
                name="person_here_in_order",
                violation_error_message="Somebody cannot leave before they begin here.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("person", args=[self.pk])

    @property
    def is_manager(self) -> bool:
        return self.role == self.Role.MANAGER


class Absence(models.Model):
    """Days on which somebody is not here, first and last included."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="absence_in_order",
                violation_error_message="An absence cannot end before it begins.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} away {self.first_day} to {self.last_day}"


class Overtime(models.Model):
    """Days on which somebody works longer than their week says; on days off it counts for nothing."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="overtimes")
    first_day = models.DateField()
    last_day = models.DateField()
    hours = models.DecimalField(
        "hours a day longer",
        max_digits=4,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.25")), MaxValueValidator(16)],
    )

    class Meta:
        ordering = ["first_day"]
        verbose_name_plural = "overtime"
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="overtime_in_order",
                violation_error_message="Overtime cannot end before it begins.",
            ),
            models.CheckConstraint(
                condition=Q(hours__gt=0),
                name="overtime_is_longer",
                violation_error_message="Overtime is more than no hours.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} works {self.hours} h longer {self.first_day} to {self.last_day}"


class CalendarFeed(models.Model):
    """A secret address at which a phone's calendar reads a person's dates. Revoked, it answers nothing."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="calendar_feeds")
    secret_hash = models.CharField(max_length=64, unique=True)  # SHA-256; the secret itself is shown once
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    read_at = models.DateTimeField("last read", null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"calendar of {self.person}"

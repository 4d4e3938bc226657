"""Fills an empty workshop with the demo. Refuses one that has anything in it."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from builds.models import Bay, Car, Job, Person, Skill, Workshop
from builds.services.plans import plan_keep
from builds.services.start import build_template, skills_named
from parts.models import Process, Supplier, SupplierPrice

from .cast import PEOPLE, PRICES, SUPPLIERS, DemoPerson, DemoPrice, DemoSupplier
from .sheets import sheets_keep
from .story import tell
from .wiring import wiring_keep

WORKSHOP = "Saltmarsh Motor Works"
UNDER_A_CAR = "working under a car"  # a caution of the build template
OPENS = time(8)  # when the day's plan is kept


@transaction.atomic
def demo_load(today: date) -> None:
    """Make the demo workshop as it stands today. Raises ValidationError if there is a workshop already."""
    if Person.objects.exists() or Car.objects.exists():
        raise ValidationError("This workshop has people or cars already; the demo is only for an empty one.")
    Workshop.objects.update_or_create(
        pk=1,
        defaults={
            "name": WORKSHOP,
            "address": "The Old Sail Loft\nStrand Lane",
            "phone": "01632 960 100",
            "is_demo": True,
            "friday_hours": Decimal(6),
        },
    )
    skills = skills_named(row.skill for row in build_template().jobs if row.skill)
    people = {shown.name: _person(shown, skills) for shown in PEOPLE}
    suppliers = {shown.name: _supplier(shown) for shown in SUPPLIERS}
    for price in PRICES:
        _price(price, suppliers[price.supplier])
    tell(today, people, suppliers)
    _one_lift()
    sheets_keep(today)
    wiring_keep(today)
    plan_keep(at=timezone.make_aware(datetime.combine(today, OPENS)))


def _one_lift() -> None:
    """Whatever is still to be done under a car waits for the lift."""
    under = [job.pk for job in Job.objects.filter(done_at__isnull=True) if UNDER_A_CAR in job.cautions]
    Job.objects.filter(pk__in=under).update(bay=Bay.objects.create(name="Two-post lift"))


def _person(shown: DemoPerson, skills: dict[str, Skill]) -> Person:
    week = {"friday_hours": Decimal(6)}  # as the workshop closes early
    person = Person.objects.create_person(name=shown.name, secret=shown.secret, role=shown.role, **week)
    person.skills.set([skills[skill] for skill in shown.skills if skill in skills])
    return person


def _price(shown: DemoPrice, supplier: Supplier) -> SupplierPrice:
    return SupplierPrice.objects.create(
        supplier=supplier,
        process=Process.objects.get(key=shown.process),
        minimum_lot_charge=_figure(shown.minimum),
        setup=_figure(shown.setup),
        per_m2=_figure(shown.per_m2),
        per_kg=_figure(shown.per_kg),
        per_piece=_figure(shown.per_piece),
        per_line=_figure(shown.per_line),
        largest_lot_kg=_figure(shown.most_kg),
        largest_lot_m2=_figure(shown.most_m2),
    )


def _figure(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _supplier(shown: DemoSupplier) -> Supplier:
    length, width, height = shown.largest_mm or (None, None, None)
    supplier = Supplier.objects.create(
        name=shown.name,
        contact=shown.contact,
        phone=shown.phone,
        carriage_days=shown.carriage_days,
        minimum_lot_charge=shown.minimum_lot_charge,
        largest_length_mm=length,
        largest_width_mm=width,
        largest_height_mm=height,
        friday=shown.works_friday,
        note=shown.note,
        carriage_charge=shown.carriage_charge,
    )
    supplier.processes.set(Process.objects.filter(key__in=shown.processes))
    return supplier

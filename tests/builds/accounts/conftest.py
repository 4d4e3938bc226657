"""Every test begins with no wrong tries remembered; and one of each thing, for walks over all addresses."""

from collections.abc import Iterator
from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from tests.builds.accounts.roles import COST, PRIVATE


@pytest.fixture(autouse=True)
def _no_strangers_remembered() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def everything(
    workshop: Any, manager: Any, fitter: Any, tern: Any, plater: Any, make_job: Any, make_part: Any
) -> dict[str, Any]:
    """One of each thing, by the name that addresses give its number."""
    from builds import models
    from parts.models import FinishingBatch, StoredFile, SupplierPrice

    today, now = timezone.localdate(), timezone.now()
    tern.customer = models.Customer.objects.create(
        name=f"Harriet {PRIVATE}",
        phone=f"{PRIVATE} phone",
        email=f"harriet@{PRIVATE.lower()}.example",
        address=f"{PRIVATE} House",
        note=f"{PRIVATE} note",
    )
    tern.save()
    skill = models.Skill.objects.create(name="a skill of this test")
    part = make_part(tern, "Radiator bracket", route=[("zinc_plate", plater, 5)])
    job = make_job(tern, "Fit the radiator", skill=skill, needs=[part])
    operation = part.operations.get()
    batch = FinishingBatch.objects.create(
        supplier=plater, process=operation.process, chosen_because=f"It saves {COST}."
    )
    plater.processes.add(operation.process)
    price = SupplierPrice.objects.create(supplier=plater, process=operation.process, setup=COST)
    operation.batch, operation.cost = batch, COST
    operation.save()
    plater.minimum_lot_charge = plater.carriage_charge = COST
    plater.save()
    picture = BytesIO()
    Image.new("RGB", (40, 30)).save(picture, "PNG")
    stored = StoredFile(
        kind="photo", title="bracket", content_type="image/png", part=part, added_by=manager, added_at=now
    )
    stored.file.save("bracket.png", ContentFile(picture.getvalue()))
    decision = models.Decision.objects.create(
        job=job, question="Which colour?", owed_by="us", due_on=today, raised_by=manager, raised_at=now
    )
    time_spent = models.TimeSpent.objects.create(
        job=job, person=fitter, started_at=now - timedelta(hours=2), minutes=60
    )
    milestone = models.Milestone.objects.create(car=tern, kind="first start-up", name="first start-up")
    milestone.jobs.set([job])
    absence = models.Absence.objects.create(
        person=fitter, first_day=date(2027, 1, 4), last_day=date(2027, 1, 4)
    )
    overtime = models.Overtime.objects.create(
        person=fitter, first_day=date(2027, 1, 4), last_day=date(2027, 1, 4), hours=2
    )
    closure = models.Closure.objects.create(first_day=date(2027, 1, 4), last_day=date(2027, 1, 4))
    return {
        "absence_id": absence.pk,
        "area_id": job.area_id,
        "batch_id": batch.pk,
        "car_id": tern.pk,
        "closure_id": closure.pk,
        "decision_id": decision.pk,
        "entry_id": time_spent.pk,
        "file_id": stored.pk,
        "job_id": job.pk,
        "kind": "tank",
        "lot_id": operation.pk,
        "milestone_id": milestone.pk,
        "operation_id": operation.pk,
        "part_id": part.pk,
        "overtime_id": overtime.pk,
        "person_id": fitter.pk,
        "price_id": price.pk,
        "skill_id": skill.pk,
        "supplier_id": plater.pk,
    }

"""Two cars that wait for things: the radiator of the Tern holds first start-up."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone


@pytest.fixture
def today() -> date:
    return timezone.localdate()


@pytest.fixture
def day(today: date) -> Any:
    """day(-3): three days ago."""
    return lambda offset: today + timedelta(days=offset)


@pytest.fixture
def radiator_maker(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Ostler Radiators", phone="01632 960 117", contact="Petra")


@pytest.fixture
def radiator(
    tern: Any,
    make_part: Any,
    make_job: Any,
    first_start_up: Any,
    radiator_maker: Any,
    fitter: Any,
    day: Any,
) -> Any:
    """Out for twenty days, promised for five days ago; first start-up waits for it."""
    from parts.services.operations import operation_send

    part = make_part(tern, "radiator", route=[("fabricate", radiator_maker, 10)])
    first_start_up(tern, make_job(tern, "Fit radiator", needs=[part]))
    operation_send(operation=part.operations.get(), on=day(-20), by=fitter, promised_on=day(-5))
    return part


@pytest.fixture
def sump(
    skua: Any, make_part: Any, make_job: Any, first_start_up: Any, plater: Any, fitter: Any, day: Any
) -> Any:
    """Out at the plater, on time; the first start-up of the Skua waits for it."""
    from parts.services.operations import operation_send

    part = make_part(skua, "sump", route=[("zinc_plate", plater, 5)])
    first_start_up(skua, make_job(skua, "Fit sump", needs=[part]))
    operation_send(operation=part.operations.get(), on=day(-3), by=fitter, promised_on=day(40))
    return part


@pytest.fixture
def clip(tern: Any, make_part: Any, make_job: Any, plater: Any, fitter: Any, day: Any, radiator: Any) -> Any:
    """Out at the plater, on time, with much to spare: a job that first start-up waits for needs it too."""
    from builds.models import Milestone
    from parts.services.operations import operation_send

    part = make_part(tern, "clip", route=[("zinc_plate", plater, 1)], quantity=4)
    Milestone.objects.get(car=tern).jobs.add(make_job(tern, "Clip the pipes", needs=[part]))
    make_job(tern, "A long job", hours=400).milestones.add(Milestone.objects.get(car=tern))
    operation_send(operation=part.operations.get(), on=day(-1), by=fitter, promised_on=day(3))
    return part

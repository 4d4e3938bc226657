"""Three cars for one fitter, planned badly: the long job first, and two promises late for it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.models import KeptPlan
from builds.network import load_workshop
from builds.network.calendars import DAY_MIN
from builds.network.keeping import written
from builds.network.levelled import levelled_plan
from builds.schedule.levelling.plan import plan_of
from builds.schedule.levelling.serial import place_in_order


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def jobs(workshop, fitter, tern, skua, make_job, first_start_up):
    """A long job that nobody waits for, and a short one on each car with a promise."""
    workshop.country, workshop.region = "ZZ", ""  # without public holidays
    workshop.save()
    soon = timezone.localdate() + timedelta(days=4)
    made = [make_job(tern, "Restore panels", hours=80)]
    for car in (tern, skua):
        made.append(make_job(car, f"Prime and crank {car}", hours=4))
        first_start_up(car, made[-1], promised=soon)
    return made


@pytest.fixture
def bad_plan(jobs, now):
    """Kept: the long job comes first."""
    levelled = levelled_plan(load_workshop(timezone.localdate()).solution)
    problem = levelled.problem
    order = [0 if key == f"job:{jobs[0].pk}" else DAY_MIN for key in problem.place]
    plan = plan_of(problem, place_in_order(problem, order))
    assert plan.cost > levelled.plan.cost
    return KeptPlan.objects.create(
        made_at=now, fingerprint=levelled.fingerprint, starts=written(plan), value=plan.cost
    )

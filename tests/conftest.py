"""The standing cast: a workshop, two people, two cars, a supplier. Tests show what else matters to them."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

# Playwright runs an event loop in the test's thread; the ORM is used beside it, not inside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

MANAGER_PASSWORD = "a long enough password"
FITTER_PIN = "4821"


@pytest.fixture(autouse=True)
def _quick_and_private(settings: Any, tmp_path: Path) -> None:
    """Each test has its own folder for files, and hashing that does not cost a tenth of a second."""
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.ALLOWED_HOSTS = ["testserver", "127.0.0.1", "localhost"]


@pytest.fixture(autouse=True)
def _no_plan_from_before() -> None:
    """No test sees the plan that another worked out in this process, nor what it read."""
    from builds.network import latest, standing, unchanged

    standing.forget()
    unchanged.forget()
    latest.forget()


@pytest.fixture
def django_assert_num_queries(django_assert_num_queries: Any) -> Any:
    """Counts what a page takes that knows nothing from before: what was read already would hide growth."""
    from builds.network import unchanged

    def counted(*args: Any, **kwargs: Any) -> Any:
        unchanged.forget()
        return django_assert_num_queries(*args, **kwargs)

    return counted


@pytest.fixture
def network_queries() -> Callable[[date], int]:
    """What reading the workshop takes for who knows nothing from before."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from builds.network import load_workshop, unchanged

    def count(today: date) -> int:
        unchanged.forget()
        with CaptureQueriesContext(connection) as queries:
            load_workshop(today)
        return len(queries)

    return count


@pytest.fixture
def workshop(db: None) -> Any:
    from builds.models import Workshop

    return Workshop.objects.create(name="Saltmarsh Motor Works")


@pytest.fixture
def manager(db: None) -> Any:
    from builds.models import Person

    return Person.objects.create_person(name="Maud Ellery", secret=MANAGER_PASSWORD, role="manager")


@pytest.fixture
def fitter(db: None) -> Any:
    from builds.models import Person

    return Person.objects.create_person(name="Rafe Holloway", secret=FITTER_PIN, role="fitter")


@pytest.fixture
def other_fitter(db: None) -> Any:
    from builds.models import Person

    return Person.objects.create_person(name="Ines Brandt", secret="7305", role="fitter")


@pytest.fixture
def tern(workshop: Any) -> Any:
    from builds.models import Car

    return Car.objects.create(name="Tern", description="1966 two-door fastback", place="bay 2")


@pytest.fixture
def skua(workshop: Any) -> Any:
    from builds.models import Car

    return Car.objects.create(name="Skua", description="1971 open two-seater", place="bay 1")


@pytest.fixture
def area(db: None) -> Any:
    from builds.models import Area

    return Area.objects.get_or_create(name="cooling")[0]


@pytest.fixture
def make_job(area: Any) -> Callable[..., Any]:
    """make_job(car, title, hours=8, after=[...], needs=[...], **fields): a job with its links."""
    from builds.models import Job, JobLink, Need

    def make(
        car: Any, title: str, *, hours: float = 8, after: Any = (), needs: Any = (), **fields: Any
    ) -> Any:
        fields.setdefault("area", area)
        for name in ("hours_low", "hours_likely", "hours_high"):
            fields.setdefault(name, hours)
        job = Job.objects.create(car=car, title=title, **fields)
        for before in after:
            JobLink.objects.create(before=before, after=job)
        for part in needs:
            Need.objects.create(job=job, part=part)
        return job

    return make


@pytest.fixture
def plater(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Ferrand Plating", phone="01632 960 114")


@pytest.fixture
def process(db: None) -> Callable[..., Any]:
    """process('zinc_plate'): a process of the reference data by its key."""
    from parts.models import Process

    return lambda key: Process.objects.get(key=key)


@pytest.fixture
def make_part(process: Callable[..., Any]) -> Callable[..., Any]:
    """make_part(car, name, route=[(process key, supplier or None, days), …]): a part with its route card."""
    from parts.models import Operation, Part

    def make(car: Any, name: str, *, route: Any = (), **fields: Any) -> Any:
        part = Part.objects.create(car=car, name=name, **fields)
        for line, (key, supplier, days) in enumerate(route, start=1):
            Operation.objects.create(
                part=part,
                sequence=line,
                process=process(key),
                supplier=supplier,
                lead_low_days=days,
                lead_likely_days=days,
                lead_high_days=days,
            )
        return part

    return make


@pytest.fixture
def first_start_up(db: None) -> Callable[..., Any]:
    """first_start_up(car, job, promised=date): the milestone, reached after that job."""
    from builds.models import Milestone, MilestonePromise, Person

    def make(car: Any, *jobs: Any, promised: date | None = None) -> Any:
        milestone = Milestone.objects.create(car=car, kind="first start-up", name="first start-up")
        milestone.jobs.set(jobs)
        if promised:
            by = Person.objects.filter(role="manager").first() or Person.objects.create_person(
                name="Promise Giver", secret=MANAGER_PASSWORD, role="manager"
            )
            MilestonePromise.objects.create(
                milestone=milestone,
                promised_on=promised,
                given_on=timezone.localdate(),
                reason="first agreed",
                by=by,
            )
        return milestone

    return make


@pytest.fixture
def as_manager(manager: Any) -> Client:
    client = Client()
    client.force_login(manager)
    return client


@pytest.fixture
def as_fitter(fitter: Any) -> Client:
    client = Client()
    client.force_login(fitter)
    return client

"""Every address of the project × nobody, a fitter, a manager.

The addresses are read from the project itself, so that none can be forgotten.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from tests.builds.accounts.roles import EVERYBODY, MANAGERS_ONLY, WITHOUT_SIGNING_IN

PRIVATE = "Vane-Osgood"  # stands in every field of the customer
COST = Decimal("4321.07")
COST_SHOWN = re.compile(r"4,?321[.]07")
REFUSED, NO_SUCH_METHOD = 403, 405
WORDS_IN_ADDRESSES = {"import-example": {"kind": "jobs", "ending": "csv"}}


def _patterns(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _patterns(entry)
        else:
            yield entry


PATTERNS = {str(pattern.name): pattern for pattern in _patterns(get_resolver("config.urls"))}
NAMES = sorted(PATTERNS)


@pytest.fixture
def everything(
    workshop: Any, manager: Any, fitter: Any, tern: Any, plater: Any, make_job: Any, make_part: Any
) -> dict[str, Any]:
    """One of each thing, by the name that addresses give its number."""
    from builds import models
    from parts.models import FinishingBatch, StoredFile

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
    batch = FinishingBatch.objects.create(supplier=plater, process=operation.process)
    operation.batch, operation.cost = batch, COST
    operation.save()
    plater.minimum_lot_charge = COST
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
        "milestone_id": milestone.pk,
        "operation_id": operation.pk,
        "part_id": part.pk,
        "person_id": fitter.pk,
        "skill_id": skill.pk,
        "supplier_id": plater.pk,
    }


def address_of(name: str, everything: dict[str, Any]) -> str:
    """The address with numbers of things that are there; a thing that the cast lacks has number 1."""
    things = everything | WORDS_IN_ADDRESSES.get(name, {})
    arguments = {key: things.get(key, 1) for key in PATTERNS[name].pattern.converters}
    return reverse(name, kwargs=arguments)


def answers(person: Any, address: str) -> list[Any]:
    """To a look and to an empty press, each with a session of its own."""
    given = []
    for method in ("get", "post"):
        client = Client()
        if person is not None:
            client.force_login(person)
        given.append(getattr(client, method)(address))
    return given


def test_every_address_stands_in_exactly_one_list_and_no_list_holds_another() -> None:
    listed = [*WITHOUT_SIGNING_IN, *MANAGERS_ONLY, *EVERYBODY]
    assert sorted(listed) == NAMES


def test_every_address_has_a_name_of_its_own() -> None:
    names = [pattern.name for pattern in _patterns(get_resolver("config.urls"))]
    assert None not in names
    assert len(names) == len(set(names))


def test_the_marks_on_the_views_agree_with_the_lists() -> None:
    marked = {name for name in NAMES if getattr(PATTERNS[name].callback, "for_managers", False)}
    open_to_all = {name for name in NAMES if not getattr(PATTERNS[name].callback, "login_required", True)}
    assert (sorted(marked), sorted(open_to_all)) == (sorted(MANAGERS_ONLY), sorted(WITHOUT_SIGNING_IN))


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_asked_to_sign_in(name: str, fitter: Any) -> None:
    for answer in answers(None, address_of(name, {"person_id": fitter.pk, "kind": "tank"})):
        asked = answer.status_code == 302 and answer.url.startswith("/sign-in/?next=")
        assert asked is (name not in WITHOUT_SIGNING_IN)


@pytest.mark.parametrize("name", NAMES)
def test_a_fitter_is_refused_what_is_for_managers_and_sees_no_customer_and_no_cost(
    name: str, everything: dict[str, Any], fitter: Any
) -> None:
    given = answers(fitter, address_of(name, everything))
    codes = {answer.status_code for answer in given}
    if name in MANAGERS_ONLY:
        assert REFUSED in codes
        assert codes <= {REFUSED, NO_SUCH_METHOD}
    else:
        assert REFUSED not in codes
    for page in filter(None, map(page_text, given)):
        assert PRIVATE.lower() not in page.lower()
        assert COST_SHOWN.search(page) is None


@pytest.mark.parametrize("name", NAMES)
def test_a_manager_is_refused_nothing(name: str, everything: dict[str, Any], manager: Any) -> None:
    codes = [answer.status_code for answer in answers(manager, address_of(name, everything))]
    assert REFUSED not in codes


@pytest.mark.parametrize("name", ["car", "part"])
def test_a_manager_sees_what_a_fitter_does_not(name: str, everything: dict[str, Any], manager: Any) -> None:
    """Else the search for it above would find nothing for the wrong reason."""
    look, _ = answers(manager, address_of(name, everything))
    page = page_text(look) or ""
    assert PRIVATE.lower() in page.lower() or COST_SHOWN.search(page)


def page_text(answer: Any) -> str | None:
    """The words of a page; nothing for a picture or a PDF."""
    is_page = answer.headers.get("Content-Type", "").startswith("text/") and not answer.streaming
    return answer.content.decode() if is_page else None

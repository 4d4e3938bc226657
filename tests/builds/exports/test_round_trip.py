"""What is handed out can be read again, and says the same."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builds.exporting.files import csv_bytes, workbook_bytes
from builds.exporting.lists import car_lists
from builds.models import Area, Car, Job, JobLink, Need, Person
from builds.services.imports import ListFiles, import_add
from builds.services.start import car_start_from_template
from parts.models import Operation, Part, Supplier


def _said(car: Car) -> dict[str, Any]:
    """Everything that the lists of a car say, without numbers of rows."""
    return {
        "jobs": list(
            car.jobs.order_by("position").values_list(
                "area__name",
                "title",
                "key",
                "place",
                "hours_low",
                "hours_likely",
                "hours_high",
                "people",
                "skill__name",
                "supplier__name",
                "needs_signature",
                "cautions",
                "note",
            )
        ),
        "links": sorted(
            JobLink.objects.filter(after__car=car).values_list("before__title", "after__title", "lag_hours")
        ),
        "parts": sorted(
            Part.objects.filter(car=car).values_list(
                "name",
                "drawing_number",
                "material__key",
                "quantity",
                "mass_kg",
                "length_mm",
                "width_mm",
                "height_mm",
                "area_m2",
                "features",
                "colour_set",
                "made_by__title",
                "note",
            ),
            key=str,
        ),
        "lines": sorted(
            Operation.objects.filter(part__car=car).values_list(
                "part__name",
                "sequence",
                "process__key",
                "supplier__name",
                "lead_low_days",
                "lead_likely_days",
                "lead_high_days",
                "colour",
                "coating_class",
                "specification",
                "masking",
                "sent_on",
                "promised_on",
            ),
            key=str,
        ),
        "waits": sorted(
            Operation.after_jobs.through.objects.filter(job__car=car).values_list(
                "operation__part__name", "operation__sequence", "job__title"
            )
        ),
        "needs": sorted(
            Need.objects.filter(job__car=car).values_list("job__title", "part__name", "operation__sequence"),
            key=str,
        ),
        "milestones": sorted(car.milestones.values_list("kind", "name", "jobs__title")),
    }


def _add(car: Car, files: ListFiles, by: Person) -> Any:
    return import_add(target=car, files=files, may_add_names=False, by=by, today=timezone.localdate())[1]


def _csv_files(car: Car) -> ListFiles:
    jobs, parts = (csv_bytes(sheet) for sheet in car_lists([car]))
    return ListFiles(jobs, parts)


@pytest.fixture
def gannet(workshop: Any, manager: Person, plater: Supplier) -> Car:
    """A car of the template, with what the template lacks: waits in between, things out, odd names."""
    gannet = car_start_from_template(
        name="Gannet",
        description="",
        by=manager,
        today=timezone.localdate(),
        suppliers={"zinc_plate": plater},
    )
    link = JobLink.objects.filter(after__key="heat-cycles").first()
    assert link is not None
    link.lag_hours = 12
    link.save()
    line = Operation.objects.filter(process__key="supply").first()
    assert line is not None
    line.supplier, line.sent_on = plater, timezone.localdate() - timedelta(days=3)
    line.promised_on = timezone.localdate() + timedelta(days=9)
    line.save()
    odd = Job.objects.create(
        car=gannet,
        area=Area.objects.get(name="fuel"),
        title="=2+2; then: weld + 3 h",
        position=900,
        hours_low=1,
        hours_likely=1,
        hours_high=1,
    )
    JobLink.objects.create(before=odd, after=gannet.jobs.get(key="handover"))
    Need.objects.create(job=odd, part=Part.objects.create(car=gannet, name="@ clip; small"))
    return gannet


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_lists_of_a_car_start_another_just_like_it(
    gannet: Car, skua: Car, manager: Person, kind: str
) -> None:
    files = _csv_files(gannet) if kind == "csv" else ListFiles(workbook_bytes(car_lists([gannet])))
    _add(skua, files, manager)
    assert _said(skua) == _said(gannet)


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_read_into_the_car_they_came_from_they_add_nothing(gannet: Car, manager: Person, kind: str) -> None:
    before = _said(gannet)
    files = _csv_files(gannet) if kind == "csv" else ListFiles(workbook_bytes(car_lists([gannet])))
    plan = _add(gannet, files, manager)
    assert (plan.adds_anything, plan.faults) == (False, [])
    assert _said(gannet) == before


def test_from_the_lists_of_all_cars_each_takes_its_own(gannet: Car, tern: Car, manager: Person) -> None:
    Job.objects.create(
        car=tern,
        area=Area.objects.get(name="fuel"),
        title="Only on Tern",
        hours_low=1,
        hours_likely=1,
        hours_high=1,
    )
    files = ListFiles(workbook_bytes(car_lists([gannet, tern])))
    tern.jobs.all().delete()
    plan = _add(tern, files, manager)
    assert list(tern.jobs.values_list("title", flat=True)) == ["Only on Tern"]
    assert plan.notes[0].startswith("Job list: 109 rows are of other cars")


awkward = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cn"), exclude_characters="\u200b"),
    min_size=1,
    max_size=40,
).map(lambda text: " ".join(text.split()))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40, deadline=None)
@given(titles=st.lists(awkward.filter(bool), min_size=2, max_size=5, unique_by=lambda title: title.lower()))
def test_any_titles_survive_the_way_out_and_in(
    tern: Car, skua: Car, area: Area, manager: Person, titles: list[str]
) -> None:
    Job.objects.all().delete()
    jobs = Job.objects.bulk_create(
        Job(car=tern, area=area, title=title, position=n, hours_low=1, hours_likely=2, hours_high=3)
        for n, title in enumerate(titles)
    )
    JobLink.objects.create(before=jobs[0], after=jobs[1])
    for files in (_csv_files(tern), ListFiles(workbook_bytes(car_lists([tern])))):
        skua.jobs.all().delete()
        _add(skua, files, manager)
        assert _said(skua)["jobs"] == _said(tern)["jobs"]
        assert _said(skua)["links"] == _said(tern)["links"]


def test_the_columns_are_those_that_the_import_knows(tern: Car, make_job: Callable[..., Any]) -> None:
    make_job(tern, "Bleed", hours=2)
    jobs, _ = (csv_bytes(sheet) for sheet in car_lists([tern]))
    [row] = csv.DictReader(io.StringIO(jobs.decode("utf-8-sig")))
    assert row == {
        "area": "cooling",
        "title": "Bleed",
        "key": "",
        "place": "on the car",
        "hours low (h)": "2.00",
        "hours likely (h)": "2.00",
        "hours high (h)": "2.00",
        "people": "1",
        "skill": "",
        "supplier": "",
        "second signature": "no",
        "cautions": "",
        "after": "",
        "needs": "",
        "milestone": "",
        "note": "",
        "car": "Tern",
    }

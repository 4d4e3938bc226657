"""A car started as another was planned: the plan comes along, what happened does not."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Car, Customer, Job, JobLink, JobNote, MilestonePromise, Need
from builds.services.start import car_start_from_template
from builds.services.start_copy import car_start_copy
from parts.models import Operation, Part, SupplierPromise


@pytest.fixture
def gannet(workshop: Any, manager: Any, plater: Any) -> Car:
    """A car half built: jobs done, a part out, one rejected and being made good, priced, promised."""
    today, now = timezone.localdate(), timezone.now()
    gannet = car_start_from_template(
        name="Gannet",
        description="1968 saloon",
        customer=Customer.objects.create(name="Ada Wren"),
        by=manager,
        today=today,
        suppliers={"zinc_plate": plater, "supply": plater},
    )
    Job.objects.filter(car=gannet, key="shell-survey").update(
        started_at=now, started_by=manager, done_at=now, done_by=manager
    )
    JobNote.objects.create(job=gannet.jobs.get(key="shell-survey"), by=manager, at=now, text="Rust")
    JobLink.objects.filter(after__key="heat-cycles").update(lag_hours=12)
    milestone = gannet.milestones.get(kind="handover")
    MilestonePromise.objects.create(
        milestone=milestone, promised_on=today, given_on=today, reason="agreed", by=manager
    )
    straps = Operation.objects.get(part__name="Fuel tank straps", process__key="zinc_plate")
    straps.sent_on = today - timedelta(days=9)
    straps.back_on, straps.result, straps.reason = today, "rejected", "pitted"
    straps.cost = Decimal(40)
    straps.save()
    SupplierPromise.objects.create(operation=straps, promised_on=today, made_on=today, by=manager)
    again = Operation.objects.create(
        part=straps.part,
        sequence=3,
        process=straps.process,
        supplier=plater,
        lead_low_days=1,
        lead_likely_days=2,
        lead_high_days=3,
        reworks=straps,
    )
    Need.objects.filter(part=straps.part, job__key="finish-steel-check").update(operation=again)
    return gannet


def _copy(source: Car, by: Any, name: str = "Skua") -> Car:
    return car_start_copy(source=source, name=name, by=by, today=timezone.localdate())


def test_job_list_links_parts_and_milestones_come_along(gannet: Car, manager: Any) -> None:
    skua = _copy(gannet, manager)
    plan = ("key", "title", "area", "hours_low", "hours_likely", "hours_high", "people", "skill", "note")
    assert list(skua.jobs.order_by("position").values_list(*plan)) == list(
        gannet.jobs.order_by("position").values_list(*plan)
    )
    for rows in (
        lambda car: JobLink.objects.filter(after__car=car).values_list(
            "before__key", "after__key", "lag_hours"
        ),
        lambda car: Part.objects.filter(car=car).values_list(
            "name", "quantity", "mass_kg", "area_m2", "features", "colour_set", "made_by__key"
        ),
        lambda car: Operation.after_jobs.through.objects.filter(job__car=car).values_list(
            "operation__part__name", "operation__sequence", "job__key"
        ),
        lambda car: car.milestones.values_list("kind", "name", "jobs__key"),
    ):
        assert sorted(rows(skua), key=str) == sorted(rows(gannet), key=str)


def test_nothing_that_happened_comes_along(gannet: Car, manager: Any) -> None:
    skua = _copy(gannet, manager)
    assert skua.customer is None
    assert not skua.jobs.filter(started_at__isnull=False).exists()
    assert not skua.jobs.filter(done_at__isnull=False).exists()
    assert not JobNote.objects.filter(job__car=skua).exists()
    assert not MilestonePromise.objects.filter(milestone__car=skua).exists()
    lines = Operation.objects.filter(part__car=skua)
    assert {line.state for line in lines} == {"to do"}
    assert not lines.filter(cost__isnull=False).exists()
    assert not lines.filter(promised_on__isnull=False).exists()
    assert not SupplierPromise.objects.filter(operation__part__car=skua).exists()


def test_a_line_made_good_is_one_line_again(gannet: Car, manager: Any) -> None:
    skua = _copy(gannet, manager)
    straps = Part.objects.get(car=skua, name="Fuel tank straps")
    lines = list(straps.operations.order_by("sequence"))
    assert [(line.sequence, line.process.key) for line in lines] == [(1, "supply"), (2, "zinc_plate")]
    assert Need.objects.get(part=straps, job__key="finish-steel-check").operation == lines[1]
    assert lines[0].supplier == Operation.objects.get(part__car=gannet, part__name="Horn").supplier


def test_the_other_car_stays_as_it_is(gannet: Car, manager: Any) -> None:
    before = [list(model.objects.order_by("pk").values()) for model in (Job, JobLink, Part, Operation, Need)]
    skua = _copy(gannet, manager)
    skua.delete()
    after = [list(model.objects.order_by("pk").values()) for model in (Job, JobLink, Part, Operation, Need)]
    assert after == before


def test_a_name_already_taken_changes_nothing(gannet: Car, manager: Any) -> None:
    before = (Car.objects.count(), Job.objects.count(), Part.objects.count())
    with pytest.raises(ValidationError, match="There is a car of that name already"):
        _copy(gannet, manager, name="GANNET")
    assert (Car.objects.count(), Job.objects.count(), Part.objects.count()) == before

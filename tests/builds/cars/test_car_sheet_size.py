"""The sheet of a large car: 150 jobs, 120 parts of three operations each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Area, Job, JobLink, Need
from parts.models import Operation, Part

JOBS, PARTS, AREAS = 150, 120, 15
MOST_BYTES = 200_000  # before it is packed for the way; a tablet has to lay all of it out


@pytest.fixture
def large_car(tern: Any, plater: Any, process: Callable[..., Any], first_start_up: Callable[..., Any]) -> Any:
    """Titles as long as people write them; most jobs held by the three before them and by a part."""
    areas = [Area.objects.create(name=f"area number {number}") for number in range(AREAS)]
    jobs = Job.objects.bulk_create(
        Job(
            car=tern,
            area=areas[number % AREAS],
            title=f"Make up, trial fit and mark out bracket number {number} with its fasteners",
            position=number,
            hours_low=2,
            hours_likely=3,
            hours_high=5,
        )
        for number in range(JOBS)
    )
    JobLink.objects.bulk_create(
        JobLink(before=jobs[before], after=jobs[after])
        for after in range(JOBS)
        for before in range(max(0, after - 3), after)
    )
    parts = Part.objects.bulk_create(
        Part(car=tern, name=f"Bracket {number}, left-hand side, long") for number in range(PARTS)
    )
    Operation.objects.bulk_create(
        Operation(
            part=part,
            sequence=line,
            process=process(key),
            supplier=plater,
            lead_low_days=3,
            lead_likely_days=5,
            lead_high_days=9,
        )
        for part in parts
        for line, key in enumerate(("fabricate", "machine", "zinc_plate"), start=1)
    )
    Need.objects.bulk_create(Need(job=jobs[number], part=part) for number, part in enumerate(parts))
    first_start_up(tern, jobs[-1], promised=timezone.localdate())
    return tern


def test_the_sheet_of_150_jobs_is_under_200_kb_and_as_many_queries_as_a_small_one(
    as_manager: Client, large_car: Any
) -> None:
    with CaptureQueriesContext(connection) as queries:
        answer = as_manager.get(f"/cars/{large_car.pk}/")

    assert answer.content.count(b'id="job-') == JOBS
    assert len(answer.content) < MOST_BYTES
    assert len(queries) == 32  # what they are is said in test_car_sheet.py

"""A part cannot come to wait for a job that waits for the part."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.services.route_cards import line_write, part_write
from parts.models import Part
from parts.services.parts import LineWording


@pytest.fixture
def tank(tern: Any, make_part: Any, plater: Any) -> Any:
    return make_part(tern, "coolant tank", route=[("fabricate", plater, 5), ("zinc_plate", plater, 5)])


def test_a_part_is_not_made_by_a_job_that_needs_it(tern: Any, tank: Any, make_job: Any) -> None:
    fit = make_job(tern, "Fit tank", needs=[tank])
    tank.made_by = make_job(tern, "Draw tank", after=[fit])
    with pytest.raises(ValidationError, match="would wait for itself by way of") as refused:
        part_write(part=tank, version=1)
    assert "“Fit tank”" in refused.value.messages[0]
    assert "“Draw tank”" in refused.value.messages[0]
    assert Part.objects.get(pk=tank.pk).made_by is None


def test_a_line_does_not_come_after_a_job_that_needs_the_part(tern: Any, tank: Any, make_job: Any) -> None:
    fit = make_job(tern, "Fit tank", needs=[tank])
    first, last = tank.operations.all()
    wording = LineWording(last.process, last.supplier, 1, 2, 3, follows=first, after_jobs=[fit])
    with pytest.raises(ValidationError, match="“Fit tank”"):
        line_write(part=tank, wording=wording, operation=last, version=1)
    last.refresh_from_db()
    assert (last.lead_low_days, last.after_jobs.count(), last.version) == (5, 0, 1)


def test_a_job_that_makes_the_part_and_a_trial_fit_are_no_ring(tern: Any, tank: Any, make_job: Any) -> None:
    first, last = tank.operations.all()
    trial, fit = make_job(tern, "Trial fit"), make_job(tern, "Fit tank", needs=[tank])
    trial.part_needs.create(part=tank, operation=first)
    tank.made_by = make_job(tern, "Draw tank")
    part_write(part=tank, version=1)
    written = line_write(
        part=tank,
        wording=LineWording(last.process, last.supplier, 1, 2, 3, follows=first, after_jobs=[trial]),
        operation=last,
        version=1,
    )
    assert written.line is not None
    assert list(written.line.after_jobs.all()) == [trial]
    assert fit.part_needs.get().part == tank


def test_a_part_without_route_card_is_not_made_by_a_job_that_needs_it(
    tern: Any, make_part: Any, make_job: Any
) -> None:
    pipe = make_part(tern, "coolant pipe")
    fit = make_job(tern, "Fit pipe", needs=[pipe])
    pipe.made_by = make_job(tern, "Bend pipe", after=[fit])
    with pytest.raises(ValidationError, match="“Fit pipe”"):
        part_write(part=pipe, version=1)
    assert Part.objects.get(pk=pipe.pk).made_by is None

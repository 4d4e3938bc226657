"""While nobody changes anything the network stands as it was worked out; a change is never passed over."""

from datetime import date, timedelta

import pytest

from builds.models import Closure, Job, Workshop
from builds.network import load_workshop
from parts.models import Supplier

pytestmark = pytest.mark.django_db


@pytest.fixture
def prime(tern, make_job, make_part, plater, first_start_up):
    bracket = make_part(tern, "bracket", route=[("blast", plater, 3)])
    job = make_job(tern, "prime", needs=[bracket])
    first_start_up(tern, job)
    return job


def test_without_a_change_it_is_the_very_same(prime, state):
    assert state().solution is state().solution


def close_on(day):
    return lambda: Closure.objects.create(first_day=day, last_day=day)


@pytest.mark.parametrize(
    "change",
    [
        lambda: Job.objects.update(hours_likely=20, hours_high=30),
        lambda: Supplier.objects.update(carriage_days=4),
        lambda: Workshop.objects.update(monday_hours=0),
        close_on(date(2027, 3, 8)),
    ],
)
def test_after_a_change_it_is_worked_out_anew(change, prime, state):
    was = state().solution

    change()

    now = state().solution
    assert now is not was
    assert now.finish_on(f"job:{prime.pk}") > was.finish_on(f"job:{prime.pk}")


def test_on_another_day_it_is_another(prime, today):
    was = load_workshop(today).solution
    tomorrow = load_workshop(today + timedelta(days=1)).solution

    assert tomorrow.finish_on(f"job:{prime.pk}") > was.finish_on(f"job:{prime.pk}")
    assert load_workshop(today).solution.early == was.early


def test_what_is_only_tried_is_not_kept(prime, state, today):
    was = state().solution
    line = prime.needs.get().operations.get()

    tried = state().with_batch([line.pk], today + timedelta(days=20)).solution

    assert tried.finish_on(f"job:{prime.pk}") > was.finish_on(f"job:{prime.pk}")
    assert state().solution is was

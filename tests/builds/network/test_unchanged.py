"""What nobody changed is not read again, and what anybody changed is never taken from before."""

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builds.models import Car, Job, JobLink, Need, Skill, TableStamp
from builds.network import unchanged
from builds.network.rows import read_rows
from builds.network.unchanged import Reading
from builds.stamps import JOBS
from parts.models import Operation, Part, Process

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(tern, skua, make_job, make_part, plater):
    bracket = make_part(tern, "bracket", route=[("weld", plater, 2), ("blast", plater, 3)])
    lid = make_part(skua, "lid", route=[("weld", plater, 2)])
    prime = make_job(tern, "prime", skill=Skill.objects.create(name="paint shop"))
    make_job(tern, "paint", needs=[bracket], after=[prime])
    make_job(skua, "fit lid", needs=[lid])
    lid.operations.get().after_jobs.add(prime)


def read_afresh():
    """The rows as they are read by who has read nothing before."""
    known = dict(unchanged._known)
    unchanged.forget()
    try:
        return read_rows()
    finally:
        unchanged._known.clear()
        unchanged._known.update(known)


def test_what_nobody_changed_is_the_very_same(shop):
    was = read_rows()

    now = read_rows()

    for name in ("cars", "jobs", "links", "needs", "parts", "operations", "after_jobs"):
        assert getattr(now, name) is getattr(was, name)


def test_after_a_tick_only_jobs_are_read_again(shop):
    read_rows()
    Job.objects.filter(title="prime").update(title="undercoat")
    with CaptureQueriesContext(connection) as queries:
        now = read_rows()

    assert [job.title for job in now.jobs.values()] == ["undercoat", "paint", "fit lid"]
    tables = [query["sql"].partition(' FROM "')[2].partition('"')[0] for query in queries]
    assert tables.count("builds_tablestamp") == 2
    assert "builds_job" in tables
    assert not {"builds_joblink", "builds_need", "parts_part", "parts_operation"} & set(tables)


def skua():
    return Car.objects.exclude(name="Tern")


def of_tern(things):
    things.update(car=Car.objects.get(name="Tern"))


CHANGES = {
    "a job's hours": lambda: Job.objects.filter(title="prime").update(hours_likely=9, hours_high=9),
    "a job gone": lambda: Job.objects.filter(title="fit lid").delete(),
    "a job's car": lambda: of_tern(Job.objects.filter(title="fit lid")),
    "a car handed over": lambda: skua().update(handed_over_on="2027-03-01"),
    "a car taken back": lambda: skua().update(handed_over_on=None),
    "a car's name": lambda: skua().update(name="Petrel"),
    "a car gone": lambda: (
        [thing.filter(car__in=skua()).delete() for thing in (Part.objects, Job.objects)] + [skua().delete()]
    ),
    "a skill's name": lambda: Skill.objects.filter(name="paint shop").update(name="coating"),
    "a link's lag": lambda: JobLink.objects.update(lag_hours=3),
    "a link gone": lambda: JobLink.objects.all().delete(),
    "a need gone": lambda: Need.objects.all().delete(),
    "a part's name": lambda: Part.objects.filter(name="bracket").update(name="a bracket"),
    "a part's car": lambda: of_tern(Part.objects.filter(name="lid")),
    "a line out": lambda: Operation.objects.update(sent_on="2027-03-01"),
    "a process's name": lambda: Process.objects.filter(key="weld").update(name="welding"),
    "what a line waits for": lambda: Operation.after_jobs.through.objects.all().delete(),
}


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=st.lists(st.tuples(st.sampled_from(sorted(CHANGES)), st.booleans()), max_size=5))
def test_after_any_changes_kept_or_taken_back_the_rows_are_those_read_afresh(changes, shop):
    with transaction.atomic():
        read_rows()
        for name, is_taken_back in changes:
            with transaction.atomic():
                CHANGES[name]()
                assert read_rows() == read_afresh(), name
                transaction.set_rollback(is_taken_back)
            assert read_rows() == read_afresh(), name
        transaction.set_rollback(True)
    assert read_rows() == read_afresh()


@pytest.mark.parametrize("name", sorted(CHANGES))
def test_each_change_is_seen_at_once(name, shop):
    was = read_rows()

    CHANGES[name]()

    assert read_rows() == read_afresh()
    if name != "a car taken back":
        assert read_rows() != was


def test_what_somebody_changes_while_it_is_read_is_not_kept(shop):
    reading = Reading(is_whole=True)
    reading.of("jobs", lambda: Job.objects.update(hours_high=30) and "read in between", JOBS)
    reading.keep()

    assert Reading(is_whole=True).of("jobs", lambda: "read anew", JOBS) == "read anew"


def test_without_stamps_all_is_read_each_time(shop):
    was = read_rows()
    TableStamp.objects.all().delete()

    now = read_rows()

    assert now == was
    assert now.jobs is not was.jobs
    assert read_rows().jobs is not now.jobs

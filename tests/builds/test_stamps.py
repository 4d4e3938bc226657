"""A table's stamp is renewed with every change that counts, whoever makes it, and by nothing else."""

import pytest
from django.core.management import call_command
from django.db import connection, transaction

from builds.models import Job, JobLink, Need, Skill, TableStamp
from builds.stamps import TABLES, stamps_now, stop_watching, watch_tables
from parts.models import Operation, Part, Process

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(tern, make_job):
    return make_job(tern, "prime")


@pytest.fixture
def part(tern, make_part, plater):
    return make_part(tern, "bracket", route=[("weld", plater, 2)])


def renewed(change):
    """The names of the tables whose stamps another is on after a change."""
    before = stamps_now()
    change()
    after = stamps_now()
    assert after.keys() == before.keys()
    return {name for name in after if after[name] != before[name]}


def test_after_migrate_every_table_has_a_stamp_of_its_own():
    assert set(stamps_now()) == {table.name for table in TABLES}
    assert len(set(stamps_now().values())) == len(TABLES)


def test_a_tick_renews_the_stamp_of_jobs_alone(job, fitter, as_fitter):
    assert renewed(lambda: as_fitter.post(f"/jobs/{job.pk}/start/")) == {"jobs"}


@pytest.mark.parametrize(
    ("change", "names"),
    [
        (lambda job, part: Job.objects.filter(pk=job.pk).update(title="x"), {"jobs"}),
        (lambda job, part: job.delete(), {"jobs", "cars_of_jobs"}),
        (lambda job, part: Part.objects.filter(pk=part.pk).update(name="x"), {"parts"}),
        (lambda job, part: part.operations.update(sent_on="2027-03-01"), {"lines"}),
        (lambda job, part: part.operations.get().after_jobs.add(job), {"jobs_before_lines"}),
        (lambda job, part: Need.objects.create(job=job, part=part), {"needs"}),
        (lambda job, part: Skill.objects.create(name="upholstery"), {"skills"}),
        (lambda job, part: Process.objects.filter(key="weld").update(name="x"), {"processes"}),
        (lambda job, part: Job.objects.filter(title="nothing").delete(), set()),
    ],
)
def test_each_change_renews_the_stamp_of_its_table(change, names, job, part):
    assert renewed(lambda: change(job, part)) == names


def test_of_cars_and_of_whose_a_job_is_only_what_is_read_counts(job, tern, skua):
    def note():
        tern.note = "dents"
        tern.save()

    def place():
        tern.place = "yard"
        tern.save()

    def other_car():
        job.car = skua
        job.save()

    assert renewed(note) == set()
    assert renewed(place) == {"cars"}
    assert renewed(other_car) == {"jobs", "cars_of_jobs"}


def test_a_statement_that_passes_over_what_is_there_renews_the_stamp_all_the_same(tern, job, make_job):
    paint = make_job(tern, "paint")
    link = JobLink(before=job, after=paint)

    assert renewed(lambda: JobLink.objects.bulk_create([link], ignore_conflicts=True)) == {"links"}


def test_what_is_taken_back_brings_its_old_stamp_back(job):
    before = stamps_now()
    with transaction.atomic():
        job.title = "x"
        job.save()
        assert stamps_now() != before
        transaction.set_rollback(True)

    assert stamps_now() == before


def test_while_tables_are_made_anew_none_has_a_stamp_and_afterwards_each_a_new_one(job):
    before = stamps_now()
    stop_watching("default")
    assert stamps_now() == {}
    assert renewed(job.save) == set()  # writes go on without

    watch_tables("default")
    assert stamps_now().keys() == before.keys()
    assert not set(stamps_now().values()) & set(before.values())
    assert renewed(job.save) == {"jobs"}


def test_emptied_tables_have_their_stamps_again(transactional_db):
    call_command("flush", interactive=False, verbosity=0)

    assert set(TableStamp.objects.values_list("name", flat=True)) == {table.name for table in TABLES}


def test_each_trigger_is_there_once(db):
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
        found = [name for (name,) in cursor.fetchall()]

    assert found == sorted(name for table in TABLES for name, _ in table.triggers())
    assert len(found) == 3 * len(TABLES)


def test_all_that_is_watched_is_of_the_models_that_are_read():
    assert {table.model for table in TABLES} >= {Job, JobLink, Need, Part, Operation, Process, Skill}

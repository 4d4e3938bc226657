from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from builds.models import Job, JobLink, Need
from builds.services.job_edit import ChangedMeanwhile, JobWording, job_save
from builds.services.jobs import job_done
from parts.models import FinishingBatch


@pytest.fixture
def wording(area):
    def make(**fields):
        hours = dict.fromkeys(("hours_low", "hours_likely", "hours_high"), Decimal(4))
        return JobWording(**{"area": area, "title": "Fit radiator", **hours, **fields})

    return make


def links(job):
    return list(JobLink.objects.filter(after=job).values_list("before__title", "lag_hours"))


def test_a_new_job_goes_to_the_end_of_its_area(tern, make_job, wording, make_part):
    before = make_job(tern, "Trial fit radiator", position=3)
    part = make_part(tern, "radiator")
    job = job_save(
        car=tern,
        wording=wording(
            title="  Fit   radiator ",
            cautions=("lifting",),
            after={before: Decimal("1.5")},
            needs={part: None},
        ),
    )
    job.refresh_from_db()
    assert (job.title, job.position, job.cautions, job.version) == ("Fit radiator", 4, ["lifting"], 1)
    assert links(job) == [("Trial fit radiator", Decimal("1.5"))]
    assert list(job.part_needs.values_list("part", "operation")) == [(part.pk, None)]


def test_another_wording_replaces_links_and_needs_and_keeps_the_tick(
    tern, make_job, wording, make_part, plater, fitter, at
):
    old, new = make_job(tern, "Old before"), make_job(tern, "New before")
    part = make_part(tern, "radiator", route=[("fabricate", plater, 5), ("powder_coat", plater, 5)])
    job = make_job(tern, "Fit radiator", after=[old])
    other = Job.objects.get(pk=job.pk)
    job_done(job=old, by=fitter, at=at)
    job_done(job=job, by=fitter, at=at)
    line = part.operations.first()
    saved = job_save(
        car=tern,
        job=other,
        version=1,
        wording=wording(note="Use new hoses", after={new: Decimal(0)}, needs={part: line}),
    )
    saved.refresh_from_db()
    assert (saved.note, saved.version, saved.done_by) == ("Use new hoses", 2, fitter)
    assert links(saved) == [("New before", Decimal(0))]
    assert Need.objects.get().operation == line


def test_the_second_of_two_editors_is_told_and_nothing_is_overwritten(tern, make_job, wording):
    job = make_job(tern, "Fit radiator")
    job_save(car=tern, job=job, version=1, wording=wording(note="From the first"))
    with pytest.raises(ChangedMeanwhile, match="changed by somebody else meanwhile") as refusal:
        job_save(car=tern, job=job, version=1, wording=wording(note="From the second"))
    assert refusal.value.now.note == "From the first"
    assert list(Job.objects.values_list("note", "version")) == [("From the first", 2)]


@pytest.mark.parametrize(
    ("fields", "name", "words"),
    [
        ({"title": " "}, "title", "cannot be blank"),
        ({"title": "x" * 201}, "title", "at most 200"),
        ({"hours_low": Decimal(5)}, "__all__", "Hours must run low, likely, high"),
        ({"hours_low": Decimal(-1)}, "hours_low", "greater than or equal to 0"),
        ({"hours_high": Decimal(10000)}, "hours_high", "less than or equal to 9999"),
        ({"people": 21}, "people", "less than or equal to 20"),
        ({"place": "moon"}, "place", "not a valid choice"),
        ({"place": "away"}, "supplier", "which supplier"),
        ({"cautions": ("dragons",)}, "cautions", "no caution “dragons”"),
        ({"key": "two words"}, "key", "valid"),
    ],
)
def test_bad_values_are_refused_by_name(tern, wording, fields, name, words):
    with pytest.raises(ValidationError) as refusal:
        job_save(car=tern, wording=wording(**fields))
    assert words in " ".join(refusal.value.message_dict[name])
    assert not Job.objects.exists()


def test_only_a_job_away_with_the_car_has_a_supplier(tern, wording, plater):
    with pytest.raises(ValidationError, match="Only a job away with the car has a supplier"):
        job_save(car=tern, wording=wording(supplier=plater))
    job_save(car=tern, wording=wording(supplier=plater, place="away"))


def test_a_title_stands_once_in_its_area(tern, make_job, wording):
    make_job(tern, "Fit radiator")
    with pytest.raises(ValidationError, match="a job of that title in that area already"):
        job_save(car=tern, wording=wording(title="fit RADIATOR"))
    assert Job.objects.count() == 1


def test_a_job_waits_only_for_its_own_car(tern, skua, make_job, make_part, wording, plater):
    stranger = make_job(skua, "Fit seats")
    part = make_part(skua, "seat", route=[("fabricate", plater, 5)])
    own = make_part(tern, "radiator")
    for fields, words in (
        ({"after": {stranger: Decimal(0)}}, "“Fit seats” is a job of another car"),
        ({"needs": {part: None}}, "“seat” is a part of another car"),
        ({"needs": {own: part.operations.get()}}, "is not on the route card of “radiator”"),
    ):
        with pytest.raises(ValidationError, match=words):
            job_save(car=tern, wording=wording(**fields))
    assert list(Job.objects.all()) == [stranger]


def test_a_ring_of_jobs_is_named(tern, make_job, wording):
    first = make_job(tern, "Fit radiator")
    second = make_job(tern, "Fill", after=[first])
    third = make_job(tern, "Bleed", after=[second])
    with pytest.raises(
        ValidationError, match="“Fit radiator” would come after itself by way of “Fill” and “Bleed”"
    ):
        job_save(car=tern, job=first, version=1, wording=wording(after={third: Decimal(0)}))
    assert links(first) == []
    assert Job.objects.get(pk=first.pk).version == 1


def test_a_job_does_not_come_after_itself(tern, make_job, wording):
    job = make_job(tern, "Fit radiator")
    with pytest.raises(ValidationError, match="cannot come after itself"):
        job_save(car=tern, job=job, version=1, wording=wording(after={job: Decimal(0)}))
    assert links(job) == []


def test_a_ring_through_a_part_is_named(tern, make_job, make_part, wording, plater):
    job = make_job(tern, "Fit radiator")
    maker = make_job(tern, "Make bracket", after=[job])
    part = make_part(tern, "bracket", made_by=maker, route=[("zinc_plate", plater, 5)])
    with pytest.raises(ValidationError, match="by way of “Make bracket” and the part “bracket”"):
        job_save(car=tern, job=job, version=1, wording=wording(needs={part: None}))
    assert not Need.objects.exists()


def test_a_ring_through_a_part_of_our_own_is_named(tern, make_job, make_part, wording):
    job = make_job(tern, "Fit radiator")
    maker = make_job(tern, "Make bracket", after=[job])
    part = make_part(tern, "bracket", made_by=maker)
    with pytest.raises(ValidationError, match="by way of “Make bracket”"):
        job_save(car=tern, job=job, version=1, wording=wording(needs={part: None}))
    assert not Need.objects.exists()


def test_a_ring_through_a_finishing_batch_is_named(tern, make_job, make_part, wording, plater, process):
    job = make_job(tern, "Fit radiator")
    trial = make_job(tern, "Trial fit duct", after=[job])
    bracket = make_part(tern, "bracket", route=[("zinc_plate", plater, 5)])
    duct = make_part(tern, "duct", route=[("zinc_plate", plater, 5)])
    duct.operations.get().after_jobs.add(trial)
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    for part in (bracket, duct):
        part.operations.update(batch=batch)
    with pytest.raises(ValidationError, match=r"“Trial fit duct”, the zinc.* batch .* part “bracket”"):
        job_save(car=tern, job=job, version=1, wording=wording(needs={bracket: None}))
    assert not Need.objects.exists()


def test_links_without_a_ring_are_saved(tern, make_job, wording):
    first = make_job(tern, "Trial fit")
    second = make_job(tern, "Make pipes", after=[first])
    job = make_job(tern, "Fit radiator", after=[first])
    job_save(car=tern, job=job, version=1, wording=wording(after={first: Decimal(0), second: Decimal(2)}))
    assert links(job) == [("Trial fit", Decimal(0)), ("Make pipes", Decimal(2))]

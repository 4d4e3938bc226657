"""Writing jobs: for managers."""

from __future__ import annotations

from decimal import Decimal

import pytest

from builds.models import Bay, Job, JobLink, Need, Skill


def data(area, /, **change):
    rows = {
        "after-TOTAL_FORMS": "2",
        "after-INITIAL_FORMS": "0",
        "need-TOTAL_FORMS": "2",
        "need-INITIAL_FORMS": "0",
    }
    plain = {
        "title": "Fit radiator",
        "area": area.pk,
        "place": "on",
        "hours_low": "2",
        "hours_likely": "3",
        "hours_high": "5",
        "people": "1",
        "version": "1",
        "note": "",
    }
    return {**rows, **plain, **change}


def test_a_manager_writes_a_job_with_what_it_waits_for(tern, area, make_job, make_part, plater, as_manager):
    before = make_job(tern, "Trial fit radiator")
    part = make_part(tern, "radiator", route=[("fabricate", plater, 5), ("powder_coat", plater, 5)])
    name = part.operations.get(sequence=1).process.name.lower()
    change = {
        "after-0-job": "COOLING:  trial fit radiator",
        "after-0-lag_hours": "1.5",
        "need-0-part": f"radiator, after line 1 ({name})",
        "cautions": ["lifting", "hot work"],
        "needs_signature": "on",
    }
    answer = as_manager.post(f"/cars/{tern.pk}/jobs/new/", data(area, **change))
    job = Job.objects.get(title="Fit radiator")
    assert answer.url == f"/jobs/{job.pk}/"
    assert (job.hours_likely, job.cautions, job.needs_signature) == (3, ["lifting", "hot work"], True)
    assert list(JobLink.objects.values_list("before", "after", "lag_hours")) == [
        (before.pk, job.pk, Decimal("1.5"))
    ]
    assert Need.objects.get().operation.sequence == 1


def test_the_form_shows_what_stands_there_and_emptied_lines_go(tern, area, make_job, make_part, as_manager):
    before = make_job(tern, "Trial fit radiator")
    job = make_job(tern, "Fit radiator", after=[before], needs=[make_part(tern, "radiator")])
    page = as_manager.get(f"/jobs/{job.pk}/edit/").content.decode()
    assert 'value="cooling: Trial fit radiator"' in page
    assert 'value="radiator"' in page
    rows = {"after-INITIAL_FORMS": "1", "need-INITIAL_FORMS": "1", "after-0-job": "", "need-0-part": ""}
    as_manager.post(f"/jobs/{job.pk}/edit/", data(area, **rows))
    assert not JobLink.objects.exists()
    assert not Need.objects.exists()
    assert Job.objects.get(pk=job.pk).hours_high == 5


def test_a_job_names_the_lift_that_it_needs(tern, area, make_job, as_manager):
    lift, job = Bay.objects.create(name="Two-post lift"), make_job(tern, "Fit radiator")
    as_manager.post(f"/jobs/{job.pk}/edit/", data(area, bay=lift.pk))
    assert Job.objects.get(pk=job.pk).bay == lift
    as_manager.post(f"/jobs/{job.pk}/edit/", data(area, version="2", bay="98765"))
    assert Job.objects.get(pk=job.pk).bay == lift
    as_manager.post(f"/jobs/{job.pk}/edit/", data(area, version="2", bay=""))
    assert Job.objects.get(pk=job.pk).bay is None


def test_more_lines_keep_what_was_typed_and_save_nothing(tern, area, as_manager):
    answer = as_manager.post(f"/cars/{tern.pk}/jobs/new/", data(area, title="Half written", more="1"))
    page = answer.content.decode()
    assert 'value="Half written"' in page
    assert 'name="after-4-job"' in page
    assert not Job.objects.exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"title": ""}, "This field is required"),
        ({"title": "x" * 201}, "at most 200"),
        ({"hours_low": "4"}, "Hours must run low, likely, high"),
        ({"hours_low": "-1"}, "greater than or equal to 0"),
        ({"hours_likely": "3 days"}, "Enter a number"),
        ({"hours_high": "1e9"}, "Ensure that there are no more than"),
        ({"hours_high": "NaN"}, "Enter a number"),
        ({"people": "0"}, "greater than or equal to 1"),
        ({"area": "999"}, "Select a valid choice"),
        ({"place": "moon"}, "Select a valid choice"),
        ({"place": "away"}, "Say which supplier"),
        ({"cautions": ["dragons"]}, "Select a valid choice"),
        ({"key": "two words"}, "valid"),
        ({"after-0-job": "cooling: Nothing of the kind"}, "There is no job “cooling: Nothing of the kind”"),
        ({"after-0-job": "cooling: Trial fit", "after-0-lag_hours": "-2"}, "greater than or equal to 0"),
        ({"need-0-part": "unobtainium"}, "There is no part “unobtainium”"),
        ({"after-TOTAL_FORMS": "abc"}, "ManagementForm"),
        ({"version": "x"}, "Enter a whole number"),
    ],
)
def test_bad_values_are_told_and_change_nothing(tern, area, make_job, as_manager, change, words):
    make_job(tern, "Trial fit")
    answer = as_manager.post(f"/cars/{tern.pk}/jobs/new/", data(area, **change))
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Job.objects.count() == 1


def test_a_ring_is_told_with_its_names(tern, area, make_job, as_manager):
    job = make_job(tern, "Fit radiator")
    middle = make_job(tern, "Fill", after=[job])
    make_job(tern, "Bleed", after=[middle])
    answer = as_manager.post(f"/jobs/{job.pk}/edit/", data(area, **{"after-0-job": "cooling: Bleed"}))
    assert "would come after itself by way of “Fill” and “Bleed”" in answer.content.decode()
    assert not job.links_in.exists()


def test_the_second_of_two_editors_sees_both_and_overwrites_nothing(tern, area, make_job, as_manager):
    job = make_job(tern, "Fit radiator")
    first, second = data(area, note="From the first"), data(area, note="From the second", people="2")
    as_manager.post(f"/jobs/{job.pk}/edit/", first)
    answer = as_manager.post(f"/jobs/{job.pk}/edit/", second)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "was changed by somebody else meanwhile" in page
    assert "<td>From the first</td><td>From the second</td>" in page
    assert list(Job.objects.values_list("note", "people", "version")) == [("From the first", 1, 2)]
    # having seen both, the second may save again
    assert 'name="version" value="2"' in page
    as_manager.post(f"/jobs/{job.pk}/edit/", {**second, "version": "2"})
    assert list(Job.objects.values_list("note", "people", "version")) == [("From the second", 2, 3)]


def test_words_from_people_are_shown_as_text(tern, area, make_job, make_part, as_manager):
    evil = '"><script>alert(1)</script>'
    job = make_job(tern, evil, needs=[make_part(tern, evil)])
    other = make_job(tern, "Other", after=[job])
    for shown in (job, other):
        assert evil not in as_manager.get(f"/jobs/{shown.pk}/edit/").content.decode()


def test_a_fitter_may_not_write_jobs(tern, area, make_job, as_fitter):
    job = make_job(tern, "Fit sump")
    for address in (f"/jobs/{job.pk}/edit/", f"/cars/{tern.pk}/jobs/new/"):
        assert as_fitter.get(address).status_code == 403
        assert as_fitter.post(address, data(area)).status_code == 403
    assert list(Job.objects.values_list("title", flat=True)) == ["Fit sump"]


def test_another_cars_jobs_are_not_offered(tern, skua, make_job, as_manager):
    make_job(skua, "Fit seats")
    page = as_manager.get(f"/cars/{tern.pk}/jobs/new/").content.decode()
    assert "Fit seats" not in page


def test_a_skill_that_nobody_has_is_said_when_the_job_is_saved(tern, area, make_job, as_manager, fitter):
    glazier, job = Skill.objects.create(name="glazier"), make_job(tern, "Fit screens")
    change = data(area, skill=glazier.pk)
    page = as_manager.post(f"/jobs/{job.pk}/edit/", change, follow=True).content.decode()
    assert "Nobody who works here has the skill glazier" in page

    fitter.skills.add(glazier)
    page = as_manager.post(f"/jobs/{job.pk}/edit/", {**change, "version": "2"}, follow=True).content.decode()
    assert "is saved" in page
    assert "Nobody who works here" not in page

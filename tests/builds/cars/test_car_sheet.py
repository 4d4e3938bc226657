"""The sheet of one car."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Customer, JobLink
from parts.services.operations import operation_reject, operation_send
from parts.services.promises import supplier_promise


def _sheet(client, car, query=""):
    return client.get(f"/cars/{car.pk}/{query}").content.decode()


def test_a_held_job_says_what_holds_it_with_a_link(as_fitter, tern, make_job):
    pipes = make_job(tern, "make pipes")
    make_job(tern, "fill system", after=[pipes])

    page = _sheet(as_fitter, tern)

    assert f'held: <a href="/jobs/{pipes.pk}/">make pipes</a>' in page


def test_clear_jobs_come_before_held_ones(as_fitter, tern, make_job):
    later = make_job(tern, "a held job", position=1)
    JobLink.objects.create(before=make_job(tern, "z clear job", position=2), after=later)

    page = _sheet(as_fitter, tern)

    assert page.index("z clear job") < page.index("a held job")


def test_a_clear_job_is_ticked_from_the_sheet(as_fitter, fitter, tern, make_job):
    job = make_job(tern, "fit radiator")

    answer = as_fitter.post(f"/jobs/{job.pk}/done/", {"next": f"/cars/{tern.pk}/"})

    job.refresh_from_db()
    assert (answer.status_code, answer.url) == (302, f"/cars/{tern.pk}/")
    assert job.done_by == fitter


def test_the_chain_and_what_would_help_are_said(as_fitter, tern, make_job, make_part, plater, first_start_up):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    today = timezone.localdate()
    radiator.operations.update(sent_on=today - timedelta(days=30), promised_on=today + timedelta(days=40))
    first_start_up(tern, make_job(tern, "fit radiator", needs=[radiator]), promised=today)

    page = _sheet(as_fitter, tern, "?people=1")

    assert "Radiator out since" in page
    assert "Radiator in from Ferrand Plating by the next working day" in page
    assert "sooner" in page
    assert '<svg class="strip"' in page


def test_the_customer_is_shown_to_managers_only(as_manager, as_fitter, tern):
    tern.customer = Customer.objects.create(name="Mrs A. Quill", phone="01632 960 301")
    tern.save()

    assert "Mrs A. Quill" in _sheet(as_manager, tern)
    assert "Quill" not in _sheet(as_fitter, tern)


def test_a_car_without_jobs_says_what_to_do_next(as_manager, tern):
    assert "Read a job list from a file" in _sheet(as_manager, tern)


def test_markup_in_a_title_is_shown_as_typed(as_fitter, tern, make_job):
    make_job(tern, "<script>alert(1)</script>")

    page = _sheet(as_fitter, tern)

    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_car_that_is_not_there_is_not_found(as_fitter, workshop):
    assert as_fitter.get("/cars/999/").status_code == 404


@pytest.mark.parametrize("jobs", [2, 20])
def test_the_number_of_queries_does_not_grow(
    jobs, as_fitter, tern, make_job, make_part, plater, first_start_up
):
    made = [
        make_job(
            tern, f"job {number}", needs=[make_part(tern, f"part {number}", route=[("weld", plater, 2)])]
        )
        for number in range(jobs)
    ]
    first_start_up(tern, *made)
    with CaptureQueriesContext(connection) as queries:
        as_fitter.get(f"/cars/{tern.pk}/")

    # session, person, car, cars that share a batch, the network's 19, jobs, parts with lines,
    # processes and suppliers, decisions, photos, drawings, the workshop's name
    assert len(queries) == 32
    with CaptureQueriesContext(connection) as queries:
        as_fitter.get(f"/cars/{tern.pk}/?people=1")

    # without the cars that share a batch, but with two of stamps, people and their skills, absences,
    # overtime, the skills of jobs and who began them, suppliers' records and their promises
    assert len(queries) == 41


def test_a_rejected_part_is_to_come_until_another_line_makes_it_good(as_fitter, tern, make_part, plater):
    arm = make_part(tern, "Arm", route=[("weld", plater, 5)])
    today = timezone.localdate()
    arm.operations.update(sent_on=today, back_on=today, result="rejected", reason="porous")

    assert "Parts · 1 to come, 0 in hand" in _sheet(as_fitter, tern)

    rejected = arm.operations.get()
    again = make_part(tern, "Arm again", route=[("weld", plater, 5)]).operations.get()
    again.part, again.sequence, again.reworks = arm, 2, rejected
    again.sent_on, again.back_on, again.result = today, today, "accepted"
    again.save()

    assert "Parts · 0 to come, 2 in hand" in _sheet(as_fitter, tern)


def test_what_is_entered_while_the_sheet_is_read_shows_on_the_next_look(
    as_fitter, tern, make_job, make_part, plater, monkeypatch
):
    """Somebody reads a list in between the network's queries and the page's own."""
    from builds.sheets import car as sheet

    def load_and_be_overtaken(car_id, today):
        state = load_car(car_id, today)
        state.facts()
        make_job(tern, "a job entered meanwhile")
        make_part(tern, "A part entered meanwhile", route=[("weld", plater, 5)])
        return state

    load_car = sheet.load_car
    monkeypatch.setattr(sheet, "load_car", load_and_be_overtaken)

    answer = as_fitter.get(f"/cars/{tern.pk}/")

    assert answer.status_code == 200
    assert "a job entered meanwhile" not in answer.content.decode()


def test_a_late_part_names_the_day_first_promised_beside_the_new_one(
    as_fitter, fitter, tern, make_part, plater
):
    today = timezone.localdate()
    first, now = today - timedelta(days=5), today + timedelta(days=9)
    line = make_part(tern, "radiator", route=[("fabricate", plater, 5)]).operations.get()
    operation_send(operation=line, on=today - timedelta(days=20), by=fitter, promised_on=first)
    supplier_promise(operation=line, promised_on=now, on=today - timedelta(days=1), by=fitter)

    page = _sheet(as_fitter, tern)

    assert f"{first.day} {first:%b}, now {now.day} {now:%b} <b>5 days late</b>" in page


def test_a_rejected_part_says_that_it_goes_again(as_fitter, fitter, tern, make_part, plater):
    today = timezone.localdate()
    line = make_part(tern, "radiator", route=[("fabricate", plater, 5)]).operations.get()
    operation_send(operation=line, on=today, by=fitter)
    operation_reject(operation=line, on=today, by=fitter, reason="leaks")

    assert "rejected, goes again to · Ferrand Plating · fabricate" in _sheet(as_fitter, tern)

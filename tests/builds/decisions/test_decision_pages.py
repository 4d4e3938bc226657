from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.models import Decision
from builds.services.decisions import decision_raise


@pytest.fixture
def job(tern, make_job):
    return make_job(tern, "Paint valve cover")


@pytest.fixture
def colour(job, manager):
    return decision_raise(
        job=job,
        question="Which colour?",
        owed_by="customer",
        due_on=timezone.localdate() + timedelta(days=3),
        by=manager,
        at=timezone.now(),
    )


def test_a_question_is_asked_and_holds_the_job(job, as_manager):
    due = (timezone.localdate() + timedelta(days=3)).isoformat()
    data = {"question": "Which colour?", "owed_by": "customer", "due_on": due}
    answer = as_manager.post(f"/jobs/{job.pk}/decisions/new/", data, follow=True)
    assert Decision.objects.owed().get().question == "Which colour?"
    assert "the customer to decide: Which colour?" in answer.content.decode()


@pytest.mark.parametrize("change", [{"question": ""}, {"due_on": "soon"}, {"owed_by": ""}, {"due_on": ""}])
def test_a_bad_question_is_told_and_not_kept(job, as_manager, change):
    data = {"question": "Which?", "owed_by": "us", "due_on": "2099-01-01", **change}
    answer = as_manager.post(f"/jobs/{job.pk}/decisions/new/", data)
    assert "errorlist" in answer.content.decode()
    assert not Decision.objects.exists()


def test_the_answer_lets_the_job_go_on(colour, as_fitter, fitter):
    answer = as_fitter.post(f"/decisions/{colour.pk}/answer/", {"answer": "Black <i>satin</i>"}, follow=True)
    page = answer.content.decode()
    colour.refresh_from_db()
    assert colour.decided_by == fitter
    assert '<b class="condition">clear</b>' in page
    assert "Black &lt;i&gt;satin&lt;/i&gt;" in page


def test_an_empty_answer_is_told(colour, as_fitter):
    assert "errorlist" in as_fitter.post(f"/decisions/{colour.pk}/answer/", {"answer": " "}).content.decode()
    assert Decision.objects.owed().exists()


def test_a_second_answer_is_told_the_first(colour, as_fitter, as_manager):
    as_fitter.post(f"/decisions/{colour.pk}/answer/", {"answer": "Black"})
    page = as_manager.post(f"/decisions/{colour.pk}/answer/", {"answer": "Red"}).content.decode()
    assert "Rafe Holloway has answered this already: “Black”" in page
    colour.refresh_from_db()
    assert colour.answer == "Black"

from datetime import date, datetime

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Decision
from builds.services.decisions import decision_answer, decision_raise

AT = timezone.make_aware(datetime(2026, 11, 26, 9, 30))
DUE = date(2026, 12, 1)


@pytest.fixture
def colour(tern, make_job, manager):
    job = make_job(tern, "Paint valve cover")
    return decision_raise(
        job=job, question="Which colour?", owed_by="customer", due_on=DUE, by=manager, at=AT
    )


def test_a_question_is_owed_until_it_is_answered(colour, fitter):
    assert list(Decision.objects.owed()) == [colour]
    decision_answer(decision=colour, answer="Black", by=fitter, at=AT)
    colour.refresh_from_db()
    assert (colour.answer, colour.decided_by, colour.decided_at) == ("Black", fitter, AT)
    assert not Decision.objects.owed().exists()


def test_the_same_answer_again_changes_nothing(colour, fitter, manager):
    decision_answer(decision=colour, answer="Black", by=fitter, at=AT)
    decision_answer(decision=colour, answer="Black", by=manager, at=AT)
    colour.refresh_from_db()
    assert colour.decided_by == fitter


def test_another_answer_is_refused_and_names_the_first(colour, fitter, manager):
    decision_answer(decision=colour, answer="Black", by=fitter, at=AT)
    with pytest.raises(ValidationError, match="Rafe Holloway has answered this already: “Black”"):
        decision_answer(decision=colour, answer="Red", by=manager, at=AT)
    colour.refresh_from_db()
    assert colour.answer == "Black"


@pytest.mark.parametrize(("answer", "words"), [("   ", "Write what was decided"), ("x" * 301, "at most 300")])
def test_an_answer_has_words_and_not_too_many(colour, fitter, answer, words):
    with pytest.raises(ValidationError, match=words):
        decision_answer(decision=colour, answer=answer, by=fitter, at=AT)
    assert list(Decision.objects.owed()) == [colour]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"question": " "}, "cannot be blank"),
        ({"owed_by": "nobody"}, "not a valid choice"),
        ({"due_on": date(2026, 11, 25)}, "gone by"),
        ({"due_on": date(9999, 12, 31)}, "more than three years away"),  # no calendar reaches so far
        ({"with_person": True}, "Only a decision that one of us owes"),
    ],
)
def test_a_bad_question_is_refused(tern, make_job, manager, fitter, change, words):
    fields = {"question": "Which colour?", "owed_by": "customer", "due_on": DUE, **change}
    person = fitter if fields.pop("with_person", False) else None
    with pytest.raises(ValidationError, match=words):
        decision_raise(job=make_job(tern, "Paint"), by=manager, at=AT, person=person, **fields)
    assert not Decision.objects.exists()

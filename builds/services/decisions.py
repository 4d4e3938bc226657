"""Decisions that hold a job until somebody answers."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from builds.models import Decision, Job, Person
from parts.services.days import check_near


@transaction.atomic
def decision_raise(
    *,
    job: Job,
    question: str,
    owed_by: str,
    due_on: date,
    by: Person,
    at: datetime,
    person: Person | None = None,
) -> Decision:
    """Hold a job until the customer or one of us has answered. The same question again changes nothing.

    Raises ValidationError if the job is done, the question is empty, or the day has gone by.
    """
    job = Job.objects.select_for_update(of=("self",)).get(pk=job.pk)
    if job.done_at is not None:
        raise ValidationError(f"“{job}” is done already: nothing can hold it. Take the tick back first.")
    question = " ".join(question.split())
    asked = Decision.objects.owed().filter(job=job, question__iexact=question, owed_by=owed_by).first()
    if asked is not None:
        return asked
    if due_on < timezone.localdate(at):
        raise ValidationError({"due_on": "The answer cannot be wanted by a day that has gone by."})
    check_near(due_on, field="due_on", today=timezone.localdate(at))
    decision = Decision(
        job=job,
        question=question,
        owed_by=owed_by,
        person=person,
        due_on=due_on,
        raised_by=by,
        raised_at=at,
    )
    decision.full_clean()
    decision.save()
    return decision


@transaction.atomic
def decision_answer(*, decision: Decision, answer: str, by: Person, at: datetime) -> Decision:
    """Record the answer, which lets the job go on. The same answer again changes nothing.

    Raises ValidationError if the answer is empty or another one was recorded before.
    """
    decision = (
        Decision.objects.select_for_update(of=("self",)).select_related("decided_by").get(pk=decision.pk)
    )
    answer = " ".join(answer.split())
    if decision.decided_at is not None:
        if decision.answer == answer:
            return decision
        raise ValidationError(
            f"{decision.decided_by} has answered this already: “{decision.answer}”. Your answer was not kept."
        )
    if not answer:
        raise ValidationError({"answer": "Write what was decided."})
    decision.answer, decision.decided_by, decision.decided_at = answer, by, at
    decision.full_clean()
    decision.save(update_fields=["answer", "decided_by", "decided_at"])
    return decision

"""How the network speaks: one phrase for each thing that is waited for."""

from __future__ import annotations

from datetime import date
from functools import cache

from django.urls import reverse

from builds.facts import Reason

from .model import Model
from .rows import DecisionRow, JobRow, OperationRow


@cache
def page(name: str, pk: int) -> str:
    """The address of one thing's page. Kept, since a page of 500 links asks for it 500 times."""
    return reverse(name, args=[pk])


def day_words(day: date, today: date) -> str:
    """'12 Mar', with the year where it is another one than today's."""
    words = f"{day.day} {day:%b}"
    return words if day.year == today.year else f"{words} {day.year}"


def days_words(days: int) -> str:
    return f"{days} day" if days == 1 else f"{days} days"


def operation_words(model: Model, operation: OperationRow, back: date | None) -> str:
    """'radiator out since 2 Nov, promised 20 Nov, 3 days late, now 9 Dec'."""
    today = model.today
    name = model.rows.parts[operation.part_id].name
    process = operation.process__name.lower()
    expected = f", expected {day_words(back, today)}" if back else ""
    if operation.state == "back":
        return f"{name} back from {process}, to be checked"
    if operation.state == "rejected":
        return f"{name} rejected at {process}: {operation.reason}"
    if operation.state == "out":
        return _out_words(model, operation, name, back)
    batch = model.rows.batches.get(operation.batch_id or 0)
    if batch is not None:
        return f"{process} batch {batch.id}, with {name}{expected}"
    verb = "to be ordered" if operation.process__kind == "supply" else f"to go to {process}"
    return f"{name} {verb}{expected}"


def _out_words(model: Model, operation: OperationRow, name: str, back: date | None) -> str:
    today = model.today
    verb = "on order" if operation.process__kind == "supply" else "out"
    words = [f"{name} {verb} since {day_words(operation.sent_on or today, today)}"]
    first = model.first_promise(operation)
    if first is None:
        words.append("no day promised")
    else:
        words.append(f"promised {day_words(first, today)}")
    late = model.days_late(operation)
    if late:
        words.append(f"{days_words(late)} late")
    if model.is_overdue(operation):
        words.append("no new day given")
    elif back and back != first:
        words.append(f"now {day_words(back, today)}" if first else f"expected {day_words(back, today)}")
    return ", ".join(words)


def operation_url(operation: OperationRow) -> str:
    return page("part", operation.part_id) + f"#line-{operation.id}"


def operation_reason(model: Model, operation: OperationRow, back: date | None) -> Reason:
    return Reason("part", operation_words(model, operation, back), operation_url(operation), back)


def job_reason(job: JobRow, until: date | None) -> Reason:
    waits = "second signature for " if job.done_at else ""
    return Reason("job", f"{waits}{job.title}", page("job", job.id), until)


def decision_words(decision: DecisionRow, today: date) -> str:
    who = "the customer" if decision.owed_by == "customer" else decision.person__name or "one of us"
    late = (today - decision.due_on).days
    by = f"wanted by {day_words(decision.due_on, today)}" + (f", {days_words(late)} late" if late > 0 else "")
    return f"{who} to decide: {decision.question} ({by})"


def decision_reason(decision: DecisionRow, today: date) -> Reason:
    url = page("job", decision.job_id) + "#decisions"
    return Reason("decision", decision_words(decision, today), url, max(decision.due_on, today))

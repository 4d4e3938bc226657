"""What would help: each thing that is waited for, tried as if it were here tomorrow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from .solution import FIRST_START_UP, Solution
from .words import decision_words, operation_url, page

TRIED = 8  # steps of the chain that are tried, so that the page stays quick


@dataclass(frozen=True)
class Saver:
    """One thing that would bring first start-up forward."""

    text: str
    url: str
    days: int  # working days gained
    on: date  # first start-up then


def savers(solution: Solution, car_id: int) -> tuple[Saver, ...]:
    """Try each thing on the chain that sets first start-up by itself; give those that gain a day or more."""
    milestone = next(
        (
            row
            for row in solution.model.rows.milestones
            if row.car_id == car_id and row.kind == FIRST_START_UP and solution.is_open(row.job_ids)
        ),
        None,
    )
    if milestone is None or solution.early is None:
        return ()
    key = f"milestone:{milestone.id}"
    now = solution.finish_on(key)
    found = []
    for text, url, trial in _trials(solution, key):
        then = trial.finish_on(key)
        if now is not None and then is not None and then < now:
            days = solution.model.shop.days_between(then, now)
            if days > 0:
                found.append(Saver(text, url, days, then))
    return tuple(sorted(found, key=lambda saver: -saver.days))


def _trials(solution: Solution, key: str) -> Iterator[tuple[str, str, Solution]]:
    model = solution.model
    chain = solution.chain(key)
    waited_for = [step.key for step in chain if _can_be_hurried(solution, step.key)]
    for tried in waited_for[:TRIED]:
        text, url = _words(solution, tried)
        yield text, url, Solution.of(model.with_prompt(tried))
    for gate in [step.key for step in chain if step.key.startswith("batch:")]:
        batch = model.batch_of_gate(gate)
        if batch is not None:
            members = [row.id for row in model.open_operations.values() if row.batch_id == batch.id]
            text = f"Send {batch.process__name.lower()} batch {batch.id} now with what is ready"
            yield text, page("batch", batch.id), Solution.of(model.with_batch(members, model.today))


def _can_be_hurried(solution: Solution, key: str) -> bool:
    """What somebody owes now: a decision, a thing that is out, one that could go out next."""
    kind, _, number = key.partition(":")
    if kind != "op":
        return kind == "decision"
    leaves = solution.start_on(key)
    model = solution.model
    is_out = model.rows.operations[int(number)].state == "out"
    return is_out or (leaves is not None and leaves <= model.next_day)


def _words(solution: Solution, key: str) -> tuple[str, str]:
    model = solution.model
    kind, _, number = key.partition(":")
    if kind == "decision":
        decision = next(row for row in model.rows.decisions if row.id == int(number))
        return f"An answer today: {decision_words(decision, model.today)}", page(
            "job", decision.job_id
        ) + "#decisions"
    operation = model.rows.operations[int(number)]
    name = model.rows.parts[operation.part_id].name
    supplier = model.rows.suppliers.get(operation.supplier_id or 0)
    where = f" from {supplier.name}" if supplier else ""
    if operation.state == "out":
        return f"{name} in{where} by the next working day", operation_url(operation)
    return f"{name}: {operation.process__name.lower()} without the wait{where}", operation_url(operation)

"""Fixed days that cannot all be kept: said with the names concerned, and worked with as well as may be."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

from .calendars import due_back, is_shut_for_good, shop_weekdays
from .rows import BatchRow
from .solution import Solution
from .words import day_words


def contradictions(solution: Solution) -> tuple[str, ...]:
    """A batch whose day is before its pieces can be ready, stays that overlap, a promise for a closed day."""
    return (*_shut(solution), *_batches(solution), *_stays(solution), *_promises(solution))


def _shut(solution: Solution) -> Iterator[str]:
    model = solution.model
    rows, today = model.rows, model.today
    shops = [("The workshop", shop_weekdays(rows), rows.closures)]
    shops += [(each.name, each.weekdays, each.closures) for each in rows.suppliers.values()]
    for name, weekdays, closures in shops:
        if closures and is_shut_for_good(rows, weekdays, closures, today):
            yield (
                f"{name} is shut on every working day to come. Dates are worked out as if there were no "
                "closures: look for a wrong year among them."
            )


def _batches(solution: Solution) -> Iterator[str]:
    model = solution.model
    for batch in model.rows.batches.values():
        if batch.leaves == "fixed" and batch.planned_on is not None and batch.planned_on >= model.today:
            late = sorted(_not_ready(solution, batch, batch.planned_on))
            if late:
                yield (
                    f"{batch.process__name.capitalize()} batch {batch.id} is to go on "
                    f"{day_words(batch.planned_on, model.today)}, and {_and(late)}. They will follow by "
                    "themselves: choose a later day, or take them out."
                )


def _not_ready(solution: Solution, batch: BatchRow, on: date) -> Iterator[str]:
    model = solution.model
    for line in model.open_operations.values():
        if line.batch_id != batch.id or line.state != "to do":
            continue
        ends = [solution.finish_on(key) for key in model.before_operation(line)]
        ready = max((end for end in ends if end is not None), default=model.today)
        if ready > on:
            part = model.rows.parts[line.part_id]
            car = model.rows.cars[part.car_id].name
            yield f"{part.name} ({car}) cannot be ready before {day_words(ready, model.today)}"


def _stays(solution: Solution) -> Iterator[str]:
    model = solution.model
    for car_id, stays in model.aways.items():
        for stay, following in pairwise(stays):
            back = due_back(stay, model.today)
            if following.leaves_on < back:
                suppliers, car = model.rows.suppliers, model.rows.cars[car_id].name
                yield (
                    f"{car} is to leave for {suppliers[following.supplier_id].name} on "
                    f"{day_words(following.leaves_on, model.today)} and is not back from "
                    f"{suppliers[stay.supplier_id].name} before {day_words(back, model.today)}: "
                    "change one of the stays."
                )


def _promises(solution: Solution) -> Iterator[str]:
    model = solution.model
    for milestone in model.rows.milestones:
        day = milestone.promised_on
        if day is None or day < model.today or not solution.is_open(milestone.job_ids):
            continue
        if not is_open_on(solution, day):
            car = model.rows.cars[milestone.car_id].name
            yield (
                f"{car}: {milestone.name} is promised for {day:%A} {day_words(day, model.today)}, on which "
                "the workshop is shut."
            )


def is_open_on(solution: Solution, day: date) -> bool:
    """Whether the workshop works on a day; beyond the calendars nothing is said against it."""
    shop = solution.model.shop
    if not shop.first <= day < shop.last:
        return True
    return shop.days_between(day, day + timedelta(days=1)) > 0


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

"""Fixed days that cannot all be kept: said with the names concerned, and worked with as well as may be."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise, permutations

from builds.schedule.network import Network

from .calendars import Spans, due_back, is_shut_for_good, shop_weekdays
from .rows import BatchRow, MilestoneRow
from .solution import Solution
from .words import day_words

IN_ORDER = ("first start-up", "first drive", "handover")  # kinds of milestones
SHUT_LONG_DAYS = 90  # no workshop is shut for so long on purpose: a wrong year, or closures that join up


def contradictions(solution: Solution) -> tuple[str, ...]:
    """Long closures, a batch whose day is before its pieces can be ready, stays that overlap, promises."""
    return (*_shut(solution), *_batches(solution), *_stays(solution), *promise_contradictions(solution))


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
        elif closures and (shut := _shut_long(solution, weekdays, closures)):
            yield (
                f"{name} is shut from {day_words(shut[0], today)} to {day_words(shut[1], today)}, "
                f"{(shut[1] - shut[0]).days + 1} days, and dates count with that: is it meant?"
            )


def _shut_long(solution: Solution, weekdays: frozenset[int], closures: Spans) -> tuple[date, date] | None:
    """The first stretch to come of many days without a working day."""
    today = solution.model.today
    for begins, ends in _stretches(weekdays, closures):
        if ends >= today and (ends - max(begins, today)).days >= SHUT_LONG_DAYS:
            return begins, ends
    return None


def _stretches(weekdays: frozenset[int], closures: Spans) -> list[tuple[date, date]]:
    """Closures, those that join up or have only days off between them taken together."""
    found: list[tuple[date, date]] = []
    for first, last in sorted(closures):
        if found and not _works_between(weekdays, found[-1][1] + timedelta(days=1), first):
            found[-1] = found[-1][0], max(found[-1][1], last)
        else:
            found.append((first, last))
    return found


def _works_between(weekdays: frozenset[int], first: date, before: date) -> bool:
    days = min(max(0, (before - first).days), 7)
    return any((first + timedelta(days=number)).weekday() in weekdays for number in range(days))


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


def promise_contradictions(solution: Solution, car_id: int | None = None) -> Iterator[str]:
    """Promises for days on which the workshop is shut, and for days before what must come first; of all cars
    or of one.
    """
    promised = [
        (milestone, milestone.promised_on)
        for milestone in solution.model.rows.milestones
        if milestone.promised_on is not None
        and milestone.promised_on >= solution.model.today
        and milestone.car_id == (car_id or milestone.car_id)
        and solution.is_open(milestone.job_ids)
    ]
    for milestone, day in promised:
        if not is_open_on(solution, day):
            yield f"{_promised(solution, milestone, day)}, on which the workshop is shut."
    for (first, first_on), (then, then_on) in permutations(promised, 2):
        is_sooner = then.car_id == first.car_id and then_on < first_on
        if is_sooner and _comes_first(solution, first, then):
            yield (
                f"{_promised(solution, then, then_on)}, but {first.name}, which comes before it, for "
                f"{day_words(first_on, solution.model.today)}: move one of the two promises."
            )


def _promised(solution: Solution, milestone: MilestoneRow, day: date) -> str:
    car = solution.model.rows.cars[milestone.car_id].name
    return f"{car}: {milestone.name} is promised for {day:%A} {day_words(day, solution.model.today)}"


def _comes_first(solution: Solution, first: MilestoneRow, then: MilestoneRow) -> bool:
    """By the order of the trade, or because all that the one waits for is waited for by the other too."""
    if first.kind in IN_ORDER and then.kind in IN_ORDER:
        return IN_ORDER.index(first.kind) < IN_ORDER.index(then.kind)
    if solution.network is None:
        return False
    before = _all_before(solution.network, f"milestone:{then.id}")
    still_open = {f"job:{job_id}" for job_id in first.job_ids if job_id in solution.model.open_jobs}
    return bool(still_open) and still_open <= before


def _all_before(network: Network, key: str) -> set[str]:
    if key not in network.place:
        return set()
    found, todo = set(), [network.place[key]]
    while todo:
        for before, *_ in network.waits_for[todo.pop()]:
            if before not in found:
                found.add(before)
                todo.append(before)
    return {network.activities[place].key for place in found}


def is_open_on(solution: Solution, day: date) -> bool:
    """Whether the workshop works on a day; beyond the calendars nothing is said against it."""
    shop = solution.model.shop
    if not shop.first <= day < shop.last:
        return True
    return shop.days_between(day, day + timedelta(days=1)) > 0


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

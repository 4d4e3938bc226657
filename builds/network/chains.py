"""What sets a date, in steps that people can read, and the window along it."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from itertools import zip_longest

from builds.facts import ChainStep, Window
from builds.schedule.calendar import WorkCalendar, from_minutes
from builds.schedule.driving import Step
from builds.schedule.pert import Estimate, along, length_at

from .calendars import due_back
from .handwords import KeptBy, kept_by, wait_for_another_car
from .model import HOURS_PER_AWAY_DAY
from .ordered import Ordered
from .rows import JobRow
from .solution import Solution
from .words import day_words, decision_words, operation_url, operation_words, page


def chain_steps(solution: Solution, key: str, people: Ordered | None = None) -> tuple[ChainStep, ...]:
    """The steps from the first cause to the milestone `key`, the milestone itself apart.

    With an order of people, it begins where somebody, or a lift, was last kept by another car: what is done
    there is told by the sheet of that car.
    """
    steps = solution.chain(key)
    car_id = _car_of(solution, key)
    found: list[ChainStep] = []
    kept: KeptBy | None = None
    goes_on = False  # whether the wait kept is the step before
    for step, following in zip_longest(steps, steps[1:]):
        away = _kept_by_away(solution, step)
        if away is not None:
            found, kept = [away], None  # what came before had time to spare: the car itself was not here
        hand = people.handed.get((step.key, following.key)) if people and following else None
        if hand is not None and _is_of_another_car(solution, step, car_id):
            kept = kept_by(hand, step, kept if goes_on else None)
            found, goes_on = [], True
            continue
        shown = _shown(solution, step, car_id)
        if shown is not None:
            found.append(shown)
        goes_on = False
    if people is not None and kept is not None:
        found.insert(0, wait_for_another_car(solution, people, kept))
    return tuple(found)


def _is_of_another_car(solution: Solution, step: Step, car_id: int) -> bool:
    kind, _, number = step.key.partition(":")
    return kind == "job" and solution.model.rows.jobs[int(number)].car_id != car_id


def _car_of(solution: Solution, key: str) -> int:
    number = int(key.partition(":")[2])
    return next((row.car_id for row in solution.model.rows.milestones if row.id == number), 0)


def _shown(solution: Solution, step: Step, car_id: int) -> ChainStep | None:
    kind, _, number = step.key.partition(":")
    if kind == "job":
        return _job_step(solution, step, int(number), car_id)
    if kind == "op":
        return _operation_step(solution, step, int(number))
    if kind == "decision":
        return _decision_step(solution, step, int(number))
    return None


def _job_step(solution: Solution, step: Step, job_id: int, car_id: int) -> ChainStep:
    rows = solution.model.rows
    job = rows.jobs[job_id]
    title = job.title if job.car_id == car_id else f"{job.title} ({rows.cars[job.car_id].name})"
    return ChainStep(
        text=f"second signature for {title}" if job.done_at else title,
        short=title,
        url=page("job", job_id),
        start_on=from_minutes(step.start).date(),
        finish_on=_finish_on(solution, step),
        is_waiting=job.place == "away",
        late_days=0,
    )


def _operation_step(solution: Solution, step: Step, operation_id: int) -> ChainStep:
    model = solution.model
    operation = model.rows.operations[operation_id]
    back = _finish_on(solution, step)
    return ChainStep(
        text=operation_words(model, operation, back),
        short=f"{model.rows.parts[operation.part_id].name}: {operation.process__name.lower()}",
        url=operation_url(operation),
        # a thing that is out has been waited for since today, as far as the strip goes
        start_on=model.today if operation.state == "out" else from_minutes(step.start).date(),
        finish_on=back,
        is_waiting=operation.supplier_id is not None,
        late_days=model.days_late(operation),
    )


def _decision_step(solution: Solution, step: Step, decision_id: int) -> ChainStep:
    model = solution.model
    decision = next(row for row in model.rows.decisions if row.id == decision_id)
    return ChainStep(
        text=decision_words(decision, model.today),
        short="decision",
        url=page("job", decision.job_id) + "#decisions",
        start_on=model.today,
        finish_on=_finish_on(solution, step),
        is_waiting=True,
        late_days=max(0, (model.today - decision.due_on).days),
    )


def _finish_on(solution: Solution, step: Step) -> date:
    return solution.finish_on(step.key) or from_minutes(step.finish).date()


def _kept_by_away(solution: Solution, step: Step) -> ChainStep | None:
    """The stay away that kept a job on the car from beginning when all else was ready."""
    model, network = solution.model, solution.network
    if network is None or not step.key.startswith("job:"):
        return None
    activity = network.activity(step.key)
    own, _, _crew = activity.calendar.partition(" and ")  # in the plan's order its people stand beside it
    if not own.startswith("car:") or step.waits_min == 0 or activity.work_min == 0:
        return None
    allowed = step.start - step.waits_min
    if model.shop.next_working(allowed) >= step.start:
        return None
    car_id = int(own.removeprefix("car:"))
    stays = [away for away in model.aways[car_id] if from_minutes(step.start).date() >= away.leaves_on]
    if not stays:
        return None
    stay = stays[-1]
    name = model.rows.suppliers[stay.supplier_id].name
    until = due_back(stay, model.today)
    car = model.rows.cars[car_id].name
    return ChainStep(
        text=f"{car} away at {name} for {stay.what_for} until {day_words(until, model.today)}",
        short=f"away at {name}",
        url=page("car", car_id),
        start_on=max(stay.leaves_on, model.today),
        finish_on=until,
        is_waiting=True,
        late_days=max(0, (model.today - stay.due_back_on).days),
    )


def path_window(solution: Solution, key: str, on: date) -> Window | None:
    """Even chance and four in five along the chain that sets the date, and nothing else: the naive answer.

    Each step is a PERT-beta estimate in working days (see `builds.schedule.pert`); what is promised is
    taken at its word. Strands that nearly set the date are not counted, so the dates lean early; neither
    is put before the network's own date.
    """
    estimates = [estimate for step in solution.chain(key) if (estimate := _estimate(solution, step))]
    if not estimates:
        return None
    path = along(estimates)
    likely = sum(estimate.likely for estimate in estimates)
    shop = solution.model.shop
    later = [max(0.0, length_at(path, chance) - likely) for chance in (0.5, 0.8)]
    return Window(*(_working_days_on(shop, on, round(days)) for days in later))


def _working_days_on(shop: WorkCalendar, day: date, days: int) -> date:
    while days > 0:
        day += timedelta(days=1)
        days -= shop.days_between(day, day + timedelta(days=1))
    return day


def _estimate(solution: Solution, step: Step) -> Estimate | None:
    """Low, likely and high of one step in working days; None for what has no spread."""
    model = solution.model
    kind, _, number = step.key.partition(":")
    if kind == "job":
        job = model.rows.jobs[int(number)]
        if job.done_at or not job.hours_likely:
            return None
        per_day = HOURS_PER_AWAY_DAY if job.place == "away" else solution.minutes_per_day / 60
        share = 1.0
        if job.place != "away" and job.started_at:
            share = model.minutes_left(job) / 60 / float(job.hours_likely)
        return Estimate(*(float(hours) * share / per_day for hours in _hours(job)))
    if kind == "op":
        operation = model.rows.operations[int(number)]
        if operation.state == "to do":
            extra = model.lead_days(operation) - operation.lead_likely_days
            low, high = operation.lead_low_days + extra, operation.lead_high_days + extra
            return Estimate(low, operation.lead_likely_days + extra, high)
    return None


def _hours(job: JobRow) -> tuple[Decimal, Decimal, Decimal]:
    return job.hours_low, job.hours_likely, job.hours_high

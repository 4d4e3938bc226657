"""The workshop as it would be: the same rows and people with changes laid over them. Nothing is saved.

Each question is planned in the order of the plan that stands now, each job as early as it then fits, and in
new orders; a plan that makes a car later is taken only where there is no other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from builds.facts import Window
from builds.models import Person
from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.errors import BeyondHorizon, NoWorkingTime, ScheduleError
from builds.schedule.levelling.plan import Plan, plan_of
from builds.schedule.levelling.problem import Placed, Problem, Worker
from builds.schedule.levelling.serial import place_in_order, serial_plan
from builds.schedule.whatif import with_overtime

from .answers import said_beside_dates
from .calendars import DAY_MIN, SHOP, at_midnight
from .changes import (
    BatchLeaves,
    Change,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
)
from .forecasting import Forecaster, milestone_outcomes, window_of
from .levelled import LevelledPlan, levelled_plan
from .model import Model
from .ordered import Ordered, ordered_by
from .rows import OperationRow, Rows
from .solution import Solution


@dataclass(frozen=True)
class CarThen:
    """One car's next milestone under a question."""

    milestone: str
    on: date | None  # by the plan
    window: Window | None
    promised_on: date | None
    slip_days: int | None  # working days from the promise to the even chance; negative is in hand


@dataclass(frozen=True)
class Imagined:
    """The answer to one question, by car."""

    cars: Mapping[int, CarThen]
    refusal: str  # why the people could not be counted; empty where they could
    at_work: tuple[str, ...] = ()  # what each extra person would do: whether more hands help at all
    problems: tuple[str, ...] = ()  # what must stand beside these dates


def as_it_is(solution: Solution, people: Ordered, forecaster: Forecaster) -> Imagined:
    """The dates that all other pages show."""
    return _answer(solution, people, forecaster)


def imagine(
    solution: Solution, people: Ordered, changes: Sequence[Change], skills: Mapping[int, str]
) -> Imagined:
    """The dates with some changes. Queries: those of `levelled_plan` if the network itself is changed."""
    rows = _changed_rows(solution.model.rows, changes)
    bare = solution
    if rows != solution.model.rows:
        bare = Solution.of(replace_rows(solution.model, rows))
    levelled = people.levelled if bare is solution else levelled_plan(bare)
    levelled = _planned(bare.model, levelled, people.levelled.plan, changes, skills)
    then = ordered_by(bare, levelled)
    answer = _answer(bare, then, Forecaster(then.solution))
    return replace(answer, at_work=tuple(_at_work(bare.model, levelled, changes)))


def _at_work(model: Model, levelled: LevelledPlan, changes: Sequence[Change]) -> Iterator[str]:
    """'Tilda would be on 9 jobs, 71 of 240 hours.'"""
    if levelled.plan is None or levelled.problem is None:
        return
    for number, change in enumerate(_extra_people(changes)):
        worker = levelled.problem.by_name[f"extra:{number}"]
        own = [one for one in levelled.plan.placed.values() if worker.key in one.people]
        who = change.name or "The extra person"
        unmanned = list(_unmanned_words(model, levelled.problem, worker))
        if worker.calendar and own:
            there = worker.calendar.between(at_midnight(change.first), at_midnight(change.last) + DAY_MIN)
            hours = sum(worker.calendar.between(one.start, one.finish) for one in own) // 60
            jobs = "1 job" if len(own) == 1 else f"{len(own)} jobs"
            yield f"{who} would be on {jobs}, {hours} of {there // 60} hours."
        elif not unmanned:
            yield f"{who} would have nothing to do: what they can do waits for something else in those days."
        yield from unmanned


def _unmanned_words(model: Model, problem: Problem, worker: Worker) -> Iterator[str]:
    """What the plan keeps even from somebody extra who could do it, because nobody can who is here now."""
    free = {task.key for task in problem.tasks if task.work_min and not task.people}
    own = [
        job for job in model.open_jobs.values() if job.skill__name in worker.skills and job.place != "away"
    ]
    count = sum(f"job:{job.id}" in free for job in own)
    if count:
        jobs = "1 job that asks" if count == 1 else f"{count} jobs that ask"
        stay, them = ("stays", "it") if count == 1 else ("stay", "them")
        skill = " and ".join(worker.skills)  # somebody extra has one
        yield f"{jobs} for the skill {skill} {stay} planned as if somebody were free for {them} all the same."


def _extra_people(changes: Sequence[Change]) -> list[ExtraPerson]:
    return [one for one in changes if isinstance(one, ExtraPerson)]


def replace_rows(model: Model, rows: Rows) -> Model:
    return Model(rows, model.today)


def _answer(bare: Solution, people: Ordered, forecaster: Forecaster) -> Imagined:
    keys = bare.next_milestones
    outcomes = milestone_outcomes(forecaster, keys)
    cars = {}
    for milestone in bare.model.rows.milestones:
        key = f"milestone:{milestone.id}"
        if key in keys:
            on = people.solution.finish_on(key) or bare.finish_on(key)
            window = window_of(outcomes.get(key))
            even = window.even_chance if window else on
            promised = milestone.promised_on
            slip = bare.slip(promised, even) if promised and even else None
            cars[milestone.car_id] = CarThen(milestone.name, on, window, promised, slip)
    return Imagined(cars, people.refusal, problems=said_beside_dates(bare, people))


# Rows


def _changed_rows(rows: Rows, changes: Iterable[Change]) -> Rows:
    for change in changes:
        if isinstance(change, BatchLeaves) and change.batch_id in rows.batches:
            batch = rows.batches[change.batch_id]._replace(leaves="fixed", planned_on=change.on)
            rows = replace(rows, batches={**rows.batches, batch.id: batch})
        elif isinstance(change, PulledOut | Express | DueIn) and change.operation_id in rows.operations:
            line = _changed_line(rows, rows.operations[change.operation_id], change)
            rows = replace(rows, operations={**rows.operations, line.id: line})
        elif isinstance(change, PromiseMoved):
            milestones = tuple(
                one._replace(promised_on=change.on) if one.id == change.milestone_id else one
                for one in rows.milestones
            )
            rows = replace(rows, milestones=milestones)
    return rows


def _changed_line(rows: Rows, line: OperationRow, change: PulledOut | Express | DueIn) -> OperationRow:
    if isinstance(change, PulledOut):
        return line._replace(batch_id=None)
    if isinstance(change, DueIn):
        return line._replace(promised_on=change.on)
    low, likely, high = shortened(line, change.days - carriage_days(rows, line))
    return line._replace(lead_low_days=low, lead_likely_days=likely, lead_high_days=high)


def carriage_days(rows: Rows, line: OperationRow) -> int:
    """Days on the road, there and back; what is bought travels one way."""
    supplier = rows.suppliers.get(line.supplier_id or 0)
    return (supplier.carriage_days if supplier else 0) * (1 if line.process__kind == "supply" else 2)


def shortened(line: OperationRow, likely: int) -> tuple[int, int, int]:
    """Lead time with another likely figure, low and high in proportion and in order."""
    likely = max(0, likely)
    share = likely / line.lead_likely_days if line.lead_likely_days else 1
    low, high = round(line.lead_low_days * share), round(line.lead_high_days * share)
    return min(low, likely), likely, max(high, likely)


# People


def _planned(
    model: Model,
    levelled: LevelledPlan,
    now: Plan | None,
    changes: Sequence[Change],
    skills: Mapping[int, str],
) -> LevelledPlan:
    """The plan made afresh with other people."""
    problem = levelled.problem
    if problem is None:
        return levelled
    workers = [_with_longer_days(worker, changes) for worker in problem.workers]
    names = dict(levelled.people)
    for number, change in enumerate(_extra_people(changes)):
        key = f"extra:{number}"
        skill = skills.get(change.skill_id)
        workers.append(Worker(key, _extra_hours(model, change), frozenset({skill} if skill else ())))
        names[key] = Person(name=change.name or "the extra person")
    try:
        other = Problem.build(
            problem.tasks,
            problem.links,
            workers,
            problem.calendars,
            problem.start,
            hours=problem.hours,
            counted=problem.counted.values(),
            targets=problem.targets,
        )
        plan = cheapest_plan(other, now.placed if now else {})
        return LevelledPlan(other, plan, "", names, cautions=levelled.cautions)
    except ScheduleError as error:
        return LevelledPlan(None, None, str(error), names)


def cheapest_plan(problem: Problem, now: Mapping[str, Placed]) -> Plan:
    """The cheapest of three: the order that stands now, with the people that it has or with whoever is free
    first, and the best of several new orders.

    Of those in which a car is later than it is now one is taken only if there is no other: what moves would
    else not be owed to the change.
    """
    if not now:
        return serial_plan(problem)
    order = [now[task.key].start if task.key in now else 0 for task in problem.tasks]
    crews = {
        place: now[task.key].people
        for place, task in enumerate(problem.tasks)
        if task.key in now and now[task.key].people in problem.crews[place]
    }
    plans = [plan_of(problem, place_in_order(problem, order, crews))]
    for other in (lambda: plan_of(problem, place_in_order(problem, order)), lambda: serial_plan(problem)):
        with suppress(BeyondHorizon):  # there is hardly room for all the work: another order may have none
            plans.append(other())
    return min(plans, key=lambda plan: (_later(problem, plan, now), plan.cost))


def _later(problem: Problem, plan: Plan, now: Mapping[str, Placed]) -> bool:
    """Whether a milestone falls on a later day than it does now."""
    return any(
        plan.placed[target.key].finish // DAY_MIN > now[target.key].finish // DAY_MIN
        for target in problem.targets
        if target.key in now
    )


def _with_longer_days(worker: Worker, changes: Iterable[Change]) -> Worker:
    for change in changes:
        if isinstance(change, Overtime) and worker.key == f"person:{change.person_id}" and worker.calendar:
            first = at_midnight(change.first)
            last = first + change.days * DAY_MIN
            longer = with_overtime(worker.calendar, first, last, round(change.hours * 60))
            worker = replace(worker, calendar=longer)
    return worker


def _extra_hours(model: Model, change: ExtraPerson) -> WorkCalendar | None:
    """So many hours on each day on which the workshop is open, from the first day to the last."""
    shop = model.calendars[SHOP]
    begins, after = at_midnight(change.first), at_midnight(change.last + timedelta(days=1))
    minutes = round(change.hours * 60)
    opened = model.rows.day_starts
    starts, ends = [], []
    day = change.first
    while day <= change.last:
        if shop.first <= day < shop.last and shop.days_between(day, day + timedelta(days=1)):
            start = to_minutes(datetime.combine(day, opened))
            starts.append(start)
            ends.append(min(start + minutes, to_minutes(datetime.combine(day, time())) + DAY_MIN))
        day += timedelta(days=1)
    if not starts or begins >= after:
        return None
    try:
        return WorkCalendar(shop.first, shop.last, tuple(starts), tuple(ends))
    except NoWorkingTime:
        return None


def hours_words(hours: Decimal) -> str:
    return f"{hours.normalize():f} hour{'' if hours == 1 else 's'}"

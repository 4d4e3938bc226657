"""From a solution to the facts that the pages show."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cached_property
from itertools import takewhile

from django.utils import timezone

from builds.facts import (
    CarFacts,
    ChainStep,
    JobFacts,
    MilestoneFacts,
    NextThing,
    OperationFacts,
    Reason,
    Strand,
    Worked,
    WorkshopFacts,
)
from builds.schedule.forecast import Outcome

from .chains import chain_steps
from .contradictions import contradictions
from .forecasting import Forecaster, milestone_outcomes, window_of
from .ordered import Ordered
from .rows import CarRow, JobRow, MilestoneRow, OperationRow
from .solution import FIRST_START_UP, Solution
from .words import (
    day_words,
    days_words,
    decision_reason,
    job_reason,
    operation_reason,
    operation_url,
    operation_words,
    page,
)

STRANDS_SHOWN = 4
TOO_MUCH_WORK = "with the people there are it would come after the end of the calendars."


def workshop_facts(
    solution: Solution,
    forecaster: Callable[[], Forecaster] | None,
    people: Callable[[], Ordered] | None = None,
    without_people: WorkshopFacts | None = None,
) -> WorkshopFacts:
    """Everything that the network says on its day; each thing's facts are worked out when asked for.

    With an order of people, the dates of milestones have the people there are in them, and the forecaster is
    taken to be that of the ordered network; without one there are no windows. Jobs and operations keep the
    dates and floats of the bare network: those of the facts without people are taken where they are given.
    """
    rows = solution.model.rows
    jobs: Mapping[int, JobFacts] = Worked(rows.jobs, lambda key: _job_facts(solution, rows.jobs[key]))
    operations: Mapping[int, OperationFacts] = Worked(
        rows.operations, lambda key: _operation_facts(solution, rows.operations[key])
    )
    if without_people:
        jobs, operations = without_people.jobs, without_people.operations
    dates = _Dates(solution, forecaster, people)
    cars = Worked(rows.cars, lambda key: _car_facts(solution, dates, rows.cars[key], jobs, operations))
    problems = said_beside_dates(solution, people() if people else None)
    return WorkshopFacts(
        solution.model.today, cars, jobs, operations, problems, has_dates=not solution.problem
    )


def said_beside_dates(solution: Solution, people: Ordered | None) -> tuple[str, ...]:
    """What must stand wherever the dates do; `people` where those are in the dates."""
    unmanned = people.levelled.cautions if people else ()
    return (*solution.problems, *contradictions(solution), *unmanned)


# Jobs


def _job_facts(solution: Solution, job: JobRow) -> JobFacts:
    key = f"job:{job.id}"
    spare, spare_to = solution.spare(key, job.car_id)
    return JobFacts(
        job_id=job.id,
        condition=_condition(solution, job),
        reasons=lambda: tuple(_held_by(solution, job)) if job.done_at is None else (),
        start_on=solution.start_on(key),
        finish_on=solution.finish_on(key),
        spare_days=spare,
        spare_to=spare_to,
        sets_date=solution.holds_start_up(key),
    )


def _condition(solution: Solution, job: JobRow) -> str:
    if job.signed_off_at is not None:
        return "signed off"
    if job.done_at is not None:
        return "done"
    if solution.model.is_held(job):
        return "held"
    return "in hand" if job.started_at is not None else "clear"


def _held_by(solution: Solution, job: JobRow) -> Iterator[Reason]:
    """What is missing, whatever cannot be hurried first: decisions, the car, parts, then our own jobs."""
    model = solution.model
    for decision in model.decisions_of.get(job.id, ()):
        yield decision_reason(decision, model.today)
    away = model.away_now(job.car_id)
    if away is not None and job.place == "on":
        due = day_words(away.due_back_on, model.today)
        where = model.rows.suppliers[away.supplier_id].name
        text = f"{model.rows.cars[job.car_id].name} away at {where}, due back {due}"
        yield Reason("away", text, page("car", job.car_id), away.due_back_on)
    for operation in model.needed_operations(job.id):
        yield operation_reason(model, operation, solution.finish_on(f"op:{operation.id}"))
    before = [link.before_id for link in model.links_in.get(job.id, ()) if link.before_id in model.open_jobs]
    for job_id in dict.fromkeys(before + model.makers_needed(job.id)):
        yield job_reason(model.open_jobs[job_id], solution.finish_on(f"job:{job_id}"))
    cured = model.cured_from(job)
    if cured is not None:
        yield Reason("job", f"wait until {cured:%a %H:%M}", page("job", job.id), cured.date())


# Operations


def _operation_facts(solution: Solution, operation: OperationRow) -> OperationFacts:
    model, key = solution.model, f"op:{operation.id}"
    car_id = model.rows.parts[operation.part_id].car_id
    spare, spare_to = solution.spare(key, car_id)
    to_do = operation.state == "to do"
    return OperationFacts(
        operation_id=operation.id,
        state=operation.state,
        ready_on=_ready_on(solution, operation) if to_do else None,
        leaves_on=solution.start_on(key) if to_do else None,
        back_on=operation.back_on or solution.finish_on(key),
        days_late=model.days_late(operation),
        no_new_promise=model.is_overdue(operation),
        order_by=solution.order_by(key) if to_do else None,
        spare_days=spare,
        spare_to=spare_to,
        sets_date=solution.holds_start_up(key),
        holds=tuple(_holds(solution, operation)),
    )


def _ready_on(solution: Solution, operation: OperationRow) -> date:
    """The day on which all that it waits for by itself is done; today if nothing is."""
    model = solution.model
    ends = [solution.finish_on(key) for key in model.before_operation(operation)]
    return max([end for end in ends if end is not None], default=model.today)


def _holds(solution: Solution, operation: OperationRow) -> Iterator[str]:
    model = solution.model
    for job_id in model.jobs_needing.get(operation.id, ()):
        yield model.open_jobs[job_id].title


# Milestones and cars


class _Dates:
    """The dates of milestones, bare or with the people there are."""

    def __init__(
        self,
        solution: Solution,
        forecaster: Callable[[], Forecaster] | None,
        people: Callable[[], Ordered] | None,
    ) -> None:
        self.solution = solution
        self.forecaster = forecaster
        self.people = people

    def of(self, milestone: MilestoneRow) -> MilestoneFacts:
        bare_on = _reached_or_on(self.solution, milestone)[1]
        if self.people is None or bare_on is None:
            return self.bare(milestone)
        people = self.people()
        if people.refusal:
            return replace(self.bare(milestone), people_left_out=people.refusal)
        found = _milestone_facts(self.solution, people.solution, self.forecaster, milestone, people)
        if found.on is None:
            key = f"milestone:{milestone.id}"
            problem = people.levelled.unfit.get(key) or people.solution.problem_of(key)
            return replace(self.bare(milestone), people_left_out=problem or TOO_MUCH_WORK)
        if found.promised_on is None or f"milestone:{milestone.id}" not in self.next_ones:
            return replace(found, bare_on=bare_on)
        even = found.window.even_chance if found.window else found.on
        return replace(found, bare_on=bare_on, slip_days=self.solution.slip(found.promised_on, even))

    def bare(self, milestone: MilestoneRow) -> MilestoneFacts:
        return _milestone_facts(self.solution, self.solution, self.forecaster, milestone, None)

    @cached_property
    def next_ones(self) -> frozenset[str]:
        """Those whose windows are drawn together: what is shown beside a promise counts from even chance."""
        return frozenset(self.solution.next_milestones)


def _milestone_facts(
    bare: Solution,
    solution: Solution,
    forecaster: Callable[[], Forecaster] | None,
    milestone: MilestoneRow,
    people: Ordered | None,
) -> MilestoneFacts:
    key = f"milestone:{milestone.id}"
    chain = chain_steps(solution, key, people) if solution.is_open(milestone.job_ids) else ()
    reached, on = _reached_or_on(solution, milestone)
    promised = milestone.promised_on
    return MilestoneFacts(
        milestone_id=milestone.id,
        kind=milestone.kind,
        name=milestone.name,
        on=on,
        reached_on=reached,
        promised_on=promised,
        slip_days=solution.slip(promised, on) if promised and on else None,
        find_window=lambda: (
            window_of(car_outcome(bare, forecaster(), milestone.id)) if on and forecaster else None
        ),
        chain=chain if on else (),
        sentence=_sentence(milestone, chain, on, reached, solution),
    )


def car_outcome(bare: Solution, forecaster: Forecaster, milestone_id: int) -> Outcome | None:
    """Each car's next milestone is drawn with those of the others: one pass over the network for them all."""
    key = f"milestone:{milestone_id}"
    together = bare.next_milestones
    return milestone_outcomes(forecaster, together if key in together else (key,)).get(key)


def _reached_or_on(solution: Solution, milestone: MilestoneRow) -> tuple[date | None, date | None]:
    """The day on which it was reached, or else the day on which it will be."""
    reached = None if solution.is_open(milestone.job_ids) else _reached_on(solution, milestone)
    # a milestone with no jobs yet has no date: nobody has said what it comes after
    on = solution.finish_on(f"milestone:{milestone.id}") if reached is None and milestone.job_ids else None
    return reached, on


def _reached_on(solution: Solution, milestone: MilestoneRow) -> date | None:
    jobs = solution.model.rows.jobs
    moments = [jobs[job_id].done_at for job_id in milestone.job_ids if job_id in jobs]
    ends = [moment for moment in moments if moment is not None]
    return timezone.localdate(max(ends)) if ends else None  # by the workshop's clock, not by UTC


def _sentence(
    milestone: MilestoneRow,
    chain: tuple[ChainStep, ...],
    on: date | None,
    reached: date | None,
    solution: Solution,
) -> str:
    """'Radiator out since 2 Nov, …; then 7 jobs of ours to first start-up.'"""
    if reached is not None:
        return f"{milestone.name} reached on {day_words(reached, solution.model.today)}"
    problem = solution.problem_of(f"milestone:{milestone.id}")
    if problem:
        return problem
    if on is None:
        return f"no job leads to {milestone.name} yet"
    if not chain:
        return f"nothing more stands before {milestone.name}"
    waits = [step for step in chain if step.is_waiting]
    ours = len(chain) - len(waits)
    parts = [step.text for step in waits[:2]] or [chain[0].text]
    if len(waits) > 2:
        parts.append(f"{len(waits) - 2} more waits")
    left = ours if waits else ours - 1
    if left > 0:
        parts.append(f"{left} {'job' if left == 1 else 'jobs'} of ours")
    sentence = "; then ".join(parts) + f" to {milestone.name}"
    return sentence[0].upper() + sentence[1:]


def _car_facts(
    solution: Solution,
    dates: _Dates,
    car: CarRow,
    jobs: Mapping[int, JobFacts],
    operations: Mapping[int, OperationFacts],
) -> CarFacts:
    model = solution.model
    milestones = tuple(
        dates.of(milestone) for milestone in model.rows.milestones if milestone.car_id == car.id
    )
    own_jobs = model.jobs_of_car.get(car.id, [])
    lines = [operations[line.id] for line in model.lines_of_car.get(car.id, ())]
    away = model.away_now(car.id)
    return CarFacts(
        car_id=car.id,
        where=_where(solution, car),
        is_away=away is not None,
        first_start_up=next((found for found in milestones if found.kind == FIRST_START_UP), None),
        milestones=milestones,
        parts_out=sum(line.state == "out" for line in lines),
        parts_late=sum(line.days_late > 0 or line.no_new_promise for line in lines),
        decisions_owed=sum(len(model.decisions_of.get(job.id, ())) for job in own_jobs),
        jobs_done=sum(job.is_complete for job in own_jobs),
        jobs_total=len(own_jobs),
        next_things=tuple(_next_things(solution, car, own_jobs, jobs, lines)),
        strands=tuple(_strands(solution, lines)),
    )


def _where(solution: Solution, car: CarRow) -> str:
    away = solution.model.away_now(car.id)
    if away is None:
        return f"here, {car.place}" if car.place else "here"
    name = solution.model.rows.suppliers[away.supplier_id].name
    late = (solution.model.today - away.due_back_on).days
    until = f"due back {day_words(away.due_back_on, solution.model.today)}"
    return f"away at {name}, {until}" + (f", {days_words(late)} late" if late > 0 else "")


def _next_things(
    solution: Solution,
    car: CarRow,
    own_jobs: list[JobRow],
    jobs: Mapping[int, JobFacts],
    lines: list[OperationFacts],
) -> Iterator[NextThing]:
    """What somebody can do for the car now, most pressing first: late parts, then one job or why none.

    Ringing about the part that sets the date comes before all else if it is late, and before any job with
    days to spare if it is not.
    """
    late = [line for line in lines if line.no_new_promise or line.days_late or _sets_date_out(line)]
    late.sort(key=lambda line: (not line.sets_date, _room(line.spare_days), -line.days_late))
    workable = [job for job in own_jobs if jobs[job.id].is_workable]
    workable.sort(key=lambda job: (_room(jobs[job.id].spare_days), job.started_at is None, job.id))
    for line in takewhile(lambda line: not workable or _goes_first(line, jobs[workable[0].id]), late):
        yield _about_a_part(solution, line)
    if workable:
        job = workable[0]
        verb = "Go on with" if job.started_at else "Start"
        yield NextThing(f"{verb}: {job.title}", page("job", job.id))
    elif solution.model.away_now(car.id) is not None:
        yield NextThing("Nothing here until the car is back", page("car", car.id))
    else:
        yield NextThing("Nothing can be done now", page("car", car.id))


def _about_a_part(solution: Solution, line: OperationFacts) -> NextThing:
    model = solution.model
    operation = model.rows.operations[line.operation_id]
    supplier = model.rows.suppliers.get(operation.supplier_id or 0)
    name, url = model.rows.parts[operation.part_id].name, operation_url(operation)
    if supplier is None:
        return NextThing(f"See to {name}: {operation.process__name.lower()} here is overdue", url)
    return NextThing(f"Ring {supplier.name} about: {name}", url, ring_about=operation.id)


def _sets_date_out(line: OperationFacts) -> bool:
    return line.state == "out" and line.sets_date


def _goes_first(line: OperationFacts, job: JobFacts) -> bool:
    """Whether ringing about a part comes before a job that can be done."""
    if line.sets_date:
        return bool(line.days_late or line.no_new_promise) or not job.sets_date
    return _room(line.spare_days) <= _room(job.spare_days)


def _room(spare_days: float | None) -> float:
    return float("inf") if spare_days is None else spare_days


def _strands(solution: Solution, lines: list[OperationFacts]) -> Iterator[Strand]:
    """What else is out and leads to first start-up, least to spare first."""
    model = solution.model
    out = [
        line
        for line in lines
        if line.state == "out" and line.spare_to == FIRST_START_UP and not line.sets_date and line.back_on
    ]
    out.sort(key=lambda line: (_room(line.spare_days), line.operation_id))
    for line in out[:STRANDS_SHOWN]:
        operation = model.rows.operations[line.operation_id]
        yield Strand(
            text=operation_words(model, operation, line.back_on),
            url=operation_url(operation),
            start_on=model.today,
            finish_on=line.back_on or model.today,
            spare_days=line.spare_days,
        )

"""The people's week: who is on what, where, with what hours to spare; and the dates that come of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice

from builds.facts import Window
from builds.models import KeptPlan, Person
from builds.network import WorkshopState, load_workshop
from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.levelled import LevelledPlan, levelled_plan
from builds.network.words import day_words, page
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.problem import Placed
from builds.schedule.levelling.waits import Wait, waits_for
from builds.sheets.planned import Move, hours_on, moves_of

DAYS = 5  # working days on the sheet
WAITING_SHOWN = 12
WAITING_ASKED = 30  # of so many jobs it is found out why they are not earlier; that takes milliseconds each
REASONS_SHOWN = 3
LEAST_GAP_MIN = 30  # free for less than that nobody calls having hours to spare
NEAR_DAYS = 6  # a weekday alone says which day is meant


@dataclass(frozen=True)
class Spell:
    """One job on one day of one person."""

    title: str
    url: str
    car: str
    place: str
    hours: float
    is_moved: bool


@dataclass(frozen=True)
class PersonDay:
    day: date
    spells: tuple[Spell, ...]
    hours: float  # worked that day
    spare: float


@dataclass(frozen=True)
class PersonWeek:
    person: Person
    days: tuple[PersonDay, ...]

    @property
    def spare(self) -> float:
        return round(sum(day.spare for day in self.days), 1)


@dataclass(frozen=True)
class CarDates:
    name: str
    url: str
    network_on: date | None  # as if there were people without end
    levelled_on: date | None  # with the people there are
    days: int  # working days between the two
    window: Window | None  # of that plan's order; None where it was not asked for, or there is none
    promised_on: date | None
    late: int  # working days from the promise to the even chance


@dataclass(frozen=True)
class Waiting:
    """A job that could be done now or this week, and whom or what it waits for."""

    title: str
    url: str
    car: str
    starts_on: date
    why: tuple[str, ...]


@dataclass(frozen=True)
class Week:
    days: tuple[date, ...]
    people: tuple[PersonWeek, ...]
    cars: tuple[CarDates, ...]
    has_windows: bool  # whether the dates of the cars were drawn over
    waiting: tuple[Waiting, ...]
    refusal: str
    problems: tuple[str, ...]
    kept: KeptPlan | None
    is_changed: bool  # the workshop has changed since the plan was kept
    moves: tuple[Move, ...]
    earlier: date | None
    later: date


def read_week(today: date, first: date, *, with_windows: bool = False) -> Week:
    """The plan from `first` on, as things stand today; with even chance and four in five if asked for, which
    takes about a second the first time.
    """
    state = load_workshop(today)
    levelled = state.ordered.levelled if with_windows else levelled_plan(state.solution)
    days = state.working_days(first, first + timedelta(days=21))[:DAYS]
    last = days[-1] if days else first
    kept = levelled.kept
    return Week(
        days=days,
        people=tuple(_people(state, levelled, days)),
        cars=tuple(_cars(state, levelled, with_windows)),
        has_windows=with_windows,
        waiting=tuple(sorted(islice(_waiting(state, levelled, last), WAITING_SHOWN), key=_when)),
        refusal=levelled.refusal,
        problems=(*state.facts().problems, *levelled.cautions),
        kept=kept,
        is_changed=kept is not None and kept.fingerprint != levelled.fingerprint,
        moves=moves_of(state, levelled),
        earlier=max(today, first - timedelta(days=7)) if first > today else None,
        later=last + timedelta(days=1),
    )


def _people(state: WorkshopState, levelled: LevelledPlan, days: tuple[date, ...]) -> Iterator[PersonWeek]:
    if levelled.problem is None or levelled.plan is None:
        return
    for worker in levelled.problem.workers:
        own = [(key, placed) for key, placed in levelled.plan.placed.items() if worker.key in placed.people]
        own.sort(key=lambda item: item[1].start)
        week = []
        for day in days:
            begin, end = at_midnight(day), at_midnight(day) + DAY_MIN
            hours = worker.calendar.between(begin, end) / 60 if worker.calendar else 0.0
            spells = tuple(_spells(state, levelled, own, day))
            spare = max(0.0, hours - sum(spell.hours for spell in spells))
            week.append(PersonDay(day, spells, hours, round(spare, 1)))
        yield PersonWeek(levelled.people[worker.key], tuple(week))


def _spells(
    state: WorkshopState, levelled: LevelledPlan, own: list[tuple[str, Placed]], day: date
) -> Iterator[Spell]:
    model = state.model
    moved = {one.key for one in levelled.moved}
    for key, placed in own:
        hours = hours_on(levelled, state, placed, day)
        if hours > 0:
            job = model.rows.jobs[int(key.partition(":")[2])]
            place = levelled.things.get(f"bay:{job.bay_id}") or (
                "bench" if job.place == "bench" else "on the car"
            )
            car = model.rows.cars[job.car_id].name
            yield Spell(job.title, page("job", job.id), car, place, hours, key in moved)


def _cars(state: WorkshopState, levelled: LevelledPlan, with_windows: bool) -> Iterator[CarDates]:
    bare, dated = state.facts(), state.dated() if with_windows else None
    for car in state.model.rows.cars.values():
        start_up = bare.cars[car.id].first_start_up
        if start_up is None or start_up.on is None:
            continue
        on = levelled_on(levelled, start_up.milestone_id)
        days = state.solution.slip(start_up.on, on) if on else 0
        drawn = dated.cars[car.id].first_start_up if dated else None
        yield CarDates(
            name=car.name,
            url=page("car", car.id),
            network_on=start_up.on,
            levelled_on=on,
            days=days,
            window=drawn.window if drawn else None,
            promised_on=start_up.promised_on,
            late=max(0, drawn.slip_days or 0) if drawn else 0,
        )


def levelled_on(levelled: LevelledPlan, milestone_id: int) -> date | None:
    """The day of a milestone with the people there are."""
    placed = levelled.plan.placed.get(f"milestone:{milestone_id}") if levelled.plan else None
    return from_minutes(placed.finish).date() if placed else None


def _waiting(state: WorkshopState, levelled: LevelledPlan, last: date) -> Iterator[Waiting]:
    """Jobs that wait for people, lifts or a car rather than for parts or other jobs, soonest first: clear
    ones that nobody begins by tomorrow, and held ones that are to begin on this sheet; no last checks.
    """
    if levelled.problem is None or levelled.plan is None:
        return
    facts, model, placed = state.facts(), state.model, levelled.plan.placed
    problem = levelled.problem
    own = {task.key for task in problem.tasks if not task.as_late}  # a last check waits for its start-up only
    found = [job for job in model.open_jobs.values() if job.started_at is None and f"job:{job.id}" in own]
    starts = {job.id: placed[f"job:{job.id}"].start for job in found}
    soon = [
        job
        for job in found
        if from_minutes(starts[job.id]).date() > model.next_day
        and (facts.jobs[job.id].condition == "clear" or from_minutes(starts[job.id]).date() <= last)
    ]
    soon.sort(key=lambda job: (facts.jobs[job.id].condition != "clear", starts[job.id], job.id))
    for job in soon[:WAITING_ASKED]:
        key = f"job:{job.id}"
        why = _why(state, levelled, key)
        if why or facts.jobs[job.id].condition == "clear":
            starts_on = from_minutes(starts[job.id]).date()
            yield Waiting(job.title, page("job", job.id), model.rows.cars[job.car_id].name, starts_on, why)


def _when(waiting: Waiting) -> tuple[date, str]:
    return waiting.starts_on, waiting.title


def _why(state: WorkshopState, levelled: LevelledPlan, key: str) -> tuple[str, ...]:
    assert levelled.problem is not None
    assert levelled.plan is not None
    waits = waits_for(levelled.problem, levelled.plan.placed, key)
    found = [words for wait in waits if (words := _wait_words(state, levelled, key, wait))]
    if len(found) > REASONS_SHOWN:
        more = len(found) - REASONS_SHOWN + 1
        return (*found[: REASONS_SHOWN - 1], f"{more} others who could do it")
    return tuple(found)


def _wait_words(state: WorkshopState, levelled: LevelledPlan, key: str, wait: Wait) -> str:
    """'the only welder, Tomas Kell, who is on “Metal repairs” (Tern) until Thursday'."""
    today = state.model.today
    until = _until_words(from_minutes(wait.until).date(), today)
    if wait.reason == "hours":
        return f"hours in which those who can do it are here together, until {until}"
    if wait.reason == "kept":
        return "its turn: it could be earlier, and stays where it was planned"
    name = levelled.things.get(wait.resource or "", "")
    if wait.reason == "person" and wait.resource in levelled.people:
        problem = levelled.problem
        assert problem is not None
        skill = problem.tasks[problem.place[key]].skill or "one who can"
        name = levelled.people[wait.resource].name
        name = f"the only {skill}, {name}" if wait.is_only else name
        if wait.task is None:
            return f"{name}, who is not here until {until}"
        task = _task_words(state, wait.task)
        if wait.gap_min >= LEAST_GAP_MIN:
            return f"{name}, who has no gap long enough before the end of {task}, {until}"
        return f"{name}, who is on {task} until {until}"
    if wait.reason == "thing" and wait.task is not None:
        return f"{name}, taken by {_task_words(state, wait.task)} until {until}"
    if wait.reason == "car" and wait.task is not None:
        return f"the car, which is taken by {_task_words(state, wait.task)} until {until}"
    return ""


def _task_words(state: WorkshopState, key: str) -> str:
    rows = state.model.rows
    kind, _, number = key.partition(":")
    if kind == "op":
        part = rows.parts[rows.operations[int(number)].part_id]
        return f"“{part.name}” ({rows.cars[part.car_id].name})"
    job = rows.jobs[int(number)]
    return f"“{job.title}” ({rows.cars[job.car_id].name})"


def _until_words(day: date, today: date) -> str:
    """'Thursday' within the week, else 'Thu 3 Dec'."""
    return f"{day:%A}" if 0 <= (day - today).days <= NEAR_DAYS else f"{day:%a} {day_words(day, today)}"

"""The people's week: who is on what, where, with what hours to spare; and the dates that come of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from builds.models import Person
from builds.network import WorkshopState, load_workshop
from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.levelled import LevelledPlan, levelled_plan
from builds.network.words import day_words, page
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.problem import Placed
from builds.schedule.levelling.waits import Wait, waits_for

DAYS = 5  # working days on the sheet
HELD_SHOWN = 8


@dataclass(frozen=True)
class Spell:
    """One job on one day of one person."""

    title: str
    url: str
    car: str
    place: str
    hours: float


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
    promised_on: date | None
    days: int  # working days between the two


@dataclass(frozen=True)
class Held:
    """A job that could be done now, and whom it waits for."""

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
    held: tuple[Held, ...]
    refusal: str
    earlier: date | None
    later: date


def read_week(today: date, first: date) -> Week:
    """The plan from `first` on, made as things stand today."""
    state = load_workshop(today)
    levelled = levelled_plan(state.solution)
    days = state.working_days(first, first + timedelta(days=21))[:DAYS]
    last = days[-1] if days else first
    return Week(
        days=days,
        people=tuple(_people(state, levelled, days)),
        cars=tuple(_cars(state, levelled)),
        held=tuple(_held(state, levelled))[:HELD_SHOWN],
        refusal=levelled.refusal,
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
            spells = tuple(_spells(state, levelled, own, begin, end))
            spare = max(0.0, hours - sum(spell.hours for spell in spells))
            week.append(PersonDay(day, spells, hours, round(spare, 1)))
        yield PersonWeek(levelled.people[worker.key], tuple(week))


def _spells(
    state: WorkshopState, levelled: LevelledPlan, own: list[tuple[str, Placed]], begin: int, end: int
) -> Iterator[Spell]:
    model, problem = state.model, levelled.problem
    assert problem is not None
    calendars = {worker.key: worker.calendar for worker in problem.workers}
    for key, placed in own:
        first, last = max(begin, placed.start), min(end, placed.finish)
        if first >= last:
            continue
        hours = [calendars[one] for one in placed.people]
        minutes = min((calendar.between(first, last) for calendar in hours if calendar), default=0)
        if minutes > 0:
            job = model.rows.jobs[int(key.partition(":")[2])]
            place = "bench" if job.place == "bench" else "on the car"
            car = model.rows.cars[job.car_id].name
            yield Spell(job.title, page("job", job.id), car, place, round(minutes / 60, 1))


def _cars(state: WorkshopState, levelled: LevelledPlan) -> Iterator[CarDates]:
    facts = state.facts()
    for car in state.model.rows.cars.values():
        start_up = facts.cars[car.id].first_start_up
        if start_up is None or start_up.on is None:
            continue
        on = levelled_on(levelled, start_up.milestone_id)
        days = state.solution.slip(start_up.on, on) if on else 0
        yield CarDates(car.name, page("car", car.id), start_up.on, on, start_up.promised_on, days)


def levelled_on(levelled: LevelledPlan, milestone_id: int) -> date | None:
    """The day of a milestone with the people there are."""
    placed = levelled.plan.placed.get(f"milestone:{milestone_id}") if levelled.plan else None
    return from_minutes(placed.finish).date() if placed else None


def _held(state: WorkshopState, levelled: LevelledPlan) -> Iterator[Held]:
    """Clear jobs that nobody is free for by tomorrow, the one that waits longest last."""
    if levelled.problem is None or levelled.plan is None:
        return
    facts, model = state.facts(), state.model
    clear = [job for job in model.open_jobs.values() if facts.jobs[job.id].condition == "clear"]
    clear.sort(key=lambda job: (levelled.plan.placed[f"job:{job.id}"].start, job.id))
    for job in clear:
        key = f"job:{job.id}"
        starts = from_minutes(levelled.plan.placed[key].start).date()
        if starts > model.next_day:
            waits = waits_for(levelled.problem, levelled.plan.placed, key)
            why = tuple(words for wait in waits if (words := _wait_words(state, levelled, wait)))
            yield Held(job.title, page("job", job.id), model.rows.cars[job.car_id].name, starts, why)


def _wait_words(state: WorkshopState, levelled: LevelledPlan, wait: Wait) -> str:
    """'waits for the only one who can, Tomas Kell, who is on “Metal repairs” until 9 Dec'."""
    if wait.reason != "person" or wait.task is None or wait.resource not in levelled.people:
        return ""
    model = state.model
    who = levelled.people[wait.resource].name
    only = "the only one who can, " if wait.is_only else ""
    job = model.rows.jobs[int(wait.task.partition(":")[2])]
    car = model.rows.cars[job.car_id].name
    until = day_words(from_minutes(wait.until).date(), model.today)
    return f"{only}{who}, who is on “{job.title}” ({car}) until {until}"

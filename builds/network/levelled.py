"""One plan for all cars with the people there are: rows to the levelling core and back.

Several people on one job: one has its skill, the others help. A job in hand stays with whoever began it.
The plan is the serial one of the core, made at once; it is feasible, not the best.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from builds.models import Absence, Job, Person
from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon, NoWorkingTime, ScheduleError
from builds.schedule.levelling.plan import Plan
from builds.schedule.levelling.problem import Problem, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Activity, Network
from builds.schedule.whatif import following, without

from .calendars import DAY_MIN, SHOP, at_midnight, closed_days, horizon, public_holidays
from .model import Model
from .solution import FIRST_START_UP, Solution, too_far_words

TRIES = 5  # things beyond the calendars that are left out, each with what waits for it
START_UP_LATE, OTHER_LATE = 10, 5  # what an open minute after a promise costs
KEPT = 8


@dataclass(frozen=True)
class LevelledPlan:
    """The plan, or why there is none."""

    problem: Problem | None
    plan: Plan | None
    refusal: str
    people: Mapping[str, Person]  # by the key of the worker


def levelled_plan(solution: Solution) -> LevelledPlan:
    """Make the plan of all that is in the solution's model. Three queries; a question is worked out once."""
    people = {f"person:{person.pk}": person for person in _hands()}
    model, network = solution.model, solution.network
    if network is None:
        return LevelledPlan(None, None, solution.problem, people)
    for _ in range(TRIES):
        try:
            problem = _problem(model, network, people)
            return LevelledPlan(problem, _kept_plan(problem), "", people)
        except BeyondHorizon as error:
            refusal = too_far_words(model, error)
            if error.key is None or error.key not in network.place:
                break
            network = without(network, following(network, error.key))  # the others keep their dates
        except ScheduleError as error:
            return LevelledPlan(None, None, _in_words(str(error), model, people), people)
    return LevelledPlan(None, None, refusal, people)


def _hands() -> list[Person]:
    """Who works on cars: fitters, and managers who have a skill."""
    here = Person.objects.filter(is_active=True).prefetch_related("skills").order_by("pk")
    return [person for person in here if not person.is_manager or person.skills.all()]


_plans: OrderedDict[tuple[object, ...], Plan] = OrderedDict()


def _kept_plan(problem: Problem) -> Plan:
    question = (problem.start, problem.tasks, problem.links, problem.workers, problem.targets)
    if question not in _plans:
        _plans[question] = serial_plan(problem)
        while len(_plans) > KEPT:
            _plans.popitem(last=False)
    return _plans[question]


def _problem(model: Model, network: Network, people: Mapping[str, Person]) -> Problem:
    return Problem.build(
        _tasks(model, network.activities, people),
        network.links,
        _workers(model, people),
        model.calendars,
        at_midnight(model.today),
        hours=SHOP,
        targets=(target for target in _targets(model) if target.key in network.place),
    )


def _tasks(model: Model, activities: tuple[Activity, ...], people: Mapping[str, Person]) -> Iterator[Task]:
    skills = dict(Job.objects.filter(pk__in=model.open_jobs).values_list("pk", "skill__name"))
    begun_by = dict(Job.objects.filter(pk__in=model.open_jobs).values_list("pk", "started_by_id"))
    for activity in activities:
        kind, _, number = activity.key.partition(":")
        if kind == "job":
            yield _job_task(model, activity, int(number), skills, begun_by, people)
        else:
            yield Task(
                activity.key,
                activity.work_min,
                calendar=activity.calendar,
                people=0,
                not_before=activity.not_before,
            )


def _job_task(
    model: Model,
    activity: Activity,
    job_id: int,
    skills: Mapping[int, str | None],
    begun_by: Mapping[int, int | None],
    people: Mapping[str, Person],
) -> Task:
    job = model.open_jobs[job_id]
    ours = job.place != "away" and activity.work_min > 0
    skill = skills.get(job_id) if ours else None
    starter = f"person:{begun_by.get(job_id)}"
    in_hand = ours and job.started_at is not None and not model.is_held(job) and starter in people
    return Task(
        activity.key,
        activity.work_min,
        calendar=None if activity.calendar == SHOP else activity.calendar,
        car=str(job.car_id),
        place="away" if job.place == "away" else "on" if job.place == "on" else "bench",
        people=max(1, job.people) if ours else 0,
        skill=skill,
        skilled=1 if skill else None,
        named=(starter,) if in_hand else (),
        not_before=activity.not_before,
        in_hand=in_hand,
    )


def _workers(model: Model, people: Mapping[str, Person]) -> Iterator[Worker]:
    away: dict[int, list[tuple[date, date]]] = {}
    for person_id, first, last in Absence.objects.values_list("person_id", "first_day", "last_day"):
        away.setdefault(person_id, []).append((first, last))
    for key, person in people.items():
        skills = frozenset(skill.name for skill in person.skills.all())
        yield Worker(key, _own_week(model, person, tuple(away.get(person.pk, ()))), skills)


def _own_week(model: Model, person: Person, away: tuple[tuple[date, date], ...]) -> WorkCalendar | None:
    """The person's own hours on days on which the workshop is open, less absences."""
    rows = model.rows
    first, last = horizon(model.today)
    closed = closed_days(rows.closures) | public_holidays(rows.country, rows.region, first.year, last.year)
    begin = rows.day_starts.hour * 60 + rows.day_starts.minute
    week = {
        day: ((begin, min(DAY_MIN, begin + round(hours * 60))),)
        for day, hours in enumerate(person.hours_by_weekday)
        if hours > 0
    }
    if not week:
        return None
    try:
        return WorkCalendar.build(week, closed | closed_days(away), first, last)
    except NoWorkingTime:
        return None


def _targets(model: Model) -> Iterator[Target]:
    for milestone in model.rows.milestones:
        promised = milestone.promised_on
        moment = at_midnight(promised + timedelta(days=1)) if promised else None
        late = START_UP_LATE if milestone.kind == FIRST_START_UP else OTHER_LATE
        yield Target(f"milestone:{milestone.id}", moment, late_weight=late)


def _in_words(text: str, model: Model, people: Mapping[str, Person]) -> str:
    """The core's sentence with names in place of its keys, longest key first."""
    names = {key: person.name for key, person in people.items()}
    names |= {f"job:{job.id}": f"“{job.title}”" for job in model.open_jobs.values()}
    for key in sorted(names, key=len, reverse=True):
        text = text.replace(key, names[key])
    return text

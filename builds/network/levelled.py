"""One plan for all cars with the people there are: rows to the levelling core and back.

Several people on one job: one has its skill, the others help. A job in hand stays with whoever began it.
Lifts and bays are held from a job's start to its finish. A supplier who takes so many lines at once holds
each from its leaving until it is back; what is out already counts, as many as he takes.

Where a plan is kept, the plan is that one, mended for what changed since (see `keeping`); else a serial
one is made at once. Either can be carried out; `manage.py improve_plan` looks for a better one.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property, lru_cache
from hashlib import sha256
from typing import NamedTuple

from builds.models import Absence, Bay, KeptPlan, Overtime, Person
from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon, NoWorkingTime, ScheduleError
from builds.schedule.levelling.errors import NoCommonHours, TooFewPeople
from builds.schedule.levelling.plan import MovedTask, Plan, plan_of
from builds.schedule.levelling.problem import Counted, Problem, Target, Task, Worker
from builds.schedule.network import Activity, Network
from builds.schedule.whatif import following, with_overtime, without

from .calendars import (
    CLOCK,
    DAY_MIN,
    SHOP,
    at_midnight,
    car_calendar,
    closed_days,
    horizon,
    is_shut_for_good,
    public_holidays,
    shop_weekdays,
)
from .checks import last_checks
from .fitting import Unfit, fitting, too_much_words
from .keeping import first_plan, jobs_moved, mended, previous_of, read, with_checks_late
from .model import Model
from .solution import FIRST_START_UP, Solution, too_far_words
from .unmanned import without_people
from .unmanned import words as unmanned_words

TRIES = 9  # things that are left out or need nobody, for each of which a plan is tried again
START_UP_LATE, OTHER_LATE = 10, 5  # what an open minute after a promise costs, times the promise's weight
REMEMBERED = 8

Spans = tuple[tuple[date, date], ...]
LongerDays = tuple[date, date, int]  # first, last, minutes a day


@dataclass(frozen=True)
class LevelledPlan:
    """The plan, or why there is none."""

    problem: Problem | None
    plan: Plan | None
    refusal: str
    people: Mapping[str, Person]  # by the key of the worker
    kept: KeptPlan | None = None  # the plan that it follows, if one is kept
    moved: tuple[MovedTask, ...] = ()  # jobs that are not where the kept plan had them
    fingerprint: str = ""  # of the question that it answers
    things: Mapping[str, str] = field(default_factory=dict)  # names of bays and suppliers
    cautions: tuple[str, ...] = ()  # what is planned as if somebody were free for it or not at all, and why
    unfit: Mapping[str, str] = field(default_factory=dict)  # why things are not in the plan, by key
    hands: tuple[object, ...] = ()  # who was here when, and which bays: see `Hands.value`


def levelled_plan(solution: Solution, kept: KeptPlan | None = None) -> LevelledPlan:
    """Make the plan of all that is in the solution's model, following the kept one, which may be given.

    Six queries: people, their skills, absences, overtime, bays, the kept plan. A question is worked out once.
    """
    here, kept = Hands.read(), kept or KeptPlan.objects.first()
    people = here.people
    if solution.network is None:
        return LevelledPlan(None, None, solution.problem, people, kept)
    question = _Question.asked(solution.model, solution.network, here)
    key = (question.fingerprint, kept.pk if kept else None)
    if key in _answers:
        _answers.move_to_end(key)
    else:
        _answers[key] = _answer(question, solution.network, kept)
        while len(_answers) > REMEMBERED:
            _answers.popitem(last=False)
    problem, plan, refusal, cautions, unfit = _answers[key]
    moved = jobs_moved(problem.previous, plan) if problem and plan and problem.previous else ()
    return LevelledPlan(
        problem,
        plan,
        refusal,
        people,
        kept,
        moved,
        question.fingerprint,
        question.things,
        cautions,
        unfit,
        here.value,
    )


def with_own_hours(model: Model) -> dict[str, WorkCalendar]:
    """The calendars, with those of cars saying only when the car is here: the hours are those of people."""
    here = {
        f"car:{car_id}": car_calendar(model.calendars[CLOCK], aways, model.today)
        for car_id, aways in model.aways.items()
    }
    return {**model.calendars, **here}


def hands() -> dict[str, Person]:
    """Who works on cars, by the key of the worker: fitters, and managers who have a skill."""
    here = Person.objects.filter(is_active=True).prefetch_related("skills").order_by("pk")
    working = [person for person in here if not person.is_manager or person.skills.all()]
    return {f"person:{person.pk}": person for person in working}


@dataclass(frozen=True)
class Hands:
    """Who works on cars and when, and the bays there are. Five queries."""

    people: Mapping[str, Person]
    weeks: Mapping[str, Week]
    skills: Mapping[str, frozenset[str]]
    bays: tuple[Bay, ...]

    @classmethod
    def read(cls) -> Hands:
        people = hands()
        away: dict[int, list[tuple[date, date]]] = {}
        for person_id, first, last in Absence.objects.values_list("person_id", "first_day", "last_day"):
            away.setdefault(person_id, []).append((first, last))
        longer: dict[int, list[LongerDays]] = {}
        for person_id, *days in Overtime.objects.values_list("person_id", "first_day", "last_day", "hours"):
            longer.setdefault(person_id, []).append((days[0], days[1], round(days[2] * 60)))
        weeks = {
            key: _week_of(person, tuple(away.get(person.pk, ())), tuple(longer.get(person.pk, ())))
            for key, person in people.items()
        }
        skills = {
            key: frozenset(skill.name for skill in person.skills.all()) for key, person in people.items()
        }
        return cls(people, weeks, skills, tuple(Bay.objects.order_by("pk")))

    @property
    def own(self) -> list[tuple[object, ...]]:
        return sorted((key, self.weeks[key], sorted(self.skills[key])) for key in self.people)

    @cached_property
    def value(self) -> tuple[object, ...]:
        """All of it by value, so that two readings can be compared."""
        names = tuple(person.name for person in self.people.values())
        return names, *self.own, *((bay.pk, bay.name, bay.places) for bay in self.bays)


class Answer(NamedTuple):
    problem: Problem | None
    plan: Plan | None
    refusal: str
    cautions: tuple[str, ...] = ()
    unfit: Mapping[str, str] = {}  # as in `LevelledPlan`


_answers: OrderedDict[tuple[str, int | None], Answer] = OrderedDict()


@dataclass(frozen=True)
class _Question:
    """All that a plan depends on, put together without working anything out."""

    model: Model
    people: Mapping[str, Person]
    tasks: tuple[Task, ...]
    workers: tuple[Worker, ...]
    counted: tuple[Counted, ...]
    targets: tuple[Target, ...]
    fingerprint: str
    things: Mapping[str, str]

    @classmethod
    def asked(cls, model: Model, network: Network, here: Hands) -> _Question:
        people, weeks, skills = here.people, here.weeks, here.skills
        tasks = _newest_first(model, _tasks(model, network, people))
        counted, targets = tuple(_counted(model, here.bays)), tuple(_targets(model))
        things = {f"bay:{bay.pk}": bay.name for bay in here.bays}
        things |= {f"supplier:{row.id}": row.name for row in model.rows.suppliers.values()}
        rows = model.rows
        shop = (rows.hours, rows.day_starts, rows.country, rows.region, rows.closures, rows.aways)
        suppliers = sorted(rows.suppliers.items())
        asked = (model.today, tasks, network.links, counted, targets, shop, suppliers, here.own)
        workers = tuple(Worker(key, _own_week(model, weeks[key]), skills[key]) for key in people)
        fingerprint = sha256(repr(asked).encode()).hexdigest()
        return cls(model, people, tasks, workers, counted, targets, fingerprint, things)

    def problem(self, network: Network, kept: KeptPlan | None, within: bool = True) -> Problem:
        """What is to be levelled of a network that may have lost some of its activities."""
        problem = Problem.build(
            (task for task in self.tasks if task.key in network.place),
            network.links,
            self.workers,
            with_own_hours(self.model),
            at_midnight(self.model.today),
            hours=SHOP,
            counted=self.counted,
            targets=(target for target in self.targets if target.key in network.place),
            within=within,
        )
        return replace(problem, previous=previous_of(kept, problem)) if kept else problem


def _answer(question: _Question, network: Network, kept: KeptPlan | None) -> Answer:
    too_much = too_much_words(question.tasks, question.workers, *_horizon(question.model))
    refusal, cautions = too_much, []
    is_short = bool(too_much)  # found out at once: weighing orders would take minutes only to fail
    for _ in range(TRIES):
        try:
            if is_short:
                return _what_fits(question, network, kept, cautions, too_much)
            problem = question.problem(network, kept)
            plan = mended(problem, read(kept)) if kept else first_plan(problem)
            return Answer(problem, plan, "", tuple(cautions))
        except BeyondHorizon as error:
            is_short, refusal = True, too_far_words(question.model, error)
        except (TooFewPeople, NoCommonHours) as error:
            refusal = _in_words(str(error), question)
            if not _is_anybody_here(question):
                break  # a plan without people says nothing
            tasks, others = without_people(question.tasks, error)
            question = replace(question, tasks=tasks)
            cautions.append(unmanned_words(refusal, others, error))
        except ScheduleError as error:
            return Answer(None, None, _in_words(str(error), question))
    return Answer(None, None, refusal)


def _what_fits(
    question: _Question, network: Network, kept: KeptPlan | None, cautions: list[str], too_much: str
) -> Answer:
    """The plan of all that fits into the hours there are; of the rest it is said what it is."""
    whole = question.problem(network, kept, within=False)
    placed, causes = fitting(whole, read(kept) if kept else {})
    left_out = {key: following(network, key) for key in causes}
    unfit = Unfit.of(question.model, whole, left_out, too_much)
    problem = question.problem(without(network, unfit.keys), kept)
    plan = with_checks_late(problem, plan_of(problem, placed))
    return Answer(problem, plan, "", (*cautions, *unfit.cautions), unfit.words)


def _horizon(model: Model) -> tuple[int, int]:
    return at_midnight(model.today), at_midnight(horizon(model.today)[1])


def _is_anybody_here(question: _Question) -> bool:
    start, end = _horizon(question.model)
    return any(worker.calendar.between(start, end) for worker in question.workers if worker.calendar)


def _newest_first(model: Model, tasks: Iterable[Task]) -> tuple[Task, ...]:
    """Whoever begins something else has gone over to it: of what he has in hand he goes on with that."""
    begun = {f"job:{job.id}": job.started_at for job in model.open_jobs.values() if job.started_at}
    ours: list[Task] = []
    others: list[Task] = []
    for task in tasks:
        (ours if task.in_hand and task.key in begun else others).append(task)
    return (*sorted(ours, key=lambda task: begun[task.key], reverse=True), *others)


def _tasks(model: Model, network: Network, people: Mapping[str, Person]) -> Iterator[Task]:
    taken: dict[str, int] = {}
    checks = last_checks(model, network.links)
    for activity in network.activities:
        kind, _, number = activity.key.partition(":")
        if kind == "job":
            task = _job_task(model, activity, int(number), people)
            yield replace(task, as_late=True) if activity.key in checks else task
            continue
        task = Task(
            activity.key,
            activity.work_min,
            calendar=activity.calendar,
            people=0,
            not_before=activity.not_before,
        )
        yield _at_supplier(model, task, int(number), taken) if kind == "op" else task


def _job_task(model: Model, activity: Activity, job_id: int, people: Mapping[str, Person]) -> Task:
    job = model.open_jobs[job_id]
    ours = job.place != "away" and activity.work_min > 0
    skill = job.skill__name if ours else None
    starter = f"person:{job.started_by_id}"
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
        uses=((f"bay:{job.bay_id}", 1),) if ours and job.bay_id else (),
    )


def _at_supplier(model: Model, task: Task, operation_id: int, taken: dict[str, int]) -> Task:
    """A line of a route card as one of those that its supplier takes at once.

    What is out has no length in the network, only a day on which it comes; here it fills a line until then.
    Of more lines out than he is said to take the rest fill none: they are there, whatever was agreed.
    """
    operation = model.rows.operations[operation_id]
    supplier = model.rows.suppliers.get(operation.supplier_id or 0)
    if supplier is None or supplier.at_once is None or operation.state not in ("to do", "out"):
        return task
    key, start = f"supplier:{supplier.id}", at_midnight(model.today)
    if operation.state == "to do":
        return replace(task, uses=((key, 1),))
    if task.not_before is None or task.not_before <= start or taken.get(key, 0) >= supplier.at_once:
        return task
    taken[key] = taken.get(key, 0) + 1
    left = task.not_before - start
    return replace(task, work_min=left, not_before=None, in_hand=True, uses=((key, 1),))


def _counted(model: Model, bays: Iterable[Bay]) -> Iterator[Counted]:
    for bay in bays:
        yield Counted(f"bay:{bay.pk}", bay.places)
    for supplier in model.rows.suppliers.values():
        if supplier.at_once is not None:
            yield Counted(f"supplier:{supplier.id}", supplier.at_once)


def _targets(model: Model) -> Iterator[Target]:
    for milestone in model.rows.milestones:
        promised = milestone.promised_on
        moment = at_midnight(promised + timedelta(days=1)) if promised else None
        late = START_UP_LATE if milestone.kind == FIRST_START_UP else OTHER_LATE
        yield Target(f"milestone:{milestone.id}", moment, late_weight=late * milestone.weight)


# hours a day, absences, overtime, here from, here until
Week = tuple[tuple[float, ...], Spans, tuple[LongerDays, ...], date, date]


def _week_of(person: Person, away: Spans, longer: tuple[LongerDays, ...]) -> Week:
    hours = tuple(float(worked) for worked in person.hours_by_weekday)
    return hours, away, longer, person.here_from or date.min, person.here_until or date.max


def _own_week(model: Model, week: Week) -> WorkCalendar | None:
    rows = model.rows
    begin = rows.day_starts.hour * 60 + rows.day_starts.minute
    for_good = is_shut_for_good(rows, shop_weekdays(rows), rows.closures, model.today)
    closures = () if for_good else rows.closures
    return _hours_of(week, begin, closures, rows.country, rows.region, *horizon(model.today))


@lru_cache(maxsize=256)
def _hours_of(
    week: Week, begin: int, closures: Spans, country: str, region: str, first: date, last: date
) -> WorkCalendar | None:
    """Somebody's own hours on days on which the workshop is open, less absences and with overtime; None if
    there are none.
    """
    hours, away, longer, here_from, here_until = week
    worked = {
        day: ((begin, min(DAY_MIN, begin + round(long * 60))),) for day, long in enumerate(hours) if long > 0
    }
    if not worked:
        return None
    one = timedelta(days=1)
    gone = [*closures, *away]
    gone += [(first, here_from - one)] if here_from > first else []
    gone += [(here_until + one, last)] if here_until < last else []
    # somebody who is away for ever is away until the calendars end: no day after that is counted one by one
    within = tuple((max(begins, first), min(ends, last)) for begins, ends in gone if begins <= ends)
    closed = closed_days(tuple((begins, ends) for begins, ends in within if begins <= ends))
    try:
        calendar = WorkCalendar.build(
            worked, closed | public_holidays(country, region, first.year, last.year), first, last
        )
    except NoWorkingTime:
        return None
    for begins, ends, minutes in longer:
        calendar = with_overtime(calendar, at_midnight(begins), at_midnight(ends) + DAY_MIN, minutes)
    return calendar


def _in_words(text: str, question: _Question) -> str:
    """The core's sentence with names in place of its keys, longest key first."""
    model = question.model
    names = {key: person.name for key, person in question.people.items()} | dict(question.things)
    for job in model.open_jobs.values():
        names[f"job:{job.id}"] = f"“{job.title}” ({model.rows.cars[job.car_id].name})"
    for key in sorted(names, key=len, reverse=True):
        text = text.replace(key, names[key])
    return text

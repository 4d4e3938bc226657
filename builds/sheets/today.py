"""What the Today page shows: the day as the plan has it, what else can be done now, and who is on what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta

from django.db.models import Q
from django.utils import timezone

from builds.facts import JobFacts, WorkshopFacts, spare_words
from builds.models import Away, Job, Person, TimeSpent
from builds.network import load_workshop
from builds.network.model import Model
from builds.network.rows import Rows
from builds.sheets.planned import Following, Move, Planned, follow

MOST_SHOWN = 60  # of one group; the rest is counted and stands on the car sheets


@dataclass(frozen=True)
class Line:
    """One job, as the person who looks at the page can act on it."""

    job: Job
    facts: JobFacts
    clocks: tuple[TimeSpent, ...]  # running now
    is_mine: bool  # in hand by the person whose page it is
    my_clock: bool  # the signed-in person's clock runs on it
    may_sign: bool  # the signed-in person is not the one who did it
    planned: Planned | None = None  # for today
    planned_for: tuple[str, ...] = ()  # names, but for that of the person whose page it is
    elsewhere: tuple[str, ...] = ()  # names of those for whom it is planned today, if not on this page
    refused: tuple[str, ...] = ()  # why the last press was not recorded
    asks_why: bool = False  # it would be with a reason
    is_fresh: bool = False  # became clear by the last press

    @property
    def spare_words(self) -> str:
        return spare_words(self.facts.spare_days, self.facts.spare_to, self.job.car.name)


@dataclass(frozen=True)
class Group:
    """Lines under one heading, most pressing first; `more` others are not shown."""

    lines: tuple[Line, ...] = ()
    more: int = 0

    @classmethod
    def of(cls, lines: Iterable[Line]) -> Group:
        return cls.first(sorted(lines, key=_pressing))

    @classmethod
    def first(cls, found: list[Line]) -> Group:
        return cls(tuple(found[:MOST_SHOWN]), max(0, len(found) - MOST_SHOWN))


@dataclass(frozen=True)
class OnWhat:
    """A person, and the jobs that his clock runs on or that he has in hand."""

    person: Person
    jobs: tuple[Job, ...]
    is_shown: bool
    planned: tuple[str, ...]  # titles, in the order of the day


@dataclass(frozen=True)
class TodaySheet:
    facts: WorkshopFacts
    person: Person | None  # whose page it is; None: everybody's
    skills: tuple[str, ...]
    plan: Following
    moves: tuple[Move, ...]  # since the plan was kept, of whoever's page it is
    refused: Group  # what was pressed and no longer stands on the list: something was missing meanwhile
    planned: Group  # for today, in the plan's order
    in_hand: Group
    to_sign: Group
    for_you: Group
    other_skills: Group
    ticked: Group  # today, so that a wrong tick is easily taken back
    aways: tuple[Away, ...]
    people: tuple[OnWhat, ...]
    signers: tuple[Person, ...]  # who may sign with a PIN on this tablet
    has_cars: bool

    @property
    def is_empty(self) -> bool:
        groups = (
            self.refused,
            self.planned,
            self.in_hand,
            self.to_sign,
            self.for_you,
            self.other_skills,
            self.ticked,
        )
        return not any(group.lines for group in groups)


@dataclass(frozen=True)
class Press:
    """What came of the last press, to be shown on the line it was about."""

    job_id: int
    refused: tuple[str, ...] = ()
    is_held: bool = False  # refused because something is missing; a reason would do
    fresh_ids: frozenset[int] = field(default_factory=frozenset)


def read_today(
    *, person: Person | None, viewer: Person, now: datetime, press: Press | None = None
) -> TodaySheet:
    """Read the page of `person`, as `viewer` may act on it.

    Queries: those of `load_workshop` and of `follow`, and five more: jobs, clocks, cars away, skills, people.
    """
    local = timezone.localtime(now)
    state = load_workshop(local.date())
    facts, plan = state.facts(), follow(state)
    day = plan.of(person)
    pressed = [press.job_id] if press is not None and press.refused else []
    jobs = _jobs(state.model, local, [*pressed, *(one.job_id for one in day)])
    running = list(TimeSpent.objects.running().select_related("person", "job__car"))
    people = list(Person.objects.filter(is_active=True))
    names = {f"person:{each.pk}": each.name for each in people}
    reader = _Reader(facts, person, viewer, running, press, plan, {one.job_id: one for one in day}, names)
    lines = [reader.line(job) for job in jobs]
    skills = dict(person.skills.values_list("pk", "name")) if person else None
    workable = [line for line in lines if line.job.done_at is None]
    by_plan = sorted(workable, key=lambda line: (plan.start_of(line.job.pk), *_pressing(line)))
    clear = [line for line in by_plan if line.facts.condition == "clear" and line.planned is None]
    suits = [line for line in clear if _suits(line.job, skills)]
    return TodaySheet(
        facts=facts,
        person=person,
        skills=tuple((skills or {}).values()),
        plan=plan,
        moves=plan.moves_of(person),
        refused=Group.first([line for line in workable if line.refused and _stands_nowhere(line)]),
        planned=Group.first(_in_order(workable, day)),
        in_hand=Group.of(
            line for line in workable if line.job.started_at is not None and line.planned is None
        ),
        to_sign=Group.of(line for line in lines if _awaits_signature(line.job)),
        for_you=Group.first(suits),
        other_skills=Group.first([line for line in clear if line not in suits]),
        ticked=Group.first(_newest_first(lines)),
        aways=tuple(_aways(local)),
        people=tuple(_on_what(people, lines, running, person, plan, state.model.rows)),
        signers=tuple(each for each in people if not each.is_manager),
        has_cars=bool(facts.cars),
    )


@dataclass(frozen=True)
class _Reader:
    facts: WorkshopFacts
    person: Person | None
    viewer: Person
    running: list[TimeSpent]
    press: Press | None
    plan: Following
    planned: Mapping[int, Planned]
    names: Mapping[str, str]

    def line(self, job: Job) -> Line:
        clocks = tuple(clock for clock in self.running if clock.job_id == job.pk)
        on_it = {clock.person_id for clock in clocks} | {job.started_by_id}
        press, planned = self.press, self.planned.get(job.pk)
        own = f"person:{self.person.pk}" if self.person else ""
        return Line(
            job=job,
            facts=self.facts.jobs[job.pk],
            clocks=clocks,
            is_mine=self.person is not None and self.person.pk in on_it,
            my_clock=any(clock.person_id == self.viewer.pk for clock in clocks),
            planned=planned,
            planned_for=tuple(self.names.get(key, "") for key in planned.people if key != own)
            if planned
            else (),
            elsewhere=()
            if planned
            else tuple(self.names.get(key, "") for key in self.plan.people_on(job.pk)),
            may_sign=job.done_by_id != self.viewer.pk,
            refused=press.refused if press is not None and press.job_id == job.pk else (),
            asks_why=press is not None and press.job_id == job.pk and press.is_held,
            is_fresh=press is not None and job.pk in press.fresh_ids,
        )


def _jobs(model: Model, local: datetime, planned: list[int]) -> list[Job]:
    """Planned, clear, in hand, waiting for a signature, or ticked today; not on a car that is away.

    What is clear is asked of the model: facts of thousands of jobs would take longer than all else.
    """
    not_begun = (job for job in model.open_jobs.values() if job.started_at is None and job.done_at is None)
    clear = [job.id for job in not_begun if not model.is_held(job)]
    midnight = datetime.combine(local.date(), time(), local.tzinfo)
    wanted = Job.objects.filter(car__handed_over_on__isnull=True).filter(
        Q(pk__in={*clear, *planned})
        | Q(pk__in=Job.objects.in_hand().values("pk"))
        | Q(pk__in=Job.objects.awaiting_signature().values("pk"))
        | Q(done_at__gte=midnight, done_at__lt=midnight + timedelta(days=1))
    )
    found = wanted.select_related("car", "area", "skill", "started_by", "done_by", "signed_off_by")
    # a job that was entered after the network was read has no facts yet: it shows on the next look
    known = [job for job in found if job.pk in model.rows.jobs]
    return [job for job in known if job.done_at is not None or not _is_away(model, job)]


def _is_away(model: Model, job: Job) -> bool:
    return job.place == Job.Place.ON_CAR and model.away_now(job.car_id) is not None


def _suits(job: Job, skills: dict[int, str] | None) -> bool:
    """A job without a skill suits everybody; so does every job where nobody in particular looks."""
    return skills is None or job.skill_id is None or job.skill_id in skills


def _stands_nowhere(line: Line) -> bool:
    return line.planned is None and line.job.started_at is None and line.facts.condition != "clear"


def _in_order(lines: list[Line], day: tuple[Planned, ...]) -> list[Line]:
    by_job = {line.job.pk: line for line in lines}
    return [by_job[one.job_id] for one in day if one.job_id in by_job]


def _newest_first(lines: list[Line]) -> list[Line]:
    ticked = [line for line in lines if line.job.done_at is not None and not _awaits_signature(line.job)]
    return sorted(ticked, key=lambda line: (line.job.done_at, line.job.pk), reverse=True)


def _awaits_signature(job: Job) -> bool:
    return job.done_at is not None and not job.is_complete


def _pressing(line: Line) -> tuple[object, ...]:
    spare = line.facts.spare_days
    return (
        not line.is_mine,
        not line.facts.sets_date,
        line.facts.spare_to != "first start-up",
        float("inf") if spare is None else spare,
        line.job.car.name,
        line.job.area.order,
        line.job.position,
        line.job.pk,
    )


def _aways(local: datetime) -> Iterable[Away]:
    gone = Away.objects.away_on(local.date()).filter(car__handed_over_on__isnull=True)
    return gone.select_related("car", "supplier")


def _on_what(
    people: list[Person],
    lines: list[Line],
    running: list[TimeSpent],
    shown: Person | None,
    plan: Following,
    rows: Rows,
) -> Iterable[OnWhat]:
    for person in people:
        jobs = [clock.job for clock in running if clock.person_id == person.pk]
        jobs += [
            line.job
            for line in lines
            if line.job.started_by_id == person.pk and line.job.done_at is None and line.job not in jobs
        ]
        begun = {job.pk for job in jobs}
        then = (rows.jobs[one.job_id] for one in plan.of(person) if one.job_id not in begun)
        planned = tuple(f"{job.title} ({rows.cars[job.car_id].name})" for job in then)
        yield OnWhat(person, tuple(jobs), shown is not None and shown.pk == person.pk, planned)

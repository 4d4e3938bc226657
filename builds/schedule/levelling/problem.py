"""What is to be levelled: tasks, workers, counted things and targets, checked once."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, islice
from math import comb
from typing import Literal, TypeVar

from builds.schedule.calendar import WorkCalendar, from_minutes
from builds.schedule.errors import BadDuration, BeyondHorizon, UnknownActivity, UnknownCalendar
from builds.schedule.levelling.errors import (
    BadTask,
    ContradictoryDates,
    DuplicateName,
    NoCommonHours,
    OverCapacity,
    TooFewPeople,
    UnknownName,
)
from builds.schedule.levelling.hours import any_of, common
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.spans import Span

Place = Literal["on", "bench", "away"]
Crew = tuple[str, ...]
"""Keys of the workers on one task, in the order of the problem's workers."""

WHOLE_CAR = 1_000_000  # a car has room for so many tasks at once, and taking it away takes all of it
FULL_CHOICE = 200  # of more crews than this for one task only the first are weighed against each other


@dataclass(frozen=True, slots=True)
class Task:
    """A job, a supplier's operation, a decision, a batch's leaving or a milestone.

    Parameters
    ----------
    key : str
        Name that is used once.
    work_min : int
        Working minutes: of each of its people, or of its own calendar if it needs nobody [min].
    calendar : str, optional
        Name of hours that it keeps besides those of its people: the car's, the supplier's. A task that
        needs nobody keeps the workshop's hours if it names none.
    car : str, optional
        The car that it is part of.
    place : {'bench', 'on', 'away'}
        At the bench; on the car, so not while the car is away; or away with the car.
    people : int
        How many work on it at once; 0 for what suppliers, owners or the clock do. No work needs nobody.
    skill : str, optional
        Skill that it asks for.
    skilled : int, optional
        How many of its people must have the skill, the others helping; all of them if not given.
    named : tuple of str, optional
        Workers who must be on it; they count as able.
    not_before : int, optional
        Moment before which it cannot start [min].
    not_after : int, optional
        Moment by which it must be finished: outweighs every promise [min].
    in_hand : bool
        Somebody is on it: it is carried on with before anything else.
    uses : tuple of (str, int), optional
        Counted things that it holds, and how many of each.
    """

    key: str
    work_min: int
    calendar: str | None = None
    car: str | None = None
    place: Place = "bench"
    people: int = 1
    skill: str | None = None
    skilled: int | None = None
    named: Crew = ()
    not_before: int | None = None
    not_after: int | None = None
    in_hand: bool = False
    uses: tuple[tuple[str, int], ...] = ()

    @property
    def needs(self) -> int:
        """How many people it takes up."""
        return self.people if self.work_min else 0

    @property
    def wanted(self) -> int:
        """How many of them must have the skill."""
        if self.skill is None:
            return 0
        return self.people if self.skilled is None else self.skilled


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody who works on cars.

    Parameters
    ----------
    key : str
        Name that is used once.
    calendar : WorkCalendar or None
        Own week less absences; None for somebody who has no working time at all.
    skills : frozenset of str
        What they can do besides jobs that ask for no skill.
    """

    key: str
    calendar: WorkCalendar | None
    skills: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Counted:
    """Something of which there are so many: lifts, bays, a supplier's lines, room round one car.

    Parameters
    ----------
    key : str
        Name that is used once.
    capacity : int
        How many can be held at once.
    """

    key: str
    capacity: int


@dataclass(frozen=True, slots=True)
class Target:
    """A task whose finish matters, usually a milestone of a car.

    Parameters
    ----------
    key : str
        The task.
    promised : int, optional
        Moment promised to somebody [min].
    late_weight : int
        What an open minute after the promise costs.
    early_weight : int
        What each open minute until the finish costs, promised or not: so that a car without a promise
        is finished too.
    """

    key: str
    promised: int | None = None
    late_weight: int = 10
    early_weight: int = 1


@dataclass(frozen=True, slots=True)
class Placed:
    """When a task is done, and by whom.

    Parameters
    ----------
    start, finish : int
        First and last moment [min].
    people : tuple of str
        Keys of its workers, in the order of the problem's workers.
    """

    start: int
    finish: int
    people: Crew = ()


@dataclass(frozen=True, slots=True)
class Previous:
    """The plan that people know already, which should not be turned over for little.

    Parameters
    ----------
    placed : mapping of str to Placed
        What it said; tasks that are no more are passed over.
    moved_weight : int
        What one moved task costs, in the currency of the targets.
    tolerance_min : int
        A start that differs by no more than this, with the same people, has not moved [min].
    """

    placed: Mapping[str, Placed]
    moved_weight: int = 60
    tolerance_min: int = 0


@dataclass(frozen=True)
class Problem:
    """Everything to be levelled, checked; make one with `build`.

    Parameters
    ----------
    start : int
        Moment before which nothing starts: usually now [min].
    tasks : tuple of Task
        In working order: each comes after all that it waits for.
    links : tuple of Link
        Finish to start, with elapsed lags.
    workers : tuple of Worker
        In the order given.
    counted : mapping of str to Counted
        By key.
    targets : tuple of Target
        In the order given.
    calendars : mapping of str to WorkCalendar
        Hours that tasks name.
    hours : str
        Name of the workshop's own hours.
    previous : Previous or None
        The plan before.
    network : Network
        The tasks and links as the critical path method sees them.
    rank : mapping of str to int
        Where each task stood as it was given.
    """

    start: int
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    workers: tuple[Worker, ...]
    counted: Mapping[str, Counted]
    targets: tuple[Target, ...]
    calendars: Mapping[str, WorkCalendar]
    hours: str
    previous: Previous | None
    network: Network
    rank: Mapping[str, int]
    _shared: dict[tuple[str | None, Crew], WorkCalendar | None] = field(default_factory=dict, repr=False)

    @classmethod
    def build(
        cls,
        tasks: Iterable[Task],
        links: Iterable[Link],
        workers: Iterable[Worker],
        calendars: Mapping[str, WorkCalendar],
        start: int,
        *,
        hours: str,
        counted: Iterable[Counted] = (),
        targets: Iterable[Target] = (),
        previous: Previous | None = None,
    ) -> "Problem":
        """Check what is to be levelled and put it in working order.

        Parameters
        ----------
        tasks : iterable of Task
            In any order; only what is in hand is carried on with in the order given.
        links : iterable of Link
            Finish to start only.
        workers : iterable of Worker
            The people.
        calendars : mapping of str to WorkCalendar
            Hours that tasks name, and `hours`.
        start : int
            Moment before which nothing starts [min].
        hours : str
            Name of the workshop's own hours.
        counted : iterable of Counted, optional
            Things of which there are so many.
        targets : iterable of Target, optional
            Tasks whose finish matters.
        previous : Previous, optional
            The plan before.

        Returns
        -------
        Problem
            Ready for `serial_plan` and `improve`.

        Raises
        ------
        DuplicateActivity, DuplicateName
            If a key is used twice.
        BadDuration, BadTask
            If a length, a number or a link cannot be.
        UnknownActivity, UnknownCalendar, UnknownName
            If a name is not there.
        CycleError
            If tasks wait for each other in a circle.
        TooFewPeople
            If nobody, or too few, can do a task; `never_here` names those who could but are never here.
        NoCommonHours
            If those who can do a task have no hours for it.
        OverCapacity
            If a task alone asks for more than there is of a counted thing.
        ContradictoryDates
            If a task cannot be finished by its last moment however many people there are.
        BeyondHorizon
            If a task does not fit into the calendars, with `key`.

        Examples
        --------
        >>> from datetime import date
        >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
        >>> ann = Worker("Ann", shop)
        >>> jobs = [Task("fit tank", 60), Task("bleed brakes", 90)]
        >>> problem = Problem.build(jobs, [Link("fit tank", "bleed brakes")], [ann], {"shop": shop}, 0,
        ...                         hours="shop")
        >>> [task.key for task in problem.tasks]
        ['fit tank', 'bleed brakes']
        """
        given, tied = tuple(tasks), tuple(links)
        if hours not in calendars:
            raise UnknownCalendar("the workshop", hours)
        for link in tied:
            if link.kind is not LinkKind.FS:
                raise BadTask(link.after, f"{link.kind} after {link.before}", "finish-to-start links only")
        network = Network.build(
            (Activity(t.key, t.work_min, t.calendar or hours, t.not_before) for t in given),
            tied,
            calendars,
            start,
        )
        by_key = {task.key: task for task in given}
        problem = cls(
            start=start,
            tasks=tuple(by_key[key] for key in network.keys),
            links=tied,
            workers=_once(workers),
            counted={thing.key: thing for thing in _once(counted)},
            targets=tuple(targets),
            calendars=calendars,
            hours=hours,
            previous=previous,
            network=network,
            rank={task.key: rank for rank, task in enumerate(given)},
        )
        _refuse(problem)
        return problem

    @cached_property
    def place(self) -> Mapping[str, int]:
        """Where each key stands in `tasks`."""
        return self.network.place

    @cached_property
    def by_name(self) -> Mapping[str, Worker]:
        """Workers by key."""
        return {worker.key: worker for worker in self.workers}

    @cached_property
    def here(self) -> frozenset[str]:
        """Workers who have any working time from the start on."""
        return frozenset(
            worker.key
            for worker in self.workers
            if worker.calendar is not None and worker.calendar.ends[-1] > self.start
        )

    @cached_property
    def open(self) -> WorkCalendar:
        """Hours in which the workshop or anybody in it is at work: a plan is counted in these minutes."""
        own = (worker.calendar for worker in self.workers if worker.key in self.here)
        return any_of([self.calendars[self.hours], *(hours for hours in own if hours is not None)])

    @cached_property
    def crews(self) -> tuple[tuple[Crew, ...], ...]:
        """For each task those who could do it together: one empty crew where it needs nobody.

        Those come first who can do the least else, so that a tie leaves the one that is scarce free.
        Of more than ``FULL_CHOICE`` crews only the first are there.
        """
        return tuple(tuple(islice(self._crews(task), FULL_CHOICE)) for task in self.tasks)

    @cached_property
    def able(self) -> tuple[frozenset[str], ...]:
        """For each task everybody who could be on it."""
        return tuple(
            frozenset((*task.named, *(worker.key for worker in self._others(task))))
            if task.needs
            else frozenset()
            for task in self.tasks
        )

    @cached_property
    def leaving(self) -> Mapping[str, str]:
        """Cars that a task takes away, each with its name as a counted thing."""
        return {t.car: f"where {t.car} is" for t in self.tasks if t.place == "away" and t.car is not None}

    @cached_property
    def holds(self) -> tuple[tuple[tuple[str, int], ...], ...]:
        """For each task what it holds from start to finish, a car that can leave among the counted things."""
        return tuple(tuple(self._holds(task)) for task in self.tasks)

    @cached_property
    def earliest(self) -> tuple[Span, ...]:
        """Start and finish of each task with endless people and things: no plan can be earlier [min]."""
        spans: list[Span] = []
        for place, task in enumerate(self.tasks):
            spans.append(self._earliest(place, task, self.ready(place, [span[1] for span in spans])))
        return tuple(spans)

    def ready(self, place: int, finishes: Sequence[int]) -> int:
        """Give the moment from which links, the plan's start and its own day let a task start.

        Parameters
        ----------
        place : int
            Where the task stands.
        finishes : sequence of int
            Finishes of the tasks before it by place; later ones need not be there [min].

        Returns
        -------
        int
            The moment [min].
        """
        moment = self.start
        not_before = self.tasks[place].not_before
        if not_before is not None and not_before > moment:
            moment = not_before
        for before, _, lag in self.network.waits_for[place]:
            moment = max(moment, finishes[before] + lag)
        return moment

    def hours_of(self, place: int, crew: Crew) -> WorkCalendar | None:
        """Give the hours in which a crew can work on a task.

        Parameters
        ----------
        place : int
            Where the task stands.
        crew : tuple of str
            Its people; nobody for a task that needs nobody.

        Returns
        -------
        WorkCalendar or None
            None if they never can.
        """
        task = self.tasks[place]
        name = task.calendar if crew else task.calendar or self.hours
        if (name, crew) not in self._shared:
            calendars = [self.calendars[name]] if name is not None else []
            calendars.extend(c for who in crew if (c := self.by_name[who].calendar) is not None)
            self._shared[name, crew] = common(calendars)
        return self._shared[name, crew]

    def _holds(self, task: Task) -> Iterator[tuple[str, int]]:
        if not task.work_min:
            return
        yield from ((key, asked) for key, asked in task.uses if asked)
        if task.car is not None and task.car in self.leaving and task.place != "bench":
            yield self.leaving[task.car], WHOLE_CAR if task.place == "away" else 1

    def _crews(self, task: Task) -> Iterator[Crew]:
        if not task.needs:
            yield ()
            return
        order = {worker.key: number for number, worker in enumerate(self.workers)}
        for chosen in combinations(self._others(task), task.people - len(task.named)):
            skilled = len(task.named) + sum(task.skill in worker.skills for worker in chosen)
            if skilled >= task.wanted:
                crew = (*task.named, *(worker.key for worker in chosen))
                yield tuple(sorted(crew, key=order.__getitem__))

    def _others(self, task: Task) -> list[Worker]:
        """Give those who may be on a task besides whom it names, the least skilled first."""
        if not task.needs or len(task.named) >= task.people:
            return []
        others = [w for w in self.workers if w.key in self.here and w.key not in task.named]
        if task.wanted >= task.people:
            others = [worker for worker in others if task.skill in worker.skills]
        return sorted(others, key=lambda worker: len(worker.skills))

    def _earliest(self, place: int, task: Task, ready: int) -> Span:
        """Fit a task in with whoever is first; no crew of too many to try is faster than its people."""
        if comb(len(self.able[place]), task.needs) > FULL_CHOICE:
            alone = (self._with(place, task, ((name,),), ready) for name in self.able[place])
            return sorted(alone, key=lambda span: span[1])[task.needs - 1]
        return self._with(place, task, self.crews[place], ready)

    def _with(self, place: int, task: Task, crews: Sequence[Crew], ready: int) -> Span:
        best: Span | None = None
        beyond: BeyondHorizon | None = None
        for crew in crews:
            hours = self.hours_of(place, crew)
            if hours is None:
                continue
            try:
                span = hours.earliest(ready, task.work_min)
            except BeyondHorizon as error:
                beyond = error
                continue
            if best is None or span[1] < best[1]:
                best = span
        if best is not None:
            return best
        if beyond is not None:
            raise BeyondHorizon(beyond.first, beyond.last, task.key, task.calendar)
        raise NoCommonHours(task.key, sorted(self.able[place]))


Thing = TypeVar("Thing", Worker, Counted)


def _once(things: Iterable[Thing]) -> tuple[Thing, ...]:
    given = tuple(things)
    counts = Counter(thing.key for thing in given)
    if len(counts) < len(given):
        raise DuplicateName(sorted(key for key, count in counts.items() if count > 1))
    return given


def _refuse(problem: Problem) -> None:
    for thing in problem.counted.values():
        if thing.capacity < 0:
            raise BadTask(thing.key, thing.capacity, "a capacity of 0 or more")
    for place, task in enumerate(problem.tasks):
        _refuse_numbers(task)
        _refuse_uses(problem, task)
        _refuse_people(problem, place, task)
    unknown = sorted(target.key for target in problem.targets if target.key not in problem.place)
    if unknown:
        raise UnknownActivity(unknown)
    for target in problem.targets:
        if min(target.late_weight, target.early_weight) < 0:
            raise BadTask(target.key, min(target.late_weight, target.early_weight), "weights of 0 or more")
    _refuse_dates(problem)


def _refuse_numbers(task: Task) -> None:
    if task.not_after is not None and not isinstance(task.not_after, int):
        raise BadDuration(task.not_after, "a whole number of minutes", task.key)
    if task.people < 0:
        raise BadTask(task.key, task.people, "0 people or more")
    if not 0 <= task.wanted <= task.people:
        raise BadTask(task.key, task.wanted, f"no more skilled people than its {task.people}")
    if len(set(task.named)) < len(task.named) or len(task.named) > task.people:
        raise BadTask(task.key, ", ".join(task.named), f"different people, no more than {task.people}")
    if task.place != "bench" and task.car is None:
        raise BadTask(task.key, "none", "a car to be on or away with")


def _refuse_uses(problem: Problem, task: Task) -> None:
    unknown = sorted(key for key, _ in task.uses if key not in problem.counted)
    if unknown:
        raise UnknownName("counted thing", unknown)
    if len(dict(task.uses)) < len(task.uses):
        raise BadTask(task.key, ", ".join(key for key, _ in task.uses), "each counted thing once")
    for key, asked in task.uses:
        if asked < 0:
            raise BadTask(task.key, asked, f"0 or more of {key}")
        if asked > problem.counted[key].capacity:
            raise OverCapacity(task.key, key, asked, problem.counted[key].capacity)


def _refuse_people(problem: Problem, place: int, task: Task) -> None:
    unknown = sorted(set(task.named) - set(problem.by_name))
    if unknown:
        raise UnknownName("worker", unknown)
    if not task.needs or (problem.crews[place] and problem.here.issuperset(task.named)):
        return
    skilled = [w.key for w in problem.workers if task.skill is None or task.skill in w.skills]
    asked = dict.fromkeys((*task.named, *skilled))
    able = [key for key in asked if key in problem.here]
    gone = [key for key in asked if key not in problem.here]
    raise TooFewPeople(task.key, task.skill, task.wanted or task.people, able, gone)


def _refuse_dates(problem: Problem) -> None:
    for place, task in enumerate(problem.tasks):
        finish = problem.earliest[place][1]
        if task.not_after is not None and finish > task.not_after:
            raise ContradictoryDates(
                _chain(problem, place), from_minutes(task.not_after), from_minutes(finish)
            )


def _chain(problem: Problem, place: int) -> list[str]:
    """Give the links that set the earliest date of a task, from their first cause."""
    chain = [problem.tasks[place].key]
    while True:
        spans = problem.earliest
        ready = problem.ready(place, [span[1] for span in spans])
        causes = [
            before
            for before, _, lag in problem.network.waits_for[place]
            if spans[before][1] + lag == ready > problem.start
        ]
        if not causes or problem.tasks[place].not_before == ready:
            return chain[::-1]
        place = min(causes)
        chain.append(problem.tasks[place].key)

"""What is to be levelled, checked once and in working order."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, islice
from math import comb
from typing import TypeVar

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon, UnknownCalendar
from builds.schedule.levelling.errors import BadTask, DuplicateName, NoCommonHours
from builds.schedule.levelling.hours import any_of, common
from builds.schedule.levelling.refusals import refuse
from builds.schedule.levelling.things import Counted, Crew, Place, Placed, Previous, Target, Task, Worker
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.spans import Span

__all__ = [
    "WHOLE_CAR",
    "Counted",
    "Crew",
    "Place",
    "Placed",
    "Previous",
    "Problem",
    "Target",
    "Task",
    "Worker",
]

WHOLE_CAR = 1_000_000  # a car has room for so many tasks at once, and taking it away takes all of it
FULL_CHOICE = 200  # of more crews than this for one task only the first are weighed against each other


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
        within: bool = True,
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
        within : bool
            Whether what does not fit into the calendars is refused; if not, `place_in_order` can say what
            that is.

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
        refuse(problem, within)
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
        finishes: list[int] = []
        for place, task in enumerate(self.tasks):
            span = self._earliest(place, task, self.ready(place, finishes))
            spans.append(span)
            finishes.append(span[1])
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

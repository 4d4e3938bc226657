"""The plan as a day's work: who does what today, for how long, and what moved since the plan was kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from builds.models import KeptPlan, Person
from builds.network import WorkshopState
from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.keeping import read
from builds.network.levelled import LevelledPlan, levelled_plan
from builds.network.rows import JobRow
from builds.network.words import day_words, page
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.plan import MovedTask
from builds.schedule.levelling.problem import Placed

LARGE = 3000  # of more activities than this a tick must not wait for the mending: the kept plan stands
MOVES_NAMED = 5


@dataclass(frozen=True)
class Planned:
    """One job of a day, as the plan has it."""

    job_id: int
    start: int  # of the whole job, for the order of the day
    hours: float  # on that day
    people: tuple[str, ...]  # keys
    moved: str  # 'was Ines Brandt’s', 'was planned for 9 Dec'; empty where it is as people expect it


@dataclass(frozen=True)
class Move:
    """A job that is not where the kept plan had it."""

    title: str
    url: str
    car: str
    words: str
    people: frozenset[str]  # keys of those whom it concerns, before and after


@dataclass(frozen=True)
class Following:
    """What pages of one day show of the plan; empty where none is kept."""

    kept: KeptPlan | None = None
    placed: Mapping[str, Placed] = field(default_factory=dict)
    today: tuple[Planned, ...] = ()
    moves: tuple[Move, ...] = ()
    refusal: str = ""
    is_mended: bool = True
    cautions: tuple[str, ...] = ()  # what is planned as if somebody were free for it

    def of(self, person: Person | None) -> tuple[Planned, ...]:
        """The day of one person, or of everybody, one person after the other."""
        if person is not None:
            return tuple(one for one in self.today if f"person:{person.pk}" in one.people)
        return tuple(sorted(self.today, key=lambda one: (one.people, one.start)))

    def people_on(self, job_id: int) -> tuple[str, ...]:
        """Keys of those for whom a job is planned today."""
        return next((one.people for one in self.today if one.job_id == job_id), ())

    def moves_of(self, person: Person | None) -> tuple[Move, ...]:
        key = f"person:{person.pk}" if person else ""
        return tuple(move for move in self.moves if person is None or key in move.people)

    def start_of(self, job_id: int) -> float:
        placed = self.placed.get(f"job:{job_id}")
        return float("inf") if placed is None else placed.start


def follow(state: WorkshopState) -> Following:
    """The kept plan for today, mended if need be. One query where none is kept, else five."""
    kept = KeptPlan.objects.first()
    if kept is None or state.solution.network is None:
        return Following(kept)
    if len(state.solution.network.place) > LARGE:
        return Following(kept, placed := read(kept), tuple(_day(state, placed, None, {})), is_mended=False)
    levelled = levelled_plan(state.solution, kept)
    if levelled.plan is None:
        return Following(kept, refusal=levelled.refusal)
    moves = {one.key: _move(state, levelled, one) for one in levelled.moved}
    today = tuple(_day(state, levelled.plan.placed, levelled, moves))
    return Following(kept, levelled.plan.placed, today, tuple(moves.values()), cautions=levelled.cautions)


def moves_of(state: WorkshopState, levelled: LevelledPlan) -> tuple[Move, ...]:
    """The jobs that the mending moved, in the order of the plan now."""
    return tuple(_move(state, levelled, one) for one in levelled.moved)


def hours_on(levelled: LevelledPlan | None, state: WorkshopState, placed: Placed, day: date) -> float:
    """Hours that a job's people are all on it that day."""
    begin = max(at_midnight(day), placed.start)
    end = min(at_midnight(day) + DAY_MIN, placed.finish)
    if begin >= end:
        return 0.0
    workers = levelled.problem.by_name if levelled and levelled.problem else {}
    own = [workers[key].calendar for key in placed.people if key in workers]
    calendars = [calendar for calendar in own if calendar is not None] or [state.model.shop]
    return round(min(calendar.between(begin, end) for calendar in calendars) / 60, 1)


def _day(
    state: WorkshopState,
    placed: Mapping[str, Placed],
    levelled: LevelledPlan | None,
    moves: Mapping[str, Move],
) -> Iterator[Planned]:
    for job, where in _jobs(state, placed):
        hours = hours_on(levelled, state, where, state.model.today)
        if where.people and hours > 0:
            moved = moves[f"job:{job.id}"].words if f"job:{job.id}" in moves else ""
            yield Planned(job.id, where.start, hours, where.people, moved)


def _jobs(state: WorkshopState, placed: Mapping[str, Placed]) -> Iterable[tuple[JobRow, Placed]]:
    found = ((job, placed.get(f"job:{job.id}")) for job in state.model.open_jobs.values())
    return sorted(
        ((job, where) for job, where in found if where), key=lambda pair: (pair[1].start, pair[0].id)
    )


def _move(state: WorkshopState, levelled: LevelledPlan, moved: MovedTask) -> Move:
    model = state.model
    job = model.open_jobs[int(moved.key.partition(":")[2])]
    words = []
    if set(moved.before) != set(moved.after):
        names = [levelled.people[key].name for key in moved.before if key in levelled.people]
        words.append(f"was {' and '.join(names)}’s" if names else "was somebody’s who has left")
    if moved.by_min and levelled.plan is not None:
        was = from_minutes(levelled.plan.placed[moved.key].start - moved.by_min).date()
        words.append(f"was planned for {day_words(was, model.today)}")
    return Move(
        job.title,
        page("job", job.id),
        model.rows.cars[job.car_id].name,
        ", ".join(words),
        frozenset((*moved.before, *moved.after)),
    )

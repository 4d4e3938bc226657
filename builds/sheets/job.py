"""What the page of one job shows, read in a known number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from builds.cautions import caution_sentences
from builds.facts import JobFacts, WorkshopFacts
from builds.models import Decision, Job, JobLink, Need, TimeSpent
from builds.network import WorkshopState, load_car
from builds.network.words import operation_words
from parts.models import Operation, StoredFile


@dataclass(frozen=True)
class Neighbour:
    """A job before or after this one."""

    job: Job
    condition: str
    lag_hours: Decimal


@dataclass(frozen=True)
class PartLine:
    """A part that the job needs, and where it is."""

    need: Need
    where: str
    is_here: bool
    sets_date: bool


@dataclass(frozen=True)
class Happening:
    """A line of the history."""

    at: datetime
    text: str


@dataclass(frozen=True)
class JobSheet:
    job: Job
    facts: JobFacts | None  # None once the car is handed over
    condition: str
    before: tuple[Neighbour, ...]
    after: tuple[Neighbour, ...]
    parts: tuple[PartLine, ...]
    cautions: tuple[str, ...]
    owed: tuple[Decision, ...]
    photos: tuple[StoredFile, ...]
    drawings: tuple[StoredFile, ...]
    times: tuple[TimeSpent, ...]
    hours_spent: Decimal
    calc_sheets: int
    history: tuple[Happening, ...]
    is_away: bool  # an on-car job of a car that is not here

    @property
    def running(self) -> tuple[TimeSpent, ...]:
        return tuple(entry for entry in self.times if entry.minutes is None)


def read_job(job_id: int, today: date) -> JobSheet:
    """Read one job's sheet. Raises Job.DoesNotExist.

    Queries: those of `load_car`, and ten more: the job, jobs before, jobs after, needs, lines of the
    parts, decisions, files, times, notes, calc sheets.
    """
    people = ("started_by", "done_by", "signed_off_by")
    job = Job.objects.select_related("car", "area", "skill", "supplier", *people).get(pk=job_id)
    files = tuple(job.files.all())
    state = load_car(job.car_id, today)
    facts = state.facts()
    decisions = tuple(job.decisions.select_related("person", "raised_by", "decided_by"))
    times = tuple(job.time_spent.select_related("person"))
    own = facts.jobs.get(job.pk)
    return JobSheet(
        job=job,
        facts=own,
        condition=own.condition if own else _plain_condition(job),
        before=tuple(
            _neighbour(link, link.before, facts) for link in job.links_in.select_related("before__area")
        ),
        after=tuple(
            _neighbour(link, link.after, facts) for link in job.links_out.select_related("after__area")
        ),
        parts=tuple(_parts(job, state)),
        cautions=tuple(caution_sentences(job.cautions)),
        owed=tuple(decision for decision in decisions if decision.decided_at is None),
        photos=tuple(file for file in files if file.kind == StoredFile.Kind.PHOTO),
        drawings=tuple(file for file in files if file.kind == StoredFile.Kind.DRAWING),
        times=times,
        hours_spent=Decimal(sum(entry.minutes or 0 for entry in times)) / 60,
        calc_sheets=job.calc_sheets.values("kind", "title").distinct().count(),
        history=tuple(_history(job, decisions)),
        is_away=job.place == Job.Place.ON_CAR and job.car_id in facts.cars and facts.cars[job.car_id].is_away,
    )


def _plain_condition(job: Job) -> str:
    if job.signed_off_at is not None:
        return "signed off"
    return "done" if job.done_at is not None else "in hand" if job.started_at is not None else "clear"


def _neighbour(link: JobLink, job: Job, facts: WorkshopFacts) -> Neighbour:
    own = facts.jobs.get(job.pk)
    return Neighbour(job, own.condition if own else _plain_condition(job), link.lag_hours)


def _parts(job: Job, state: WorkshopState) -> Iterable[PartLine]:
    facts = state.facts()
    needs = job.part_needs.select_related("part", "operation__process")
    for need in needs.prefetch_related("part__operations"):
        open_lines = [line for line in _lines_needed(need) if line.pk in state.model.open_operations]
        if not open_lines:
            yield PartLine(need, "here", is_here=True, sets_date=False)
            continue
        now_at = open_lines[0]
        row, own = state.model.open_operations[now_at.pk], facts.operations[now_at.pk]
        words = operation_words(state.model, row, own.back_on).removeprefix(need.part.name).strip()
        yield PartLine(need, words, is_here=False, sets_date=own.sets_date)


def _lines_needed(need: Need) -> list[Operation]:
    lines = sorted(need.part.operations.all(), key=lambda line: line.sequence)
    last = need.operation
    return lines if last is None else [line for line in lines if line.sequence <= last.sequence]


def _history(job: Job, decisions: Iterable[Decision]) -> list[Happening]:
    """Everything that was recorded about the job, newest first."""
    found = [Happening(note.at, f"{note.by}: {note.text}") for note in job.notes.select_related("by")]
    marks = (
        (job.started_at, "taken in hand by", job.started_by),
        (job.done_at, "ticked done by", job.done_by),
        (job.signed_off_at, "signed off by", job.signed_off_by),
    )
    found += [Happening(at, f"{what} {who}") for at, what, who in marks if at is not None]
    for decision in decisions:
        found.append(Happening(decision.raised_at, f"{decision.raised_by} asked: {decision.question}"))
        if decision.decided_at is not None:
            found.append(
                Happening(
                    decision.decided_at,
                    f"{decision.decided_by} answered “{decision.question}”: {decision.answer}",
                )
            )
    return sorted(found, key=lambda happening: happening.at, reverse=True)

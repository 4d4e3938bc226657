"""Reads the sheet of one car: its jobs by area, its parts, what it waits for."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from builds.facts import CarFacts, JobFacts, OperationFacts, WorkshopFacts
from builds.models import Area, Car, Decision, Job
from builds.network import WorkshopState, load_car, load_workshop
from builds.sheets.differing import why_dates_differ
from builds.sheets.strip import chain_groups, last_day_needed, time_strip
from parts.models import Operation, Part, StoredFile

# Clear jobs first: what can be done, then what is being done, what waits, what is finished.
ORDER = {"clear": 0, "in hand": 1, "held": 2, "done": 3, "signed off": 4}
PHOTOS_SHOWN = 4


@dataclass(frozen=True)
class JobLine:
    job: Job
    facts: JobFacts

    @property
    def is_finished(self) -> bool:
        return self.facts.condition in ("done", "signed off")


@dataclass(frozen=True)
class AreaLines:
    area: Area
    lines: list[JobLine]

    @property
    def finished(self) -> int:
        return sum(line.is_finished for line in self.lines)

    @property
    def open_lines(self) -> list[JobLine]:
        return [line for line in self.lines if not line.is_finished]

    @property
    def finished_lines(self) -> list[JobLine]:
        return [line for line in self.lines if line.is_finished]


@dataclass(frozen=True)
class PartLine:
    part: Part
    line: Operation | None  # where it is in its route card; None when all of it is accepted or made good
    facts: OperationFacts | None
    first_promised: date | None = None  # where it is late: a later promise does not make it less so


def car_sheet(car: Car, today: date, *, with_people: bool) -> dict[str, Any]:
    """Everything that the car sheet shows: the network's queries and eight of its own, whatever the size.

    With people the dates come of the plan of the whole workshop, which takes longer: the page is shown
    without them at first, or in the order of the plan last worked out, and fetches them then.
    """
    state = load_workshop(today) if with_people else load_car(car.pk, today)
    facts = state.facts()
    at_once = None if with_people else _at_once(state, car)
    bare = at_once or _without_window(facts.cars[car.pk])
    own = state.dated().cars[car.pk] if with_people else bare
    start_up = own.first_start_up
    days = state.working_days(today, last_day_needed(own, today))
    parts = part_lines(car, facts)
    return {
        "car": car,
        "facts": own,
        "start_up": start_up,
        "with_people": with_people,
        "in_last_order": at_once is not None,
        "why": why_dates_differ(state, start_up) if with_people and start_up else "",
        "chain": chain_groups(start_up.chain) if start_up else [],
        "strip": time_strip(own, today, days),
        "savers": state.savers(car.pk) if with_people else (),
        "areas": job_areas(car, facts),
        "parts_away": [line for line in parts if line.line],
        "parts_in_hand": [line for line in parts if not line.line],
        "decisions": Decision.objects.owed().filter(job__car=car).select_related("job", "person"),
        "photos": StoredFile.objects.photos().filter(car=car)[:PHOTOS_SHOWN],
        "drawings": StoredFile.objects.drawings().filter(car=car),
        "problems": (state.dated() if with_people else facts).problems,
        "today": today,
    }


def _at_once(state: WorkshopState, car: Car) -> CarFacts | None:
    """The car in the order of the plan last worked out, where its first start-up has a date in that."""
    facts = state.dated_at_once()
    own = facts.cars[car.pk] if facts else None
    return own if own and own.first_start_up and own.first_start_up.has_people else None


def _without_window(own: CarFacts) -> CarFacts:
    """Not drawn many times over where the page must come at once."""
    start_up = own.first_start_up and replace(own.first_start_up, find_window=lambda: None)
    return replace(own, first_start_up=start_up)


def job_areas(car: Car, facts: WorkshopFacts) -> list[AreaLines]:
    """The job list by area; within one, what can be done first, then least to spare."""
    jobs = Job.objects.of_car(car.pk).select_related("area", "done_by", "started_by", "signed_off_by")
    by_area: dict[Area, list[JobLine]] = {}
    for job in jobs:
        if job.pk in facts.jobs:  # one entered since the network was read shows on the next look
            by_area.setdefault(job.area, []).append(JobLine(job, facts.jobs[job.pk]))
    return [AreaLines(area, sorted(lines, key=_job_order)) for area, lines in by_area.items()]


def _job_order(line: JobLine) -> tuple[int, float, int]:
    spare = line.facts.spare_days
    return ORDER[line.facts.condition], float("inf") if spare is None else spare, line.job.position


def part_lines(car: Car, facts: WorkshopFacts) -> list[PartLine]:
    """Each part with the line of its route card that it is at: those that hold the date first."""
    cards = _route_cards(car)
    lines = [_part_line(part, cards.get(part.pk, []), facts) for part in Part.objects.of_car(car.pk)]
    return sorted(lines, key=_part_order)


def _route_cards(car: Car) -> dict[int, list[Operation]]:
    """Each part's lines in order. Prefetched, a queryset would be made for each of some hundred parts."""
    lines = Operation.objects.filter(part__car=car).order_by("part_id", "sequence")
    cards: dict[int, list[Operation]] = {}
    for line in lines.prefetch_related("process", "supplier"):
        cards.setdefault(line.part_id, []).append(line)
    return cards


def _part_line(part: Part, card: Sequence[Operation], facts: WorkshopFacts) -> PartLine:
    made_good = {line.reworks_id for line in card}
    open_lines = (line for line in card if not line.result or _is_rejected(line, made_good))
    at = next(open_lines, None)
    known = facts.operations.get(at.pk) if at else None
    late = known.days_late if known else 0
    return PartLine(part, at, known, facts.today - timedelta(days=late) if late else None)


def _is_rejected(line: Operation, made_good: Collection[int | None]) -> bool:
    """Rejected, and no other line makes it good yet."""
    return line.result == Operation.Result.REJECTED and line.pk not in made_good


def _part_order(line: PartLine) -> tuple[bool, float, str]:
    spare = line.facts.spare_days if line.facts else None
    away = line.line is not None and line.line.state != Operation.State.TO_DO
    return not away, float("inf") if spare is None else spare, line.part.name

"""What the customer's progress sheet says, in plain words. No prices, no supplier, no other customer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from builds.facts import MilestoneFacts, WorkshopFacts
from builds.models import Car, Decision, Job, Milestone, ProgressSheet
from builds.network import load_workshop
from builds.sheets.car import AreaLines, job_areas
from parts.models import Operation, Process, StoredFile

DONE_SHOWN = 18
NEXT_SHOWN = 6
AWAY_SHOWN = 12

# How a process reads to somebody who is not of the trade.
PLAIN = {
    "supply": "on order",
    "make": "being made",
    "finish": "being finished",
}


@dataclass(frozen=True)
class AreaProgress:
    name: str
    done: int
    total: int
    words: str
    x: float  # where the filled part of the rule ends, of RULE_WIDTH

    @property
    def ticks(self) -> list[float]:
        return [round(RULE_WIDTH * number / self.total, 1) for number in range(1, self.total)]


RULE_WIDTH = 420


@dataclass(frozen=True)
class AwayPart:
    name: str
    doing: str
    expected_on: date | None


@dataclass(frozen=True)
class Progress:
    """Everything on the sheet."""

    car: Car
    printed_at: datetime
    last: ProgressSheet | None
    areas: tuple[AreaProgress, ...]
    done: int
    total: int
    done_since: tuple[Job, ...]
    done_earlier: int  # done since the last sheet as well, too many to list
    away: tuple[AwayPart, ...]
    away_more: int
    car_away: str  # 'paint' while the car itself is away for it
    car_back_on: date | None
    milestone: MilestoneFacts | None
    comes_next: tuple[str, ...]
    decisions: tuple[Decision, ...]
    photo: StoredFile | None

    @property
    def facts(self) -> dict[str, Any]:
        """The figures printed, kept with the copy."""
        window = self.milestone.window if self.milestone else None
        return {
            "done": self.done,
            "total": self.total,
            "areas": {area.name: [area.done, area.total] for area in self.areas},
            "milestone": self.milestone.name if self.milestone else "",
            "from": window.even_chance.isoformat() if window else None,
            "to": window.four_in_five.isoformat() if window else None,
        }


def read_progress(car: Car, at: datetime, today: date) -> Progress:
    """Read the sheet as it would be printed now."""
    state = load_workshop(today)  # the dates told to a customer have the people there are in them
    facts = state.facts()
    own = state.dated().cars[car.pk]
    areas = job_areas(car, facts)
    last = ProgressSheet.objects.filter(car=car).first()
    jobs = [line.job for area in areas for line in area.lines if line.job.is_complete]
    since = [job for job in jobs if job.done_at and (last is None or job.done_at > last.printed_at)]
    since.sort(key=lambda job: job.done_at or at, reverse=True)
    away = _away(car, facts)
    stay = car.aways.away_on(today).first()  # type: ignore[attr-defined]  # the queryset's own manager
    milestone = _next_milestone(own.milestones)
    return Progress(
        car=car,
        printed_at=at,
        last=last,
        areas=tuple(_area(area) for area in areas),
        done=own.jobs_done,
        total=own.jobs_total,
        done_since=tuple(since[:DONE_SHOWN]),
        done_earlier=max(0, len(since) - DONE_SHOWN),
        away=tuple(away[:AWAY_SHOWN]),
        away_more=max(0, len(away) - AWAY_SHOWN),
        car_away=stay.what_for if stay else "",
        car_back_on=stay.due_back_on if stay else None,
        milestone=milestone,
        comes_next=_comes_next(areas),
        decisions=tuple(
            Decision.objects.owed()
            .filter(job__car=car, owed_by=Decision.OwedBy.CUSTOMER)
            .select_related("job")
        ),
        photo=StoredFile.objects.photos().filter(car=car).first(),
    )


def _area(area: AreaLines) -> AreaProgress:
    done, total = area.finished, len(area.lines)
    return AreaProgress(area.area.name, done, total, _words(area, done), round(RULE_WIDTH * done / total, 1))


def _words(area: AreaLines, done: int) -> str:
    total = len(area.lines)
    if done == total:
        return "finished"
    if any(line.facts.condition == "in hand" for line in area.lines):
        return "being worked on now"
    if done == 0:
        return "still to come"
    return "nearly finished" if done / total >= 0.8 else "under way" if done / total >= 0.3 else "begun"


def _away(car: Car, facts: WorkshopFacts) -> list[AwayPart]:
    """What is away or on order, soonest first. A day that has passed without news is left open."""
    out = Operation.objects.out().filter(part__car=car).select_related("part", "process")
    out = out.exclude(supplier=None, process__kind__in=(Process.Kind.MAKE, Process.Kind.FINISH))  # here
    parts = []
    for operation in out:
        line = facts.operations.get(operation.pk)  # none for one that went out since the network was read
        expected = None if line is None or line.no_new_promise else line.back_on
        parts.append(AwayPart(operation.part.name, PLAIN[operation.process.kind], expected))
    return sorted(parts, key=lambda part: (part.expected_on is None, part.expected_on or date.max, part.name))


def _next_milestone(milestones: tuple[MilestoneFacts, ...]) -> MilestoneFacts | None:
    """The first that is not reached: first start-up before all others."""
    ahead = [found for found in milestones if found.reached_on is None and found.on]
    ahead.sort(key=lambda found: (found.kind != Milestone.Kind.FIRST_START_UP, found.on or date.max))
    return ahead[0] if ahead else None


def _comes_next(areas: list[AreaLines]) -> tuple[str, ...]:
    """What the workshop will be doing: jobs in hand, then those that begin soonest."""
    lines = [line for area in areas for line in area.open_lines if line.facts.start_on]
    lines.sort(
        key=lambda line: (
            line.facts.condition != "in hand",
            line.facts.start_on or date.max,
            line.job.position,
        )
    )
    return tuple(line.job.title for line in lines[:NEXT_SHOWN])

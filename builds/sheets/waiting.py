"""Waiting on suppliers: what is out, what it holds, and whom to ring about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import groupby
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from builds.facts import OperationFacts, WorkshopFacts, spare_words, whose
from builds.models import Away, Decision, Job
from builds.network.words import days_words
from engineering.parts import overtaken_since, sheets_of_parts
from parts.models import Operation, StoredFile, Supplier
from parts.services.operations import gone_word
from parts.services.pieces import Count, count_of

NO_HURRY = float("inf")


@dataclass(frozen=True)
class Press:
    """How much it hurts that something is waited for. Sorts worst first."""

    sets_date: bool
    spare_days: float | None  # None: nothing depends on it
    spare_to: str
    days_late: int
    car: str  # whose milestone it is
    is_overdue: bool = False  # past its day or its lead time, and nobody has given another day

    @property
    def sort_key(self) -> tuple[Any, ...]:
        """What holds first start-up, then what is late, each with the least to spare first."""
        room = NO_HURRY if self.spare_days is None else self.spare_days
        is_late = self.is_overdue or self.days_late > 0
        return (not self.sets_date, not is_late, room, -self.days_late)

    @property
    def words(self) -> str:
        if self.sets_date:
            return f"holds {whose([self.car])}"
        return spare_words(self.spare_days, self.spare_to, self.car) or "no job waits for it"


@dataclass(frozen=True)
class OutLine:
    """One line of a route card that is out, or back and not checked yet."""

    operation: Operation
    facts: OperationFacts
    press: Press
    newest_drawing: StoredFile | None

    @property
    def holds(self) -> str:
        """The jobs that wait for it directly."""
        return ", ".join(self.facts.holds)

    @property
    def gone(self) -> str:
        return "on order" if gone_word(self.operation.process) == "ordered" else "out"

    @cached_property
    def count(self) -> Count:
        return count_of(self.operation)

    @property
    def came_last(self) -> date | None:
        """When the last pieces of it came in; None if none has."""
        rows = self.operation.goods_in.all()
        return max((row.came_on for row in rows if row.accepted or row.rejected), default=None)

    @property
    def lost_how(self) -> str:
        return "; ".join(dict.fromkeys(row.reason for row in self.operation.goods_in.all() if row.lost))

    @property
    def drawing_question(self) -> str:
        """Asked when a newer drawing is here than the one that went out; empty otherwise."""
        newest, sent = self.newest_drawing, self.operation.sent_drawing
        if newest is None or newest == sent:
            return ""
        went = f"went out as revision {sent.revision}" if sent else "went out without a drawing"
        return f"{went}; revision {newest.revision} is here now: ask which one they work to"

    @property
    def sheet_questions(self) -> list[str]:
        """Asked when a calc sheet of the part was revised after it went out."""
        sent_on = self.operation.sent_on
        if sent_on is None:
            return []
        return [overtaken.words for overtaken in overtaken_since(self.operation.part.sheets, sent_on)]

    @property
    def first_promise(self) -> date | None:
        """The first day promised since it went out, where a later one has taken its place."""
        promises = [
            promise.promised_on
            for promise in self.operation.promises.all()
            if self.operation.sent_on is None or promise.made_on >= self.operation.sent_on
        ]
        return promises[0] if promises and promises[0] != self.operation.promised_on else None

    @property
    def is_late(self) -> bool:
        return bool(self.facts.days_late or self.facts.no_new_promise)

    @property
    def late_words(self) -> str:
        """'3 days late, no new day given', or how it stands; empty when it is on time."""
        late = f"{days_words(self.facts.days_late)} late" if self.facts.days_late else ""
        if not self.facts.no_new_promise:
            return late
        if self.operation.promised_on is None:
            return "past its lead time, no day promised"
        return f"{late}, no new day given" if late else "no new day given"


@dataclass(frozen=True)
class SupplierGroup:
    supplier: Supplier | None  # None: our own workshop
    lines: tuple[OutLine, ...]

    @property
    def worst(self) -> Press:
        return self.lines[0].press

    @property
    def late(self) -> int:
        return sum(line.is_late for line in self.lines)


@dataclass(frozen=True)
class CarAway:
    away: Away
    press: Press
    waiting_jobs: int  # jobs on the car that lack nothing but the car

    @property
    def words(self) -> str:
        if self.press.sets_date or not self.waiting_jobs:
            return self.press.words if self.press.sets_date or self.press.spare_to else "no job waits for it"
        return f"{self.waiting_jobs} job{'s wait' if self.waiting_jobs > 1 else ' waits'} only for the car"


@dataclass(frozen=True)
class Owed:
    """A decision that holds a job."""

    decision: Decision
    press: Press

    @property
    def by_whom(self) -> str:
        if self.decision.owed_by == Decision.OwedBy.CUSTOMER:
            return "the customer"
        return self.decision.person.name if self.decision.person else "one of us"


@dataclass(frozen=True)
class WaitingSheet:
    groups: tuple[SupplierGroup, ...]  # suppliers, what hurts most first
    ours: SupplierGroup | None  # begun in our own workshop
    cars_away: tuple[CarAway, ...]
    by_customer: tuple[Owed, ...]
    by_us: tuple[Owed, ...]
    to_order: int

    @property
    def is_empty(self) -> bool:
        return not (self.groups or self.ours or self.cars_away or self.by_customer or self.by_us)

    @property
    def lines(self) -> list[OutLine]:
        """All that is out at suppliers, what hurts most first."""
        return sorted((line for group in self.groups for line in group.lines), key=_line_key)

    @property
    def late(self) -> int:
        return sum(group.late for group in self.groups)

    @property
    def holding(self) -> str:
        """'2 hold Skua’s and Tern’s first start-up'; empty if nothing does."""
        cars = [line.press.car for line in self.lines if line.press.sets_date]
        return (
            f"{len(cars)} {'holds' if len(cars) == 1 else 'hold'} {whose(sorted(set(cars)))}" if cars else ""
        )


def read_waiting(facts: WorkshopFacts) -> WaitingSheet:
    """Ten queries: lines, promises, goods in, drawings, calc sheets; cars away and their jobs; decisions;
    to order.
    """
    lines = _out_lines(facts)
    ours = tuple(line for line in lines if line.operation.supplier is None)
    owed = _owed(facts)
    return WaitingSheet(
        groups=_groups(line for line in lines if line.operation.supplier is not None),
        ours=SupplierGroup(None, ours) if ours else None,
        cars_away=_cars_away(facts),
        by_customer=tuple(each for each in owed if each.decision.owed_by == Decision.OwedBy.CUSTOMER),
        by_us=tuple(each for each in owed if each.decision.owed_by == Decision.OwedBy.US),
        to_order=waiting_to_order().count(),
    )


def waiting_to_order() -> QuerySet[Operation]:
    """Lines at suppliers still to be ordered, finishes apart: those go in batches."""
    rows = Operation.objects.to_do().open().filter(part__car__handed_over_on__isnull=True)
    return rows.exclude(process__kind="finish").exclude(supplier__isnull=True, process__kind="make")


def papers_of_parts() -> tuple[Prefetch[Any], Prefetch[Any]]:
    """The drawings of each part, newest first, as `part.drawings`; its calc sheets as `part.sheets`."""
    drawings = Prefetch("part__files", StoredFile.objects.drawings(), to_attr="drawings")
    return drawings, sheets_of_parts("part__calc_sheets")


def line_of(operation: Operation, facts: WorkshopFacts) -> OutLine | None:
    """What the pages say of one line; None when the network does not know it (the car is handed over)."""
    known = facts.operations.get(operation.pk)
    if known is None:
        return None
    drawings = operation.part.drawings
    return OutLine(
        operation=operation,
        facts=known,
        press=press_of(known, operation),
        newest_drawing=drawings[0] if drawings else None,
    )


def press_of(known: OperationFacts, operation: Operation) -> Press:
    return Press(
        known.sets_date,
        known.spare_days,
        known.spare_to,
        known.days_late,
        operation.part.car.name,
        known.no_new_promise,
    )


def _out_lines(facts: WorkshopFacts) -> list[OutLine]:
    rows = Operation.objects.open().filter(sent_on__isnull=False, part__car__handed_over_on__isnull=True)
    rows = rows.select_related("part__car", "process", "supplier", "batch", "sent_drawing")
    rows = rows.prefetch_related("promises", "goods_in", *papers_of_parts())
    lines = [line for row in rows if (line := line_of(row, facts)) is not None]
    return sorted(lines, key=_line_key)


def _line_key(line: OutLine) -> tuple[Any, ...]:
    return (*line.press.sort_key, line.facts.back_on or date.max, line.operation.pk)


def _groups(lines: Iterable[OutLine]) -> tuple[SupplierGroup, ...]:
    def supplier_id(line: OutLine) -> int:
        return line.operation.supplier_id or 0

    groups = [
        SupplierGroup(next(iter(rows)).operation.supplier, tuple(rows))
        for rows in (list(each) for _, each in groupby(sorted(lines, key=supplier_id), key=supplier_id))
    ]
    groups.sort(key=lambda group: _line_key(group.lines[0]))
    return tuple(groups)


def _cars_away(facts: WorkshopFacts) -> tuple[CarAway, ...]:
    rows = Away.objects.not_back().filter(leaves_on__lte=facts.today, car__handed_over_on__isnull=True)
    jobs = Job.objects.open().filter(place=Job.Place.AWAY, car__handed_over_on__isnull=True)
    there: dict[tuple[int, int | None], list[int]] = {}
    for job_id, car_id, supplier_id in jobs.values_list("pk", "car_id", "supplier_id"):
        there.setdefault((car_id, supplier_id), []).append(job_id)
    waiting = _jobs_waiting_for_car(facts)
    cars = [
        CarAway(
            away,
            _press_of_away(away, there.get((away.car_id, away.supplier_id), []), facts),
            waiting.get(away.car_id, 0),
        )
        for away in rows.select_related("car", "supplier")
    ]
    return tuple(sorted(cars, key=lambda car: car.press.sort_key))


def _jobs_waiting_for_car(facts: WorkshopFacts) -> dict[int, int]:
    """Jobs on each car that is away which would be clear if it were here. One query."""
    away = [car_id for car_id, car in facts.cars.items() if car.is_away]
    counts: dict[int, int] = {}
    on_car = Job.objects.open().filter(car__in=away, place=Job.Place.ON_CAR)
    for job_id, car_id in on_car.values_list("pk", "car_id"):
        held_by = facts.jobs[job_id].held_by if job_id in facts.jobs else ()
        if held_by and all(reason.kind == "away" for reason in held_by):
            counts[car_id] = counts.get(car_id, 0) + 1
    return counts


def _press_of_away(away: Away, job_ids: list[int], facts: WorkshopFacts) -> Press:
    """From the jobs done there, and from the chain: a car that is not here may itself set the date."""
    car = facts.cars.get(away.car_id)
    chain = car.first_start_up.chain if car and car.first_start_up else ()
    to_car = reverse("car", args=[away.car_id])
    sets = any(step.is_waiting and step.url == to_car for step in chain)
    jobs = [facts.jobs[job_id] for job_id in job_ids if job_id in facts.jobs]
    least = min(
        (job for job in jobs if job.spare_days is not None), key=lambda job: job.spare_days or 0, default=None
    )
    return Press(
        sets_date=sets or any(job.sets_date for job in jobs),
        spare_days=least.spare_days if least else None,
        spare_to=least.spare_to if least else "",
        days_late=max(0, (facts.today - away.due_back_on).days),
        car=away.car.name,
    )


def _owed(facts: WorkshopFacts) -> list[Owed]:
    rows = Decision.objects.owed().filter(job__car__handed_over_on__isnull=True, job__done_at__isnull=True)
    owed = []
    for decision in rows.select_related("job__car__customer", "person"):
        job = facts.jobs.get(decision.job_id)
        if job is not None:
            late = max(0, (facts.today - decision.due_on).days)
            press = Press(job.sets_date, job.spare_days, job.spare_to, late, decision.job.car.name)
            owed.append(Owed(decision, press))
    return sorted(owed, key=lambda each: (*each.press.sort_key, each.decision.due_on))

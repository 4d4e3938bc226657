"""Reads what the network needs from the database: a fixed number of queries, whatever the size."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from functools import partial
from itertools import chain
from typing import Any, NamedTuple

from django.db.models import QuerySet, Sum

from builds.models import (
    Away,
    Car,
    Closure,
    Decision,
    Job,
    JobLink,
    Milestone,
    MilestonePromise,
    Need,
    TimeSpent,
    Workshop,
)
from builds.stamps import (
    CARS,
    CARS_OF_JOBS,
    JOBS,
    JOBS_BEFORE_LINES,
    LINES,
    LINKS,
    NEEDS,
    PARTS,
    PROCESSES,
    SKILLS,
)
from parts.models import FinishingBatch, Operation, Part, Supplier, SupplierClosure, SupplierPromise

from .unchanged import Reading


class CarRow(NamedTuple):
    id: int
    name: str
    place: str


class AwayRow(NamedTuple):
    id: int
    car_id: int
    supplier_id: int
    what_for: str
    leaves_on: date
    due_back_on: date


class JobRow(NamedTuple):
    id: int
    car_id: int
    title: str
    place: str
    hours_low: Decimal
    hours_likely: Decimal
    hours_high: Decimal
    people: int
    supplier_id: int | None
    needs_signature: bool
    started_at: datetime | None
    done_at: datetime | None
    signed_off_at: datetime | None
    started_by_id: int | None
    skill__name: str | None
    bay_id: int | None
    area_id: int

    @property
    def is_complete(self) -> bool:
        """As `Job.is_complete`: done, and signed off where that is asked."""
        return self.done_at is not None and (not self.needs_signature or self.signed_off_at is not None)


class LinkRow(NamedTuple):
    before_id: int
    after_id: int
    lag_hours: Decimal


class NeedRow(NamedTuple):
    job_id: int
    part_id: int
    operation_id: int | None


class PartRow(NamedTuple):
    id: int
    car_id: int
    name: str
    made_by_id: int | None


class OperationRow(NamedTuple):
    id: int
    part_id: int
    sequence: int
    process_id: int
    process__name: str
    process__kind: str
    supplier_id: int | None
    lead_low_days: int
    lead_likely_days: int
    lead_high_days: int
    batch_id: int | None
    sent_on: date | None
    promised_on: date | None
    back_on: date | None
    result: str
    reason: str
    reworks_id: int | None

    @property
    def state(self) -> str:
        """As `Operation.state`."""
        if self.result:
            return self.result
        if self.back_on is not None:
            return "back"
        return "to do" if self.sent_on is None else "out"


class BatchRow(NamedTuple):
    id: int
    process__name: str
    leaves: str
    planned_on: date | None


class SupplierRow(NamedTuple):
    id: int
    name: str
    weekdays: frozenset[int]
    carriage_days: int
    closures: tuple[tuple[date, date], ...]
    at_once: int | None


class MilestoneRow(NamedTuple):
    id: int
    car_id: int
    kind: str
    name: str
    job_ids: tuple[int, ...]
    promised_on: date | None
    weight: int


class DecisionRow(NamedTuple):
    id: int
    job_id: int
    question: str
    owed_by: str
    person__name: str | None
    due_on: date


@dataclass(frozen=True)
class Rows:
    """Everything that the network is made from, as plain values."""

    hours: tuple[Decimal, ...]
    day_starts: time
    job_curve: str  # Workshop.Curve
    country: str
    region: str
    closures: tuple[tuple[date, date], ...]
    cars: dict[int, CarRow]
    aways: tuple[AwayRow, ...]
    jobs: dict[int, JobRow]
    links: tuple[LinkRow, ...]
    needs: tuple[NeedRow, ...]
    parts: dict[int, PartRow]
    operations: dict[int, OperationRow]
    after_jobs: tuple[tuple[int, int], ...]  # operation, job
    first_promises: dict[int, date]  # of what is out, by operation
    batches: dict[int, BatchRow]
    suppliers: dict[int, SupplierRow]
    milestones: tuple[MilestoneRow, ...]
    decisions: tuple[DecisionRow, ...]
    minutes_spent: dict[int, int]

    @property
    def route_cards(self) -> dict[int, list[OperationRow]]:
        """The lines of each part, in order."""
        cards: dict[int, list[OperationRow]] = {part_id: [] for part_id in self.parts}
        for operation in self.operations.values():
            cards[operation.part_id].append(operation)
        return cards

    def bound_to(self, car_id: int) -> frozenset[int]:
        """As `cars_bound_to`, of what was read."""
        waiting = (line for line in self.operations.values() if line.batch_id in self.batches)
        return _bound(car_id, ((line.batch_id, self.parts[line.part_id].car_id) for line in waiting))

    def of_cars(self, car_ids: Collection[int]) -> Rows:
        """As `read_rows` gives those cars."""
        jobs = {key: row for key, row in self.jobs.items() if row.car_id in car_ids}
        parts = {key: row for key, row in self.parts.items() if row.car_id in car_ids}
        lines = {key: row for key, row in self.operations.items() if row.part_id in parts}
        return replace(
            self,
            cars={key: row for key, row in self.cars.items() if key in car_ids},
            aways=tuple(row for row in self.aways if row.car_id in car_ids),
            jobs=jobs,
            links=tuple(row for row in self.links if row.after_id in jobs),
            needs=tuple(row for row in self.needs if row.job_id in jobs),
            parts=parts,
            operations=lines,
            after_jobs=tuple(pair for pair in self.after_jobs if pair[0] in lines),
            first_promises={key: day for key, day in self.first_promises.items() if key in lines},
            milestones=tuple(row for row in self.milestones if row.car_id in car_ids),
            decisions=tuple(row for row in self.decisions if row.job_id in jobs),
            minutes_spent={key: spent for key, spent in self.minutes_spent.items() if key in jobs},
        )


class _Converted(dict[Any, Any]):
    """What the values of one column stand for, each worked out once: most of thousands are the same few."""

    def __init__(self, convert: Callable[[Any], Any]) -> None:
        self.convert = convert

    def __missing__(self, value: Any) -> Any:
        converted = self[value] = self.convert(value)
        return converted


def _read(kind: Any, queryset: QuerySet[Any]) -> list[Any]:
    """The rows as `values_list` gives them, in a third of the time for hours and moments: by column."""
    compiler = queryset.values_list(*kind._fields).query.get_compiler(queryset.db)
    rows = list(chain.from_iterable(compiler.execute_sql()))
    converters = compiler.get_converters([selected for selected, _sql, _name in compiler.select])
    if rows and converters:
        columns: list[Iterable[Any]] = list(zip(*rows, strict=True))
        for place, (steps, expression) in converters.items():
            convert = partial(_convert, steps, expression, compiler.connection)
            columns[place] = map(_Converted(convert).__getitem__, columns[place])
        rows = zip(*columns, strict=True)
    return list(map(partial(tuple.__new__, kind), rows))


def _convert(steps: Iterable[Any], expression: Any, connection: Any, value: Any) -> Any:
    for step in steps:
        value = step(value, expression, connection)
    return value


def _by_id(rows: Iterable[Any]) -> dict[int, Any]:
    return {row.id: row for row in rows}


def read_rows(car_ids: Collection[int] | None = None) -> Rows:
    """Read the cars in work, or some of them, and all that belongs to them.

    Queries: workshop, closures; cars, aways; jobs, links, needs, time; parts, operations, their jobs,
    their promises, batches; suppliers, their closures; milestones, their jobs, promises; decisions.
    Nineteen in all. What somebody enters between one query and the next is left out where the thing that
    it belongs to was read without it. Of the whole workshop the large tables are read only if something in
    them has changed, which costs two queries more.
    """
    workshop = Workshop.objects.current()
    known = Reading(is_whole=car_ids is None)
    here = _Scope(car_ids)
    cars = known.of("cars", lambda: _by_id(_read(CarRow, here.of(Car.objects.all(), ""))), CARS)
    parts = known.of("parts", lambda: _parts(here, cars), PARTS, CARS)
    rows = Rows(
        hours=workshop.hours_by_weekday,
        day_starts=workshop.day_starts,
        job_curve=workshop.job_curve,
        country=workshop.country,
        region=workshop.region,
        closures=tuple(Closure.objects.values_list("first_day", "last_day")),
        cars=cars,
        aways=tuple(_read(AwayRow, here.of(Away.objects.not_back(), "car__").order_by("leaves_on", "pk"))),
        jobs=known.of("jobs", lambda: _jobs(here, cars), JOBS, SKILLS, CARS),
        links=known.of("links", lambda: _links(here), LINKS, CARS_OF_JOBS, CARS),
        needs=known.of("needs", lambda: _needs(here), NEEDS, CARS_OF_JOBS, CARS),
        parts=parts,
        operations=known.of("lines", lambda: _lines(here, parts), LINES, PROCESSES, PARTS, CARS),
        after_jobs=known.of("after jobs", lambda: _after_jobs(here), JOBS_BEFORE_LINES, LINES, PARTS, CARS),
        first_promises=_first_promises(here),
        batches=_by_id(_read(BatchRow, FinishingBatch.objects.waiting())),
        suppliers=_suppliers(),
        milestones=_milestones(here),
        decisions=tuple(_read(DecisionRow, here.of(Decision.objects.owed(), "job__car__"))),
        minutes_spent=_minutes_spent(here),
    )
    known.keep()
    return rows


def _jobs(here: _Scope, cars: Collection[int]) -> dict[int, JobRow]:
    rows = _read(JobRow, here.of(Job.objects.all(), "car__").order_by("pk"))
    return _by_id(row for row in rows if row.car_id in cars)


def _links(here: _Scope) -> tuple[LinkRow, ...]:
    return tuple(_read(LinkRow, here.of(JobLink.objects.all(), "after__car__")))


def _needs(here: _Scope) -> tuple[NeedRow, ...]:
    return tuple(_read(NeedRow, here.of(Need.objects.all(), "job__car__")))


def _parts(here: _Scope, cars: Collection[int]) -> dict[int, PartRow]:
    rows = _read(PartRow, here.of(Part.objects.all(), "car__").order_by("pk"))
    return _by_id(row for row in rows if row.car_id in cars)


def _lines(here: _Scope, parts: Collection[int]) -> dict[int, OperationRow]:
    rows = _read(OperationRow, here.of(Operation.objects.all(), "part__car__").order_by("part", "sequence"))
    return _by_id(row for row in rows if row.part_id in parts)


def _after_jobs(here: _Scope) -> tuple[tuple[int, int], ...]:
    pairs = here.of(Operation.after_jobs.through.objects.all(), "operation__part__car__")
    return tuple(pairs.values_list("operation_id", "job_id"))


def cars_bound_to(car_id: int) -> frozenset[int]:
    """The car and every other whose dates move with it: they share a batch that waits for its last piece."""
    waiting = Operation.objects.filter(
        batch__sent_on__isnull=True, batch__isnull=False, part__car__handed_over_on__isnull=True
    )
    return _bound(car_id, waiting.values_list("batch_id", "part__car_id"))


def _bound(car_id: int, members_of: Iterable[tuple[int | None, int]]) -> frozenset[int]:
    shared: dict[int | None, set[int]] = {}
    for batch_id, member in members_of:
        shared.setdefault(batch_id, set()).add(member)
    bound, grown = {car_id}, True
    while grown:
        grown = False
        for members in shared.values():
            if members & bound and not members <= bound:
                bound |= members
                grown = True
    return frozenset(bound)


@dataclass(frozen=True)
class _Scope:
    """Cars in work, all of them or those named."""

    car_ids: Collection[int] | None

    def of(self, queryset: Any, to_car: str) -> Any:
        queryset = queryset.filter(**{f"{to_car}handed_over_on__isnull": True})
        return queryset if self.car_ids is None else queryset.filter(**{f"{to_car}id__in": self.car_ids})


def _suppliers() -> dict[int, SupplierRow]:
    closures: dict[int, list[tuple[date, date]]] = {}
    for supplier_id, first, last in SupplierClosure.objects.values_list(
        "supplier_id", "first_day", "last_day"
    ):
        closures.setdefault(supplier_id, []).append((first, last))
    return {
        supplier.pk: SupplierRow(
            supplier.pk,
            supplier.name,
            supplier.working_weekdays,
            supplier.carriage_days,
            tuple(closures.get(supplier.pk, ())),
            supplier.at_once,
        )
        for supplier in Supplier.objects.all()
    }


def _milestones(here: _Scope) -> tuple[MilestoneRow, ...]:
    jobs: dict[int, list[int]] = {}
    through = here.of(Milestone.jobs.through.objects.all(), "milestone__car__")
    for milestone_id, job_id in through.order_by("job_id").values_list("milestone_id", "job_id"):
        jobs.setdefault(milestone_id, []).append(job_id)
    # the newest promise comes last and stays in the dictionary
    promises = dict(
        MilestonePromise.objects.order_by("given_on", "pk").values_list("milestone_id", "promised_on")
    )
    found = here.of(Milestone.objects.all(), "car__").order_by("pk")
    return tuple(
        MilestoneRow(pk, car_id, kind, name, tuple(jobs.get(pk, ())), promises.get(pk), weight)
        for pk, car_id, kind, name, weight in found.values_list("pk", "car_id", "kind", "name", "weight")
    )


def _first_promises(here: _Scope) -> dict[int, date]:
    out = SupplierPromise.objects.filter(operation__sent_on__isnull=False, operation__back_on__isnull=True)
    newest_first = here.of(out, "operation__part__car__").order_by("-made_on", "-pk")
    # the oldest comes last and stays in the dictionary
    return dict(newest_first.values_list("operation_id", "promised_on"))


def _minutes_spent(here: _Scope) -> dict[int, int]:
    open_jobs = TimeSpent.objects.filter(job__done_at__isnull=True, minutes__isnull=False)
    totals = here.of(open_jobs, "job__car__").order_by().values("job_id").annotate(total=Sum("minutes"))
    return {row["job_id"]: row["total"] for row in totals}

"""Turns rows into activities and links of the core: the one place that says what waits for what.

How long a thing still takes, and from when:

- a job not begun takes its likely hours; one in hand takes what is left of them, and if they are used
  up what is left of the high estimate, and at least an hour;
- a job away with the car takes its likely hours at eight to the supplier's working day, or as long as
  the car is booked to be there;
- an operation takes its likely lead time, with carriage each way: the supplier's working days from the
  day of goods out up to that of goods in, which is not counted itself (`WorkCalendar.back_from`);
- what is out comes on the day last promised; nothing promised, after its likely lead time; and where
  that day has passed, not before the next working day;
- once out, the whole day of goods out counts, and goods are at hand as a day begins: so going out on the
  day planned makes nothing later, nor does a promise for the very day that the lead time gives; any other
  promised day brings them at midday.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property

from django.utils import timezone

from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.errors import BeyondHorizon
from builds.schedule.network import Activity, Link

from .calendars import (
    CLOCK,
    DAY_MIN,
    SHOP,
    SHOP_DAYS,
    at_midday,
    at_midnight,
    car_calendar,
    clock,
    due_back,
    shop_calendars,
    supplier_calendar,
)
from .rows import AwayRow, BatchRow, DecisionRow, JobRow, LinkRow, NeedRow, OperationRow, Rows

HOURS_PER_AWAY_DAY = 8  # an away job's hours count eight to a supplier's working day
LEAST_LEFT_MIN = 60  # a job in hand takes at least another hour


@dataclass(frozen=True)
class BatchChoice:
    """A what-if: these operations as one batch, on a day or (None) when the last is ready."""

    operation_ids: frozenset[int]
    leaves_on: date | None


@dataclass(frozen=True)
class Model:
    """Rows seen on one day, with what-ifs laid over them."""

    rows: Rows
    today: date
    choice: BatchChoice | None = None
    prompt: frozenset[str] = frozenset()  # what-if: these activities, now waited for, are here tomorrow

    def with_batch(self, operation_ids: Collection[int], leaves_on: date | None) -> Model:
        return replace(self, choice=BatchChoice(frozenset(operation_ids), leaves_on))

    def with_prompt(self, *keys: str) -> Model:
        return replace(self, prompt=self.prompt | set(keys))

    # Calendars

    @cached_property
    def shop(self) -> WorkCalendar:
        return self.calendars[SHOP]

    @cached_property
    def calendars(self) -> dict[str, WorkCalendar]:
        found = {CLOCK: clock(self.today), **shop_calendars(self.rows, self.today)}
        for supplier in self.rows.suppliers.values():
            found[f"supplier:{supplier.id}"] = supplier_calendar(self.rows, supplier, self.today)
        for car_id, aways in self.aways.items():
            found[f"car:{car_id}"] = car_calendar(found[SHOP], aways, self.today)
        return found

    @cached_property
    def aways(self) -> dict[int, list[AwayRow]]:
        """Stays away that are not over, by car."""
        found: dict[int, list[AwayRow]] = {}
        for away in self.rows.aways:
            found.setdefault(away.car_id, []).append(away)
        return found

    def away_now(self, car_id: int) -> AwayRow | None:
        return next((away for away in self.aways.get(car_id, ()) if away.leaves_on <= self.today), None)

    @cached_property
    def next_day(self) -> date:
        """The workshop's next working day after today."""
        day = self.today + timedelta(days=1)
        while self.shop.days_between(day, day + timedelta(days=1)) == 0:
            day += timedelta(days=1)
        return day

    @cached_property
    def jobs_of_car(self) -> dict[int, list[JobRow]]:
        found: dict[int, list[JobRow]] = {}
        for job in self.rows.jobs.values():
            found.setdefault(job.car_id, []).append(job)
        return found

    @cached_property
    def lines_of_car(self) -> dict[int, list[OperationRow]]:
        """Every line of every route card, by car."""
        found: dict[int, list[OperationRow]] = {}
        for operation in self.rows.operations.values():
            found.setdefault(self.rows.parts[operation.part_id].car_id, []).append(operation)
        return found

    # Jobs

    def job_activity(self, job: JobRow) -> Activity:
        key = f"job:{job.id}"
        if job.done_at is not None:  # done, waiting for its second signature
            return Activity(key, 0, SHOP)
        if job.place == "away":
            return self._away_activity(job, key)
        calendar = f"car:{job.car_id}" if job.place == "on" and job.car_id in self.aways else SHOP
        return Activity(key, self.minutes_left(job), calendar)

    def minutes_left(self, job: JobRow) -> int:
        likely, high = round(job.hours_likely * 60), round(job.hours_high * 60)
        if job.started_at is None:
            return likely
        spent = self.rows.minutes_spent.get(job.id, 0) // max(1, job.people)
        left = likely - spent if likely > spent else high - spent
        return max(left, min(likely, LEAST_LEFT_MIN))

    def _away_activity(self, job: JobRow, key: str) -> Activity:
        stay = self.booked_stay(job)
        if stay is not None:
            gone = stay.leaves_on <= self.today
            begins = at_midday(due_back(stay, self.today)) if gone else at_midnight(stay.leaves_on)
            days = 0 if gone else max(0, (stay.due_back_on - stay.leaves_on).days)
            return Activity(key, days * DAY_MIN, CLOCK, begins)
        days = float(job.hours_likely) / HOURS_PER_AWAY_DAY
        return Activity(key, round(days * DAY_MIN), self._supplier_calendar(job.supplier_id))

    def booked_stay(self, job: JobRow) -> AwayRow | None:
        """The stay at this job's supplier that is under way, or booked before the job is begun."""
        stays = [away for away in self.aways.get(job.car_id, ()) if away.supplier_id == job.supplier_id]
        return stays[0] if stays else None

    def _supplier_calendar(self, supplier_id: int | None) -> str:
        return SHOP_DAYS if supplier_id is None else f"supplier:{supplier_id}"

    # Operations

    def operation_activity(self, operation: OperationRow) -> Activity:
        key = f"op:{operation.id}"
        if operation.state == "back":
            return Activity(key, 0, SHOP)
        if operation.state == "out":
            return Activity(key, 0, CLOCK, self._comes_at(operation))
        calendar = self._supplier_calendar(operation.supplier_id)
        if key in self.prompt:
            return Activity(key, 0, calendar)
        return Activity(key, self.lead_days(operation) * DAY_MIN, calendar, self._leaves_from(operation))

    def lead_days(self, operation: OperationRow) -> int:
        """Likely lead time with carriage; a bought-in part travels one way only."""
        supplier = self.rows.suppliers.get(operation.supplier_id or 0)
        carriage = supplier.carriage_days if supplier else 0
        ways = 1 if operation.process__kind == "supply" else 2
        return operation.lead_likely_days + ways * carriage

    def expected_back(self, operation: OperationRow) -> date:
        """The day on which something that is out should come in."""
        if f"op:{operation.id}" in self.prompt:
            return self.next_day
        expected = operation.promised_on or self._after_lead_time(operation)
        return expected if expected >= self.today else self.next_day

    def _comes_at(self, operation: OperationRow) -> int:
        """The moment at which something that is out should come in."""
        day = self.expected_back(operation)
        as_planned = day > self.today and day == self._after_lead_time(operation)
        return at_midnight(day) if as_planned and not self.is_overdue(operation) else at_midday(day)

    def first_promise(self, operation: OperationRow) -> date | None:
        """The day first promised while it is out; later promises do not make it less late."""
        return self.rows.first_promises.get(operation.id, operation.promised_on)

    def days_late(self, operation: OperationRow) -> int:
        """Calendar days past the day first promised; 0 unless it is out."""
        first = self.first_promise(operation)
        return max(0, (self.today - first).days) if first and operation.state == "out" else 0

    def is_overdue(self, operation: OperationRow) -> bool:
        """Out past the day it was expected, with no newer word."""
        if operation.state != "out":
            return False
        return (operation.promised_on or self._after_lead_time(operation)) < self.today

    def _after_lead_time(self, operation: OperationRow) -> date:
        calendar = self.calendars[self._supplier_calendar(operation.supplier_id)]
        sent = max(operation.sent_on or self.today, calendar.first)
        try:
            return self.shop_day_from(calendar.back_from(sent, self.lead_days(operation)))
        except BeyondHorizon:
            return calendar.last

    def shop_day_from(self, day: date) -> date:
        """The workshop's first working day from a day on: goods that come on a day off are at hand then."""
        try:
            return self.shop.working_day_from(day)
        except BeyondHorizon:
            return day

    def _leaves_from(self, operation: OperationRow) -> int | None:
        if self.choice and operation.id in self.choice.operation_ids:
            return at_midnight(self.choice.leaves_on) if self.choice.leaves_on else None
        batch = self.rows.batches.get(operation.batch_id or 0)
        if batch and batch.planned_on and batch.planned_on > self.today:
            return at_midnight(batch.planned_on)
        return None

    # Batches

    def gate_of(self, operation: OperationRow) -> str | None:
        """The point at which a batch that waits for its last piece can leave; None for one that does not."""
        if operation.state != "to do":
            return None
        if self.choice and operation.id in self.choice.operation_ids:
            return None if self.choice.leaves_on else "batch:choice"
        batch = self.rows.batches.get(operation.batch_id or 0)
        return f"batch:{batch.id}" if batch and batch.leaves == "ready" else None

    def batch_of_gate(self, key: str) -> BatchRow | None:
        number = key.removeprefix("batch:")
        return self.rows.batches.get(int(number)) if number.isdigit() else None

    # The whole

    @cached_property
    def open_operations(self) -> dict[int, OperationRow]:
        """Operations still to be gone through. A rejected one counts until a line makes it good."""
        return {
            operation.id: operation
            for operation in self.rows.operations.values()
            if operation.state != "accepted"
            and not (operation.state == "rejected" and operation.id in self._reworks)
        }

    @cached_property
    def open_jobs(self) -> dict[int, JobRow]:
        return {job.id: job for job in self.rows.jobs.values() if not job.is_complete}

    def is_held(self, job: JobRow) -> bool:
        """Whether anything that the job needs is missing now."""
        return bool(
            self.decisions_of.get(job.id)
            or (job.place == "on" and self.away_now(job.car_id))
            or any(link.before_id in self.open_jobs for link in self.links_in.get(job.id, ()))
            or self.needed_operations(job.id)
            or self.makers_needed(job.id)
            or self.cured_from(job)
        )

    def activities(self) -> Iterator[Activity]:
        yield from (self.cured_activity(job) for job in self.open_jobs.values())
        gates = set()
        for operation in self.open_operations.values():
            yield self.operation_activity(operation)
            gates.add(self.gate_of(operation))
        yield from (Activity(gate, 0, SHOP) for gate in sorted(gate for gate in gates if gate))
        for decision in self.rows.decisions:
            key = f"decision:{decision.id}"
            due = decision.due_on if decision.due_on >= self.today else self.next_day
            yield Activity(key, 0, CLOCK, None if key in self.prompt else at_midday(due))
        for milestone in self.rows.milestones:
            yield Activity(f"milestone:{milestone.id}", 0, SHOP)

    def cured_activity(self, job: JobRow) -> Activity:
        """The job, not before what it waits for has cured."""
        activity, cured = self.job_activity(job), self.cured_from(job)
        return activity if cured is None else _not_before(activity, to_minutes(cured))

    def cured_from(self, job: JobRow) -> datetime | None:
        """When the lag after a job that is already complete will have run out; None if it has by the time
        that the workshop opens today.
        """
        moments = [
            _local(before.done_at) + timedelta(hours=float(link.lag_hours))
            for link in self.links_in.get(job.id, ())
            if link.lag_hours and (before := self.rows.jobs.get(link.before_id)) and before.done_at
            if before.is_complete
        ]
        latest = max(moments, default=None)
        opens = datetime.combine(self.today, self.rows.day_starts)
        return latest if latest and latest > opens else None

    @cached_property
    def links_in(self) -> dict[int, list[LinkRow]]:
        found: dict[int, list[LinkRow]] = {}
        for link in self.rows.links:
            found.setdefault(link.after_id, []).append(link)
        return found

    @cached_property
    def jobs_before_operation(self) -> dict[int, list[int]]:
        """Open jobs that a line of a route card waits for directly."""
        found: dict[int, list[int]] = {}
        for operation_id, job_id in self.rows.after_jobs:
            if job_id in self.open_jobs:
                found.setdefault(operation_id, []).append(job_id)
        for part_id, card in self.cards.items():
            maker = self.rows.parts[part_id].made_by_id
            if card and maker in self.open_jobs:
                found.setdefault(card[0].id, []).append(maker)
        return found

    @cached_property
    def cards(self) -> dict[int, list[OperationRow]]:
        return self.rows.route_cards

    def before_operation(self, operation: OperationRow) -> list[str]:
        """Keys of what a line of a route card waits for, its batch apart."""
        if operation.state in ("out", "back"):
            return []
        own = self._reworked_by(operation)
        earlier = [
            line
            for line in self.cards[operation.part_id]
            if line.sequence < operation.sequence and line.id in self.open_operations and line.id not in own
        ]
        keys = [f"op:{line.id}" for line in self._with_rest(earlier[-1])] if earlier else []
        return keys + [f"job:{job_id}" for job_id in self.jobs_before_operation.get(operation.id, ())]

    def needed_operations(self, job_id: int) -> list[OperationRow]:
        """Lines that must be accepted before the job, of the parts that it needs."""
        found = []
        for need in self.needs_of.get(job_id, ()):
            lines = [line for line in self.cards.get(need.part_id, ()) if line.id in self.open_operations]
            wanted = self._made_good(need.operation_id)
            if wanted is not None:
                lines = [line for line in lines if line.sequence <= wanted.sequence]
            if lines:
                found += self._with_rest(lines[-1])
        return found

    def _with_rest(self, line: OperationRow) -> list[OperationRow]:
        """A line, and where it makes good a few pieces of one that is still out, that one too."""
        own = self._reworked_by(line)
        return [line, *(row for key, row in self.open_operations.items() if key in own)] if own else [line]

    def _reworked_by(self, operation: OperationRow) -> set[int]:
        """Keys of the lines that this one makes good, however often it took."""
        found: set[int] = set()
        good = operation.reworks_id
        while good is not None and good not in found:
            found.add(good)
            line = self.rows.operations.get(good)
            good = line.reworks_id if line else None
        return found

    def _made_good(self, operation_id: int | None) -> OperationRow | None:
        """The line that a job needs; where it was rejected, the one that makes it good."""
        operation = self.rows.operations.get(operation_id or 0)
        while operation is not None and operation.id in self._reworks:
            operation = self._reworks[operation.id]
        return operation

    @cached_property
    def _reworks(self) -> dict[int, OperationRow]:
        rows = self.rows.operations.values()
        return {operation.reworks_id: operation for operation in rows if operation.reworks_id}

    @cached_property
    def jobs_needing(self) -> dict[int, list[int]]:
        """Open jobs by the line of a route card that they wait for directly."""
        found: dict[int, list[int]] = {}
        for job_id in self.open_jobs:
            for operation in self.needed_operations(job_id):
                found.setdefault(operation.id, []).append(job_id)
        return found

    def makers_needed(self, job_id: int) -> list[int]:
        """Open jobs that make a part which the job needs and which has no route card of its own."""
        parts = (self.rows.parts[need.part_id] for need in self.needs_of.get(job_id, ()))
        return [
            part.made_by_id
            for part in parts
            if part.made_by_id in self.open_jobs and part.made_by_id != job_id and not self.cards[part.id]
        ]

    @cached_property
    def needs_of(self) -> dict[int, list[NeedRow]]:
        found: dict[int, list[NeedRow]] = {}
        for need in self.rows.needs:
            if need.part_id in self.rows.parts:
                found.setdefault(need.job_id, []).append(need)
        return found

    def links(self) -> Iterator[Link]:
        for job_id in self.open_jobs:
            yield from self._links_to_job(job_id)
        for operation in self.open_operations.values():
            yield from self._links_to_operation(operation)
        for milestone in self.rows.milestones:
            for job_id in milestone.job_ids:
                if job_id in self.open_jobs:
                    yield Link(f"job:{job_id}", f"milestone:{milestone.id}")

    def _links_to_job(self, job_id: int) -> Iterator[Link]:
        key = f"job:{job_id}"
        for link in self.links_in.get(job_id, ()):
            if link.before_id in self.open_jobs:
                yield Link(f"job:{link.before_id}", key, lag_min=round(link.lag_hours * 60))
        for operation in self.needed_operations(job_id):
            yield Link(f"op:{operation.id}", key)
        for maker in self.makers_needed(job_id):
            yield Link(f"job:{maker}", key)
        for decision in self.decisions_of.get(job_id, ()):
            yield Link(f"decision:{decision.id}", key)

    @cached_property
    def decisions_of(self) -> dict[int, list[DecisionRow]]:
        found: dict[int, list[DecisionRow]] = {}
        for decision in self.rows.decisions:
            if decision.job_id in self.open_jobs:
                found.setdefault(decision.job_id, []).append(decision)
        return found

    def _links_to_operation(self, operation: OperationRow) -> Iterator[Link]:
        key, gate = f"op:{operation.id}", self.gate_of(operation)
        for before in self.before_operation(operation):
            yield Link(before, gate or key)
        if gate:
            yield Link(gate, key)


def _not_before(activity: Activity, moment: int) -> Activity:
    return replace(activity, not_before=max(moment, activity.not_before or moment))


def _local(moment: datetime) -> datetime:
    return timezone.localtime(moment).replace(tzinfo=None)

"""How certain the dates are: every job and every supplier as a distribution, drawn over the whole network.

- a job: PERT beta, or triangular where the workshop's settings say so, from its low, likely and high
  hours; one in hand, what remains of that after the hours spent;
- a line of a route card: the supplier's own record of actual over promised lead time, shrunk towards
  the estimate while the record is short (`builds.schedule.supplier_record`);
- what is out: what remains of that after the working days it has been out;
- a car that is away: likewise, by the record of that supplier's other stays and jobs, but not before
  the day it is due;
- pieces of one batch take the same time; lines of one supplier take long together as far as we do not
  know the supplier.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cached_property
from threading import Lock

from builds.facts import Window
from builds.schedule.calendar import WorkCalendar, from_minutes
from builds.schedule.draws import Together
from builds.schedule.errors import ScheduleError
from builds.schedule.forecast import FirmDate, Outcome, firm_dates, forecast
from builds.schedule.network import Activity, Link, Network
from builds.schedule.passes import forward_within
from builds.schedule.spread import Pert, Spread, Triangular, remaining
from builds.schedule.supplier_record import Expectation, expected_lead
from builds.schedule.whatif import with_activities, with_more

from .calendars import DAY_MIN, SHOP_DAYS
from .model import HOURS_PER_AWAY_DAY, LEAST_LEFT_MIN, Model
from .records import Record, supplier_records, supplier_stays
from .rows import AwayRow, JobRow, OperationRow
from .solution import Solution

SEED = 20
FIRST_DRAWS, MOST_DRAWS = 2_500, 10_000  # doubled until four in five is stable to half a day
FIRM_DRAWS = 2_000
STAY_LOW, STAY_HIGH = 0.8, 1.6  # of the days booked, without a record: common practice, no source
KEPT = 16  # forecasts of one process, so that a page asked for twice is worked out once


class Forecaster:
    """Spreads for the activities of one solution, made once."""

    def __init__(self, solution: Solution) -> None:
        self.solution = solution
        self.model: Model = solution.model
        self.together: dict[str, Together] = {}
        self.spreads: dict[str, Spread] = {}
        self.changed: dict[str, Activity] = {}
        self.answers: dict[tuple[str, ...], Mapping[str, Outcome]] = {}  # by what was asked for together
        for job in self.model.open_jobs.values():
            if self._is_dated(f"job:{job.id}"):
                self._add_job(job)
        for operation in self.model.open_operations.values():
            if self._is_dated(f"op:{operation.id}"):
                self._add_operation(operation)

    def _is_dated(self, key: str) -> bool:
        """Whether it is in the network: what lies beyond the calendars is not."""
        return self.solution.network is None or key in self.solution.network.place

    @cached_property
    def records(self) -> Record:
        return supplier_records(self.model)

    @cached_property
    def returns(self) -> list[Activity]:
        """Cars that are away, coming back; their spreads are with the others from then on."""
        return [one for stay in self._stays_under_way() if (one := self._add_return(stay))]

    @cached_property
    def network(self) -> Network:
        """The network in which what is out takes time, in place of a day on which it comes."""
        if self.solution.network is None:
            raise ScheduleError(self.solution.problem)
        place = self.solution.network.place
        known = {key: activity for key, activity in self.changed.items() if key in place}
        return with_more(with_activities(self.solution.network, known), self.returns, self._after_returns())

    def _add_job(self, job: JobRow) -> None:
        booked = job.place == "away" and self.model.booked_stay(job) is not None
        if job.done_at is not None or job.hours_high <= 0 or booked:
            return
        unit = DAY_MIN / HOURS_PER_AWAY_DAY if job.place == "away" else 60
        curve = Triangular if self.model.rows.job_curve == "triangular" else Pert
        spread: Spread = curve(
            *(float(hours) * unit for hours in (job.hours_low, job.hours_likely, job.hours_high))
        )
        if job.started_at is not None and job.place != "away":
            spent = self.model.rows.minutes_spent.get(job.id, 0) / max(1, job.people)
            spread = remaining(spread, spent, least_min=LEAST_LEFT_MIN)
        self.spreads[f"job:{job.id}"] = spread

    def _add_operation(self, operation: OperationRow) -> None:
        if operation.state == "back" or operation.lead_high_days == 0:
            return
        key = f"op:{operation.id}"
        expectation = self.expectation(operation)
        if expectation is None:
            return
        spread: Spread = expectation.spread
        if operation.state == "out":
            calendar = self._calendar(operation)
            sent = max(operation.sent_on or self.model.today, calendar.first)
            gone = max(0, calendar.days_between(sent, self.model.today)) if sent < self.model.today else 0
            spread = remaining(spread, gone * DAY_MIN)
            self.changed[key] = Activity(
                key, max(1, round(spread.median_min)), self._calendar_name(operation)
            )
        self.spreads[key] = spread
        gate = self.model.gate_of(operation)
        if gate is not None:
            self.together[key] = Together(gate)
        elif operation.supplier_id is not None:
            self.together[key] = Together(f"supplier:{operation.supplier_id}", expectation.shared)

    def _stays_under_way(self) -> list[AwayRow]:
        return [stay for car_id in self.model.aways if (stay := self.model.away_now(car_id)) is not None]

    def _add_return(self, stay: AwayRow) -> Activity | None:
        """The car's coming back as something that takes time; None where its days cannot be counted."""
        key, name = f"away:{stay.id}", f"supplier:{stay.supplier_id}"
        calendar, today = self.model.calendars[name], self.model.today
        leaves = max(stay.leaves_on, calendar.first)
        booked = calendar.days_between(leaves, stay.due_back_on) if leaves < stay.due_back_on else 0
        if booked == 0:
            return None
        low, high = STAY_LOW * booked, STAY_HIGH * booked
        estimate = Pert(low * DAY_MIN, booked * DAY_MIN, high * DAY_MIN)
        record = supplier_stays(self.model, stay.supplier_id)
        gone = calendar.days_between(leaves, today) if leaves < today else 0
        spread = remaining(expected_lead(record, estimate).spread, gone * DAY_MIN)
        self.spreads[key] = spread
        return Activity(key, max(1, round(spread.median_min)), name)

    def _after_returns(self) -> Iterator[Link]:
        """What cannot begin before a car is back: the jobs on it here, and those that it is away for."""
        network = self.solution.network
        for activity in self.returns:
            stay = next(one for one in self._stays_under_way() if f"away:{one.id}" == activity.key)
            for job in self.model.jobs_of_car.get(stay.car_id, ()):
                key = f"job:{job.id}"
                waits = job.place == "on" or (job.place == "away" and self.model.booked_stay(job) == stay)
                if waits and network is not None and key in network.place:
                    yield Link(activity.key, key)

    def expectation(self, operation: OperationRow) -> Expectation | None:
        """The lead time to be expected, carriage included, and why."""
        extra = self.model.lead_days(operation) - operation.lead_likely_days
        likely = operation.lead_likely_days + extra
        if likely <= 0:
            return None
        figures = (operation.lead_low_days + extra, likely, operation.lead_high_days + extra)
        estimate = Pert(*(float(days) * DAY_MIN for days in figures))
        record = self.records.get((operation.supplier_id or 0, operation.process_id), ())
        return expected_lead(record, estimate, self._promise_min(operation))

    def _promise_min(self, operation: OperationRow) -> float | None:
        """Working days from goods out to the day last promised; None where none can be counted."""
        if operation.sent_on is None or operation.promised_on is None:
            return None
        calendar = self._calendar(operation)
        sent = max(operation.sent_on, calendar.first)
        days = calendar.days_between(sent, operation.promised_on) if sent < operation.promised_on else 0
        return float(days) * DAY_MIN if days > 0 else None

    def _calendar_name(self, operation: OperationRow) -> str:
        return SHOP_DAYS if operation.supplier_id is None else f"supplier:{operation.supplier_id}"

    def _calendar(self, operation: OperationRow) -> WorkCalendar:
        return self.model.calendars[self._calendar_name(operation)]


_kept: OrderedDict[tuple[object, ...], Mapping[str, Outcome]] = OrderedDict()
_at_work = Lock()  # two pages that ask for the same at once wait for one answer


def milestone_outcome(forecaster: Forecaster, milestone_id: int) -> Outcome | None:
    """When one milestone will be reached; None where the network has no dates."""
    key = f"milestone:{milestone_id}"
    return milestone_outcomes(forecaster, (key,)).get(key)


def milestone_outcomes(forecaster: Forecaster, keys: Collection[str]) -> Mapping[str, Outcome]:
    """When several milestones will be reached, drawn together; what has no date is left out.

    A question is worked out once and its answer kept.
    """
    network = forecaster.solution.network
    asked = tuple(sorted(key for key in keys if network is not None and key in network.place))
    if asked not in forecaster.answers:
        forecaster.answers[asked] = _kept_or_drawn(forecaster, asked, None) if asked else {}
    return forecaster.answers[asked]


def outcome_in_full(forecaster: Forecaster, key: str, drawn: Outcome) -> Outcome:
    """The same outcome with how often each thing sets the date: as many draws, and so the same ones."""
    return _kept_or_drawn(forecaster, (key,), int(drawn.finishes.size)).get(key, drawn)


def _kept_or_drawn(
    forecaster: Forecaster, keys: tuple[str, ...], in_full: int | None
) -> Mapping[str, Outcome]:
    question = (*_question(forecaster, keys), in_full)
    outcomes = _kept.get(question)
    if outcomes is None:
        with _at_work:
            outcomes = _kept.get(question)
            if outcomes is None:
                outcomes = _drawn(forecaster, keys, in_full)
            _kept[question] = outcomes
            while len(_kept) > KEPT:
                _kept.popitem(last=False)
    return outcomes


def _drawn(forecaster: Forecaster, keys: Collection[str], in_full: int | None) -> Mapping[str, Outcome]:
    """With a number of draws, what sets the date in each of them too, which takes longer."""
    try:
        found = forecast(
            forecaster.network,
            forecaster.spreads,
            keys,
            SEED,
            draws=in_full or FIRST_DRAWS,
            most_draws=in_full or MOST_DRAWS,
            together=forecaster.together,
            with_criticality=in_full is not None,
        )
    except ScheduleError:
        return {}  # the plain network's own problem is shown; a forecast adds nothing to it
    return found.outcomes


def firm_worth(
    forecaster: Forecaster, milestone_id: int, firm: Mapping[str, Collection[str]]
) -> tuple[FirmDate, ...]:
    """What it would be worth to know some lengths for certain: a forecast for each name."""
    key = f"milestone:{milestone_id}"
    network, spreads, together = forecaster.network, forecaster.spreads, forecaster.together
    found = forecast(
        network,
        spreads,
        [key],
        SEED,
        draws=FIRM_DRAWS,
        most_draws=FIRM_DRAWS,
        together=together,
        with_criticality=False,
    )
    return firm_dates(network, spreads, found, key, firm, together)


def at_own_even_chance(forecaster: Forecaster, milestone_id: int) -> date | None:
    """When a milestone would be reached if each length were at its own even chance and nothing were drawn.

    Between this day and the even chance lies what comes of the drawing alone: where several things must be
    there, the latest of them counts. None where the network has no such date.
    """
    network, key = forecaster.network, f"milestone:{milestone_id}"
    lengths = {
        name: replace(network.activity(name), work_min=max(0, round(spread.median_min)))
        for name, spread in forecaster.spreads.items()
        if name in network.place
    }
    early, _ = forward_within(with_activities(network, lengths))
    return day_of(early.finish[key]) if key in early.finish else None


def window_of(outcome: Outcome | None) -> Window | None:
    """Even chance and four in five; None where the date lies beyond the calendars."""
    try:
        return outcome and Window(day_of(outcome.even_chance), day_of(outcome.four_in_five))
    except ScheduleError:
        return None


def day_of(moment: int) -> date:
    """The day of a moment of the core."""
    return from_minutes(moment).date()


def _question(forecaster: Forecaster, keys: tuple[str, ...]) -> tuple[object, ...]:
    """All that the answer depends on, by value."""
    network = forecaster.network
    return (
        keys,
        network.start,
        network.activities,
        network.links,
        tuple(sorted(forecaster.spreads.items(), key=lambda item: item[0])),
        tuple(sorted((name, hash(calendar)) for name, calendar in network.calendars.items())),
    )

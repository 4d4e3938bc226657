"""Both passes over the network of one day, and the questions that pages ask of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from builds.schedule.calendar import from_minutes
from builds.schedule.driving import Step, what_sets
from builds.schedule.errors import BeyondHorizon, CycleError, ScheduleError
from builds.schedule.network import Network
from builds.schedule.passes import Early, Late, backward, forward_again, forward_within, total_float
from builds.schedule.whatif import without

from .calendars import DAY_MIN, SHOP, at_midnight
from .model import Model

FIRST_START_UP = "first start-up"
ONE_DAY = timedelta(days=1)
LEAST_SPARE = 0.1  # days, of what can wait over a weekend of ours and no longer


@dataclass(frozen=True)
class Solution:
    """A model worked out. Where it cannot be, `early` is None and `problem` says why.

    What would come after the calendars end, and what waits for it, is left out of the network: `beyond` says
    of each such thing what it is that lies too far ahead. All else keeps its dates. Where a plan's order is
    in the network, `given` tells the links that are reasons by themselves.
    """

    model: Model
    network: Network | None
    early: Early | None
    problem: str
    beyond: Mapping[str, BeyondHorizon] = field(default_factory=dict)
    given: frozenset[tuple[str, str]] = frozenset()

    @classmethod
    def of(cls, model: Model) -> Solution:
        try:
            network = Network.build(
                model.activities(), model.links(), model.calendars, at_midnight(model.today)
            )
        except CycleError as error:
            return cls(model, None, None, _ring_words(model, error.keys))
        except ScheduleError as error:
            return cls(model, None, None, str(error))
        return cls.dated(model, network)

    @classmethod
    def dated(cls, model: Model, network: Network, was: Solution | None = None) -> Solution:
        """Work a network of the model out, as far as its calendars reach.

        With a solution of nearly the same network only what moves is worked out: the dates are the same.
        """
        if was is None or was.network is None or was.early is None:
            early, beyond = forward_within(network)
        else:
            early, beyond = forward_again(network, was.network, was.early)
        given = was.given if was else frozenset()
        return cls(model, without(network, beyond) if beyond else network, early, "", beyond, given)

    @cached_property
    def problems(self) -> tuple[str, ...]:
        """What people should know: why there are no dates, or which things lie too far ahead."""
        if self.problem:
            return (self.problem,)
        causes = {error.key: error for error in self.beyond.values() if error.key}
        return tuple(too_far_words(self.model, error) for error in causes.values())

    def problem_of(self, key: str) -> str:
        """Why one thing has no date; empty if nothing is wrong with it."""
        error = self.beyond.get(key)
        return self.problem if error is None else too_far_words(self.model, error)

    # Early dates

    def start_on(self, key: str) -> date | None:
        return from_minutes(self.early.start[key]).date() if self._has(key) else None

    def finish_on(self, key: str) -> date | None:
        """The day it is finished; work that ends at midnight ends on the day before.

        Goods are at hand on the workshop's first working day after their lead time. A milestone is reached on
        the day on which the last thing before it is finished.
        """
        if not self._has(key):
            return None
        assert self.early is not None
        start, finish = self.early.start[key], self.early.finish[key]
        day = from_minutes(finish).date()
        if key.startswith("op:") and finish > start:
            return self.model.shop_day_from(day)
        if finish % DAY_MIN:
            return day
        if key.startswith("milestone:"):
            return self._reached_on(key, finish)
        return day - ONE_DAY if finish > start else day

    def _reached_on(self, key: str, finish: int) -> date:
        """A milestone after a supplier's Friday is reached on that Friday, not on Saturday."""
        assert self.network is not None
        assert self.early is not None
        before = [self.network.keys[place] for place, *_ in self.network.waits_for[self.network.place[key]]]
        days = [self.finish_on(other) for other in before if self.early.finish[other] == finish]
        return max((day for day in days if day), default=from_minutes(finish).date())

    def _has(self, key: str) -> bool:
        return self.early is not None and key in self.early.start

    # Floats

    @cached_property
    def start_up_keys(self) -> frozenset[str]:
        return frozenset(
            f"milestone:{milestone.id}"
            for milestone in self.model.rows.milestones
            if milestone.kind == FIRST_START_UP and self.is_open(milestone.job_ids)
        )

    def is_open(self, job_ids: tuple[int, ...]) -> bool:
        return not job_ids or any(job_id in self.model.open_jobs for job_id in job_ids)

    @cached_property
    def next_milestones(self) -> tuple[str, ...]:
        """For each car the one asked about most: first start-up until it is reached, then the soonest."""
        found: dict[int, tuple[bool, date, str]] = {}
        for milestone in self.model.rows.milestones:
            key = f"milestone:{milestone.id}"
            on = self.finish_on(key)
            if on is None or not milestone.job_ids or not self.is_open(milestone.job_ids):
                continue
            rank = milestone.kind != FIRST_START_UP, on, key
            found[milestone.car_id] = min(found.get(milestone.car_id, rank), rank)
        return tuple(sorted(key for _, _, key in found.values()))

    @cached_property
    def later_keys(self) -> frozenset[str]:
        return frozenset(
            f"milestone:{milestone.id}"
            for milestone in self.model.rows.milestones
            if milestone.kind != FIRST_START_UP and self.is_open(milestone.job_ids)
        )

    @cached_property
    def late_to_start_up(self) -> Late:
        return self._late(self.start_up_keys)

    @cached_property
    def late_to_later(self) -> Late:
        return self._late(self.later_keys)

    def _late(self, keys: frozenset[str]) -> Late:
        if self.network is None or self.early is None:
            return Late({}, {})
        keys = keys & set(self.network.place)
        if not keys:
            return Late({}, {})
        return backward(self.network, self.early, dict.fromkeys(keys))

    @cached_property
    def spare_to_start_up(self) -> dict[str, int]:
        return self._floats(self.late_to_start_up)

    @cached_property
    def spare_to_later(self) -> dict[str, int]:
        return self._floats(self.late_to_later)

    def _floats(self, late: Late) -> dict[str, int]:
        if self.network is None or self.early is None:
            return {}
        return total_float(self.network, self.early, late)

    @cached_property
    def later_names(self) -> dict[int, str]:
        """For each car what comes after first start-up: the name shown where only that can move."""
        return {
            milestone.car_id: milestone.name
            for milestone in self.model.rows.milestones
            if milestone.kind == "handover"
        }

    def spare(self, key: str, car_id: int) -> tuple[float | None, str]:
        """Working days before a milestone moves, and its name: first start-up where the thing leads there."""
        if key in self.spare_to_start_up:
            return self._days(key, self.spare_to_start_up[key], self.late_to_start_up), FIRST_START_UP
        if key in self.spare_to_later:
            days = self._days(key, self.spare_to_later[key], self.late_to_later)
            return days, self.later_names.get(car_id, "a milestone")
        return None, ""

    def holds_start_up(self, key: str) -> bool:
        """On the chain of a first start-up, or with nothing to spare before one.

        A supplier's day ends at midnight and ours begins in the morning: that night is float by the clock,
        but whatever comes back then is still what the date waits for.
        """
        return key in self.start_up_chains or self.spare_to_start_up.get(key, 1) <= 0

    @cached_property
    def start_up_chains(self) -> frozenset[str]:
        return frozenset(step.key for start_up in self.start_up_keys for step in self.chain(start_up))

    def _days(self, key: str, minutes: int, late: Late) -> float:
        """A float as working days of the workshop, whosever days the activity itself keeps."""
        assert self.network is not None
        assert self.early is not None
        name, _, _crew = self.network.activity(key).calendar.partition(" and ")
        if name == SHOP or name.startswith("car:"):
            return round(minutes / self.minutes_per_day, 1)
        if minutes <= 0:
            return round(minutes / DAY_MIN, 1)
        first, last = (from_minutes(moment).date() for moment in (self.early.start[key], late.start[key]))
        return float(max(LEAST_SPARE, self.model.shop.days_between(first, max(first, last))))

    @cached_property
    def minutes_per_day(self) -> float:
        worked = [hours for hours in self.model.rows.hours if hours > 0]
        return float(sum(worked)) * 60 / len(worked)

    def order_by(self, key: str) -> date | None:
        """The last day on which it can begin without moving what it leads to."""
        for late in (self.late_to_start_up, self.late_to_later):
            if key in late.start:
                return from_minutes(late.start[key]).date()
        return None

    # What sets a date

    def chain(self, key: str) -> tuple[Step, ...]:
        if self.network is None or self.early is None or key not in self.network.place:
            return ()
        return what_sets(self.network, self.early, key, self.given)

    def slip(self, promised: date, on: date) -> int:
        """Working days of the workshop from the promise to the date; negative if the date is earlier.

        Days before the calendar begins or after it ends are not counted.
        """
        shop = self.model.shop
        begin, end = (min(max(day, shop.first), shop.last) for day in (promised, on))
        return shop.days_between(begin, end)


def _ring_words(model: Model, keys: tuple[str, ...]) -> str:
    names = ", ".join(thing_words(model, key) for key in keys)
    return f"No date can be worked out: {names} wait for one another in a ring. Take one link out."


def too_far_words(model: Model, error: BeyondHorizon) -> str:
    """What lies after the end of the calendars, and where to look."""
    thing = thing_words(model, error.key) if error.key else "something"
    last = f"{error.last.day} {error.last:%b} {error.last.year}"
    return (
        f"No date for {thing} and what waits for it: it would come after {last}. "
        "Look there for a wrong year, or for hours or a lead time far too long. All else keeps its date."
    )


def thing_words(model: Model, key: str) -> str:
    """What a person calls an activity: “fit radiator” (Tern)."""
    kind, _, number = key.partition(":")
    rows = model.rows
    if kind == "job":
        job = rows.jobs[int(number)]
        return f"“{job.title}” ({rows.cars[job.car_id].name})"
    if kind == "op":
        part = rows.parts[rows.operations[int(number)].part_id]
        return f"“{part.name}” ({rows.cars[part.car_id].name})"
    if kind == "decision":
        return next(f"the answer to “{row.question}”" for row in rows.decisions if row.id == int(number))
    return kind

"""The adapter: rows of the database to the pure core and back to facts for the pages."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from builds.facts import WorkshopFacts

from .answers import workshop_facts
from .forecasting import Forecaster
from .latest import latest_model, latest_solution
from .model import Model
from .ordered import Ordered, ordered
from .rows import cars_bound_to, read_rows
from .savers import Saver, savers
from .solution import Solution
from .standing import is_known, ordered_at_once, remember

__all__ = ["Saver", "WorkshopState", "load_car", "load_workshop"]


@dataclass(frozen=True)
class WorkshopState:
    """The workshop as it stands on one day, or as it would stand under a what-if. Nothing is saved."""

    model: Model
    is_whole: bool = False  # all cars as they are, without a what-if
    at_once: Ordered | None = None  # the whole workshop in the order of the plan last worked out

    def facts(self) -> WorkshopFacts:
        """What the network says as if there were people without end: conditions, floats, early dates."""
        return self._facts

    def dated(self) -> WorkshopFacts:
        """The same with the people there are in the dates of milestones; only of the whole workshop.

        A plan is made, and a forecast where a window is asked for: not for a page that must come at once.
        """
        return self._dated

    def dated_at_once(self) -> WorkshopFacts | None:
        """The same in the order of the plan last worked out, and without how certain it is; None where that
        says nothing any more, or where not asked for.
        """
        at_once = self.at_once
        return workshop_facts(self.solution, None, lambda: at_once, self.facts()) if at_once else None

    def with_batch(self, operation_ids: Collection[int], leaves_on: date | None) -> WorkshopState:
        """These operations as one batch that leaves on a day, or (None) when the last of them is ready.

        With a day, what is ready by then goes then; what is not goes by itself as soon as it is.
        """
        return WorkshopState(self.model.with_batch(operation_ids, leaves_on))

    def savers(self, car_id: int) -> tuple[Saver, ...]:
        """What would bring the car's first start-up forward if somebody is free for it, most days first."""
        return savers(self.solution, car_id)

    def working_days(self, first: date, last: date) -> tuple[date, ...]:
        """The days on which the workshop works, first and last included."""
        days = (first + timedelta(days=number) for number in range((last - first).days + 1))
        return tuple(day for day in days if self.model.shop.days_between(day, day + timedelta(days=1)))

    @cached_property
    def forecaster(self) -> Forecaster:
        """Draws of the bare network."""
        return Forecaster(self.solution)

    @cached_property
    def ordered(self) -> Ordered:
        """The network in the order of the plan with the people there are."""
        found = ordered(self.solution)
        if self.is_whole:
            remember(self.solution, found)
        return found

    @cached_property
    def ordered_forecaster(self) -> Forecaster:
        """Draws of the network in the plan's order; of the bare one where there is no plan."""
        people = self.ordered
        return self.forecaster if people.refusal else Forecaster(people.solution)

    @cached_property
    def solution(self) -> Solution:
        return latest_solution(self.model) if self.is_whole else Solution.of(self.model)

    @cached_property
    def _facts(self) -> WorkshopFacts:
        return workshop_facts(self.solution, lambda: self.forecaster)

    @cached_property
    def _dated(self) -> WorkshopFacts:
        return workshop_facts(
            self.solution, lambda: self.ordered_forecaster, lambda: self.ordered, self.facts()
        )


def load_workshop(today: date) -> WorkshopState:
    """Read the cars in work, their jobs and parts, as they stand on `today`."""
    return WorkshopState(latest_model(read_rows(), today), is_whole=True)


def load_car(car_id: int, today: date) -> WorkshopState:
    """Read one car in work, with those that share a waiting batch with it: its dates are the same.

    Where a plan was worked out before, all cars are read, to see whether its order still stands.
    """
    if is_known():
        rows = read_rows()
        at_once = ordered_at_once(latest_model(rows, today))
        return WorkshopState(Model(rows.of_cars(rows.bound_to(car_id)), today), at_once=at_once)
    return WorkshopState(Model(read_rows(cars_bound_to(car_id)), today))

"""Whether any schedule in steps is as cheap as a given cost: a question to CP-SAT, forwards or backwards.

Backwards the end of a task is its start and the last step the first, so that the solver begins with what is
finished last. Which way is answered sooner differs from project to project, as it does with the order in
which the tasks are told: whether an answer takes one second or ten is luck. Near a known schedule the
question is smaller, and is answered soon one way or the other; that nothing is as cheap there says nothing of
all schedules.

Only problems that are the same in steps (`Steps.is_exact`) are asked about.
"""

from collections.abc import Sequence
from random import Random
from typing import Any

from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.model import Found
from builds.schedule.levelling.problem import WHOLE_CAR
from builds.schedule.levelling.solver import MANY_PAIRS, add_counted
from builds.schedule.levelling.steps import Steps

Window = tuple[int, int]


class Question:
    """One question; made anew for each time it is asked.

    Parameters
    ----------
    steps : Steps
        The problem in steps, `is_exact`.
    bounds : Bounds
        Its bounds.
    most : int
        What a schedule may cost [open minutes times weights].
    backwards : bool, optional
        Whether to ask from the last step to the first.
    contrary : bool, optional
        Whether of two tasks that are too much together the later in working order is tried first, else
        the one that may start sooner.
    shuffled : Random, optional
        Draws the order in which the solver is told the tasks, else that of the problem.
    near : sequence of (int, int), optional
        The first and the last start of each task, by place, to be asked about no more than these [step].
    """

    def __init__(
        self,
        steps: Steps,
        bounds: Bounds,
        most: int,
        backwards: bool = False,
        contrary: bool = False,
        shuffled: Random | None = None,
        near: Sequence[Window] | None = None,
    ) -> None:
        from ortools.sat.python import cp_model

        self.steps, self.bounds, self.most = steps, bounds, most
        self.backwards, self.contrary = backwards, contrary
        self.cp = cp_model.CpModel()
        self._starts: dict[int, Any] = {}
        self._ends: dict[int, Any] = {}
        self._intervals: dict[int, Any] = {}
        self._middles: dict[int, int] = {}  # twice the middle of where a task may start
        self._pairs: set[Window] = set()
        places = bounds.axis.leading_to(place for place, *_ in steps.targets)
        if backwards:
            places.reverse()
        if shuffled is not None:
            shuffled.shuffle(places)
        latest = bounds.latest_starts(most)
        for place in places:
            self._add_task(place, latest[place] // steps.grid_min, near[place] if near else None)
        self._add_links(places)
        self._add_things(places)
        self._add_cost()

    def read(self, value: Any) -> Found:
        """Read an answer.

        Parameters
        ----------
        value : callable
            Gives the value of a variable.

        Returns
        -------
        Found
            Starts in minutes.
        """
        grid = self.steps.grid_min
        starts = {place: int(value(start)) * grid for place, start in self._starts.items()}
        return Found(starts, {}, frozenset())

    def _add_task(self, place: int, latest: int, near: Window | None) -> None:
        size = self.steps.sizes[place]
        head = self._head(place)
        latest = max(head, latest)
        if near is not None:
            head, latest = max(head, near[0]), min(latest, near[1])
        if head > latest:  # nothing near there is as cheap
            self.cp.add_bool_or([])
            latest = head
        self._middles[place] = head + latest
        if self.backwards:
            back = self.cp.new_int_var(-latest - size, -head - size, f"end {place}")
            self._starts[place], self._ends[place], begin = -back - size, -back, back
        else:
            begin = self.cp.new_int_var(head, latest, f"start {place}")
            self._starts[place], self._ends[place] = begin, begin + size
        self._intervals[place] = self.cp.new_fixed_size_interval_var(begin, size, f"task {place}")

    def _head(self, place: int) -> int:
        """Give the first step at which a task can start; a target is no earlier than its bound."""
        head = self.steps.heads[place]
        for number, (target, *_) in enumerate(self.bounds.axis.targets):
            if target == place:
                head = max(
                    head, -(-self.bounds.alone[number] // self.steps.grid_min) - self.steps.sizes[place]
                )
        return head

    def _add_links(self, places: Sequence[int]) -> None:
        for place in places:
            for before, lag in self.steps.before[place]:
                self.cp.add(self._starts[place] >= self._ends[before] + lag)

    def _add_things(self, places: Sequence[int]) -> None:
        problem = self.bounds.axis.problem
        rooms = {key: thing.capacity for key, thing in problem.counted.items()}
        rooms |= dict.fromkeys(problem.leaving.values(), WHOLE_CAR)
        uses = {place: dict(problem.holds[place]) for place in places if self.steps.sizes[place]}
        for key, room in rooms.items():
            held = {place: mine[key] for place, mine in uses.items() if mine.get(key)}
            if sum(held.values()) > room:
                for one, other in add_counted(self.cp, self._intervals, held, room):
                    if len(self._pairs) < MANY_PAIRS:
                        self._add_pair(one, other)

    def _add_pair(self, one: int, other: int) -> None:
        """Say of two tasks that are too much together which is first: the solver learns much from that."""
        lower, upper = sorted((one, other))
        if (lower, upper) in self._pairs or lower in self.bounds.axis.befores[upper]:
            return
        self._pairs.add((lower, upper))
        if self._is_tried(one, other):  # a choice is tried as 'no' first
            one, other = other, one
        first = self.cp.new_bool_var(f"{one} before {other}")
        self.cp.add(self._ends[one] <= self._starts[other]).only_enforce_if(first)
        self.cp.add(self._ends[other] <= self._starts[one]).only_enforce_if(first.negated())

    def _is_tried(self, one: int, other: int) -> bool:
        """Whether of two tasks this one should first be tried before the other."""
        if self.contrary:
            return one > other
        return self._middles[one] < self._middles[other]

    def _add_cost(self) -> None:
        cost: Any = 0
        for place, due, late, early in self.steps.targets:
            cost += early * self._ends[place]
            if due is not None and late:
                over = self.cp.new_int_var(0, self.steps.length, f"overdue {place}")
                self.cp.add(over >= self._ends[place] - due)
                cost += late * over
        self.cp.add(cost <= self.most // self.steps.grid_min)

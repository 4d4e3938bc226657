"""The problem on its axis as a constraint model for CP-SAT [1]_.

What is exact and what is not:

- tasks that lead to no target and have no last moment are left out; they fill what is free afterwards;
- a task is an interval on the axis of `axis`, never longer than it can be in truth: exact for everybody
  who keeps the workshop's hours, a little short for the others and for lags by the clock;
- people are chosen by name where that is a model of moderate size (``NAMED_UP_TO``); their absences of half
  a day and more are then exact, up to ``EXACT_GAPS`` of them for each task. In a larger model each set of
  people who can do some task is a counted thing, so that nobody has to be named until the order of tasks
  is turned into a plan.

Nothing is asked that a real plan need not keep, so the bound that CP-SAT proves holds for real plans.

References
----------
.. [1] L. Perron, F. Didier, S. Gay (2023) 'The CP-SAT-LP solver', Proceedings of CP 2023, LIPIcs 280,
   3:1-3:2.
.. [2] P. Baptiste, C. Le Pape, W. Nuijten (2001) Constraint-Based Scheduling, Kluwer: cumulative resources,
   heads and tails. (Both from memory.)
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import gcd
from typing import TYPE_CHECKING, Any

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.plan import Plan, overriding_weight
from builds.schedule.levelling.problem import Crew
from builds.schedule.levelling.solver import MANY_PAIRS, add_counted

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

NAMED_UP_TO = 3000  # so many pairs of a task and somebody who can do it
EXACT_GAPS = 6
GAP_MIN = 240  # shorter gaps on the axis are not told from a midday that somebody works through


@dataclass(frozen=True)
class Found:
    """What the solver says of one solution.

    Parameters
    ----------
    starts : mapping of int to int
        Start of each task that is in the model, by place [min].
    crews : mapping of int to tuple of str
        People by place, where they are chosen by name.
    stays : frozenset of int
        Tasks, by place, that are where the plan before had them.
    """

    starts: Mapping[int, int]
    crews: Mapping[int, Crew]
    stays: frozenset[int]


class Model:
    """The constraint model of one problem; made anew for each solve.

    Parameters
    ----------
    axis : Axis
        The problem on its axis.
    bounds : Bounds
        Its bounds.
    best : Plan
        The best plan so far: no more may be paid, and the search begins there.
    """

    def __init__(self, axis: Axis, bounds: Bounds, best: Plan) -> None:
        from ortools.sat.python import cp_model

        self.axis, self.bounds, self.best = axis, bounds, best
        self.problem = axis.problem
        self._latest = bounds.latest_starts(best.cost)
        self.cp = cp_model.CpModel()
        self.starts: dict[int, Any] = {}
        self.ends: dict[int, Any] = {}
        self.intervals: dict[int, Any] = {}
        self.chosen: dict[tuple[int, str], Any] = {}
        self.moved: dict[int, Any] = {}
        self._lengths: dict[int, Any] = {}
        self._pairs: set[tuple[int, int]] = set()
        self._hints: list[tuple[Any, int]] = []
        self._add_tasks()
        self._add_links()
        self._add_things()
        self._add_people()
        self._add_moves()
        self._add_objective()
        for variable, value in self._hints:
            self.cp.add_hint(variable, value)

    def read(self, value: Any) -> Found:
        """Read a solution.

        Parameters
        ----------
        value : callable
            Gives the value of a variable.

        Returns
        -------
        Found
            In minutes.
        """
        crews: dict[int, list[str]] = {}
        for (place, name), chosen in self.chosen.items():
            if value(chosen):
                crews.setdefault(place, []).append(name)
        order = {worker.key: number for number, worker in enumerate(self.problem.workers)}
        return Found(
            {place: int(value(start)) * self.grid for place, start in self.starts.items()},
            {place: tuple(sorted(names, key=order.__getitem__)) for place, names in crews.items()},
            frozenset(place for place, moved in self.moved.items() if not value(moved)),
        )

    def cost(self, objective: float) -> int:
        """Give a cost for a value, or a bound, of the objective.

        Parameters
        ----------
        objective : float
            As the solver gives it.

        Returns
        -------
        int
            Its cost, rounded up to what a plan can cost [open minutes times weights].
        """
        return -int(-(objective - 1e-6) // 1) * self._coin

    @cached_property
    def places(self) -> list[int]:
        """Tasks in the model: those that matter to a target, a last moment or the plan before."""
        wanted = {place for place, *_ in self.axis.targets}
        wanted |= {p for p, task in enumerate(self.problem.tasks) if task.not_after is not None}
        if self.problem.previous is not None and self.problem.previous.moved_weight:
            wanted |= {p for p, t in enumerate(self.problem.tasks) if t.key in self.problem.previous.placed}
        return self.axis.leading_to(wanted)

    @cached_property
    def grid(self) -> int:
        """Minutes of one step: the largest that measures every length and place [min]."""
        return gcd(*self._measures()) or 1

    @cached_property
    def frozen(self) -> frozenset[int]:
        """Tasks in hand that nothing holds: they stay where the rule for what is in hand puts them."""
        return frozenset(
            place
            for place in self.places
            if self.problem.tasks[place].in_hand and not self.problem.network.waits_for[place]
        )

    @cached_property
    def by_name(self) -> bool:
        """Whether people are chosen by name."""
        return sum(len(self.problem.able[place]) for place in self.places) <= NAMED_UP_TO

    def _measures(self) -> Iterable[int]:
        axis = self.axis
        for place in self.places:
            yield axis.heads[place]
            yield axis.sizes[place]
            yield from (lag for _, lag in axis.lags[place])
            for name in self.problem.able[place]:
                yield axis.size(place, (name,))
                yield from (edge for gap in self._gaps(place, name) for edge in gap)
            task = self.problem.tasks[place]
            if task.not_after is not None:
                yield axis.at(task.not_after)
            if place in self.frozen:
                yield axis.at(self.best.placed[task.key].start)
        for _, promised, _, _ in axis.targets:
            yield promised or 0
        if self.problem.previous is not None:
            yield from (axis.at(placed.start) for placed in self.problem.previous.placed.values())
            yield self.problem.previous.tolerance_min

    def _gaps(self, place: int, name: str) -> list[tuple[int, int]]:
        """Give the longer absences of somebody that a task may meet; none if they are too many."""
        if not self.by_name:
            return []
        latest = self._latest[place] + self.axis.size(place, (name,))
        gaps = [
            gap
            for gap in self.axis.gaps(place, (name,))
            if gap[1] - gap[0] >= GAP_MIN and gap[0] < latest and gap[1] > self.axis.heads[place]
        ]
        return gaps if len(gaps) <= EXACT_GAPS else []

    def _add_tasks(self) -> None:
        for place in self.places:
            size = self.axis.sizes[place] // self.grid
            head, latest = self._head(place), self._latest[place] // self.grid
            was = self.axis.at(self.best.placed[self.problem.tasks[place].key].start)
            if place in self.frozen:
                head = latest = was // self.grid
            start = self.cp.new_int_var(head, max(head, latest), f"start {place}")
            self.starts[place] = start
            self._hints.append((start, was // self.grid))
            if self._has_gaps(place):
                longest = self._longest(place) // self.grid
                end: Any = self.cp.new_int_var(head + size, max(head, latest) + longest, f"end {place}")
                length = self.cp.new_int_var(size, longest, f"length {place}")
                self._lengths[place] = length
                self.intervals[place] = self.cp.new_interval_var(start, length, end, f"task {place}")
            else:
                end = start + size
                self.intervals[place] = self.cp.new_fixed_size_interval_var(start, size, f"task {place}")
            self.ends[place] = end

    def _head(self, place: int) -> int:
        """Give the first step at which a task can start; a target is no earlier than its bound."""
        head = self.axis.heads[place]
        for number, (target, *_) in enumerate(self.axis.targets):
            if target == place:
                head = max(head, self.bounds.alone[number] - self._longest(place))
        return -(-head // self.grid)

    def _has_gaps(self, place: int) -> bool:
        if place in self.frozen or not self.by_name:
            return False
        sizes = {self.axis.size(place, (name,)) for name in self.problem.able[place]}
        return len(sizes) > 1 or any(self._gaps(place, name) for name in self.problem.able[place])

    def _longest(self, place: int) -> int:
        """Give how long a task can be on the axis with all the absences that it may meet [min]."""
        names = self.problem.able[place]
        gaps = {gap for name in names for gap in self._gaps(place, name)}
        sizes = [self.axis.size(place, (name,)) for name in names] or [self.axis.sizes[place]]
        return max(sizes) + sum(b - a for a, b in gaps)

    def _add_links(self) -> None:
        for place in self.places:
            for before, lag in self.axis.lags[place]:
                self.cp.add(self.starts[place] >= self.ends[before] + lag // self.grid)

    def _add_things(self) -> None:
        for key, thing in self.problem.counted.items():
            uses = {place: dict(self.problem.holds[place]) for place in self.places}
            held = {place: mine[key] for place, mine in uses.items() if key in mine}
            if sum(sorted(held.values(), reverse=True)) > thing.capacity:
                self._add_counted(held, thing.capacity)
        for car in self.problem.leaving:
            mine = [p for p in self.places if self.problem.tasks[p].car == car and self._moves(p)]
            stays = [p for p in mine if self.problem.tasks[p].place == "away"]
            self.cp.add_no_overlap([self.intervals[place] for place in stays])
            for stay in stays:
                for place in mine:
                    if place not in stays and not self._tied(stay, place):
                        self.cp.add_no_overlap([self.intervals[stay], self.intervals[place]])

    def _moves(self, place: int) -> bool:
        task = self.problem.tasks[place]
        return task.place != "bench" and task.work_min > 0

    def _tied(self, one: int, other: int) -> bool:
        first, second = sorted((one, other))
        return first in self.axis.befores[second]

    def _add_counted(self, held: Mapping[int, int], capacity: int) -> None:
        for one, other in add_counted(self.cp, self.intervals, held, capacity):
            if len(self._pairs) < MANY_PAIRS:
                self._add_pair(one, other)

    def _add_pair(self, one: int, other: int) -> None:
        """Say of two tasks that are too much together which is first: the solver learns much from that."""
        if (one, other) in self._pairs or self._tied(one, other):
            return
        self._pairs.add((one, other))
        first = self.cp.new_bool_var(f"{one} before {other}")
        self.cp.add(self.ends[one] <= self.starts[other]).only_enforce_if(first)
        self.cp.add(self.ends[other] <= self.starts[one]).only_enforce_if(first.negated())

    def _add_people(self) -> None:
        pools = {self.problem.able[place] for place in self.places if self.problem.able[place]}
        if pools:
            pools.add(frozenset(name for pool in pools for name in pool))
        for pool in sorted(pools, key=sorted):
            if len(pool) == 1 and self.by_name:
                continue
            held = {p: self.problem.tasks[p].needs for p in self.places if self.problem.able[p]}
            self._add_counted({p: n for p, n in held.items() if self.problem.able[p] <= pool}, len(pool))
        if self.by_name:
            self._add_names()

    def _add_names(self) -> None:
        taken: dict[str, list[Any]] = {}
        for place in self.places:
            task = self.problem.tasks[place]
            crew = self.best.placed[task.key].people
            for name in sorted(self.problem.able[place]):
                chosen = self.cp.new_bool_var(f"{name} on {place}")
                self.chosen[place, name] = chosen
                self._hints.append((chosen, int(name in crew)))
                if name in task.named or (place in self.frozen and name in crew):
                    self.cp.add(chosen == 1)
                taken.setdefault(name, []).append(self._interval_of(place, name, chosen))
            if task.needs:
                everybody = [self.chosen[place, name] for name in self.problem.able[place]]
                self.cp.add(sum(everybody) == task.needs)
                skilled = [
                    self.chosen[place, name]
                    for name in self.problem.able[place]
                    if name in task.named or task.skill in self.problem.by_name[name].skills
                ]
                if task.wanted and len(skilled) < len(everybody):
                    self.cp.add(sum(skilled) >= task.wanted)
        for intervals in taken.values():
            self.cp.add_no_overlap(intervals)

    def _interval_of(self, place: int, name: str, chosen: "cp_model.IntVar") -> Any:
        start, end = self.starts[place], self.ends[place]
        label = f"{name} at {place}"
        if not self._has_gaps(place):
            size = self.axis.sizes[place] // self.grid
            return self.cp.new_optional_fixed_size_interval_var(start, size, chosen, label)
        work = self.axis.size(place, (name,)) // self.grid
        spanned: Any = 0
        for begin, finish in self._gaps(place, name):
            before, over, after = (self.cp.new_bool_var(f"{label} {begin} {n}") for n in range(3))
            self.cp.add(before + over + after == chosen)
            self.cp.add(end <= begin // self.grid).only_enforce_if(before)
            self.cp.add(start < begin // self.grid).only_enforce_if(over)
            self.cp.add(start >= finish // self.grid).only_enforce_if(after)
            spanned += over * ((finish - begin) // self.grid)
        length = self._lengths[place]
        self.cp.add(length >= work + spanned).only_enforce_if(chosen)
        return self.cp.new_optional_interval_var(start, length, end, chosen, label)

    def _add_moves(self) -> None:
        previous = self.problem.previous
        if previous is None or not previous.moved_weight:
            return
        for place in self.places:
            was = previous.placed.get(self.problem.tasks[place].key)
            if was is None:
                continue
            moved = self.cp.new_bool_var(f"moved {place}")
            low, high = was.start - previous.tolerance_min, was.start + previous.tolerance_min
            if high < self.problem.start:
                self.cp.add(moved == 1)
            else:
                stays = moved.negated()
                self.cp.add(self.starts[place] >= self.axis.at(low) // self.grid).only_enforce_if(stays)
                self.cp.add(self.starts[place] <= self.axis.at(high) // self.grid).only_enforce_if(stays)
                for name in was.people:
                    if (place, name) in self.chosen:
                        self.cp.add_implication(stays, self.chosen[place, name])
                    elif self.by_name and self.problem.tasks[place].needs:
                        self.cp.add(moved == 1)
            self.moved[place] = moved

    def _add_objective(self) -> None:
        cost: Any = 0
        for place, promised, late, early in self.axis.targets:
            cost += early * self.ends[place]
            if promised is not None and late:
                cost += late * self._overdue(place, promised)
        for place in self.places:
            not_after = self.problem.tasks[place].not_after
            if not_after is not None:
                cost += overriding_weight(self.problem) * self._overdue(place, self.axis.at(not_after))
        if self.moved and self.problem.previous is not None:
            # what moves is counted in minutes, not in steps of the grid
            cost = cost * self.grid + self.problem.previous.moved_weight * sum(self.moved.values())
        self._coin = 1 if self.moved else self.grid
        self.cp.minimize(cost)

    def _overdue(self, place: int, due: int) -> Any:
        over = self.cp.new_int_var(0, self.axis.length // self.grid, f"overdue {place}")
        self.cp.add(over >= self.ends[place] - due // self.grid)
        return over

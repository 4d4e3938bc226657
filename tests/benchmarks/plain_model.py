"""The levelling problem as a plain CP-SAT model: what one would write first, beside which ours is measured.

An interval for each task, one more for each person who could be on it, links, counted things as
cumulatives, and the cost of the targets; no hint, no bound, no order that is better to begin with. It is
written for `workshop(uneven=False)`, in which everybody keeps the same week of eight hours a day: then the
open minutes of that week are one axis, on which

- a job is as long as its work;
- a working day of a supplier, who keeps the same days round the clock, is one day of eight hours;
- a cure of twelve hours, from a moment within those hours, ends before they begin on the next day.

So both are the same problem, and what both prove to be the least cost must be equal.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from time import perf_counter

from ortools.sat.python import cp_model

from builds.schedule.levelling.problem import WHOLE_CAR, Problem, Task

DAY_MIN, CURE_MIN = 480, 720
WORKERS = 2  # threads, as many as ours


@dataclass(frozen=True)
class Found:
    """A plan of the plain model: after how long, its cost, and what it knows that no plan can beat."""

    seconds: float
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        return (self.cost - self.bound) / max(1, self.cost)


def solve_plainly(problem: Problem, seconds: float, seed: int) -> list[Found]:
    """Each better plan that is found, and the last with the bound at the end; none if there was no time."""
    begun = perf_counter()
    plain = PlainModel(problem)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.01, seconds - (perf_counter() - begun))
    told = _Told(begun)
    solver.solve(plain.cp, told)
    if not told.found:
        return []
    end = Found(perf_counter() - begun, solver.objective_value, solver.best_objective_bound)
    return [*told.found, end]


class _Told(cp_model.CpSolverSolutionCallback):
    def __init__(self, begun: float) -> None:
        super().__init__()
        self.begun = begun
        self.found: list[Found] = []

    def on_solution_callback(self) -> None:
        seconds = perf_counter() - self.begun
        self.found.append(Found(seconds, self.objective_value, self.best_objective_bound))


class PlainModel:
    """The model of one problem."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.cp = problem, cp_model.CpModel()
        # a nearer end of 250 or 300 days was tried with 12 cars: its first plan came later
        self.length = problem.open.between(problem.start, problem.open.closes)
        self.starts = [self.cp.new_int_var(0, self.length, task.key) for task in problem.tasks]
        self.sizes = [_size(task) for task in problem.tasks]
        self._add_links()
        self._add_people()
        self._add_things()
        self.cp.minimize(sum(self._costs()))

    def _end(self, place: int) -> cp_model.LinearExpr:
        return self.starts[place] + self.sizes[place]

    def _add_links(self) -> None:
        for place, arcs in enumerate(self.problem.network.waits_for):
            for before, _, lag in arcs:
                if not lag:
                    self.cp.add(self.starts[place] >= self._end(before))
                    continue
                assert lag == CURE_MIN, "only cures over night are told"
                day = self.cp.new_int_var(0, self.length // DAY_MIN, "day")
                self.cp.add(day * DAY_MIN >= self._end(before))
                self.cp.add(day * DAY_MIN <= self.starts[place])

    def _add_people(self) -> None:
        busy: dict[str, list[cp_model.IntervalVar]] = {}
        for place, task in enumerate(self.problem.tasks):
            if not task.needs:
                continue
            on = {name: self.cp.new_bool_var(name) for name in sorted(self.problem.able[place])}
            self.cp.add(sum(on.values()) == task.needs)
            skilled = [on[name] for name in on if task.skill in self.problem.by_name[name].skills]
            if task.wanted:
                self.cp.add(sum(skilled) >= task.wanted)
            for name, chosen in on.items():
                busy.setdefault(name, []).append(
                    self.cp.new_optional_fixed_size_interval_var(
                        self.starts[place], self.sizes[place], chosen, name
                    )
                )
        for intervals in busy.values():
            self.cp.add_no_overlap(intervals)

    def _add_things(self) -> None:
        rooms = {key: thing.capacity for key, thing in self.problem.counted.items()}
        rooms |= dict.fromkeys(self.problem.leaving.values(), WHOLE_CAR)
        for key, room in rooms.items():
            held = {p: dict(holds)[key] for p, holds in enumerate(self.problem.holds) if key in dict(holds)}
            intervals = [
                self.cp.new_fixed_size_interval_var(self.starts[place], self.sizes[place], key)
                for place in held
            ]
            self.cp.add_cumulative(intervals, list(held.values()), room)

    def _costs(self) -> Iterator[cp_model.LinearExpr]:
        for target in self.problem.targets:
            end = self._end(self.problem.place[target.key])
            yield target.early_weight * end
            if target.promised is not None:
                late = self.cp.new_int_var(0, self.length, "late")
                self.cp.add(late >= end - self.problem.open.between(self.problem.start, target.promised))
                yield target.late_weight * late


def _size(task: Task) -> int:
    return task.work_min * DAY_MIN // 1440 if task.calendar == "supplier" else task.work_min

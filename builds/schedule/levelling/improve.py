"""A better plan within a time limit, and a bound that no plan can beat.

First other orders of the tasks are tried, each placed to the minute: a local search over the moments at
which cars should be finished, and over the order within a stretch of time. Then CP-SAT searches and proves
on the model of `model`. Each solution of it is turned into a plan by placing the tasks to the minute in its
order; only such plans are kept, so what comes back can be carried out whatever the model leaves out.

Whether the search is over is asked of a clock: this is the one function of the core whose answer depends on
how fast the machine is. Its plans are feasible and its bounds hold in any case.
"""

from collections.abc import Callable
from random import Random
from threading import Event, Lock, Thread
from time import monotonic
from typing import Any

from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.justify import pushed_back
from builds.schedule.levelling.model import Found, Model
from builds.schedule.levelling.plan import Bound, Plan, plan_of
from builds.schedule.levelling.problem import Placed, Problem
from builds.schedule.levelling.serial import latest_finishes, place_in_order

WORKERS = 2  # threads of CP-SAT
LARGE = 400  # of more tasks than this CP-SAT makes little in seconds, so orders get more of the time
SHARE, LARGE_SHARE = 0.15, 0.75  # of the time for trying orders, at most
ORDERS = 60  # so many orders are tried without a better one before the solver begins
STOP_EVERY_S = 0.1

OnProgress = Callable[[Plan, Bound], None]


def improve(
    problem: Problem,
    start: Plan,
    seconds: float,
    on_progress: OnProgress | None = None,
    should_stop: Callable[[], bool] | None = None,
    seed: int = 1,
) -> Plan:
    """Look for a better plan until the time is up, nothing can be better, or somebody stops it.

    Parameters
    ----------
    problem : Problem
        What is to be levelled.
    start : Plan
        A feasible plan, such as `serial_plan` makes.
    seconds : float
        How long it may take, greater than 0 [s].
    on_progress : callable, optional
        Called with the best plan and the bound each time that one of them is better; from a thread of
        the solver, one call at a time.
    should_stop : callable, optional
        Asked about ten times a second.
    seed : int, optional
        Of the local search and of the solver.

    Returns
    -------
    Plan
        The best found, no dearer than `start`, with what no plan can beat.

    Raises
    ------
    NotAPlan
        If `start` leaves tasks out.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.levelling.problem import Target, Task, Worker
    >>> from builds.schedule.levelling.serial import serial_plan
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("trim seats", 90), Task("start engine", 60)]
    >>> problem = Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop",
    ...                         targets=[Target("start engine")])
    >>> improve(problem, serial_plan(problem), seconds=1).is_proven
    True
    """
    search = _Search(problem, plan_of(problem, start.placed), seconds, on_progress, should_stop)
    random = Random(seed)
    search.try_orders(random)
    search.solve(seed)
    search.try_orders(random)
    return search.answer()


class _Search:
    """The best plan and bound so far, shared between threads."""

    def __init__(
        self,
        problem: Problem,
        start: Plan,
        seconds: float,
        on_progress: OnProgress | None,
        should_stop: Callable[[], bool] | None,
    ) -> None:
        self.problem, self.best = problem, start
        self.begun, self.seconds = monotonic(), seconds
        self.on_progress, self.should_stop = on_progress, should_stop
        whole = Bounds(Axis(problem))
        latest = whole.latest_starts(start.cost)  # of plans no dearer than the first: all that is sought
        self.axis = Axis(problem, tuple(whole.axis.latest_moment(position) for position in latest))
        self.bounds = Bounds(self.axis)
        first = whole.bound(self.bounds.in_order[1])
        self.bound = Bound(min(first.cost, start.cost), first.earliest)
        self._lock = Lock()
        self._report()

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.begun + self.seconds - monotonic()

    @property
    def is_over(self) -> bool:
        """Whether nothing more should be tried."""
        return (
            self.best.cost <= self.bound.cost
            or self.left <= 0
            or (self.should_stop is not None and self.should_stop())
        )

    def answer(self) -> Plan:
        """Give the best plan with the bound."""
        return Plan(self.best.placed, self.best.cost, self.bound)

    def keep(self, placed: dict[str, Placed]) -> bool:
        """Keep a plan if it is the best so far."""
        plan = plan_of(self.problem, placed)
        with self._lock:
            if plan.cost >= self.best.cost:
                return False
            self.best = plan
            self._report()
        return True

    def prove(self, cost: int) -> None:
        """Take in a proven bound of the cost, which may be above a plan only by the worth of a rounding."""
        with self._lock:
            cost = min(cost, self.best.cost)
            if cost > self.bound.cost:
                self.bound = Bound(cost, self.bound.earliest)
                self._report()

    def try_orders(self, random: Random) -> None:
        """Place the tasks in other orders for a share of the time, or until none has been better for long."""
        is_large = len(self.problem.tasks) > LARGE
        until = self.left - self.seconds * (LARGE_SHARE if is_large else SHARE)
        finishes = [self.axis.at(self.best.placed[target.key].finish) for target in self.problem.targets]
        order = self._order_of_best()
        failed = 0
        while not self.is_over and self.left > until and (is_large or failed < ORDERS):
            if random.random() < 0.5 and finishes:
                tried = _shifted(finishes, random)
                late = latest_finishes(self.axis, tried)
                sizes = self.axis.sizes if random.random() < 0.5 else [0] * len(late)
                better = self._try([end - size for end, size in zip(late, sizes, strict=True)])
                finishes = tried if better else finishes
            else:
                better = self._try(_shuffled(order, random))
            order = self._order_of_best() if better else order
            failed = 0 if better else failed + 1

    def _order_of_best(self) -> list[int]:
        return [self.axis.at(self.best.placed[task.key].start) for task in self.problem.tasks]

    def solve(self, seed: int) -> None:
        """Let CP-SAT search and prove."""
        if self.is_over:
            return
        from ortools.sat.python import cp_model

        model = Model(self.axis, self.bounds, self.best)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        if len(self.problem.tasks) <= LARGE:  # one thread proves without relaxation, one searches nearby
            solver.parameters.subsolvers.append("no_lp")
        solver.parameters.random_seed = seed
        solver.parameters.max_time_in_seconds = max(0.01, self.left)
        solver.best_bound_callback = lambda bound: self.prove(model.cost(bound))
        search = self

        class Each(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                search.take(model.read(self.value))

        done = Event()
        watch = Thread(target=self._watch, args=(solver, done), daemon=True)
        watch.start()
        try:
            status = solver.solve(model.cp, Each())
        finally:
            done.set()
            watch.join()
        if status == cp_model.INFEASIBLE:  # nothing costs as little as the best plan, not even on the axis
            self.prove(self.best.cost)
        elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.prove(model.cost(solver.best_objective_bound))

    def take(self, found: Found) -> None:
        """Turn a solution of the model into a plan."""
        late = latest_finishes(self.axis, self.bounds.alone)
        after_all = max(found.starts.values(), default=0) + 1
        order = [found.starts.get(place, after_all + late[place]) for place in range(len(late))]
        self._try(order, found)
        if self.problem.previous is None:
            self._try(order)

    def _try(self, order: list[int], found: Found | None = None) -> bool:
        previous = self.problem.previous
        stays = {}
        if found is not None and previous is not None:
            stays = {p: previous.placed[self.problem.tasks[p].key].start for p in found.stays}
        try:
            placed = place_in_order(self.problem, order, found.crews if found else None, stays)
            better = self.keep(placed)
            if previous is None:
                again = place_in_order(self.problem, pushed_back(self.axis, placed))
                better = self.keep(again) or better
        except BeyondHorizon:
            return False
        return better

    def _watch(self, solver: Any, done: Event) -> None:
        while not done.wait(STOP_EVERY_S):
            if self.is_over:
                solver.stop_search()

    def _report(self) -> None:
        if self.on_progress is not None:
            self.on_progress(self.best, self.bound)


def _shifted(finishes: list[int], random: Random) -> list[int]:
    """Give the finishes with one or two targets sooner or later."""
    tried = list(finishes)
    for number in random.sample(range(len(tried)), min(len(tried), random.choice((1, 1, 2)))):
        tried[number] = round(tried[number] * random.uniform(0.5, 1.5))
    return tried


def _shuffled(order: list[int], random: Random) -> list[int]:
    """Give the order with the tasks of one stretch of time moved about in it."""
    width = max(1, round(max(order) * random.choice((0.03, 0.1, 0.3))))
    middle = random.choice(order)
    return [
        at + round(random.uniform(-0.5, 0.5) * width)
        if abs(at - middle) <= width and random.random() < 0.4
        else at
        for at in order
    ]

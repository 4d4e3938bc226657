"""A better plan within a time limit, and a bound that no plan can beat.

First other orders of the tasks are tried, each placed to the minute: a local search over the moments at
which cars should be finished, over the order within a stretch of time, and over what two good orders make
when they are crossed [1]_; each plan is also pushed back and placed again. Where nobody is needed this is
done in steps, thousands of times a second (`breeding`). Then CP-SAT searches and proves
on the model of `model`. Each solution of it is turned into a plan by placing the tasks to the minute in its
order; only such plans are kept, so what comes back can be carried out whatever the model leaves out.

Whether the search is over is asked of a clock: this is the one function of the core whose answer depends on
how fast the machine is. Its plans are feasible and its bounds hold in any case.

References
----------
.. [1] S. Hartmann (1998) 'A competitive genetic algorithm for resource-constrained project scheduling',
   Naval Research Logistics 45, 733-750: the two-point crossover of orders. (From memory.)
"""

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from random import Random
from threading import Event, Lock, Thread
from time import monotonic
from typing import Any

from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.breeding import breed
from builds.schedule.levelling.justify import pushed_back
from builds.schedule.levelling.model import Found, Model
from builds.schedule.levelling.plan import Bound, Plan, plan_of
from builds.schedule.levelling.problem import Placed, Problem
from builds.schedule.levelling.serial import latest_finishes, place_in_order
from builds.schedule.levelling.steps import Steps

WORKERS = 2  # threads of CP-SAT
LARGE = 400  # of more tasks than this CP-SAT makes little in seconds, so orders get more of the time
SHARE, LARGE_SHARE = 0.2, 0.75  # of the time for one round of trying orders, at most
SHORT_SHARE, NEARBY_SHARE = 0.02, 0.1  # of the time for CP-SAT near the best plan, first and again
AGAIN_SHARE = 0.25  # of the time for a second question
KNOWN = 3  # so many of the best orders go into a population, lest all be alike
FIRST_BRED, THEN_BRED, MORE_BRED = 60, 600, 4000  # schedules bred at first, after a try, beside a question
PATIENCE_FIRST, PATIENCE, PATIENCE_LARGE = 20, 1000, 10_000  # orders in a row that are no better
GOOD = 30  # so many orders are remembered to be crossed
STOP_EVERY_S = 0.1
UNTIMELY = tuple(f"graph_{part}_lns" for part in ("var", "arc", "cst", "dec"))  # nearness that is not in time


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the search has come.

    Parameters
    ----------
    plan : Plan
        The best so far, with its cost, the bound that no plan can beat and how many tasks it moves.
    seconds : float
        Since the search began [s].
    """

    plan: Plan
    seconds: float


OnProgress = Callable[[Progress], None]


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
        Called each time that the best plan or the bound is better; from a thread of the solver, one call
        at a time.
    should_stop : callable, optional
        Asked about ten times a second at most; once it says so, the best so far comes back.
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
    search = _Search(problem, plan_of(problem, start.placed), seconds, on_progress, should_stop, seed)
    if search.steps.is_exact:
        search.breed(FIRST_BRED)
        search.solve(seed, SHORT_SHARE)
        search.breed(THEN_BRED)
        search.solve(seed, NEARBY_SHARE)
        search.decide(seed)
    elif len(problem.tasks) > LARGE:
        search.try_orders(LARGE_SHARE, PATIENCE_LARGE)
        search.solve(seed)
    else:
        search.try_orders(SHARE, PATIENCE_FIRST)
        search.solve(seed, SHARE)
        search.try_orders(SHARE, PATIENCE)
        search.solve(seed)
    search.try_orders(1.0, PATIENCE)
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
        seed: int = 1,
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
        self._stopped, self._asked = False, self.begun
        self.steps = Steps.of(self.axis)
        self.random = Random(seed)
        self.good: list[tuple[int, list[int]]] = []  # cost and order, the cheapest first
        self._lock = Lock()
        self._report()

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.begun + self.seconds - monotonic()

    @property
    def is_over(self) -> bool:
        """Whether nothing more should be tried."""
        return self.best.cost <= self.bound.cost or self.left <= 0 or self._is_stopped()

    def _is_stopped(self) -> bool:
        now = monotonic()
        if self.should_stop is not None and not self._stopped and now >= self._asked:
            self._asked = now + STOP_EVERY_S
            self._stopped = self.should_stop()
        return self._stopped

    def answer(self) -> Plan:
        """Give the best plan with the bound."""
        return replace(self.best, bound=self.bound)

    def keep(self, placed: dict[str, Placed]) -> bool:
        """Keep a plan if it is the best so far."""
        plan = plan_of(self.problem, placed)
        with self._lock:
            self._remember(plan.placed, plan.cost)
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
                self.bound = Bound(cost, self._earliest(cost))
                self._report()

    def _earliest(self, cost: int) -> Mapping[str, int]:
        """Give the earliest finish of each target; that of a single one follows from what plans cost."""
        problem = self.problem
        if len(problem.targets) != 1 or any(task.not_after is not None for task in problem.tasks):
            return self.bound.earliest
        if problem.previous is not None and problem.previous.moved_weight:
            return self.bound.earliest
        key = problem.targets[0].key
        finishes = range(self.axis.length + 1)
        least = bisect_left(finishes, cost, key=lambda finish: self.bounds.cost_of(0, finish))
        return {key: max(self.bound.earliest[key], self.axis.moment(min(least, self.axis.length)))}

    def try_orders(self, share: float, patience: int) -> None:
        """Place the tasks in other orders for a share of the time, or until none has been better for long."""
        until = self.left - self.seconds * share
        failed = 0
        while not self.is_over and self.left > until and failed < patience:
            failed = 0 if self._try(self._another_order()) else failed + 1

    def breed(self, count: int | None, is_enough: Callable[[], bool] = lambda: False) -> None:
        """Breed so many schedules in steps, or for all the time, and place the better ones."""
        late = latest_finishes(self.axis, self.bounds.in_order[0])
        known = [order for _, order in self.good[:KNOWN]]

        def is_over() -> bool:
            return self.is_over or is_enough()

        for bred in breed(self.steps, late, known, self.random, is_over, count):
            self._try(bred.starts)

    def _another_order(self) -> list[int]:
        """Make an order: from two of the best, from other finishes of cars, or from the best shuffled."""
        chance = self.random.random()
        if chance < 0.5 and len(self.good) > 1:
            one, other = self.random.sample(self.good, 2)
            return _crossed(one[1], other[1], self.random)
        if chance < 0.75 and len(self.problem.targets) > 1:
            finishes = [self.axis.at(self.best.placed[target.key].finish) for target in self.problem.targets]
            late = latest_finishes(self.axis, _shifted(finishes, self.random))
            sizes = self.axis.sizes if self.random.random() < 0.5 else [0] * len(late)
            return [end - size for end, size in zip(late, sizes, strict=True)]
        base = self.random.choice(self.good)[1] if self.good else self._order_of(self.best.placed)
        return _shuffled(base, self.random)

    def _order_of(self, placed: Mapping[str, Placed]) -> list[int]:
        return [self.axis.at(placed[task.key].start) for task in self.problem.tasks]

    def _remember(self, placed: Mapping[str, Placed], cost: int) -> None:
        """Keep a plan's order among the good ones if it is one of them, and another."""
        order = self._order_of(placed)
        is_good = len(self.good) < GOOD or cost < self.good[-1][0]
        if is_good and all(known != order for _, known in self.good):
            self.good.append((cost, order))
            self.good.sort(key=lambda one: one[0])
            del self.good[GOOD:]

    def solve(self, seed: int, share: float = 1.0) -> None:
        """Let CP-SAT search and prove, for a share of the time at most."""
        if self.is_over:
            return
        from ortools.sat.python import cp_model

        model = Model(self.axis, self.bounds, self.best)
        solver = _cp_solver(WORKERS, seed, min(self.left, self.seconds * share))
        if len(self.problem.tasks) <= LARGE:  # one thread proves without relaxation, one searches nearby
            solver.parameters.subsolvers.append("no_lp")
        if self.steps.is_exact:
            _learn_more(solver)
            solver.parameters.ignore_subsolvers.extend(UNTIMELY)
        solver.best_bound_callback = lambda bound: self.prove(model.cost(bound))
        search = self

        class Each(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                search.take(model.read(self.value))

        done, until = Event(), self.left - self.seconds * share
        watch = Thread(target=self._watch, args=(solver, done, until), daemon=True)
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

    def decide(self, seed: int) -> None:
        """Ask CP-SAT whether any plan is cheaper than the best, until no time is left or none is.

        Beside the question schedules are bred; when that comes to no more, it is asked a second time with
        the tasks in another order: whether an answer takes one second or ten is luck.
        """
        while not self.is_over:
            answered, best = Event(), self.best
            is_answered = partial(self._is_answered, answered, best.cost)
            again_s = min(self.left, self.seconds * AGAIN_SHARE)
            solvers = [_cp_solver(1, seed, seconds) for seconds in (self.left, again_s)]
            orders = None, Random(self.random.random())
            threads = [
                Thread(target=self._decide, args=(solver, best, answered, order), daemon=True)
                for solver, order in zip(solvers, orders, strict=True)
            ]
            threads[0].start()
            self.breed(MORE_BRED, is_answered)
            if not self.is_over and not is_answered():
                threads[1].start()
                while threads[1].is_alive() and not answered.wait(STOP_EVERY_S):
                    pass
                self.breed(None, is_answered)
            for solver, thread in zip(solvers, threads, strict=True):
                while thread.is_alive():
                    solver.stop_search()  # said again, should it have been said before the search began
                    thread.join(STOP_EVERY_S)

    def _is_answered(self, answered: Event, cost: int) -> bool:
        return answered.is_set() or self.best.cost < cost

    def _decide(self, solver: Any, best: Plan, answered: Event, order: Random | None) -> None:
        from ortools.sat.python import cp_model

        _learn_more(solver)
        try:
            model = Model(self.axis, self.bounds, best, only_cheaper=True, shuffled=order)
            status = solver.solve(model.cp)
            if status == cp_model.INFEASIBLE:
                self.prove(best.cost)
            elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                self.take(model.read(solver.value))
            if status != cp_model.UNKNOWN:
                answered.set()
        except BaseException:
            answered.set()  # lest somebody wait for it
            raise

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
                placed = place_in_order(self.problem, pushed_back(self.axis, placed))
                better = self.keep(placed) or better
        except BeyondHorizon:
            return False
        return better

    def _watch(self, solver: Any, done: Event, until: float) -> None:
        while not done.wait(STOP_EVERY_S):
            if self.is_over or self.left <= until:
                solver.stop_search()

    def _report(self) -> None:
        if self.on_progress is not None:
            self.on_progress(Progress(self.answer(), monotonic() - self.begun))


def _cp_solver(threads: int, seed: int, seconds: float) -> Any:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    return solver


def _learn_more(solver: Any) -> None:
    """Set a solver to learn more from each conflict and to tidy up less: found by trying on J60.

    What is learnt from whole numbers and not from their bounds alone needs half as many conflicts for a
    proof; what was reasoned with is looked at sooner again; a relaxation and a model made smaller cost more
    than they find.
    """
    solver.parameters.linearization_level = 0
    solver.parameters.inprocessing_dtime_ratio = 0.0
    solver.parameters.cp_model_presolve = False
    solver.parameters.use_new_integer_conflict_resolution = True
    solver.parameters.also_bump_variables_in_conflict_reasons = True
    solver.parameters.new_linear_propagation = False


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


def _crossed(one: list[int], other: list[int], random: Random) -> list[int]:
    """Give an order that begins and ends as one does, with the tasks between as the other has them [1]_."""
    begin, end = sorted(random.sample(range(len(one) + 1), 2))
    ranked = sorted(range(len(one)), key=one.__getitem__)
    child = ranked[:begin]
    taken = set(child)
    child += [p for p in sorted(range(len(other)), key=other.__getitem__) if p not in taken][: end - begin]
    taken = set(child)
    child += [place for place in ranked if place not in taken]
    order = [0] * len(child)
    for rank, place in enumerate(child):
        order[place] = rank
    return order

"""The best plan and the bound so far, and the ways to better ones: other orders of the tasks, and CP-SAT.

Each solution of CP-SAT is turned into a plan by placing the tasks to the minute in its order; only such plans
are kept, so what comes back can be carried out whatever the model leaves out.

References
----------
.. [1] S. Hartmann (1998) 'A competitive genetic algorithm for resource-constrained project scheduling',
   Naval Research Logistics 45, 733-750: the two-point crossover of orders. (From memory.)
"""

from bisect import bisect_left
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
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
from builds.schedule.levelling.solver import cp_solver, learn_more
from builds.schedule.levelling.steps import Steps

WORKERS = 2  # threads of CP-SAT
LARGE = 400  # of more tasks than this CP-SAT makes little in seconds, so orders get more of the time
KNOWN = 3  # so many of the best orders go into a population, lest all be alike
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


class Search:
    """The best plan and bound so far, shared between threads.

    Parameters
    ----------
    problem : Problem
        What is to be levelled.
    start : Plan
        A feasible plan.
    seconds : float
        How long the search may take, from now [s].
    on_progress : callable, optional
        Called each time that the best plan or the bound is better.
    should_stop : callable, optional
        Asked about ten times a second at most.
    seed : int, optional
        Of what is drawn.
    """

    def __init__(
        self,
        problem: Problem,
        start: Plan,
        seconds: float,
        on_progress: OnProgress | None = None,
        should_stop: Callable[[], bool] | None = None,
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
        """Give the best plan with the bound.

        Returns
        -------
        Plan
            The best so far.
        """
        return replace(self.best, bound=self.bound)

    def keep(self, placed: dict[str, Placed]) -> bool:
        """Keep a plan if it is the best so far.

        Parameters
        ----------
        placed : dict of str to Placed
            Where each task is.

        Returns
        -------
        bool
            Whether it is.
        """
        plan = plan_of(self.problem, placed)
        with self._lock:
            self._remember(plan.placed, plan.cost)
            if plan.cost >= self.best.cost:
                return False
            self.best = plan
            self._report()
        return True

    def prove(self, cost: int) -> None:
        """Take in a proven bound of the cost, which may be above a plan only by the worth of a rounding.

        Parameters
        ----------
        cost : int
            No plan costs less [open minutes times weights].
        """
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
        """Place the tasks in other orders for a share of the time, or until none has been better for long.

        Parameters
        ----------
        share : float
            Of the whole time.
        patience : int
            So many orders in a row that are no better end it.
        """
        until = self.left - self.seconds * share
        failed = 0
        while not self.is_over and self.left > until and failed < patience:
            failed = 0 if self._try(self._another_order()) else failed + 1

    def breed(self, count: int, is_enough: Callable[[], bool] = lambda: False, anew: bool = False) -> None:
        """Breed schedules in steps, and place the better ones.

        Parameters
        ----------
        count : int
            So many.
        is_enough : callable, optional
            Asked before each.
        anew : bool, optional
            Whether without the good orders that are known: with them all soon become like them.
        """
        late = latest_finishes(self.axis, self.bounds.in_order[0])
        known = [] if anew else [order for _, order in self.good[:KNOWN]]

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
        base = self.random.choice(self.good)[1] if self.good else self.order_of(self.best.placed)
        return _shuffled(base, self.random)

    def order_of(self, placed: Mapping[str, Placed]) -> list[int]:
        """Give the order of a plan.

        Parameters
        ----------
        placed : mapping of str to Placed
            Where each task is.

        Returns
        -------
        list of int
            Starts on the axis, by place [min].
        """
        return [self.axis.at(placed[task.key].start) for task in self.problem.tasks]

    def _remember(self, placed: Mapping[str, Placed], cost: int) -> None:
        """Keep a plan's order among the good ones if it is one of them, and another."""
        order = self.order_of(placed)
        is_good = len(self.good) < GOOD or cost < self.good[-1][0]
        if is_good and all(known != order for _, known in self.good):
            self.good.append((cost, order))
            self.good.sort(key=lambda one: one[0])
            del self.good[GOOD:]

    def solve(self, seed: int, share: float = 1.0) -> None:
        """Let CP-SAT search and prove.

        Parameters
        ----------
        seed : int
            Of the solver.
        share : float, optional
            Of the whole time, at most.
        """
        if self.is_over:
            return
        from ortools.sat.python import cp_model

        model = Model(self.axis, self.bounds, self.best)
        solver = cp_solver(WORKERS, seed, min(self.left, self.seconds * share))
        if len(self.problem.tasks) <= LARGE:  # one thread proves without relaxation, one searches nearby
            solver.parameters.subsolvers.append("no_lp")
        if self.steps.is_exact:
            learn_more(solver)
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

    def take(self, found: Found) -> None:
        """Turn a solution of the model into a plan.

        Parameters
        ----------
        found : Found
            The solution.
        """
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

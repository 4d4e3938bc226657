"""A better plan within a time limit, and a bound that no plan can beat.

First other orders of the tasks are tried, each placed to the minute: a local search over the moments at
which cars should be finished, over the order within a stretch of time, and over what two good orders make
when they are crossed; each plan is also pushed back and placed again. Then
CP-SAT searches and proves on the model of `model` (`search`). Where nobody is needed the orders are tried in
steps, thousands of times a second (`breeding`), and at last CP-SAT is asked no more than whether anything is
cheaper (`deciding`).

Whether the search is over is asked of a clock: this is the one function of the core whose answer depends on
how fast the machine is. Its plans are feasible and its bounds hold in any case.

"""

from collections.abc import Callable

from builds.schedule.levelling.deciding import decide
from builds.schedule.levelling.plan import Plan, plan_of
from builds.schedule.levelling.problem import Problem
from builds.schedule.levelling.search import LARGE, OnProgress, Progress, Search

__all__ = ["Progress", "improve"]

SHARE, LARGE_SHARE = 0.2, 0.75  # of the time for one round of trying orders, at most
SHORT_SHARE, NEARBY_SHARE = 0.02, 0.1  # of the time for CP-SAT near the best plan, first and again
FIRST_BRED, THEN_BRED = 60, 600  # schedules bred at first and after a try
PATIENCE_FIRST, PATIENCE, PATIENCE_LARGE = 20, 1000, 10_000  # orders in a row that are no better


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
    search = Search(problem, plan_of(problem, start.placed), seconds, on_progress, should_stop, seed)
    if search.steps.is_exact:
        search.breed(FIRST_BRED)
        search.solve(seed, SHORT_SHARE)
        search.breed(THEN_BRED)
        search.solve(seed, NEARBY_SHARE)
        decide(search, seed)
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

"""A feasible plan at once: tasks are placed one after another, each as early as it then fits.

This is the serial schedule generation scheme [1]_, with real hours instead of periods and with people
chosen by name. The orders are those of the latest finishes and starts that the targets allow [2]_, of the
least slack, and one car after the other; as finishes of the targets both their promises are tried and those
of the cheapest order of cars that `bounds` finds. The cheapest plan is taken, so that nobody is drawn off a
car that is promised soon only because all are kept busy.

References
----------
.. [1] R. Kolisch, S. Hartmann (1999) 'Heuristic algorithms for the resource-constrained project scheduling
   problem', in J. Weglarz (ed.), Project Scheduling, Kluwer, 147-178.
.. [2] E.W. Davis, J.H. Patterson (1975) 'A comparison of heuristic and optimum solutions in resource-
   constrained project scheduling', Management Science 21, 944-955. (Both from memory.)
"""

from collections.abc import Iterator, Mapping, Sequence
from heapq import heapify, heappop, heappush

from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.board import Board
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.errors import NoCommonHours
from builds.schedule.levelling.plan import Plan, plan_of
from builds.schedule.levelling.problem import Crew, Placed, Problem


def serial_plan(problem: Problem) -> Plan:
    """Make a feasible plan at once.

    Parameters
    ----------
    problem : Problem
        What is to be levelled.

    Returns
    -------
    Plan
        The cheapest of a few orders, one of them that of the plan before if there is one.

    Raises
    ------
    BeyondHorizon
        If the work does not fit into the calendars, with the `key` of the first task that does not.
    NoCommonHours
        If nobody has hours for a task.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.levelling.problem import Target, Task, Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("trim seats", 90), Task("start engine", 60)]
    >>> problem = Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop",
    ...                         targets=[Target("start engine")])
    >>> serial_plan(problem).placed["trim seats"]
    Placed(start=540, finish=630, people=('Ann',))
    """
    axis = Axis(problem)
    bounds = Bounds(axis)
    plans = [plan_of(problem, placed, bounds.bound()) for placed in _attempts(axis, bounds)]
    return min(plans, key=lambda plan: plan.cost)


def place_in_order(
    problem: Problem,
    order: Sequence[int],
    crews: Mapping[int, Crew] | None = None,
    not_before: Mapping[int, int] | None = None,
    unfit: list[int] | None = None,
) -> dict[str, Placed]:
    """Place tasks one after another, each as early as it then fits.

    Parameters
    ----------
    problem : Problem
        What is to be levelled.
    order : sequence of int
        A number for each task by place: of those whose predecessors are all placed the least comes first.
        What is in hand comes before all others.
    crews : mapping of int to tuple of str, optional
        Who is to be on a task, by place; others choose whoever finishes first.
    not_before : mapping of int to int, optional
        Moments before which a task is not placed though it could be, by place [min].
    unfit : list of int, optional
        Takes the tasks that do not fit into the calendars, by place; they are then left out with all that
        waits for them.

    Returns
    -------
    dict of str to Placed
        Every task, in the order in which they were placed.

    Raises
    ------
    BeyondHorizon
        If a task does not fit into the calendars and no list is given for it.
    NoCommonHours
        If nobody has hours for a task.
    """
    board = Board(problem)
    full = _Full(problem)
    finishes = [0] * len(problem.tasks)
    waiting = [len(arcs) for arcs in problem.network.waits_for]
    ready = [_turn(problem, order, place) for place, count in enumerate(waiting) if count == 0]
    heapify(ready)
    found: dict[str, Placed] = {}
    while ready:
        place = heappop(ready)[-1]
        moment = problem.ready(place, finishes)
        if not_before and place in not_before:
            moment = max(moment, not_before[place])
        chosen = (crews[place],) if crews and place in crews else problem.crews[place]
        if unfit is not None and full.is_known(place, moment):
            unfit.append(place)
            continue
        placed = board.fit(place, moment, chosen) or board.fit(place, moment, problem.crews[place])
        if placed is None:
            error = _no_room(problem, place)
            if unfit is None or not isinstance(error, BeyondHorizon):
                raise error
            unfit.append(place)
            full.add(place, moment)
            continue
        board.take(place, placed)
        finishes[place] = placed.finish
        found[problem.tasks[place].key] = placed
        for after, _, _ in problem.network.awaited_by[place]:
            waiting[after] -= 1
            if waiting[after] == 0:
                heappush(ready, _turn(problem, order, after))
    return found


class _Full:
    """What was found not to fit: the board only fills, so nothing alike, as long and as late fits either."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.found: dict[tuple[object, ...], list[tuple[int, int]]] = {}

    def is_known(self, place: int, moment: int) -> bool:
        work = self.problem.tasks[place].work_min
        return any(m <= moment and w <= work for m, w in self.found.get(self._alike(place), ()))

    def add(self, place: int, moment: int) -> None:
        self.found.setdefault(self._alike(place), []).append((moment, self.problem.tasks[place].work_min))

    def _alike(self, place: int) -> tuple[object, ...]:
        task = self.problem.tasks[place]
        return task.people, task.skill, task.skilled, task.named, task.calendar, self.problem.holds[place]


def latest_finishes(axis: Axis, finishes: Sequence[int]) -> list[int]:
    """Give how late each task may finish for the targets to finish as they should.

    Parameters
    ----------
    axis : Axis
        The problem on its axis.
    finishes : sequence of int
        Where each target should finish [min].

    Returns
    -------
    list of int
        By place, the end of the axis for tasks that lead to no target [min].
    """
    late = [axis.length] * len(axis.sizes)
    for (place, *_), finish in zip(axis.targets, finishes, strict=True):
        late[place] = min(late[place], finish)
    for place, task in enumerate(axis.problem.tasks):
        if task.not_after is not None:
            late[place] = min(late[place], axis.at(task.not_after))
    for place in range(len(late) - 1, -1, -1):
        for before, lag in axis.lags[place]:
            late[before] = min(late[before], late[place] - axis.sizes[place] - lag)
    return late


def _attempts(axis: Axis, bounds: Bounds) -> Iterator[dict[str, Placed]]:
    problem = axis.problem
    in_order, _ = bounds.in_order
    promised = [
        alone if promise is None or promise < 0 else promise
        for (_, promise, *_), alone in zip(axis.targets, bounds.alone, strict=True)
    ]
    for finishes in (in_order, promised):
        late = latest_finishes(axis, finishes)
        starts = [end - size for end, size in zip(late, axis.sizes, strict=True)]
        yield place_in_order(problem, late)
        yield place_in_order(problem, starts)
        yield place_in_order(problem, _car_by_car(axis, finishes, starts))
    yield place_in_order(problem, [start - head for start, head in zip(starts, axis.heads, strict=True)])
    if problem.previous is not None:
        late = latest_finishes(axis, in_order)
        yield as_before(problem, late)
        yield as_before(problem, late, pulled_forward=True)


def _car_by_car(axis: Axis, finishes: Sequence[int], starts: Sequence[int]) -> list[int]:
    """Give an order in which the target that is wanted first has the first pick of people and things."""
    turn = [len(finishes)] * len(starts)
    first_last = sorted(range(len(finishes)), key=lambda number: finishes[number])
    for rank, number in enumerate(first_last):
        for place in axis.tails(axis.targets[number][0]):
            turn[place] = min(turn[place], rank)
    width = max(starts, default=0) - min(starts, default=0) + 1
    return [rank * width + start for rank, start in zip(turn, starts, strict=True)]


def as_before(problem: Problem, late: Sequence[int], pulled_forward: bool = False) -> dict[str, Placed]:
    """Place tasks in the order of the plan before, with the same people.

    Where nothing takes longer than it did, nothing that stays is then later than it was.

    Parameters
    ----------
    problem : Problem
        With the plan before.
    late : sequence of int
        The order of tasks that are new, which come last.
    pulled_forward : bool
        Whether tasks may start earlier than before; else each stays where it was if it can.

    Returns
    -------
    dict of str to Placed
        Every task.
    """
    before = problem.previous.placed if problem.previous is not None else {}
    known = {place: before[task.key] for place, task in enumerate(problem.tasks) if task.key in before}
    last = max((placed.start for placed in known.values()), default=0)
    order = [
        known[place].start if place in known else last + 1 + late[place]
        for place in range(len(problem.tasks))
    ]
    return place_in_order(
        problem,
        order,
        crews={place: was.people for place, was in known.items() if _is_crew(problem, place, was.people)},
        not_before=None if pulled_forward else {place: was.start for place, was in known.items()},
    )


def _is_crew(problem: Problem, place: int, crew: Crew) -> bool:
    return crew in problem.crews[place]


def _turn(problem: Problem, order: Sequence[int], place: int) -> tuple[bool, int, int, int]:
    task = problem.tasks[place]
    rank = problem.rank[task.key] if task.in_hand else 0
    return not task.in_hand, rank, order[place], place


def _no_room(problem: Problem, place: int) -> Exception:
    task = problem.tasks[place]
    if all(problem.hours_of(place, crew) is None for crew in problem.crews[place]):
        return NoCommonHours(task.key, sorted(problem.able[place]))
    hours = problem.calendars[task.calendar or problem.hours]
    return BeyondHorizon(hours.first, hours.last, task.key, task.calendar or problem.hours)

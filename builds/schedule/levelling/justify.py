"""A plan pushed as late as it goes: the order in which its tasks then stand often gives a better plan.

Placing forward, pushing back and placing forward again is known to shorten schedules at little cost
[1]_ [2]_. Here only the order is wanted, so the pushing is done on the axis, with lengths as they are in
the plan, and the placing afterwards to the minute.

References
----------
.. [1] K.Y. Li, R.J. Willis (1992) 'An iterative scheduling technique for resource-constrained project
   scheduling', European Journal of Operational Research 56, 370-379.
.. [2] V. Valls, F. Ballestin, S. Quintanilla (2005) 'Justification and RCPSP: a technique that pays',
   European Journal of Operational Research 165, 375-386. (Both from memory.)
"""

from collections.abc import Mapping

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.board import Booked, Level
from builds.schedule.levelling.problem import WHOLE_CAR, Placed


def pushed_back(axis: Axis, placed: Mapping[str, Placed]) -> list[int]:
    """Push every task of a plan as late as it goes without any target finishing later.

    Parameters
    ----------
    axis : Axis
        The problem on its axis.
    placed : mapping of str to Placed
        A plan.

    Returns
    -------
    list of int
        By place, where each task would start: an order for `place_in_order` [min].

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.levelling.problem import Problem, Target, Task, Worker
    >>> from builds.schedule.network import Link
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("cut", 60), Task("weld", 60), Task("sweep", 60)]
    >>> crew = [Worker("Ann", shop), Worker("Bob", shop)]
    >>> problem = Problem.build(jobs, [Link("cut", "weld")], crew, {"shop": shop}, 0, hours="shop",
    ...                         targets=[Target("weld")])
    >>> plan = {"cut": Placed(480, 540, ("Ann",)), "weld": Placed(540, 600, ("Ann",)),
    ...         "sweep": Placed(480, 540, ("Bob",))}
    >>> dict(zip([task.key for task in problem.tasks], pushed_back(Axis(problem), plan)))
    {'cut': 0, 'sweep': 60, 'weld': 60}
    """
    problem = axis.problem
    spans = [(axis.at(placed[t.key].start), axis.at(placed[t.key].finish)) for t in problem.tasks]
    end = max((finish for _, finish in spans), default=0)
    kept = {place: spans[place][1] for place, *_ in axis.targets}
    people = {worker.key: Booked() for worker in problem.workers}
    levels = {key: Level(thing.capacity) for key, thing in problem.counted.items()}
    levels.update((key, Level(WHOLE_CAR)) for key in problem.leaving.values())
    # time runs backwards here: what is later in the plan is placed first, at the lowest number
    back = [0] * len(spans)
    for place in sorted(range(len(spans)), key=lambda place: (-spans[place][1], -place)):
        size = spans[place][1] - spans[place][0]
        begin = -kept.get(place, end)
        for after, _, _ in problem.network.awaited_by[place]:
            lag = next(lag for before, lag in axis.lags[after] if before == place)
            begin = max(begin, back[after] + lag)
        booked = [people[name] for name in placed[problem.tasks[place].key].people]
        held = [(levels[key], asked) for key, asked in problem.holds[place]] if size else []
        begin = _first_room(begin, size, booked, held)
        for person in booked:
            person.insert(begin, begin + size)
        for level, asked in held:
            level.take(begin, begin + size, asked)
        back[place] = begin + size
    return [-begin for begin in back]


def _first_room(begin: int, size: int, booked: list[Booked], held: list[tuple[Level, int]]) -> int:
    while True:
        later = begin
        for person in booked:
            later = max(later, person.skip(later, size))
        for level, asked in held:
            later = max(later, level.free_from(later, later + size, asked))
        if later == begin:
            return begin
        begin = later

"""A levelled plan as precedence: who hands over to whom, and what is handed on.

A plan says in which order each person does their tasks, and in which order each lift or bay is taken. Those
orders are links like any other, so that a network with them keeps the plan's order whatever its tasks
turn out to take: the resource flow network [1]_. Dates drawn over it have the people inside each
draw. The order is kept even where a delay would make another one better, so these dates lean late where
suppliers are late; those of the bare network lean early.

References
----------
.. [1] C. Artigues, F. Roubellat (2000) 'A polynomial activity insertion algorithm in a multi-resource
   schedule with cumulative constraints and multiple modes', European Journal of Operational Research
   127(2), 297-316. From memory.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.problem import WHOLE_CAR, Placed, Problem
from builds.schedule.network import Activity, Link, Network
from builds.schedule.spans import joined


@dataclass(frozen=True, slots=True)
class HandOver:
    """One task follows another because both take the same person, thing or car.

    Parameters
    ----------
    before, after : str
        Keys of the tasks.
    resource : str
        Key of the worker, of the counted thing, or the name under which a car that leaves is counted.
    is_person : bool
        Whether it is a worker.
    """

    before: str
    after: str
    resource: str
    is_person: bool


def hand_overs(
    problem: Problem, placed: Mapping[str, Placed], among: Collection[str] | None = None
) -> tuple[HandOver, ...]:
    """Give the hand-overs of a plan.

    Parameters
    ----------
    problem : Problem
        The rules.
    placed : mapping of str to Placed
        A plan that keeps them.
    among : collection of str, optional
        Only between these tasks, past any other.

    Returns
    -------
    tuple of HandOver
        For each person one from each task to the next. For each counted thing one from a task to every
        later one that takes over a piece of it; for a car that leaves, from each task on it to the next
        leaving and from that to each after it.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Task, Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("weld floor", 60), Task("weld wing", 90)]
    >>> problem = Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop")
    >>> plan = {"weld wing": Placed(480, 570, ("Ann",)), "weld floor": Placed(570, 630, ("Ann",))}
    >>> hand_overs(problem, plan)
    (HandOver(before='weld wing', after='weld floor', resource='Ann', is_person=True),)
    """
    keys = problem.place if among is None else [key for key in problem.place if key in among]
    order = sorted(keys, key=lambda key: (placed[key].start, placed[key].finish, key))
    return (*_of_people(placed, order), *_of_things(problem, placed, order))


def _of_people(placed: Mapping[str, Placed], order: list[str]) -> Iterator[HandOver]:
    last: dict[str, str] = {}
    for key in order:
        if placed[key].start == placed[key].finish:
            continue
        for who in placed[key].people:
            if who in last:
                yield HandOver(last[who], key, who, True)
            last[who] = key


def _of_things(problem: Problem, placed: Mapping[str, Placed], order: list[str]) -> Iterator[HandOver]:
    cars = set(problem.leaving.values())
    free: dict[str, list[tuple[str | None, int]]] = {}
    for key in order:
        for thing, asked in problem.holds[problem.place[key]]:
            if thing in cars:
                continue
            pieces = free.setdefault(thing, [(None, problem.counted[thing].capacity)])
            yield from _taken(pieces, placed, key, thing, asked)
    for car in sorted(cars):
        yield from _of_car(problem, placed, order, car)


def _taken(
    pieces: list[tuple[str | None, int]], placed: Mapping[str, Placed], key: str, thing: str, asked: int
) -> Iterator[HandOver]:
    """Take pieces that are free by then, those that came free last first: their wait is the shortest."""
    begin = placed[key].start
    ready = [piece for piece in pieces if piece[0] is None or placed[piece[0]].finish <= begin]
    ready.sort(key=lambda piece: -1 if piece[0] is None else placed[piece[0]].finish, reverse=True)
    left = asked
    for piece in ready:
        if left == 0:
            break
        before, count = piece
        took = min(left, count)
        left -= took
        pieces.remove(piece)
        if count > took:
            pieces.append((before, count - took))
        if before is not None:
            yield HandOver(before, key, thing, False)
    pieces.append((key, asked))


def _of_car(problem: Problem, placed: Mapping[str, Placed], order: list[str], car: str) -> Iterator[HandOver]:
    """Give what keeps the tasks on a car and those away with it apart."""
    here: list[str] = []
    gone: str | None = None
    for key in order:
        asked = dict(problem.holds[problem.place[key]]).get(car)
        if asked is None or placed[key].start == placed[key].finish:
            continue
        if asked < WHOLE_CAR:
            here.append(key)
            if gone is not None:
                yield HandOver(gone, key, car, False)
            continue
        before = here or ([gone] if gone is not None else [])
        yield from (HandOver(one, key, car, False) for one in before)
        here, gone = [], key


def in_plan_order(network: Network, problem: Problem, placed: Mapping[str, Placed]) -> Network:
    """Give a network with the order and the people of a plan in it.

    Parameters
    ----------
    network : Network
        The same tasks as activities; it may lack some of them.
    problem : Problem
        The rules.
    placed : mapping of str to Placed
        A plan that keeps them.

    Returns
    -------
    Network
        With a link for each hand-over that is no link yet, and with the hours that a task's people
        share in place of its own. Once one of them has left for good somebody else carries on, in the
        task's own hours.

    Raises
    ------
    CycleError
        If the plan's order contradicts the links.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.levelling.problem import Task, Worker
    >>> from builds.schedule.passes import forward
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> jobs = [Task("weld floor", 60), Task("weld wing", 90)]
    >>> problem = Problem.build(jobs, [], [Worker("Ann", shop)], {"shop": shop}, 0, hours="shop")
    >>> plan = {"weld wing": Placed(480, 570, ("Ann",)), "weld floor": Placed(570, 630, ("Ann",))}
    >>> levelled = in_plan_order(problem.network, problem, plan)
    >>> forward(problem.network).finish["weld floor"], forward(levelled).finish["weld floor"]
    (540, 630)
    """
    calendars: dict[str, WorkCalendar] = dict(network.calendars)
    activities = [_of_crew(network, problem, placed, calendars, one) for one in network.activities]
    tied = {(link.before, link.after) for link in network.links if link.lag_min >= 0}
    links = list(network.links)
    for one in hand_overs(problem, placed, network.place):
        pair = one.before, one.after
        if pair not in tied:
            tied.add(pair)
            links.append(Link(*pair))
    return Network.build(activities, links, calendars, network.start)


def _of_crew(
    network: Network,
    problem: Problem,
    placed: Mapping[str, Placed],
    calendars: dict[str, WorkCalendar],
    activity: Activity,
) -> Activity:
    crew = placed[activity.key].people if activity.key in placed else ()
    hours = problem.hours_of(problem.place[activity.key], crew) if crew else None
    own = network.calendars[activity.calendar]
    if hours is None or hours == own:
        return activity
    hours = _and_after(hours, own)
    name = " and ".join((activity.calendar, *crew))
    calendars[name] = hours
    return replace(activity, calendar=name)


def _and_after(hours: WorkCalendar, own: WorkCalendar) -> WorkCalendar:
    """Give the hours of people, and from their last minute on those of the task itself."""
    left = hours.ends[-1]
    after = [(max(start, left), end) for start, end in zip(own.starts, own.ends, strict=True) if end > left]
    if not after:
        return hours
    starts, ends = zip(*joined([*zip(hours.starts, hours.ends, strict=True), *after]), strict=True)
    return WorkCalendar(max(hours.first, own.first), min(hours.last, own.last), starts, ends)

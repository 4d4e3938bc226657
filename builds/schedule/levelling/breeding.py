"""Good orders crossed with each other: a population of schedules in steps.

Each child takes the beginning and the end of its order from one parent and the tasks between from another
[1]_, is disturbed a little, placed, pushed back and placed again [2]_. It takes the place of the worse of its
parents if it is no worse, so that a good order spreads slowly.

References
----------
.. [1] S. Hartmann (1998) 'A competitive genetic algorithm for resource-constrained project scheduling',
   Naval Research Logistics 45, 733-750.
.. [2] V. Valls, F. Ballestin, S. Quintanilla (2008) 'A hybrid genetic algorithm for the resource-constrained
   project scheduling problem', European Journal of Operational Research 185, 495-508. (Both from memory.)
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from builds.schedule.levelling.steps import Steps

MANY = 60  # orders in a population
DISTURBED, RATE = 0.9, 0.1  # so many children are disturbed, and so many tasks of each
FAR = 8  # an n-th of all tasks is how far a disturbed one goes at most


@dataclass(frozen=True)
class Bred:
    """One schedule of the population.

    Parameters
    ----------
    cost : int
        What it costs [step].
    order : list of int
        Its tasks in the order of their starts.
    starts : list of int
        By place [step].
    """

    cost: int
    order: list[int]
    starts: list[int]


def breed(
    steps: Steps,
    late: Sequence[int],
    known: Sequence[Sequence[int]],
    random: Random,
    is_over: Callable[[], bool],
    count: int | None = None,
) -> Iterator[Bred]:
    """Look for better schedules until it is over.

    Parameters
    ----------
    steps : Steps
        The problem in steps.
    late : sequence of int
        A number for each task, such as how late it may finish: half of the first orders are near this
        one, the others are drawn.
    known : sequence of sequence of int
        Numbers by place of good orders that are known already.
    random : Random
        Draws everything.
    is_over : callable
        Asked before each schedule.
    count : int, optional
        So many schedules at most.

    Yields
    ------
    Bred
        The first schedule, and each that is better than all before it.
    """
    population: list[Bred] = []
    best: Bred | None = None
    made = 0
    while not is_over() and (count is None or made < count):
        made += 1
        replaced: int | None = None
        if len(population) < min(MANY, count or MANY):
            child = _first(steps, late, known, len(population), random)
        else:
            one, other = random.sample(range(len(population)), 2)
            child = _child(steps, population[one].order, population[other].order, random)
            replaced = one if population[one].cost > population[other].cost else other
        if replaced is None:
            population.append(child)
        elif child.cost <= population[replaced].cost and not _is_there(population, child):
            population[replaced] = child
        if best is None or child.cost < best.cost:
            best = child
            yield child


def _is_there(population: list[Bred], child: Bred) -> bool:
    """Whether one like it is in the population: twins would soon fill it."""
    return any(one.cost == child.cost and one.starts == child.starts for one in population)


def _first(
    steps: Steps, late: Sequence[int], known: Sequence[Sequence[int]], number: int, random: Random
) -> Bred:
    if number < len(known):
        return _twice(steps, steps.in_order(known[number]))
    last = max(late, default=0)
    if number % 2:
        return _twice(steps, steps.in_order([random.random() for _ in late]))
    spread = 0.0 if number <= len(known) + 1 else 0.3
    return _twice(
        steps, steps.in_order([-(last + 1 - at) * (1 + random.uniform(-spread, spread)) for at in late])
    )


def _child(steps: Steps, one: list[int], other: list[int], random: Random) -> Bred:
    begin, end = sorted(random.sample(range(len(one) + 1), 2)) if one else (0, 0)
    order = one[:begin]
    taken = set(order)
    order += [place for place in other if place not in taken][: end - begin]
    taken = set(order)
    order += [place for place in one if place not in taken]
    if random.random() < DISTURBED:
        far = max(2, len(order) // FAR)
        number = [0.0] * len(order)
        for rank, place in enumerate(order):
            number[place] = rank + (random.uniform(-far, far) if random.random() < RATE else 0)
        order = steps.in_order(number)
    return _twice(steps, order)


def _twice(steps: Steps, order: list[int]) -> Bred:
    """Place an order, push it back and place it again."""
    starts, ends = steps.place(order)
    again, after = steps.place(steps.pushed_back(ends))
    if steps.cost(after) <= steps.cost(ends):
        starts, ends = again, after
    order = sorted(range(len(starts)), key=starts.__getitem__)
    return Bred(steps.cost(ends), order, starts)

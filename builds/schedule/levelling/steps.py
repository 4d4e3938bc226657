"""The axis in whole steps, with all that is held at once in one number for each step.

Thousands of orders of tasks can be tried in a second this way. The levels of all counted things, and of each
set of people who can do some task, stand side by side in one integer, each with a spare bit above it that a
subtraction takes away where there is not enough: one comparison answers for all of them [1]_.

People are counted here and not named, so a problem in which people do anything is only near the real one;
where nobody is needed and nothing runs by other hours than the axis, it is the same (`is_exact`).

References
----------
.. [1] L. Lamport (1975) 'Multiple byte processing with full-word instructions', Communications of the ACM
   18, 471-475. (From memory.)
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import gcd

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.plan import overriding_weight
from builds.schedule.levelling.problem import WHOLE_CAR

Arcs = tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True)
class Steps:
    """Tasks in whole steps; make one with `of`.

    Parameters
    ----------
    sizes, heads : tuple of int
        Length and earliest start of each task [step].
    before, after : tuple of tuple of (int, int)
        For each task those that it waits for, and those that wait for it, with lags [step].
    uses : tuple of int
        What each holds, packed.
    room : int
        All that there is, packed, with every spare bit set.
    spare : int
        The spare bits alone.
    targets : tuple of (int, int or None, int, int)
        Place, promise and weights of late and early [step].
    grid_min : int
        Minutes of one step [min].
    is_exact : bool
        Whether a schedule in steps is a plan.
    """

    sizes: tuple[int, ...]
    heads: tuple[int, ...]
    before: Arcs
    after: Arcs
    uses: tuple[int, ...]
    room: int
    spare: int
    targets: tuple[tuple[int, int | None, int, int], ...]
    grid_min: int
    is_exact: bool

    @classmethod
    def of(cls, axis: Axis) -> "Steps":
        """Put a problem on its axis into steps.

        Parameters
        ----------
        axis : Axis
            The problem on its axis.

        Returns
        -------
        Steps
            With the largest step that measures every length and place.

        Examples
        --------
        >>> from datetime import date
        >>> from builds.schedule.calendar import WorkCalendar
        >>> from builds.schedule.levelling.problem import Counted, Problem, Target, Task
        >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
        >>> jobs = [Task(key, 60, people=0, uses=(("bay", 1),)) for key in ("cut", "weld", "trim")]
        >>> problem = Problem.build(jobs, [], [], {"shop": shop}, 0, hours="shop",
        ...                         counted=[Counted("bay", 2)], targets=[Target("trim")])
        >>> steps = Steps.of(Axis(problem))
        >>> steps.place([0, 1, 2])
        ([0, 0, 1], [1, 1, 2])
        """
        problem = axis.problem
        targets = list(axis.targets)
        for place, task in enumerate(problem.tasks):
            if task.not_after is not None:
                targets.append((place, axis.at(task.not_after), overriding_weight(problem), 0))
        lags = [lag for arcs in axis.lags for _, lag in arcs]
        promises = [promised or 0 for _, promised, _, _ in targets]
        grid = gcd(*axis.heads, *axis.sizes, *lags, *promises) or 1
        before = tuple(tuple((place, lag // grid) for place, lag in arcs) for arcs in axis.lags)
        after: list[list[tuple[int, int]]] = [[] for _ in before]
        for place, arcs in enumerate(before):
            for other, lag in arcs:
                after[other].append((place, lag))
        uses, room, spare = _packed(axis)
        return cls(
            tuple(size // grid for size in axis.sizes),
            tuple(head // grid for head in axis.heads),
            before,
            tuple(map(tuple, after)),
            uses,
            room,
            spare,
            tuple((place, None if due is None else due // grid, a, b) for place, due, a, b in targets),
            grid,
            _is_exact(axis),
        )

    @cached_property
    def length(self) -> int:
        """So many steps are enough for any order [step]."""
        lags = sum(max((lag for _, lag in arcs), default=0) for arcs in self.before)
        return max(self.heads, default=0) + sum(self.sizes) + lags + 1

    def place(self, order: Sequence[int], heads: Sequence[int] | None = None) -> tuple[list[int], list[int]]:
        """Place tasks one after another, each as early as it then fits.

        Parameters
        ----------
        order : sequence of int
            Every task once, by place, each after all that it waits for.
        heads : sequence of int, optional
            Earliest starts, if not its own [step].

        Returns
        -------
        tuple of (list of int, list of int)
            Starts and ends by place [step].
        """
        free = [self.room] * self.length
        spare, uses, sizes, before = self.spare, self.uses, self.sizes, self.before
        starts, ends = list(self.heads if heads is None else heads), [0] * len(sizes)
        for place in order:
            start = starts[place]
            for other, lag in before[place]:
                ready = ends[other] + lag
                if ready > start:
                    start = ready
            size, held = sizes[place], uses[place]
            if held:
                step, stop = start, start + size
                while step < stop:
                    fits = (free[step] - held) & spare == spare
                    step += 1
                    if not fits:
                        stop = step + size
                start = stop - size
                for step in range(start, stop):
                    free[step] -= held
            starts[place], ends[place] = start, start + size
        return starts, ends

    def pushed_back(self, ends: list[int]) -> list[int]:
        """Push every task as late as it goes without any target finishing later, and give the order.

        Parameters
        ----------
        ends : list of int
            Ends by place [step].

        Returns
        -------
        list of int
            Every task once, in the order of where they then start.
        """
        return sorted(range(len(ends)), key=self.latest(ends).__getitem__)

    def latest(self, ends: list[int]) -> list[int]:
        """Push every task as late as it goes without any target finishing later.

        Parameters
        ----------
        ends : list of int
            Ends by place [step].

        Returns
        -------
        list of int
            Where each then starts, by place [step].
        """
        last = max(ends, default=0)
        heads = [0] * len(ends)
        for place, *_ in self.targets:
            heads[place] = last - ends[place]
        # a sort keeps the working order among equals, here from the last to the first
        order = sorted(range(len(ends) - 1, -1, -1), key=[-end for end in ends].__getitem__)
        _, after = self._mirrored.place(order, heads)
        return [last - end for end in after]

    def cost(self, ends: list[int]) -> int:
        """Give what a schedule costs: as a plan does, in steps instead of minutes.

        Parameters
        ----------
        ends : list of int
            Ends by place [step].

        Returns
        -------
        int
            In steps times weights.
        """
        total = 0
        for place, due, late, early in self.targets:
            total += early * ends[place]
            if due is not None and ends[place] > due:
                total += late * (ends[place] - due)
        return total

    def in_order(self, wanted: Sequence[float]) -> list[int]:
        """Give the order of some numbers that keeps each task after all that it waits for.

        Parameters
        ----------
        wanted : sequence of float
            A number for each task, the least first.

        Returns
        -------
        list of int
            Every task once.
        """
        number = list(wanted)
        for place, arcs in enumerate(self.before):
            for other, _ in arcs:
                if number[other] > number[place]:
                    number[place] = number[other]
        return sorted(range(len(number)), key=number.__getitem__)

    @cached_property
    def _mirrored(self) -> "Steps":
        return replace(self, before=self.after, after=self.before)


def _packed(axis: Axis) -> tuple[tuple[int, ...], int, int]:
    """Give what each task holds, all that there is, and the spare bits."""
    problem = axis.problem
    capacities = {key: thing.capacity for key, thing in problem.counted.items()}
    capacities |= dict.fromkeys(problem.leaving.values(), WHOLE_CAR)
    pools = {names for names in problem.able if names}
    pools.add(frozenset(name for names in pools for name in names))
    uses = [0] * len(problem.tasks)
    room = spare = shift = 0
    for key, capacity in capacities.items():
        for place, held in enumerate(problem.holds):
            uses[place] |= dict(held).get(key, 0) << shift
        room |= capacity << shift
        shift += capacity.bit_length()
        spare |= 1 << shift
        shift += 1
    for pool in sorted(pools - {frozenset()}, key=sorted):
        for place, task in enumerate(problem.tasks):
            if problem.able[place] and problem.able[place] <= pool:
                uses[place] |= task.needs << shift
        room |= len(pool) << shift
        shift += len(pool).bit_length()
        spare |= 1 << shift
        shift += 1
    uses = [held if size else 0 for held, size in zip(uses, axis.sizes, strict=True)]
    return tuple(uses), room | spare, spare


def _is_exact(axis: Axis) -> bool:
    problem = axis.problem
    return (
        problem.previous is None
        and not any(problem.able)
        and not any(task.in_hand for task in problem.tasks)
        and not any(link.lag_min for link in problem.links)
        and all(
            not task.work_min or problem.hours_of(place, ()) == axis.open
            for place, task in enumerate(problem.tasks)
        )
    )

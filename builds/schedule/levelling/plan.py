"""A plan, what it costs against the targets, and what moved since the plan before."""

from collections.abc import Mapping
from dataclasses import dataclass

from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.errors import NotAPlan, in_words
from builds.schedule.levelling.problem import Crew, Placed, Previous, Problem

OVERRIDING = 1000  # a fixed last moment counts as so many times the heaviest promise


@dataclass(frozen=True, slots=True)
class Bound:
    """What no plan can beat.

    Parameters
    ----------
    cost : int
        No plan costs less, in the currency of `Cost`.
    earliest : mapping of str to int
        For each target the moment before which no plan finishes it [min].
    """

    cost: int
    earliest: Mapping[str, int]

    def in_words(self, key: str) -> str:
        """Say it of one target.

        Parameters
        ----------
        key : str
            The target.

        Returns
        -------
        str
            A sentence.

        Examples
        --------
        >>> Bound(0, {"start-up": 14_307_360}).in_words("start-up")
        'No plan can be earlier than Mon 15 Mar 2027, 16:00.'
        """
        return f"No plan can be earlier than {in_words(from_minutes(self.earliest[key]))}."


@dataclass(frozen=True)
class Plan:
    """Who does what, and when.

    Parameters
    ----------
    placed : mapping of str to Placed
        Every task of the problem.
    cost : int
        `cost` of it, the lower the better.
    bound : Bound, optional
        What no plan can beat, where it was worked out.
    moved_count : int
        How many tasks are not where the plan before had them; `moved` gives them.
    """

    placed: Mapping[str, Placed]
    cost: int
    bound: Bound | None = None
    moved_count: int = 0

    @property
    def is_proven(self) -> bool:
        """Whether no plan can be better."""
        return self.bound is not None and self.cost <= self.bound.cost

    @property
    def gap(self) -> float | None:
        """By how much of its cost a better plan could be better; None if nothing is known."""
        if self.bound is None:
            return None
        return max(0, self.cost - self.bound.cost) / max(1, self.cost)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs, in open minutes times weights.

    An open minute is one in which the workshop or anybody in it is at work, so a night or a Christmas
    costs nothing.

    Parameters
    ----------
    late : int
        For promises that are missed.
    early : int
        For the way to each target.
    overdue : int
        For fixed last moments that are missed: far more than for promises.
    moved : int
        For tasks that moved since the plan before.
    """

    late: int
    early: int
    overdue: int
    moved: int

    @property
    def total(self) -> int:
        """The whole."""
        return self.late + self.early + self.overdue + self.moved


@dataclass(frozen=True, slots=True)
class MovedTask:
    """A task that is not where it was.

    Parameters
    ----------
    key : str
        The task.
    by_min : int
        How much later it starts; negative if earlier [min].
    before, after : tuple of str
        Its people in the plan before and in this one.
    """

    key: str
    by_min: int
    before: Crew
    after: Crew


def cost_of(problem: Problem, placed: Mapping[str, Placed]) -> Cost:
    """Work out what a plan costs.

    Parameters
    ----------
    problem : Problem
        The targets and the plan before.
    placed : mapping of str to Placed
        At least every target, every task with a last moment and every task of the plan before.

    Returns
    -------
    Cost
        By reason.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.levelling.problem import Target, Task, Worker
    >>> shop = WorkCalendar.build({5: [(480, 960)]}, (), date(2000, 1, 1), date(2000, 1, 31))
    >>> problem = Problem.build([Task("start engine", 60)], [], [Worker("Ann", shop)], {"shop": shop}, 0,
    ...                         hours="shop", targets=[Target("start engine", promised=500)])
    >>> cost_of(problem, {"start engine": Placed(480, 540, ("Ann",))})
    Cost(late=400, early=60, overdue=0, moved=0)
    """
    hours = problem.open
    late = early = overdue = 0
    for target in problem.targets:
        finish = placed[target.key].finish
        early += target.early_weight * hours.between(problem.start, finish)
        if target.promised is not None and finish > target.promised:
            late += target.late_weight * hours.between(max(target.promised, hours.opens), finish)
    for task in problem.tasks:
        if task.not_after is not None and placed[task.key].finish > task.not_after:
            since = max(task.not_after, hours.opens)
            overdue += overriding_weight(problem) * hours.between(since, placed[task.key].finish)
    if problem.previous is None:
        return Cost(late, early, overdue, 0)
    moves = moved(problem.previous, placed)
    return Cost(late, early, overdue, len(moves) * problem.previous.moved_weight)


def overriding_weight(problem: Problem) -> int:
    """Give what an open minute after a fixed last moment costs.

    Parameters
    ----------
    problem : Problem
        The targets.

    Returns
    -------
    int
        ``OVERRIDING`` times the heaviest weight of a target.
    """
    weights = [target.late_weight + target.early_weight for target in problem.targets]
    return OVERRIDING * max(weights, default=1)


def moved(previous: Previous, placed: Mapping[str, Placed]) -> tuple[MovedTask, ...]:
    """Give the tasks that are not where the plan before had them.

    Parameters
    ----------
    previous : Previous
        The plan before.
    placed : mapping of str to Placed
        The plan now. Tasks that are in only one of the two have not moved.

    Returns
    -------
    tuple of MovedTask
        Those with other people, or with a start that differs by more than the tolerance; in the order of
        the plan now. What needs nobody any more has no other people.

    Examples
    --------
    >>> before = Previous({"fit tank": Placed(480, 540, ("Ann",)), "weld": Placed(480, 540, ("Bob",))})
    >>> moved(before, {"fit tank": Placed(600, 660, ("Ann",)), "weld": Placed(480, 540, ("Bob",))})
    (MovedTask(key='fit tank', by_min=120, before=('Ann',), after=('Ann',)),)
    """
    found = []
    for key, now in placed.items():
        was = previous.placed.get(key)
        if was is None:
            continue
        is_other_crew = bool(now.people) and set(now.people) != set(was.people)
        if is_other_crew or abs(now.start - was.start) > previous.tolerance_min:
            found.append(MovedTask(key, now.start - was.start, was.people, now.people))
    return tuple(found)


def plan_of(problem: Problem, placed: Mapping[str, Placed], bound: Bound | None = None) -> Plan:
    """Make a plan of placed tasks.

    Parameters
    ----------
    problem : Problem
        Whose tasks they are.
    placed : mapping of str to Placed
        Every task of it.
    bound : Bound, optional
        What no plan can beat.

    Returns
    -------
    Plan
        With its cost.

    Raises
    ------
    NotAPlan
        If a task is left out.
    """
    missing = [key for key in problem.place if key not in placed]
    if missing:
        raise NotAPlan("it leaves tasks out", missing)
    ordered = {key: placed[key] for key in problem.place}
    moves = 0 if problem.previous is None else len(moved(problem.previous, ordered))
    return Plan(ordered, cost_of(problem, ordered).total, bound, moves)

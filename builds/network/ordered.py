"""The network in the order of the levelled plan: what waits for people waits for them here too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from builds.schedule.errors import CycleError
from builds.schedule.handover import HandOver, hand_overs, in_plan_order
from builds.schedule.network import Network
from builds.schedule.whatif import without

from .levelled import LevelledPlan, levelled_plan
from .solution import Solution


@dataclass(frozen=True)
class Ordered:
    """A solution whose dates have the people in them, or the bare one and why it has not."""

    levelled: LevelledPlan
    solution: Solution
    handed: Mapping[tuple[str, str], HandOver] = field(default_factory=dict)  # by the tasks before and after
    hand_overs: tuple[HandOver, ...] = ()  # all of them: two tasks may hand on more than one person
    is_at_once: bool = False  # in the order of the plan last worked out: see `standing`
    refusal: str = ""  # why people are left out; empty where they are not


def ordered(solution: Solution) -> Ordered:
    """Put the levelled plan's order into the network. Queries: those of `levelled_plan`."""
    return ordered_by(solution, levelled_plan(solution))


def ordered_by(solution: Solution, levelled: LevelledPlan) -> Ordered:
    """Put the order of a plan that is made already into the network."""
    if solution.network is None or levelled.plan is None or levelled.problem is None:
        return Ordered(levelled, solution, refusal=levelled.refusal or solution.problem)
    placed = levelled.plan.placed
    unplanned = [key for key in solution.network.place if key not in placed]
    try:
        network = without(solution.network, unplanned) if unplanned else solution.network
        found = _in_order(solution, levelled, network)
    except CycleError:
        return Ordered(levelled, solution, refusal="The plan’s order no longer fits the jobs.")
    given = hand_overs(levelled.problem, placed, network.place)
    return Ordered(levelled, found, by_pair(given), given)


def by_pair(given: Iterable[HandOver]) -> dict[tuple[str, str], HandOver]:
    """Hand-overs by the tasks before and after."""
    return {(one.before, one.after): one for one in given}


def _in_order(solution: Solution, levelled: LevelledPlan, network: Network) -> Solution:
    assert levelled.problem is not None
    assert levelled.plan is not None
    in_order = in_plan_order(network, levelled.problem, levelled.plan.placed)
    found = Solution.dated(solution.model, in_order)
    given = frozenset((link.before, link.after) for link in network.links)
    return replace(found, beyond={**solution.beyond, **found.beyond}, given=given)

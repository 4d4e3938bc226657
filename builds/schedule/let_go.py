"""A network in a plan's order after some of its tasks are over: whom they kept is handed on past them.

The order of all that is left stays as it was, so this takes a few milliseconds where making a plan anew
takes seconds. Where a task came out early the rest moves up; nobody takes other work in between.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace

from builds.schedule.handover import HandOver
from builds.schedule.network import Arc, Link, LinkKind, Network

Pair = tuple[str, str]


@dataclass(frozen=True)
class LetGo:
    """What is left.

    Parameters
    ----------
    network : Network
        With links past the tasks that take nobody any more.
    handed : tuple of HandOver
        The hand-overs that are left.
    """

    network: Network
    handed: tuple[HandOver, ...]


def let_go(
    network: Network,
    handed: Collection[HandOver],
    tied: Collection[Pair],
    over: Collection[str],
    idle: Collection[str] = (),
) -> LetGo:
    """Give a network in which some tasks take nobody any more.

    Parameters
    ----------
    network : Network
        In the order of a plan, as `builds.schedule.handover.in_plan_order` makes it.
    handed : collection of HandOver
        The hand-overs of that plan.
    tied : collection of (str, str)
        Tasks of which one waits for the other whatever the plan says.
    over : collection of str
        Tasks that are done: nothing waits for them, and they wait for nothing. They stay in the network
        by themselves, without work.
    idle : collection of str
        Tasks that take nobody any more but are still waited for, such as a job that lacks a signature.

    Returns
    -------
    LetGo
        Whoever such a task took goes from the one before it to the one after it. Of a thing that there are
        several of, each piece goes to every task that took one over.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.network import Activity
    >>> from builds.schedule.passes import forward
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("weld", 60, "clock"), Activity("fit", 90, "clock"), Activity("trim", 30, "clock")]
    >>> hands = [HandOver("weld", "fit", "Ann", True), HandOver("fit", "trim", "Ann", True)]
    >>> network = Network.build(jobs, [Link(one.before, one.after) for one in hands], clock, 0)
    >>> left = let_go(network, hands, (), ["fit"])
    >>> forward(network).finish["trim"], forward(left.network).finish["trim"]
    (180, 90)
    """
    free, done = {*over, *idle}, frozenset(over)
    left, past = _handed_past(handed, free)
    was = {(one.before, one.after) for one in handed if one.before in free or one.after in free}
    cut = was.difference(tied)
    new = {(one.before, one.after) for one in past}.difference(tied)

    def stays(before: str, after: str, kind: LinkKind, lag_min: int) -> bool:
        if before in done or after in done:
            return False
        return kind is not LinkKind.FS or lag_min != 0 or (before, after) not in cut

    activities = list(network.activities)
    for key in done:
        activities[network.place[key]] = replace(network.activity(key), work_min=0, not_before=None)
    links = [
        one
        for one in network.links
        if (one.before not in free and one.after not in free)
        or stays(one.before, one.after, one.kind, one.lag_min)
    ]
    waits, awaited = _arcs_left(network, free, stays, new)
    found = replace(
        network,
        activities=tuple(activities),
        links=(*links, *(Link(*pair) for pair in sorted(new))),
        waits_for=waits,
        awaited_by=awaited,
    )
    return LetGo(found, (*left, *past))


def _handed_past(handed: Iterable[HandOver], free: Collection[str]) -> tuple[list[HandOver], list[HandOver]]:
    """What is handed over as before, and what goes past those who take nobody any more."""
    left: list[HandOver] = []
    touched: list[HandOver] = []
    for one in handed:
        (touched if one.before in free or one.after in free else left).append(one)
    for key in sorted(free):
        into = [one for one in touched if one.after == key]
        out = [one for one in touched if one.before == key]
        past = [
            replace(one, after=then.after) for one in into for then in out if one.resource == then.resource
        ]
        touched = [one for one in touched if key not in (one.before, one.after)] + past
    return left, touched


Arcs = tuple[tuple[Arc, ...], ...]


def _arcs_left(
    network: Network,
    free: Collection[str],
    stays: Callable[[str, str, LinkKind, int], bool],
    new: Iterable[Pair],
) -> tuple[Arcs, Arcs]:
    """The arcs by place. The working order stands: a new link goes from before a task to after it."""
    keys, waits, awaited = network.keys, list(network.waits_for), list(network.awaited_by)
    own = {network.place[key] for key in free}
    befores = own.union(before for place in own for before, _, _ in waits[place])
    afters = own.union(after for place in own for after, _, _ in awaited[place])
    for place in befores:
        awaited[place] = tuple(
            arc for arc in awaited[place] if stays(keys[place], keys[arc[0]], arc[1], arc[2])
        )
    for place in afters:
        waits[place] = tuple(arc for arc in waits[place] if stays(keys[arc[0]], keys[place], arc[1], arc[2]))
    for pair in sorted(new):
        before, after = (network.place[key] for key in pair)
        awaited[before] = (*awaited[before], (after, LinkKind.FS, 0))
        waits[after] = (*waits[after], (before, LinkKind.FS, 0))
    return tuple(waits), tuple(awaited)

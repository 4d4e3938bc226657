"""What sets the date: the chain of reasons behind one early date, from its first cause."""

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from typing import Literal

from builds.schedule.errors import UnknownActivity
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.passes import Early, earliest_span

Pairs = Set[tuple[str, str]]
Cause = Literal["start of the plan", "not before", "after"]

# Between causes that are equally late: nothing is earlier than the plan, and a link says more than a day.
_RANK: Mapping[Cause, int] = {"start of the plan": 0, "after": 1, "not before": 2}


@dataclass(frozen=True, slots=True)
class Step:
    """One activity of the chain and why it is not earlier.

    Parameters
    ----------
    key : str
        The activity.
    start, finish : int
        Its early dates [min].
    cause : str
        'start of the plan', 'not before', or 'after' the activity of the step before.
    waits_min : int
        Elapsed minutes between the moment that the cause allowed and the moment that its calendar let
        it have: a weekend, a night, a car that is away. Counted at the start, or at the finish where
        the link ties its finish [min].
    link : Link, optional
        The link to the step before, if the cause is 'after'.
    """

    key: str
    start: int
    finish: int
    cause: Cause
    waits_min: int
    link: Link | None = None


def what_sets(network: Network, early: Early, target: str, given: Pairs = frozenset()) -> tuple[Step, ...]:
    """Give the chain of reasons behind a date.

    Parameters
    ----------
    network : Network
        The activities and their links.
    early : Early
        Their earliest dates.
    target : str
        The activity or milestone asked about.
    given : set of (str, str), optional
        Pairs of before and after: their links are reasons, any others are but the order of a plan.

    Returns
    -------
    tuple of Step
        From the first cause to the target; each step but the first comes after the one before it.
        Of several causes that each alone would give the date, the one with the shortest wait is
        taken (it was the last to be met); then the start of the plan before a link before an earliest
        moment; then a link that is `given`; then the link from the activity with most work; then the
        smallest key.

    Raises
    ------
    UnknownActivity
        If the target is not in the network.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.calendar import WorkCalendar
    >>> from builds.schedule.passes import forward
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("tank back", 0, "clock", not_before=500), Activity("fit tank", 60, "clock")]
    >>> network = Network.build(jobs, [Link("tank back", "fit tank")], clock, 0)
    >>> [(step.key, step.cause) for step in what_sets(network, forward(network), "fit tank")]
    [('tank back', 'not before'), ('fit tank', 'after')]
    """
    if target not in network.place:
        raise UnknownActivity((target,))
    chain = [_step(network, early, network.place[target], given)]
    while (link := chain[-1].link) is not None:
        chain.append(_step(network, early, network.place[link.before], given))
    chain.reverse()
    return tuple(chain)


def _step(network: Network, early: Early, place: int, given: Pairs) -> Step:
    candidates = _causes(network, early, network.activities[place], place)
    return min(candidates, key=lambda step: _preference(network, step, given))


def _preference(network: Network, step: Step, given: Pairs) -> tuple[int, int, bool, int, str, str, int]:
    if step.link is None:
        return step.waits_min, _RANK[step.cause], False, 0, "", "", 0
    before = network.activities[network.place[step.link.before]]
    return (
        step.waits_min,
        _RANK[step.cause],
        (step.link.before, step.link.after) not in given,
        -before.work_min,
        before.key,
        step.link.kind,
        step.link.lag_min,
    )


def _causes(network: Network, early: Early, activity: Activity, place: int) -> Iterator[Step]:
    """Give every cause that alone would put the activity where it is."""
    key = activity.key
    start, finish = early.start[key], early.finish[key]

    def alone(start_from: int, finish_from: int | None = None) -> bool:
        return earliest_span(network, activity, start_from, finish_from) == (start, finish)

    from_the_outset = alone(network.start)
    if from_the_outset:
        yield Step(key, start, finish, "start of the plan", start - network.start)
    # What was allowed before the plan starts is no cause, and may lie before the calendar begins.
    not_before = activity.not_before
    if not_before is not None and not_before > network.start and alone(not_before):
        yield Step(key, start, finish, "not before", start - not_before)
    for before, kind, lag in network.waits_for[place]:
        other = network.activities[before].key
        ends_first = kind is LinkKind.FS or kind is LinkKind.FF
        bound = (early.finish if ends_first else early.start)[other] + lag
        link = Link(other, key, kind, lag)
        if kind is LinkKind.FS or kind is LinkKind.SS:
            if bound >= network.start and alone(bound):
                yield Step(key, start, finish, "after", start - bound, link)
        elif not from_the_outset and alone(network.start, bound):
            yield Step(key, start, finish, "after", finish - bound, link)

"""The two passes over a network, and how much each activity can slip.

All four kinds of link are honoured to the minute, each activity on its own calendar: the early
dates are the earliest, and the late ones the latest, that satisfy every link. Both passes take time
in proportion to activities and links, times the logarithm of the stretches in a calendar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon, UnknownActivity
from builds.schedule.network import Activity, Arc, LinkKind, Network
from builds.schedule.spans import Span

FS, SS, FF = LinkKind.FS, LinkKind.SS, LinkKind.FF  # looked up once for all, not for each activity


@dataclass(frozen=True, slots=True)
class Early:
    """The earliest dates of every activity.

    Parameters
    ----------
    start, finish : mapping of str to int
        Early start and early finish by key [min].
    """

    start: Mapping[str, int]
    finish: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Late:
    """The latest dates of every activity that leads to a target.

    Parameters
    ----------
    start, finish : mapping of str to int
        Late start and late finish by key; activities that lead to no target are absent [min].
    """

    start: Mapping[str, int]
    finish: Mapping[str, int]


def forward(network: Network) -> Early:
    """Work out the earliest dates.

    Parameters
    ----------
    network : Network
        The activities and their links.

    Returns
    -------
    Early
        Each activity starts at the first working minute of its calendar that is not before the start
        of the network, its own earliest moment, or what its links require; a link to its finish pushes
        its start back until the finish is honoured. A milestone (no work) stands at the moment itself,
        in working time or not.

    Raises
    ------
    BeyondHorizon
        If an activity does not fit into its calendar; `key` and `calendar` say which.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Link
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("paint", 90, "clock"), Activity("fit", 60, "clock")]
    >>> cured = Link("paint", "fit", lag_min=720)
    >>> forward(Network.build(jobs, [cured], clock, 0)).finish
    {'paint': 90, 'fit': 870}
    """
    early, beyond = forward_within(network)
    for error in beyond.values():
        raise error
    return early


def forward_within(network: Network) -> tuple[Early, dict[str, BeyondHorizon]]:
    """Work out the earliest dates of all that fits into its calendar.

    Parameters
    ----------
    network : Network
        The activities and their links.

    Returns
    -------
    tuple of Early and dict of str to BeyondHorizon
        The dates as `forward` gives them, and why the others have none: what does not fit into its
        calendar, and with the same reason whatever waits for that. The reasons come in working order.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Link
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity(key, work, "clock") for key, work in (("paint", 99999), ("fit", 60), ("trim", 90))]
    >>> early, beyond = forward_within(Network.build(jobs, [Link("paint", "fit")], clock, 0))
    >>> early.finish, list(beyond)
    ({'trim': 90}, ['paint', 'fit'])
    """
    starts: list[int] = []
    finishes: list[int] = []
    beyond: dict[str, BeyondHorizon] = {}
    for activity, arcs in zip(network.activities, network.waits_for, strict=True):
        start = finish = network.start
        if beyond and (cause := _beyond_before(network, arcs, beyond)) is not None:
            beyond[activity.key] = cause
        else:
            start_from, finish_from = _bounds(network.start, activity, arcs, starts, finishes)
            try:
                start, finish = earliest_span(network, activity, start_from, finish_from)
            except BeyondHorizon as error:
                beyond[activity.key] = BeyondHorizon(error.first, error.last, activity.key, activity.calendar)
        starts.append(start)
        finishes.append(finish)
    dated = [place for place, key in enumerate(network.keys) if key not in beyond]
    return (
        Early(
            {network.keys[place]: starts[place] for place in dated},
            {network.keys[place]: finishes[place] for place in dated},
        ),
        beyond,
    )


def _bounds(
    outset: int, activity: Activity, arcs: Sequence[Arc], starts: Sequence[int], finishes: Sequence[int]
) -> tuple[int, int | None]:
    """The moments that start and finish may not be before, from the dates of what it waits for by place."""
    not_before = activity.not_before
    start_from = outset if not_before is None or not_before < outset else not_before
    finish_from = None
    for before, kind, lag in arcs:
        if kind is FS:
            start_from = max(start_from, finishes[before] + lag)
        elif kind is SS:
            start_from = max(start_from, starts[before] + lag)
        else:
            bound = (finishes if kind is FF else starts)[before] + lag
            finish_from = bound if finish_from is None else max(finish_from, bound)
    return start_from, finish_from


def forward_again(network: Network, was: Network, early: Early) -> tuple[Early, dict[str, BeyondHorizon]]:
    """Work out the earliest dates of a network that differs little from one that was worked out.

    Parameters
    ----------
    network : Network
        The activities and their links.
    was : Network
        Another one. What is the same in both should be the very same objects, as `let_go` and
        `with_activities` leave them; anything else is taken to have changed.
    early : Early
        The earliest dates of `was`.

    Returns
    -------
    tuple of Early and dict of str to BeyondHorizon
        Exactly what `forward_within` gives. Only what changed is worked out, and what waits for something
        that moved; all of it where the two differ in start, calendars or working order, or where
        something does not fit into its calendar.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Link
    >>> from builds.schedule.whatif import replace_activity
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity(key, work, "clock") for key, work in (("fit", 60), ("paint", 90), ("trim", 30))]
    >>> was = Network.build(jobs, [Link("paint", "fit")], clock, 0)
    >>> early, _ = forward_again(replace_activity(was, "paint", work_min=100), was, forward(was))
    >>> early.finish
    {'paint': 100, 'trim': 30, 'fit': 160}
    """
    if not _has_frame_of(network, was) or len(early.start) < len(was.activities):
        return forward_within(network)
    starts = [early.start[key] for key in network.keys]
    finishes = [early.finish[key] for key in network.keys]
    waiting = _changed_places(network, was)  # sorted, so it is a heap: the first in working order comes next
    known = set(waiting)
    while waiting:
        place = heappop(waiting)
        activity = network.activities[place]
        bounds = _bounds(network.start, activity, network.waits_for[place], starts, finishes)
        try:
            span = earliest_span(network, activity, *bounds)
        except BeyondHorizon:
            return forward_within(network)
        if span != (starts[place], finishes[place]):
            starts[place], finishes[place] = span
            for after in {after for after, _, _ in network.awaited_by[place]} - known:
                known.add(after)
                heappush(waiting, after)
    keys = network.keys
    return Early(dict(zip(keys, starts, strict=True)), dict(zip(keys, finishes, strict=True))), {}


def _has_frame_of(network: Network, was: Network) -> bool:
    return (
        network.start == was.start
        and network.place == was.place
        and (network.calendars is was.calendars or network.calendars == was.calendars)
    )


def _changed_places(network: Network, was: Network) -> list[int]:
    now = zip(network.activities, network.waits_for, strict=True)
    then = zip(was.activities, was.waits_for, strict=True)
    return [
        place
        for place, ((activity, arcs), (one, its_arcs)) in enumerate(zip(now, then, strict=True))
        if activity is not one or arcs is not its_arcs
    ]


def _beyond_before(
    network: Network, arcs: Sequence[Arc], beyond: Mapping[str, BeyondHorizon]
) -> BeyondHorizon | None:
    found = (beyond.get(network.keys[before]) for before, _, _ in arcs)
    return next((error for error in found if error is not None), None)


def earliest_span(network: Network, activity: Activity, start_from: int, finish_from: int | None) -> Span:
    """Fit one activity in as early as two bounds allow.

    Parameters
    ----------
    network : Network
        For the calendar of the activity.
    activity : Activity
        To be fitted in.
    start_from : int
        The start may not be earlier [min].
    finish_from : int or None
        The finish may not be earlier, if there is such a bound [min].

    Returns
    -------
    tuple of (int, int)
        Start and finish [min].

    Raises
    ------
    BeyondHorizon
        If it does not fit into its calendar.
    """
    calendar = network.calendars[activity.calendar]
    span = calendar.earliest(start_from, activity.work_min)
    if finish_from is None or finish_from <= span[1]:
        return span
    return calendar.earliest_finishing(finish_from, activity.work_min)


def backward(network: Network, early: Early, targets: Mapping[str, int | None]) -> Late:
    """Work out the latest dates that keep every target.

    Parameters
    ----------
    network : Network
        The activities and their links.
    early : Early
        Their earliest dates, for targets that are to be kept where they fall.
    targets : mapping of str to (int or None)
        Latest finish allowed for each target, or None for its own early finish [min].

    Returns
    -------
    Late
        The latest start and finish of each activity that leads to a target. Earlier than the early
        dates where a target cannot be kept.

    Raises
    ------
    UnknownActivity
        If a target is not in the network.
    BeyondHorizon
        If a late date falls outside a calendar; `key` and `calendar` say which. Let calendars begin
        well before a target that may be long missed.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Link
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("paint", 90, "clock"), Activity("fit", 60, "clock")]
    >>> network = Network.build(jobs, [Link("paint", "fit")], clock, 0)
    >>> backward(network, forward(network), {"fit": 200}).start
    {'paint': 50, 'fit': 140}
    """
    due = _due(network, early, targets)
    size = len(network.activities)
    starts: list[int | None] = [None] * size
    finishes: list[int | None] = [None] * size
    for place in range(size - 1, -1, -1):
        activity = network.activities[place]
        start_by, finish_by = _late_bounds(due.get(place), network.awaited_by[place], starts, finishes)
        try:
            span = _latest_span(network.calendars[activity.calendar], activity.work_min, start_by, finish_by)
        except BeyondHorizon as error:
            raise BeyondHorizon(error.first, error.last, activity.key, activity.calendar) from None
        if span is not None:
            starts[place], finishes[place] = span
    return Late(_present(network, starts), _present(network, finishes))


def total_float(network: Network, early: Early, late: Late) -> dict[str, int]:
    """Work out how far each activity can slip before a target does.

    Parameters
    ----------
    network : Network
        The activities.
    early, late : Early, Late
        The results of both passes.

    Returns
    -------
    dict of str to int
        Working minutes of its own calendar from early start to late start; negative if a target cannot
        be kept. Activities that lead to no target are absent [min].

    Examples
    --------
    >>> from datetime import date
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> network = Network.build([Activity("fit", 60, "clock")], [], clock, 0)
    >>> early = forward(network)
    >>> total_float(network, early, backward(network, early, {"fit": 200}))
    {'fit': 140}
    """
    calendars = network.calendars
    floats = {}
    for activity in network.activities:
        key = activity.key
        if key in late.start:
            early_start, late_start = early.start[key], late.start[key]
            same = early_start == late_start
            floats[key] = 0 if same else calendars[activity.calendar].between(early_start, late_start)
    return floats


def free_float(network: Network, early: Early, targets: Mapping[str, int | None]) -> dict[str, int]:
    """Work out how far each activity can slip before anything else moves.

    Parameters
    ----------
    network : Network
        The activities and their links.
    early : Early
        Their earliest dates.
    targets : mapping of str to (int or None)
        As in `backward`.

    Returns
    -------
    dict of str to int
        Working minutes of its own calendar by which an activity can be late without moving the early
        dates of any that waits for it, nor a target that it is itself; never negative: 0 where a target
        is missed already. Activities that nothing waits for and that are no target are absent [min].

    Raises
    ------
    UnknownActivity
        If a target is not in the network.
    BeyondHorizon
        If a target, or a link with a negative lag, reaches outside a calendar.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Link
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("a", 90, "clock"), Activity("b", 60, "clock"), Activity("c", 10, "clock")]
    >>> network = Network.build(jobs, [Link("a", "c"), Link("b", "c")], clock, 0)
    >>> free_float(network, forward(network), {"c": None})
    {'a': 0, 'b': 30, 'c': 0}
    """
    due = _due(network, early, targets)
    starts = list(early.start.values())
    finishes = list(early.finish.values())
    floats = {}
    for place, activity in enumerate(network.activities):
        arcs = network.awaited_by[place]
        start_by, finish_by = _late_bounds(due.get(place), arcs, starts, finishes)
        calendar = network.calendars[activity.calendar]
        rooms = []
        try:
            if finish_by is not None:
                rooms.append(_room(calendar, finishes[place], finish_by))
            if start_by is not None:
                if activity.work_min and start_by > starts[place]:
                    start_by = calendar.latest_starting(start_by, 1)[0]  # closed time is no room to start in
                rooms.append(_room(calendar, starts[place], start_by))
        except BeyondHorizon as error:
            raise BeyondHorizon(error.first, error.last, activity.key, activity.calendar) from None
        if rooms:
            floats[activity.key] = min(rooms)
    return floats


def _due(network: Network, early: Early, targets: Mapping[str, int | None]) -> dict[int, int]:
    unknown = [key for key in targets if key not in network.place]
    if unknown:
        raise UnknownActivity(sorted(unknown))
    return {
        network.place[key]: early.finish[key] if moment is None else moment for key, moment in targets.items()
    }


def _late_bounds(
    due: int | None,
    arcs: tuple[Arc, ...],
    starts: Sequence[int | None],
    finishes: Sequence[int | None],
) -> tuple[int | None, int | None]:
    """Give the latest start and finish that the given dates of the activities after allow."""
    fs, ss, ff = LinkKind.FS, LinkKind.SS, LinkKind.FF
    start_by: int | None = None
    finish_by = due
    for after, kind, lag in arcs:
        moment = starts[after] if kind is fs or kind is ss else finishes[after]
        if moment is None:  # it leads to no target
            continue
        bound = moment - lag
        if kind is fs or kind is ff:
            if finish_by is None or bound < finish_by:
                finish_by = bound
        elif start_by is None or bound < start_by:
            start_by = bound
    return start_by, finish_by


def _latest_span(
    calendar: WorkCalendar, work: int, start_by: int | None, finish_by: int | None
) -> Span | None:
    span = None if finish_by is None else calendar.latest(finish_by, work)
    if start_by is None or (span is not None and span[0] <= start_by):
        return span
    return calendar.latest_starting(start_by, work)


def _present(network: Network, moments: list[int | None]) -> dict[str, int]:
    pairs = zip(network.keys, moments, strict=True)
    return {key: moment for key, moment in pairs if moment is not None}


def _room(calendar: WorkCalendar, now: int, by: int) -> int:
    return calendar.between(now, by) if by > now else 0

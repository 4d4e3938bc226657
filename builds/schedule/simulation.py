"""The forward pass over many draws at once: a whole network, its calendars inside every draw.

For each activity the dates are those of `builds.schedule.passes.forward` with the lengths drawn, to
the minute. What is different is only the order of the work: one activity at a time for a whole block
of draws, in the coordinates of its own calendar wherever that calendar is not left.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builds.schedule.draws import LONGEST_MIN, Draws, Together
from builds.schedule.errors import UnknownActivity
from builds.schedule.network import LinkKind, Network
from builds.schedule.passes import forward
from builds.schedule.spread import Spread
from builds.schedule.whatif import with_activities
from builds.schedule.worktime import WorkingTime, working_time

Row = NDArray[np.signedinteger[Any]]
Mask = NDArray[np.bool_]
Drive = tuple[int, Mask | None]
"""Place of an activity waited for, and the draws in which it sets the date (None: all of them)."""

_ENDS_FIRST = (LinkKind.FS, LinkKind.FF)
_ENDS_LAST = (LinkKind.FF, LinkKind.SF)


@dataclass(frozen=True, slots=True)
class Wait:
    """One link as the simulation meets it.

    Parameters
    ----------
    place : int
        Of the activity waited for.
    of_finish : bool
        Whether for its finish rather than its start.
    lag_min : int
        Elapsed minutes [min].
    same_time : bool
        Whether both keep the same coordinates, so that nothing is turned into a date between them.
    """

    place: int
    of_finish: bool
    lag_min: int
    same_time: bool


@dataclass(frozen=True, slots=True)
class Step:
    """One activity as the simulation works it.

    Parameters
    ----------
    place : int
        Where it stands in the network.
    drawn : int
        Which of the drawn lengths it takes, or -1.
    work_min : int
        Its length if it is certain [min].
    time : WorkingTime or None
        Coordinates of its row; None if the row holds moments (no work, or a calendar that never closes).
    floor : int or None
        What it cannot start before, in its coordinates; None if what it waits for is never earlier.
    starts, finishes : tuple of Wait
        What its start and its finish wait for.
    """

    place: int
    drawn: int
    work_min: int
    time: WorkingTime | None
    floor: int | None
    starts: tuple[Wait, ...]
    finishes: tuple[Wait, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """Some draws of a network.

    Parameters
    ----------
    lengths : ndarray of float32, shape (drawn, size)
        Lengths drawn plus half a minute [min].
    finishes : list of ndarray, each of shape (size,)
        Of the targets [min].
    drives : mapping of int to list
        For each place which of the activities that it waits for set its date, and in which draws.
    """

    lengths: NDArray[np.float32]
    finishes: list[Row]
    drives: Mapping[int, list[Drive]]


class Simulation:
    """A network ready to be drawn again and again.

    Parameters
    ----------
    network : Network
        The activities, their links and calendars.
    spreads : mapping of str to Spread
        How long each activity may take; one without keeps its `work_min`.
    targets : collection of str
        What is asked about; only what leads to these is drawn.
    seed : int
        Not negative.
    together : mapping of str to Together
        Activities that take long together.

    Attributes
    ----------
    steps : tuple of Step
        In working order.
    drawn : tuple of str
        Keys of the activities whose length is drawn, in the order of the lengths.
    earliest : Early
        Dates if everything takes as short a time as can be drawn.

    Raises
    ------
    UnknownActivity
        If a key of any argument is not in the network.
    BeyondHorizon
        If an activity cannot be dated even if everything goes as fast as it can.
    """

    def __init__(
        self,
        network: Network,
        spreads: Mapping[str, Spread],
        targets: Collection[str],
        seed: int,
        together: Mapping[str, Together],
    ) -> None:
        unknown = {key for keys in (spreads, targets, together) for key in keys if key not in network.place}
        if unknown:
            raise UnknownActivity(sorted(unknown))
        self.network = network
        self.targets = tuple(targets)
        leading = leading_to(network, [network.place[key] for key in targets])
        self._certain = {key: _minutes(spread) for key, spread in spreads.items() if spread.is_certain}
        self.drawn = tuple(
            key
            for place, key in enumerate(network.keys)
            if place in leading and key in spreads and key not in self._certain
        )
        self._draws = Draws({key: spreads[key] for key in self.drawn}, seed, together)
        self.earliest = forward(self._shortest())
        self._is_bound = not self._waits_for_pinned_start(leading)
        self.steps = tuple(self._compiled(leading))
        self._type = self._fitting_type()

    def _shortest(self) -> Network:
        work = self._certain | dict(zip(self.drawn, self._draws.least_min.tolist(), strict=True))
        changed = {key: replace(self.network.activity(key), work_min=length) for key, length in work.items()}
        return with_activities(self.network, changed)

    # Setting up

    def _compiled(self, leading: Collection[int]) -> Iterator[Step]:
        network = self.network
        number = {key: row for row, key in enumerate(self.drawn)}
        times: dict[int, WorkingTime | None] = {}
        for place, activity in enumerate(network.activities):
            if place not in leading:
                continue
            drawn = number.get(activity.key, -1)
            work = self._certain.get(activity.key, activity.work_min)
            time = working_time(network.calendars[activity.calendar])
            times[place] = own = None if time.is_clock or (drawn < 0 and work == 0) else time
            starts, finishes = self._waits(place, times, not work and drawn < 0)
            yield Step(place, drawn, work, own, self._floor(place, own, starts), starts, finishes)

    def _waits(
        self, place: int, times: Mapping[int, WorkingTime | None], is_point: bool
    ) -> tuple[tuple[Wait, ...], tuple[Wait, ...]]:
        """Give the links to the start and those to the finish; a point in time has a start only."""
        starts: list[Wait] = []
        finishes: list[Wait] = []
        for before, kind, lag in self.network.waits_for[place]:
            of_finish = kind in _ENDS_FIRST
            # a lag is elapsed time and so cannot be added to a count of working minutes
            same = of_finish and times[before] is times[place] and (lag == 0 or times[place] is None)
            wait = Wait(before, of_finish, lag, same)
            (finishes if kind in _ENDS_LAST and not is_point else starts).append(wait)
        return tuple(starts), tuple(finishes)

    def _waits_for_pinned_start(self, leading: Collection[int]) -> bool:
        """Whether something waits for the start of an activity whose finish another one holds back.

        Such a start lies the earlier the longer the activity takes, so the earliest dates bound nothing.
        """
        pinned = {
            place
            for place in leading
            if any(kind in _ENDS_LAST for _, kind, _ in self.network.waits_for[place])
        }
        return any(
            before in pinned and kind not in _ENDS_FIRST
            for place in leading
            for before, kind, _ in self.network.waits_for[place]
        )

    def _floor(self, place: int, time: WorkingTime | None, starts: Collection[Wait]) -> int | None:
        activity = self.network.activities[place]
        floor = max(self.network.start, activity.not_before or self.network.start)
        keys, early = self.network.keys, self.earliest
        for wait in starts if self._is_bound else ():
            moments = early.finish if wait.of_finish else early.start
            if moments[keys[wait.place]] + wait.lag_min >= floor:
                return None
        return floor if time is None else int(time.worked_by(np.array([floor]))[0])

    def _fitting_type(self) -> type[np.signedinteger[Any]]:
        """Take 32 bits if no sum of lengths along any path can leave them."""
        longest = self._draws.most_min.tolist()
        reach: dict[int, int] = {}
        for step in self.steps:
            length = longest[step.drawn] if step.drawn >= 0 else step.work_min
            waits = (*step.starts, *step.finishes)
            reach[step.place] = length + max(
                (reach[wait.place] + max(wait.lag_min, 0) for wait in waits), default=0
            )
        closes = max(calendar.closes for calendar in self.network.calendars.values())
        latest = max((a.not_before or 0 for a in self.network.activities), default=0)
        return np.int32 if max(closes, latest) + max(reach.values()) < LONGEST_MIN else np.int64

    # Drawing

    def blocks(self, sizes: Iterable[int], with_drives: bool) -> Iterator["Block"]:
        """Draw and date one block after another.

        Parameters
        ----------
        sizes : iterable of int
            Draws in each block: even numbers, the last excepted.
        with_drives : bool
            Whether to keep what sets the date of each activity.

        Yields
        ------
        Block
            Good until the next one is asked for, which is written over it.
        """
        shape = (len(self.drawn), 0)
        lengths, dates = np.empty(shape, np.float32), np.empty(shape, self._type)
        for size in sizes:
            if size != lengths.shape[1]:
                shape = (len(self.drawn), size)
                lengths, dates = np.empty(shape, np.float32), np.empty(shape, self._type)
            self._draws.block(lengths)
            np.copyto(dates, lengths, casting="unsafe")
            rows = _Rows(self.steps, lengths, dates)
            drives: dict[int, list[Drive]] | None = {} if with_drives else None
            for step in self.steps:
                rows.work(step, drives)
            finishes = [rows.finish_moment(self.network.place[key]) for key in self.targets]
            yield Block(lengths, finishes, drives or {})


class _Rows:
    """The dates of one block of draws, activity by activity."""

    def __init__(self, steps: tuple[Step, ...], lengths: NDArray[np.float32], dates: Row) -> None:
        self._lengths = lengths
        self._dates = dates
        self._count = lengths.shape[1]
        self._row: dict[int, Row] = {}
        self._step = {step.place: step for step in steps}
        self._moments: dict[tuple[int, bool], Row] = {}

    def work(self, step: Step, drives: dict[int, list[Drive]] | None) -> None:
        """Date one activity, those that it waits for being dated."""
        starts = step.starts
        if len(starts) == 1 and starts[0].same_time and step.floor is None and not step.finishes:
            start = self._bound(step, starts[0])
            if drives is not None:
                drives[step.place] = [(starts[0].place, None)]
            self._row[step.place] = self._worked(step, start)
            return
        start, causes = self._start(step, drives is not None)
        finish = self._worked(step, start)
        if step.finishes:
            finish = self._pushed(step, finish, causes)
        self._row[step.place] = finish
        if drives is not None:
            drives[step.place] = causes

    def finish_moment(self, place: int) -> Row:
        """Give the finishes of an activity as moments."""
        time = self._step[place].time
        if time is None:
            return self._row[place]
        found = self._moments.get((place, True))
        if found is None:
            found = self._moments[place, True] = time.finish_at(self._row[place])
        return found

    def _start_moment(self, place: int) -> Row:
        found = self._moments.get((place, False))
        if found is None:
            step = self._step[place]
            finish = self._row[place]
            length = step.work_min if step.drawn < 0 else self._lengths[step.drawn].astype(finish.dtype)
            start: Row = finish - length
            found = start if step.time is None else step.time.start_at(start)
            self._moments[place, False] = found
        return found

    def _bound(self, step: Step, wait: Wait) -> Row:
        """Give what one link allows: in the step's coordinates if it shares them, else as moments."""
        if wait.same_time:
            bound = self._row[wait.place]
        else:
            bound = self.finish_moment(wait.place) if wait.of_finish else self._start_moment(wait.place)
        if wait.lag_min:
            bound = bound + wait.lag_min
        return bound

    def _start(self, step: Step, wanted: bool) -> tuple[Row, list[Drive]]:
        """Give the starts in the step's coordinates, and which links set them."""
        time = step.time
        inside = [(w.place, self._bound(step, w)) for w in step.starts if w.same_time or time is None]
        outside = [(w.place, self._bound(step, w)) for w in step.starts if not w.same_time and time]
        start = _latest(bound for _, bound in inside)
        if outside and time:
            arrived = _latest(bound for _, bound in outside)
            assert arrived is not None
            counted = time.worked_by(arrived)
            start = counted if start is None else np.maximum(start, counted)
        if start is None:
            assert step.floor is not None
            return np.full(self._count, step.floor, self._dates.dtype), []
        if step.floor is not None:
            start = np.maximum(start, step.floor)
        if not wanted:
            return start, []
        if len(step.starts) == 1 and step.floor is None:
            return start, [(step.starts[0].place, None)]
        drives: list[Drive] = [(place, bound == start) for place, bound in inside]
        if outside and time:
            # every moment of the closed time before a start leads to that same start
            counts = [time.worked_by(bound) for _, bound in outside] if len(outside) > 1 else [counted]
            drives += [(place, count == start) for (place, _), count in zip(outside, counts, strict=True)]
        return start, drives

    def _worked(self, step: Step, start: Row) -> Row:
        if step.drawn >= 0:
            finish: Row = self._dates[step.drawn]
            finish += start
            return finish
        return start + step.work_min if step.work_min else start

    def _pushed(self, step: Step, finish: Row, causes: list[Drive]) -> Row:
        """Push finishes back to what the links to them require, and correct what sets the dates."""
        bounds = [(wait.place, self._finish_bound(step, wait)) for wait in step.finishes]
        pushed = finish
        for _, bound in bounds:
            pushed = np.maximum(pushed, bound)
        unmoved = pushed == finish
        causes[:] = [(place, unmoved if mask is None else mask & unmoved) for place, mask in causes]
        causes += [(place, bound == pushed) for place, bound in bounds]
        return pushed

    def _finish_bound(self, step: Step, wait: Wait) -> Row:
        bound = self._bound(step, wait)
        if wait.same_time or step.time is None:
            return bound
        # in closed time the last minute of the work is the first one after the next opening
        counted: Row = step.time.worked_by(bound - 1) + 1
        return counted


def leading_to(network: Network, places: Collection[int]) -> set[int]:
    """Find all that some activities wait for, directly or not.

    Parameters
    ----------
    network : Network
        The activities and their links.
    places : collection of int
        Where the activities stand.

    Returns
    -------
    set of int
        Places, those given included.
    """
    found = set(places)
    for place in range(max(places), -1, -1):
        if place in found:
            found.update(before for before, _, _ in network.waits_for[place])
    return found


def _latest(bounds: Iterator[Row]) -> Row | None:
    latest = None
    for bound in bounds:
        latest = bound if latest is None else np.maximum(latest, bound)
    return latest


def _minutes(spread: Spread) -> int:
    return int(spread.median_min + 0.5)

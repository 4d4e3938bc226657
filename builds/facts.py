"""What the network says about each thing, as plain values for the pages.

`builds.network.read_workshop` makes these; views and templates only show them.
Days are working days of the workshop unless a name says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TypeVar

CARS_NAMED = 3  # a line that is about more cars says how many


def spare_words(spare_days: float | None, spare_to: str, car: str = "") -> str:
    """'holds first start-up', '12 days to spare' (to first start-up), or '3 days to spare to handover'.

    Working days of the workshop. Outside a car's own sheet `car` says whose first start-up it is.

    Examples
    --------
    >>> spare_words(0, "first start-up"), spare_words(12.5, "first start-up"), spare_words(1, "handover")
    ('holds first start-up', '12 days to spare', '1 day to spare to handover')
    >>> spare_words(0, "first start-up", "Skua")
    'holds Skua’s first start-up'
    """
    if spare_days is None:
        return ""
    if spare_days <= 0:
        return f"holds {whose([car], spare_to) if car else spare_to}"
    days = int(spare_days)
    amount = "under a day" if days == 0 else "1 day" if days == 1 else f"{days} days"
    return f"{amount} to spare" + ("" if spare_to == "first start-up" else f" to {spare_to}")


def whose(cars: Collection[str], milestone: str = "first start-up") -> str:
    """Say whose milestone it is.

    Examples
    --------
    >>> whose(["Skua"]), whose(["Skua", "Tern"], "handover")
    ('Skua’s first start-up', 'Skua’s and Tern’s handover')
    >>> whose(["Skua", "Tern", "Gannet", "Fulmar"])
    'the first start-up of 4 cars'
    """
    if len(cars) > CARS_NAMED:
        return f"the {milestone} of {len(cars)} cars"
    *others, last = [f"{car}’s" for car in cars]
    return f"{', '.join(others)} and {last} {milestone}" if others else f"{last} {milestone}"


@dataclass(frozen=True)
class Reason:
    """One thing that holds a job."""

    kind: str  # 'job', 'part', 'decision', 'away'
    text: str  # "radiator out, 3 days late, now 9 Dec"
    url: str  # where to look
    until: date | None  # when it should end; None if nobody knows


@dataclass(frozen=True)
class JobFacts:
    job_id: int
    condition: str  # 'held', 'clear', 'in hand', 'done', 'signed off'
    reasons: Callable[[], tuple[Reason, ...]] = field(compare=False)  # put into words where a page shows them
    start_on: date | None  # early start; None once done
    finish_on: date | None  # early finish; None once done
    spare_days: float | None  # before `spare_to` moves; None where nothing depends on it
    spare_to: str  # 'first start-up', 'handover' …
    sets_date: bool  # on the chain that sets first start-up

    @cached_property
    def held_by(self) -> tuple[Reason, ...]:
        return self.reasons()

    @property
    def is_workable(self) -> bool:
        return self.condition in ("clear", "in hand")

    @property
    def spare_words(self) -> str:
        return spare_words(self.spare_days, self.spare_to)


@dataclass(frozen=True)
class OperationFacts:
    operation_id: int
    state: str  # Operation.State
    ready_on: date | None  # from when it can go out; None once out
    leaves_on: date | None  # when the network thinks it goes out (its batch may wait longer)
    back_on: date | None  # expected or recorded goods in
    days_late: int  # calendar days past the day first promised, while out
    no_new_promise: bool  # out past the promise and nobody has given another day
    order_by: date | None  # last day it can go out without moving its milestone; None once out
    spare_days: float | None
    spare_to: str
    sets_date: bool
    holds: tuple[str, ...]  # titles of the jobs that wait for it directly

    @property
    def spare_words(self) -> str:
        return spare_words(self.spare_days, self.spare_to)


@dataclass(frozen=True)
class ChainStep:
    """One link of what sets the date, or of another strand on the time strip."""

    text: str  # "radiator out since 2 Nov, promised 20 Nov, 3 days late, now 9 Dec"
    short: str  # "radiator"
    url: str
    start_on: date
    finish_on: date
    is_waiting: bool  # waiting for somebody else (hatched), against work of our own (solid)
    late_days: int


@dataclass(frozen=True)
class Window:
    """Even chance and four in five, drawn over the whole network."""

    even_chance: date
    four_in_five: date


@dataclass(frozen=True)
class MilestoneFacts:
    milestone_id: int
    kind: str
    name: str
    on: date | None  # today's date from the network; None when it cannot be worked out
    reached_on: date | None
    promised_on: date | None
    slip_days: int | None  # working days late against the promise; negative is early
    find_window: Callable[[], Window | None] = field(compare=False)  # a forecast, made where a page shows it
    chain: tuple[ChainStep, ...]
    sentence: str  # what sets the date, in one sentence
    bare_on: date | None = None  # the date as if there were people without end, where `on` has them in it
    people_left_out: str = ""  # why the people there are could not be counted, where somebody asked for it

    @property
    def has_people(self) -> bool:
        """Whether the dates have the people there are in them."""
        return self.bare_on is not None

    @cached_property
    def window(self) -> Window | None:
        return self.find_window()

    @property
    def days_early(self) -> int:
        """Working days in hand against the promise; 0 when there are none."""
        return max(0, -(self.slip_days or 0))

    @property
    def is_short(self) -> bool:
        """The network's date is after the promise."""
        return self.slip_days is not None and self.slip_days > 0


@dataclass(frozen=True)
class Strand:
    """Something else away or waiting, for the time strip: where it ends and what it has to spare."""

    text: str
    url: str
    start_on: date
    finish_on: date
    spare_days: float | None


@dataclass(frozen=True)
class NextThing:
    """Something that somebody can do for a car now."""

    text: str  # "Ring Ostler Radiators about: radiator"
    url: str
    ring_about: int | None = None  # the line that a supplier is to be rung about, by its key


@dataclass(frozen=True)
class CarFacts:
    car_id: int
    where: str  # "here, bay 2" or "away at … until …"
    is_away: bool
    first_start_up: MilestoneFacts | None
    milestones: tuple[MilestoneFacts, ...]
    parts_out: int
    parts_late: int
    decisions_owed: int
    jobs_done: int
    jobs_total: int
    next_things: tuple[NextThing, ...]  # the most pressing first, at least one; the last is never a call
    strands: tuple[Strand, ...]

    @property
    def next_thing(self) -> NextThing:
        """The most pressing thing that somebody can do now."""
        return self.next_things[0]


Value = TypeVar("Value")


class Worked(Mapping[int, Value]):
    """Facts by primary key, each worked out when a page first asks for it and then kept."""

    def __init__(self, keys: Collection[int], make: Callable[[int], Value]) -> None:
        self._keys = keys
        self._make = make
        self._made: dict[int, Value] = {}

    def __getitem__(self, key: int) -> Value:
        if key not in self._made:
            if key not in self._keys:
                raise KeyError(key)
            self._made[key] = self._make(key)
        return self._made[key]

    def __iter__(self) -> Iterator[int]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)


@dataclass(frozen=True)
class WorkshopFacts:
    today: date
    cars: Mapping[int, CarFacts]
    jobs: Mapping[int, JobFacts]
    operations: Mapping[int, OperationFacts]
    problems: tuple[str, ...] = field(default=())  # e.g. jobs that wait for one another in a ring
    has_dates: bool = True  # False: nothing is dated, whatever the facts say; problems name why

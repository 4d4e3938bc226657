"""The time strip: a steel rule of working days to first start-up, with what sets the date above it.

Works out places only; `templates/builds/strip.html` draws them. Lengths are in the drawing's own units.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from builds.facts import CarFacts, ChainStep, MilestoneFacts

WIDTH = 960
LETTER = 7.6  # mean width of a letter at the label size, 15
STRAND_ROW, CHAIN_ROW, RULE = 22, 46, 46
MOST_DAYS = 400  # working days that can still be told apart
FEWEST_DAYS = 15


@dataclass(frozen=True)
class Mark:
    """A graduation of the rule: long for the first working day of a week."""

    x: float
    length: int
    label: str


@dataclass(frozen=True)
class Bar:
    x: float
    width: float
    y: int
    label: str
    label_x: float
    is_waiting: bool
    url: str
    title: str


@dataclass(frozen=True)
class Pin:
    """A day that matters, as an upright line."""

    x: float
    label: str
    label_x: float
    anchor: str


@dataclass(frozen=True)
class TimeStrip:
    width: int
    height: int
    rule_y: int
    chain_y: int
    marks: tuple[Mark, ...]
    chain: tuple[Bar, ...]
    strands: tuple[Bar, ...]
    start_up: Pin
    four_in_five: Pin | None
    promise: Pin | None
    words: str  # the same in words, for those who cannot see it


def time_strip(car: CarFacts, today: date, working_days: Sequence[date]) -> TimeStrip | None:
    """Lay out the strip for a car; None where there is no date to draw towards.

    Parameters
    ----------
    car : CarFacts
        With its first start-up and strands.
    today : date
        Left end of the rule.
    working_days : sequence of date
        From today on, in order, at least as far as `last_day_needed`.
    """
    milestone = car.first_start_up
    if milestone is None or milestone.on is None or not working_days:
        return None
    rule = _Rule(working_days)
    strands = tuple(
        Bar(
            x=0,
            width=max(4.0, rule.x(strand.finish_on)),
            y=4 + row * STRAND_ROW,
            label=_cut(strand.text, rule.x(strand.finish_on) + 8),
            label_x=rule.x(strand.finish_on) + 8,
            is_waiting=True,
            url=strand.url,
            title=strand.text,
        )
        for row, strand in enumerate(car.strands)
        if rule.x(strand.finish_on) < WIDTH * 0.6
    )
    chain_y = len(strands) * STRAND_ROW + 22
    is_drawn = milestone.has_people and milestone.window is not None
    shown = milestone.window.even_chance if is_drawn and milestone.window else milestone.on
    start_up_x = rule.end_of(shown)
    return TimeStrip(
        width=WIDTH,
        height=chain_y + 24 + 8 + RULE + 2,
        rule_y=chain_y + 32,
        chain_y=chain_y,
        marks=rule.marks(),
        chain=_chain_bars(milestone, rule, chain_y),
        strands=strands,
        start_up=_pin(start_up_x, f"even {_short(shown)}" if is_drawn else _short(shown)),
        four_in_five=_four_in_five(milestone, rule, start_up_x),
        promise=_promise(milestone, rule),
        words=_words(milestone),
    )


def last_day_needed(car: CarFacts, today: date) -> date:
    """How far the rule must reach."""
    milestone = car.first_start_up
    ends = [today + timedelta(days=FEWEST_DAYS * 7 // 5)]
    if milestone is not None:
        window = milestone.window.four_in_five if milestone.window else None
        ends += [end for end in (milestone.on, milestone.promised_on, window) if end is not None]
    last = max(ends)
    room = timedelta(days=10 + (last - today).days // 8)  # for the words beside the last of them
    return min(last + room, today + timedelta(days=MOST_DAYS * 7 // 5))


class _Rule:
    """Working days to places along the rule."""

    def __init__(self, days: Sequence[date]) -> None:
        self.days = list(days)
        self.step = WIDTH / len(self.days)

    def x(self, day: date) -> float:
        return round(min(bisect_left(self.days, day), len(self.days)) * self.step, 1)

    def end_of(self, day: date) -> float:
        return self.x(day + timedelta(days=1))

    def marks(self) -> tuple[Mark, ...]:
        """Every working day while they can be told apart, else every week."""
        found = []
        free_from = 0.0  # no label before this place
        for number, day in enumerate(self.days):
            begins_week = number > 0 and day.isocalendar()[:2] != self.days[number - 1].isocalendar()[:2]
            x = round(number * self.step, 1)
            label = ""
            if begins_week and x >= free_from and x < WIDTH - 60:
                label, free_from = _short(day), x + max(110, self.step * 20)
            if begins_week or self.step >= 3:
                found.append(Mark(x, 24 if begins_week else 10, label))
        return tuple(found)


def _chain_bars(milestone: MilestoneFacts, rule: _Rule, y: int) -> tuple[Bar, ...]:
    bars = []
    free_from = 0.0
    for group in chain_groups(milestone.chain):
        x, end = rule.x(group[0].start_on), rule.end_of(group[-1].finish_on)
        width = max(3.0, round(end - x, 1))
        words = group[0].short if len(group) == 1 else f"{len(group)} jobs of ours"
        room = WIDTH - max(x, free_from)
        label = words if x >= free_from and len(words) * LETTER <= max(width, 90) and room > 60 else ""
        if label:
            free_from = x + len(label) * LETTER + 10
        title = "; ".join(step.text for step in group)
        bars.append(Bar(x, width, y, label, x + 1, group[0].is_waiting, group[0].url, title))
    return tuple(bars)


def chain_groups(chain: Sequence[ChainStep]) -> list[list[ChainStep]]:
    """Our own jobs one after the other together; each wait by itself."""
    groups: list[list[ChainStep]] = []
    for step in chain:
        if groups and not step.is_waiting and not groups[-1][-1].is_waiting:
            groups[-1].append(step)
        else:
            groups.append([step])
    return groups


def _four_in_five(milestone: MilestoneFacts, rule: _Rule, start_up_x: float) -> Pin | None:
    if milestone.window is None:
        return None
    x = rule.end_of(milestone.window.four_in_five)
    words = f"4 in 5 {_short(milestone.window.four_in_five)}"
    return _pin(x, words) if x > start_up_x else None


def _promise(milestone: MilestoneFacts, rule: _Rule) -> Pin | None:
    if milestone.promised_on is None or milestone.promised_on < rule.days[0]:
        return None
    x = rule.end_of(milestone.promised_on)
    return Pin(x, "promise", x - 6 if x > 70 else x + 6, "end" if x > 70 else "start")


def _pin(x: float, label: str) -> Pin:
    beyond = x + 7 + len(label) * LETTER > WIDTH
    return Pin(x, label, x - 7 if beyond else x + 7, "end" if beyond else "start")


def _cut(text: str, x: float) -> str:
    letters = int((WIDTH - x) / LETTER)
    return text if len(text) <= letters else text[: max(0, letters - 1)].rstrip() + "…"


def _short(day: date) -> str:
    return f"{day.day} {day:%b}"


def _words(milestone: MilestoneFacts) -> str:
    steps = "; ".join(f"{step.short} to {_short(step.finish_on)}" for step in milestone.chain)
    words = f"Working days to {milestone.name} on {_short(milestone.on)}" if milestone.on else ""
    if steps:
        words += f": {steps}"
    if milestone.window and milestone.has_people:
        words += f". Even chance by {_short(milestone.window.even_chance)}"
    if milestone.window:
        words += f". Four in five by {_short(milestone.window.four_in_five)}"
    if milestone.promised_on:
        words += f". Promised for {_short(milestone.promised_on)}"
    return words + "."

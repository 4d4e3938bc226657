"""How certain one milestone is: the window, where its width comes from, and what would narrow it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from builds.facts import MilestoneFacts, Window
from builds.models import Car
from builds.network import WorkshopState, load_car, load_workshop
from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.chains import path_window
from builds.network.forecasting import day_of, firm_worth, milestone_outcome
from builds.network.levelled import levelled_plan
from builds.network.words import operation_url, page
from builds.schedule.forecast import Outcome
from builds.sheets.week import levelled_on

SHOWN = 8  # contributors
FIRM_TRIED = 4  # each is a forecast of its own
LEAST_DAYS = 0.1
RULE_WIDTH = 900
TENTHS = tuple(number / 10 for number in range(1, 10))


@dataclass(frozen=True)
class Contributor:
    """One thing that makes the date uncertain."""

    text: str
    url: str
    percent: int  # of the draws in which it sets the date
    days: float  # of the spread of the date, in days by the calendar
    why: str  # for a supplier: what its record says


@dataclass(frozen=True)
class FirmName:
    """What a firm date would be worth."""

    text: str
    days: int


@dataclass(frozen=True)
class Mark:
    x: float
    label: str


@dataclass(frozen=True)
class ChanceRule:
    """A rule of days, graduated where each further tenth of the chances is reached."""

    width: int
    tenths: tuple[float, ...]
    even: Mark
    four: Mark
    promise: Mark | None
    promise_percent: int | None
    words: str


@dataclass(frozen=True)
class Certainty:
    car: Car
    milestone: MilestoneFacts
    window: Window
    with_people_on: date | None  # by the plan with the people there are
    chain_only: Window | None  # the naive answer: the chain that sets the date and nothing beside it
    draws: int
    is_stable: bool
    contributors: tuple[Contributor, ...]
    firm: tuple[FirmName, ...]
    rule: ChanceRule


def read_certainty(car: Car, today: date) -> Certainty | None:
    """Read and work out the certainty of the car's next milestone; None where there is no date to doubt."""
    state = load_car(car.pk, today)
    milestone = next_milestone(state, car)
    if milestone is None or milestone.window is None or milestone.on is None:
        return None
    outcome = milestone_outcome(state.forecaster, milestone.milestone_id)
    if outcome is None:
        return None
    key = f"milestone:{milestone.milestone_id}"
    contributors = _contributors(state, outcome)
    return Certainty(
        car=car,
        milestone=milestone,
        window=milestone.window,
        with_people_on=levelled_on(levelled_plan(load_workshop(today).solution), milestone.milestone_id),
        chain_only=path_window(state.solution, key, milestone.on),
        draws=int(outcome.finishes.size),
        is_stable=outcome.is_stable,
        contributors=tuple(contributors.values())[:SHOWN],
        firm=_firm(state, milestone.milestone_id, contributors),
        rule=_chance_rule(outcome, milestone),
    )


def next_milestone(state: WorkshopState, car: Car) -> MilestoneFacts | None:
    """First start-up until it is reached, then whatever comes soonest."""
    own = state.facts().cars[car.pk]
    if own.first_start_up is not None and own.first_start_up.on is not None:
        return own.first_start_up
    dated = [found for found in own.milestones if found.on is not None]
    return min(dated, key=lambda found: found.on or date.max, default=None)


def _contributors(state: WorkshopState, outcome: Outcome) -> dict[str, Contributor]:
    """Most days of spread first, by key."""
    ranked = sorted(outcome.contribution_min.items(), key=lambda item: (-item[1], item[0]))
    found = {}
    for key, minutes in ranked:
        days = round(minutes / 1440, 1)
        if days >= LEAST_DAYS:
            found[key] = _contributor(state, key, days, round(100 * outcome.criticality.get(key, 0)))
    return found


def _contributor(state: WorkshopState, key: str, days: float, percent: int) -> Contributor:
    model = state.model
    kind, _, number = key.partition(":")
    if kind == "job":
        job = model.rows.jobs[int(number)]
        return Contributor(job.title, page("job", job.id), percent, days, "")
    operation = model.rows.operations[int(number)]
    part = model.rows.parts[operation.part_id].name
    supplier = model.rows.suppliers.get(operation.supplier_id or 0)
    where = f" at {supplier.name}" if supplier else ""
    expectation = state.forecaster.expectation(operation)
    why = expectation.why if expectation and supplier else ""
    text = f"{part}: {operation.process__name.lower()}{where}"
    return Contributor(text, operation_url(operation), percent, days, why)


def _firm(
    state: WorkshopState, milestone_id: int, contributors: Mapping[str, Contributor]
) -> tuple[FirmName, ...]:
    """Working days by which a firm date for each of the first few would narrow the window."""
    tried = dict(list(contributors.items())[:FIRM_TRIED])
    if not tried:
        return ()
    worth = firm_worth(state.forecaster, milestone_id, {key: (key,) for key in tried})
    per_day = 1440 * 7 / 5  # elapsed minutes of a working day, weekends shared out
    names = (FirmName(tried[one.name].text, round(one.narrower_min / per_day)) for one in worth)
    return tuple(name for name in names if name.days > 0)


def _chance_rule(outcome: Outcome, milestone: MilestoneFacts) -> ChanceRule:
    """From the earliest chance in a hundred to the ninety-eighth, and to the promise if that is beyond."""
    promised = milestone.promised_on
    begin, end = day_of(outcome.quantile(0.01)), day_of(outcome.quantile(0.98))
    if promised is not None:
        begin, end = min(begin, promised), max(end, promised)
    span = max(1, (end - begin).days)

    def x(day: date) -> float:
        return round((day - begin).days / span * RULE_WIDTH, 1)

    def mark(day: date) -> Mark:
        return Mark(x(day), f"{day.day} {day:%b}")

    even, four = day_of(outcome.even_chance), day_of(outcome.four_in_five)
    kept = None if promised is None else round(100 * float((outcome.finishes < _after(promised)).mean()))
    return ChanceRule(
        width=RULE_WIDTH,
        tenths=tuple(x(day_of(outcome.quantile(chance))) for chance in TENTHS),
        even=mark(even),
        four=mark(four),
        promise=None if promised is None else mark(promised),
        promise_percent=kept,
        words=_rule_words(milestone, even, four, kept),
    )


def _rule_words(milestone: MilestoneFacts, even: date, four: date, kept: int | None) -> str:
    words = f"Chance of {milestone.name} by each day: even by {even.day} {even:%b}, "
    words += f"four in five by {four.day} {four:%b}"
    promised = milestone.promised_on
    if promised is None:
        return words
    return f"{words}; the promise of {promised.day} {promised:%b} is kept in {kept} of 100"


def _after(day: date) -> int:
    """The end of a day in the core's minutes."""
    return at_midnight(day) + DAY_MIN

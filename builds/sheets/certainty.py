"""How certain one milestone is: the window, where its width comes from, and what would narrow it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from builds.facts import MilestoneFacts, Window
from builds.models import Car
from builds.network import WorkshopState
from builds.network.answers import car_outcome
from builds.network.calendars import DAY_MIN, at_midnight
from builds.network.chains import path_window
from builds.network.forecasting import at_own_even_chance, day_of, firm_worth, outcome_in_full
from builds.network.words import operation_url, page
from builds.schedule.forecast import Outcome
from builds.sheets.differing import why_dates_differ, why_so_late

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
    days: float  # of the spread of the date, in working days of the workshop
    why: str  # for a supplier: what its record says
    keys: tuple[str, ...]  # the pieces of one batch together
    from_there: str  # for something of another car: why this car waits for it


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
    bare_on: date  # the critical path, as if there were people without end
    chain_only: Window | None  # the naive answer: the chain that sets that date and nothing beside it
    why: str  # the dates differ
    own_even_on: date | None  # each length at its own even chance, nothing drawn
    why_so_late: str  # what lies between the plan and the even chance, in days that add up
    draws: int
    is_stable: bool
    off_by: float  # how far the four-in-five date may be out, in working days
    contributors: tuple[Contributor, ...]
    firm: tuple[FirmName, ...]
    rule: ChanceRule


def read_certainty(car: Car, state: WorkshopState) -> Certainty | None:
    """Work out the certainty of the car's next milestone; None where there is no date to doubt."""
    milestone = next_milestone(state, car)
    if milestone is None or milestone.window is None or milestone.on is None:
        return None
    forecaster, key = state.ordered_forecaster, f"milestone:{milestone.milestone_id}"
    outcome = car_outcome(state.solution, forecaster, milestone.milestone_id)
    if outcome is None:
        return None
    outcome = outcome_in_full(forecaster, key, outcome)
    bare_on = milestone.bare_on or milestone.on
    contributors = _contributors(state, outcome, car.pk)
    own_even = at_own_even_chance(forecaster, milestone.milestone_id)
    return Certainty(
        car=car,
        milestone=milestone,
        window=milestone.window,
        bare_on=bare_on,
        chain_only=path_window(state.solution, key, bare_on),
        why=why_dates_differ(state, milestone),
        own_even_on=own_even,
        why_so_late=why_so_late(state, milestone, own_even),
        draws=int(outcome.finishes.size),
        is_stable=outcome.is_stable,
        off_by=round(outcome.off_by_min / state.solution.minutes_per_day, 1),
        contributors=contributors[:SHOWN],
        firm=_firm(state, milestone.milestone_id, contributors),
        rule=_chance_rule(outcome, milestone),
    )


def next_milestone(state: WorkshopState, car: Car) -> MilestoneFacts | None:
    """First start-up until it is reached, then whatever comes soonest."""
    own = state.dated().cars.get(car.pk)
    if own is None:
        return None
    if own.first_start_up is not None and own.first_start_up.on is not None:
        return own.first_start_up
    dated = [found for found in own.milestones if found.on is not None]
    return min(dated, key=lambda found: found.on or date.max, default=None)


def _contributors(state: WorkshopState, outcome: Outcome, car_id: int) -> tuple[Contributor, ...]:
    """Most days of spread first; the pieces of one batch, which take the same time, are one of them."""
    together = state.ordered_forecaster.together
    groups: dict[str, list[str]] = {}
    for key in outcome.contribution_min:
        common = together.get(key)
        groups.setdefault(common.name if common and common.share == 1 else key, []).append(key)
    found = []
    for name, keys in groups.items():
        # one length drawn once: what each piece shows of it is the same, and not to be added up
        key = max(keys, key=lambda one: (outcome.contribution_min[one], one))
        days = round(outcome.contribution_min[key] / _day_min(state), 1)
        if days >= LEAST_DAYS:
            percent = round(100 * max(outcome.criticality.get(one, 0) for one in keys))
            whose = _batch_words(state, name, keys) if len(keys) > 1 else ""
            found.append(_contributor(state, key, days, percent, car_id, tuple(keys), whose))
    return tuple(sorted(found, key=lambda one: (-one.days, one.text)))


def _day_min(state: WorkshopState) -> float:
    """Elapsed minutes to a working day of the workshop, the days on which it is shut shared out."""
    worked = sum(hours > 0 for hours in state.model.rows.hours)
    return DAY_MIN * 7 / worked


def _batch_words(state: WorkshopState, gate: str, keys: list[str]) -> str:
    batch = state.model.batch_of_gate(gate)
    name = f"{batch.process__name.lower()} batch {batch.id}" if batch else "the batch"
    return f"{name}, {len(keys)} pieces"


def _contributor(
    state: WorkshopState,
    key: str,
    days: float,
    percent: int,
    car_id: int,
    keys: tuple[str, ...],
    whose: str,
) -> Contributor:
    model = state.model
    kind, _, number = key.partition(":")
    if kind == "job":
        job = model.rows.jobs[int(number)]
        return Contributor(
            text=job.title + _car_words(state, job.car_id, car_id),
            url=page("job", job.id),
            percent=percent,
            days=days,
            why="",
            keys=keys,
            from_there=_from_there(state, key) if job.car_id != car_id else "",
        )
    if kind == "away":
        stay = next(one for stays in model.aways.values() for one in stays if one.id == int(number))
        name = model.rows.cars[stay.car_id].name
        text = f"{name} back from {model.rows.suppliers[stay.supplier_id].name}"
        beside = _from_there(state, key) if stay.car_id != car_id else ""
        return Contributor(text, page("car", stay.car_id), percent, days, "", keys, beside)
    operation = model.rows.operations[int(number)]
    part = model.rows.parts[operation.part_id]
    supplier = model.rows.suppliers.get(operation.supplier_id or 0)
    where = f" at {supplier.name}" if supplier else ""
    expectation = state.ordered_forecaster.expectation(operation)
    why = expectation.why if expectation and supplier else ""
    text = f"{whose}{where}" if whose else f"{part.name}: {operation.process__name.lower()}{where}"
    text += "" if whose else _car_words(state, part.car_id, car_id)
    beside = _from_there(state, key) if part.car_id != car_id and not whose else ""
    return Contributor(text, operation_url(operation), percent, days, why, keys, beside)


def _car_words(state: WorkshopState, car_id: int, own: int) -> str:
    return "" if car_id == own else f" ({state.model.rows.cars[car_id].name})"


def _from_there(state: WorkshopState, key: str) -> str:
    """'Tomas Kell goes on from it to what this car waits for'."""
    levelled = state.ordered.levelled
    placed = levelled.plan.placed.get(key) if levelled.plan else None
    names = [levelled.people[who].name for who in placed.people if who in levelled.people] if placed else []
    if not names:
        return "those who carry on after it then come to what this car waits for"
    go = "goes" if len(names) == 1 else "go"
    return f"{' and '.join(names)} {go} on from it to what this car waits for"


def _firm(
    state: WorkshopState, milestone_id: int, contributors: tuple[Contributor, ...]
) -> tuple[FirmName, ...]:
    """Working days by which a firm date for each of the first few would narrow the window."""
    tried = {one.text: one.keys for one in contributors[:FIRM_TRIED]}
    if not tried:
        return ()
    worth = firm_worth(state.ordered_forecaster, milestone_id, tried)
    names = (FirmName(one.name, round(one.narrower_min / _day_min(state))) for one in worth)
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

"""What it does to each car's first start-up if a batch leaves now, on a day, or with its last piece.

All as if somebody were always free: beside it stands the date with the people there are, as things stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from builds.facts import CarFacts, MilestoneFacts, WorkshopFacts
from builds.network import WorkshopState
from builds.sheets.finishing import Piece
from parts.batching.words import short_day


@dataclass(frozen=True)
class Effect:
    """First start-up under one choice."""

    on: date | None
    change_days: int | None  # working days of the workshop, later being positive; None if there is no date

    @property
    def in_words(self) -> str:
        if self.change_days is None:
            return ""
        if self.change_days == 0:
            return "no change"
        days = abs(self.change_days)
        return f"{days} working day{'s' * (days > 1)} {'later' if self.change_days > 0 else 'earlier'}"


@dataclass(frozen=True)
class Choice:
    """One way for the batch to leave."""

    title: str
    left_behind: tuple[Piece, ...]


@dataclass(frozen=True)
class CarLine:
    """One car: today's date and what each choice makes of it."""

    car_id: int
    name: str
    with_people: MilestoneFacts | None  # as things stand; None where it was not asked for
    today: date | None  # as if somebody were always free
    effects: tuple[Effect, ...]


@dataclass(frozen=True)
class Comparison:
    """Choices across, cars down."""

    choices: tuple[Choice, ...]
    cars: tuple[CarLine, ...]
    without_date: tuple[str, ...]  # cars of the batch that have no first start-up to move


def compare(
    state: WorkshopState, pieces: Sequence[Piece], planned_on: date | None, dated: WorkshopFacts | None = None
) -> Comparison:
    """Lay the choices over today's network and read each car's first start-up; nothing is saved.

    `dated` has the people in its dates, for which a plan must be made; where it is given, they are told too.
    """
    facts = state.facts()
    numbers = [piece.id for piece in pieces]
    days = _days(pieces, planned_on, facts.today)
    trials = [state.with_batch(numbers, day) for day in days]
    own = {piece.candidate.car_id for piece in pieces}
    cars = [_car_line(car, state, trials, dated) for car in facts.cars.values() if _is_open(car)]
    return Comparison(
        choices=tuple(_choice(trial, day, pieces) for trial, day in zip(trials, days, strict=True)),
        cars=tuple(sorted((car for car in cars if _is_shown(car, own)), key=lambda car: car.name)),
        without_date=tuple(
            sorted({p.candidate.car for p in pieces if not _is_open(facts.cars.get(p.candidate.car_id))})
        ),
    )


def _days(pieces: Sequence[Piece], planned_on: date | None, today: date) -> list[date | None]:
    """The days worth comparing, None being the day of the last piece: no two of them are the same choice."""
    later = [planned_on] if planned_on is not None and planned_on > today else []
    if all(piece.candidate.is_ready for piece in pieces):
        return [today, *later]  # the last is ready today
    if len(pieces) == 1:
        return [*later, None]  # what is not ready stays behind and goes when it is: that is waiting for it
    return [today, *later, None]


def _is_open(car: CarFacts | None) -> bool:
    """First start-up is on the car's sheet, and still to come."""
    start_up = car.first_start_up if car else None
    return start_up is not None and start_up.reached_on is None


def _is_shown(car: CarLine, own: set[int]) -> bool:
    return car.car_id in own or any(effect.change_days for effect in car.effects)


def _car_line(
    car: CarFacts, state: WorkshopState, trials: Iterable[WorkshopState], dated: WorkshopFacts | None
) -> CarLine:
    assert car.first_start_up is not None  # `_is_open` was asked
    key = f"milestone:{car.first_start_up.milestone_id}"
    now = car.first_start_up.on
    return CarLine(
        car_id=car.car_id,
        name=state.model.rows.cars[car.car_id].name,
        with_people=dated.cars[car.car_id].first_start_up if dated else None,
        today=now,
        effects=tuple(
            _effect(trial.solution.finish_on(key) if now else None, now, state) for trial in trials
        ),
    )


def _effect(then: date | None, now: date | None, state: WorkshopState) -> Effect:
    return Effect(then, None if then is None or now is None else state.solution.slip(now, then))


def _choice(trial: WorkshopState, day: date | None, pieces: Sequence[Piece]) -> Choice:
    today = trial.model.today
    if day is None:
        leaves = [trial.solution.start_on(f"op:{piece.id}") for piece in pieces]
        known = [found for found in leaves if found is not None]
        when = f" ({short_day(max(known), today)})" if known else ""
        return Choice(f"Wait for the last{when}", ())
    if day == today:
        behind = tuple(piece for piece in pieces if not piece.candidate.is_ready)
        return Choice("Leave today", behind)
    behind = tuple(piece for piece in pieces if not _is_ready_by(piece, day))
    return Choice(f"Leave on {short_day(day, today)}", behind)


def _is_ready_by(piece: Piece, day: date) -> bool:
    candidate = piece.candidate
    return candidate.is_ready or (candidate.ready_on is not None and candidate.ready_on <= day)

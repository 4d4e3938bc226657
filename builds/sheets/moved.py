"""What an act did to the dates: the milestones of each car before and after."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from builds.network import WorkshopState
from builds.network.solution import FIRST_START_UP
from parts.batching.words import short_day

SHOWN = 3


def moved_words(before: WorkshopState, after: WorkshopState) -> str:
    """'First start-up of Tern moves from … to …: 5 working days sooner.', or 'No date moves.'

    Of a car whose first start-up stays, the first other milestone that moves is named.
    """
    sentences = [
        words for car_id in sorted(after.facts().cars) if (words := _car_words(before, after, car_id))
    ]
    more = len(sentences) - SHOWN
    if more > 0:
        sentences[SHOWN:] = [f"{more} more car{'s move' if more > 1 else ' moves'}."]
    return " ".join(sentences) or "No date moves."


def _car_words(before: WorkshopState, after: WorkshopState, car_id: int) -> str:
    then = dict(_dates(before, car_id))
    moved = [(key, then.get(key), on) for key, on in _dates(after, car_id) if then.get(key) != on]
    if not moved:
        return ""
    (_, name), was, now = min(moved, key=lambda each: each[0][0] != FIRST_START_UP)
    return _sentence(after, f"{name} of {after.model.rows.cars[car_id].name}", was, now)


def _dates(state: WorkshopState, car_id: int) -> Iterator[tuple[tuple[str, str], date | None]]:
    """Kind, name and date of each milestone that is still to come."""
    car = state.facts().cars.get(car_id)
    for milestone in car.milestones if car else ():
        if milestone.reached_on is None:
            yield (milestone.kind, milestone.name), milestone.on


def _sentence(state: WorkshopState, what: str, then: date | None, now: date | None) -> str:
    today, what = state.model.today, what[0].upper() + what[1:]
    if then is None or now is None:
        there = "has no date any more" if now is None else f"has a date again: {short_day(now, today)}"
        return f"{what} {there}."
    slip = state.solution.slip(then, now)
    words = f"{what} moves from {short_day(then, today)} to {short_day(now, today)}"
    if slip == 0:
        return f"{words}."
    days = f"{abs(slip)} working day{'' if abs(slip) == 1 else 's'}"
    return f"{words}: {days} {'later' if slip > 0 else 'sooner'}."

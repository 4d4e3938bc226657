"""What an act did to the dates: first start-up of each car before and after."""

from __future__ import annotations

from datetime import date

from builds.network import WorkshopState
from parts.batching.words import short_day

SHOWN = 3


def moved_words(before: WorkshopState, after: WorkshopState) -> str:
    """'First start-up of Tern moves from … to …: 5 working days sooner.', or 'No date moves.'"""
    sentences = []
    for car_id, car in sorted(after.facts().cars.items()):
        then = _start_up(before, car_id)
        now = _start_up(after, car_id)
        if now != then and car.first_start_up is not None:
            sentences.append(_sentence(after, after.model.rows.cars[car_id].name, then, now))
    more = len(sentences) - SHOWN
    return " ".join(sentences[:SHOWN] + ([f"{more} more cars move."] if more > 0 else [])) or "No date moves."


def _start_up(state: WorkshopState, car_id: int) -> date | None:
    car = state.facts().cars.get(car_id)
    return car.first_start_up.on if car and car.first_start_up else None


def _sentence(state: WorkshopState, name: str, then: date | None, now: date | None) -> str:
    today = state.model.today
    if then is None or now is None:
        there = "has no date any more" if now is None else f"has a date again: {short_day(now, today)}"
        return f"First start-up of {name} {there}."
    slip = state.solution.slip(then, now)
    words = f"First start-up of {name} moves from {short_day(then, today)} to {short_day(now, today)}"
    if slip == 0:
        return f"{words}."
    days = f"{abs(slip)} working day{'' if abs(slip) == 1 else 's'}"
    return f"{words}: {days} {'later' if slip > 0 else 'sooner'}."

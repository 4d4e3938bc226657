"""Why the critical path, the plan with people and the forecast give three dates, in one sentence."""

from __future__ import annotations

from datetime import date

from builds.facts import MilestoneFacts
from builds.network import WorkshopState


def why_dates_differ(state: WorkshopState, milestone: MilestoneFacts) -> str:
    """'If somebody were always free it would be 4 Mar. With the people there are …'; empty without a date."""
    window = milestone.window
    if milestone.on is None or window is None:
        return ""
    today = state.model.today
    bare = milestone.bare_on or milestone.on
    words = f"If somebody were always free and all took what is likely, it would be {_day(bare, today)}"
    if milestone.has_people:
        words += f"; with the people there are, {_later(state, bare, milestone.on, today)}"
        words += _because(milestone) if milestone.on > bare else ""
    else:
        words += f"; the people there are could not be counted ({milestone.people_left_out or 'no plan'})"
    words += ". Jobs and suppliers take longer than is likely more often than shorter, and where strands "
    words += f"meet the latest sets the date: as likely as not it is {_day(window.even_chance, today)}, "
    return words + f"and four times in five no later than {_day(window.four_in_five, today)}."


def _later(state: WorkshopState, bare: date, on: date, today: date) -> str:
    days = state.solution.slip(bare, on)
    if days <= 0:
        return "the same day" if on == bare else _day(on, today)
    return f"{_day(on, today)}, {days} working day{'' if days == 1 else 's'} later"


def _because(milestone: MilestoneFacts) -> str:
    waits = [step.text for step in milestone.chain if step.text.startswith("waits for ")]
    return f", as it {waits[0]}" if waits else ", as they do one job after another"


def _day(day: date, today: date) -> str:
    words = f"{day:%a} {day.day} {day:%b}"
    return words if day.year == today.year else f"{words} {day.year}"

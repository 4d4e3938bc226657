"""Why the critical path, the plan with people and the forecast give three dates, in one sentence."""

from __future__ import annotations

from datetime import date

from builds.facts import MilestoneFacts
from builds.network import WorkshopState

LEANING_DAYS = 10  # working days: the one to two weeks that were measured for dates far off fit into no less


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


def why_so_late(state: WorkshopState, milestone: MilestoneFacts, own_even: date | None) -> str:
    """How many days lie between the plan and the even chance, and where they come from; they add up.

    `own_even` is the day with each length at its own even chance (`builds.network.forecasting`).
    """
    window, today = milestone.window, state.model.today
    if milestone.on is None or window is None or own_even is None:
        return ""
    lengths = state.solution.slip(milestone.on, own_even)
    meeting = state.solution.slip(own_even, window.even_chance)
    if lengths < 0 or meeting < 0 or lengths + meeting == 0:
        return ""
    whence = "the plan’s" if milestone.has_people else "the critical path’s"
    words = f"From {whence} {_day(milestone.on, today)} to the even chance are {_days(lengths + meeting)}. "
    words += (
        f"{_days(lengths).capitalize()} of them, to {_day(own_even, today)}, come of single lengths: each "
        "job and supplier at its own even chance in place of what is likely, and what is out as long as such "
        f"things stay out, not until the day promised. {_days(meeting).capitalize()} come of meeting points: "
        "where several people, parts and jobs must all be there before the next can begin, the latest of "
        "them counts, and the more of them there are, the surer one of them is late."
    )
    if milestone.has_people and meeting >= LEANING_DAYS:
        words += (
            " One to two weeks of that are the forecast leaning late: it keeps the plan’s order whatever "
            "happens, while people would take other work in between."
        )
    return words


def _days(days: int) -> str:
    return f"{days or 'no'} working day{'' if days == 1 else 's'}"


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

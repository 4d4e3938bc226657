"""What another plan does to each milestone: sooner or later, and whether its promise is still kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from builds.facts import Window
from builds.network import WorkshopState
from builds.network.forecasting import Forecaster, milestone_outcomes, window_of
from builds.network.levelled import LevelledPlan
from builds.network.ordered import ordered_by
from builds.network.rows import MilestoneRow
from builds.network.words import day_words, days_words
from builds.schedule.calendar import from_minutes
from builds.schedule.levelling.plan import Plan
from builds.schedule.levelling.problem import Placed

Windows = Mapping[str, Window]  # by the key of the milestone


@dataclass(frozen=True)
class Chances:
    """Even chance and four in five of milestones in the plan before and in the one found."""

    first: Windows
    best: Windows


def chances(state: WorkshopState, levelled: LevelledPlan, plan: Plan) -> Chances:
    """Draw both plans over, which takes some seconds: what Cars shows, and whatever else is promised."""
    return Chances(_windows(state, levelled), _windows(state, replace(levelled, plan=plan)))


def _windows(state: WorkshopState, levelled: LevelledPlan) -> Windows:
    people = ordered_by(state.solution, levelled)
    if people.refusal:
        return {}
    forecaster, next_ones = Forecaster(people.solution), state.solution.next_milestones
    promised = {f"milestone:{one.id}" for one in _open(state) if one.promised_on is not None}
    outcomes = dict(milestone_outcomes(forecaster, next_ones))  # together, as pages draw them
    if others := promised.difference(next_ones):
        outcomes.update(milestone_outcomes(forecaster, others))
    windows = {key: window_of(outcome) for key, outcome in outcomes.items()}
    return {key: window for key, window in windows.items() if window is not None}


def milestone_rows(
    state: WorkshopState,
    first: Mapping[str, Placed],
    best: Mapping[str, Placed],
    earliest: Mapping[str, int],
    drawn: Chances | None = None,
) -> list[dict[str, Any]]:
    """For each car its next milestone and whatever else comes on another day, then and now; days as ISO text,
    for the database.
    """
    next_ones = state.solution.next_milestones
    rows = []
    for one in sorted(_open(state), key=lambda one: (one.car_id, f"milestone:{one.id}" not in next_ones)):
        key = f"milestone:{one.id}"
        if key not in first or key not in best:
            continue
        then, now = _day(first[key].finish), _day(best[key].finish)
        if then != now or key in next_ones:
            row = _row(state, one, then, now)
            row["not_before"] = _day(earliest[key]).isoformat() if key in earliest else None
            rows.append(row | _window_days(drawn, key))
    return rows


def _row(state: WorkshopState, one: MilestoneRow, then: date, now: date) -> dict[str, Any]:
    promised, slip = one.promised_on, state.solution.slip
    return {
        "car": state.model.rows.cars[one.car_id].name,
        "car_id": one.car_id,
        "milestone": one.name,
        "promised_on": promised.isoformat() if promised else None,
        "first_on": then.isoformat(),
        "best_on": now.isoformat(),
        "later": slip(then, now),
        "first_late": max(0, slip(promised, then)) if promised else None,
        "best_late": max(0, slip(promised, now)) if promised else None,
    }


def _window_days(drawn: Chances | None, key: str) -> dict[str, str]:
    found = {}
    for name, windows in (("first", drawn.first), ("best", drawn.best)) if drawn else ():
        if key in windows:
            found[f"{name}_even"] = windows[key].even_chance.isoformat()
            found[f"{name}_four"] = windows[key].four_in_five.isoformat()
    return found


def changes_in_words(rows: Iterable[Mapping[str, Any]], today: date, *, can_go_back: bool) -> list[str]:
    """The promises lost and won, then 'Sooner: Tern handover by 3 working days.' and what is later."""
    rows = list(rows)
    sooner = [row for row in rows if row["best_on"] < row["first_on"]]
    later = [row for row in rows if row["best_on"] > row["first_on"]]
    said = [words for row in rows if (words := _promise_lost(row, today))]
    if said and can_go_back:
        said[-1] += " Go back to the plan before if that matters more."
    said += [words for row in rows if (words := _promise_won(row, today))]
    if not sooner:
        said.append("No milestone is a whole day sooner: what got better is hours, or fewer jobs moved.")
    said += [f"Sooner: {_named(sooner)}."] if sooner else []
    return [*said, f"Later: {_named(later)}."] if later else said


def promises_lost(rows: Iterable[Mapping[str, Any]]) -> int:
    """How many promises were kept at four in five and are no more."""
    return sum(_kept(row) == (True, False) for row in rows)


def _named(rows: list[Mapping[str, Any]]) -> str:
    return ", ".join(
        f"{row['car']} {row['milestone']} by {_working_days(abs(row['later']))}"
        for row in sorted(rows, key=lambda row: -abs(row["later"]))
    )


def _working_days(days: int) -> str:
    return days_words(days).replace(" day", " working day") if days else "a day on which the workshop is shut"


def _promise_lost(row: Mapping[str, Any], today: date) -> str:
    kept = _kept(row)
    if kept != (True, False):
        return ""
    name, promised, first, best = _promise_words(row, today)
    return (
        f"{name}: the promise of {promised} was kept at four in five ({first}); now it is not, four in five "
        f"is {best}."
    )


def _promise_won(row: Mapping[str, Any], today: date) -> str:
    if _kept(row) != (False, True):
        return ""
    name, promised, first, best = _promise_words(row, today)
    return f"{name}: the promise of {promised} is now kept at four in five, {best} in place of {first}."


def _kept(row: Mapping[str, Any]) -> tuple[bool, bool] | None:
    """Whether the promise is kept at four in five, then and now; None where that is not known."""
    promised, first, best = row["promised_on"], row.get("first_four"), row.get("best_four")
    return (first <= promised, best <= promised) if promised and first and best else None


def _promise_words(row: Mapping[str, Any], today: date) -> tuple[str, str, str, str]:
    days = (date.fromisoformat(row[name]) for name in ("promised_on", "first_four", "best_four"))
    promised, first, best = (day_words(day, today) for day in days)
    return f"{row['car']} {row['milestone']}", promised, first, best


def _open(state: WorkshopState) -> list[MilestoneRow]:
    return [one for one in state.model.rows.milestones if state.solution.is_open(one.job_ids)]


def _day(moment: int) -> date:
    """The day on which something is finished: what ends at midnight ends on the day before."""
    found: datetime = from_minutes(moment) - timedelta(minutes=1)
    return found.date()

"""The search for a better plan as The week shows it: how far it is, then what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from builds.facts import Window
from builds.models import Improving
from builds.network.words import page
from builds.services.plans import DIED, is_silent


@dataclass(frozen=True)
class MilestoneThenNow:
    """A milestone in the plan as it was and in the best found."""

    car: str
    url: str
    milestone: str
    promised_on: date | None
    first_on: date
    best_on: date
    first_late: int | None  # working days; None where nothing is promised
    best_late: int | None
    later: int  # working days; negative is sooner
    first_window: Window | None  # drawn over once the search is over
    best_window: Window | None
    not_before: date | None  # no plan can be earlier

    @property
    def sooner(self) -> int:
        return -self.later

    @property
    def is_lost(self) -> bool:
        """Whether the promise was kept at four in five and is no more."""
        if self.promised_on is None or self.first_window is None or self.best_window is None:
            return False
        return self.first_window.four_in_five <= self.promised_on < self.best_window.four_in_five


@dataclass(frozen=True)
class ImprovingSheet:
    improving: Improving
    is_running: bool
    words: str  # what came of it; empty while it runs
    lines: tuple[str, ...]  # and what that does to each milestone
    seconds: int
    cars: tuple[MilestoneThenNow, ...]
    moved: int
    better: str  # 'Late days and waiting, weighed together, come to 34 % less than in the plan before.'
    limit: str  # 'It is proven that no plan can bring them down by more than another 5 %.'

    @property
    def has_windows(self) -> bool:
        return any(car.best_window for car in self.cars)


def read_improving(improving: Improving, now: datetime) -> ImprovingSheet:
    """From the row alone: no query."""
    dead = is_silent(improving, now)
    going = improving.state in (Improving.State.ASKED, Improving.State.RUNNING)
    progress: dict[str, Any] = improving.progress
    begun = progress.get("seconds", 0)
    words, *lines = (DIED if dead else improving.words).split("\n")
    return ImprovingSheet(
        improving=improving,
        is_running=going and not dead,
        words=words,
        lines=tuple(lines),
        seconds=begun or int((now - improving.asked_at).total_seconds() if going else 0),
        cars=tuple(_car(row) for row in progress.get("cars", ())),
        moved=progress.get("moved", 0),
        better=_better_words(progress),
        limit=_limit_words(progress),
    )


def last_improving() -> ImprovingSheet | None:
    """The newest search, running or ended. One query."""
    improving = Improving.objects.select_related("asked_by").first()
    return read_improving(improving, timezone.now()) if improving else None


def _car(row: dict[str, Any]) -> MilestoneThenNow:
    def day(name: str) -> date | None:
        return date.fromisoformat(row[name]) if row[name] else None

    return MilestoneThenNow(
        car=row["car"],
        url=page("car", row["car_id"]),
        milestone=row["milestone"],
        promised_on=day("promised_on"),
        first_on=date.fromisoformat(row["first_on"]),
        best_on=date.fromisoformat(row["best_on"]),
        first_late=row["first_late"],
        best_late=row["best_late"],
        later=row.get("later", 0),
        first_window=_window(row, "first"),
        best_window=_window(row, "best"),
        not_before=day("not_before"),
    )


def _window(row: dict[str, Any], name: str) -> Window | None:
    even, four = row.get(f"{name}_even"), row.get(f"{name}_four")
    return Window(date.fromisoformat(even), date.fromisoformat(four)) if even and four else None


def _better_words(progress: dict[str, Any]) -> str:
    first, best = progress.get("first", 0), progress.get("best", 0)
    if not first:
        return ""
    less = round(100 * (first - best) / first, 1)
    if less <= 0:
        return "Nothing better so far."
    return f"Late days and waiting, weighed together, come to {less:g} % less than in the plan before."


def _limit_words(progress: dict[str, Any]) -> str:
    best, bound = progress.get("best", 0), progress.get("bound", 0)
    if not best or not bound:
        return ""
    left = round(100 * (best - bound) / best, 1)
    if left <= 0:
        return "It is proven that no plan can do better."
    return (
        "It is proven that no plan can bring late days and waiting, weighed together, down by more than "
        f"another {left:g} %."
    )

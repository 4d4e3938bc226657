"""The promise log: what was promised, what the forecast said then, what happened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from builds.models import Milestone, MilestonePromise

FEWEST = 5  # reached milestones before a share of kept forecasts says anything


@dataclass(frozen=True)
class KeptPromise:
    promise: MilestonePromise
    reached_on: date | None

    @property
    def days_late(self) -> int | None:
        return None if self.reached_on is None else (self.reached_on - self.promise.promised_on).days

    @property
    def forecast_held(self) -> bool | None:
        """Whether it was reached by the four-in-five date; None while open or without a forecast."""
        if self.reached_on is None or self.promise.four_in_five_on is None:
            return None
        return self.reached_on <= self.promise.four_in_five_on


@dataclass(frozen=True)
class PromiseLog:
    lines: tuple[KeptPromise, ...]

    @property
    def judged(self) -> int:
        return sum(line.forecast_held is not None for line in self.lines)

    @property
    def held(self) -> int:
        return sum(line.forecast_held is True for line in self.lines)

    @property
    def percent(self) -> int | None:
        """Share of four-in-five dates that held; None while there are too few to say."""
        return round(100 * self.held / self.judged) if self.judged >= FEWEST else None


def read_promises() -> PromiseLog:
    """Every promise of every car, newest first. Two queries and one for the jobs."""
    promises = MilestonePromise.objects.select_related("milestone__car", "by").order_by("-given_on", "-pk")
    reached = _reached()
    return PromiseLog(tuple(KeptPromise(promise, reached.get(promise.milestone_id)) for promise in promises))


def _reached() -> dict[int, date]:
    found = {}
    for milestone in Milestone.objects.prefetch_related("jobs"):
        jobs = list(milestone.jobs.all())
        ends = [job.done_at for job in jobs if job.is_complete and job.done_at]
        if jobs and len(ends) == len(jobs):
            found[milestone.pk] = timezone.localtime(max(ends)).date()
    return found

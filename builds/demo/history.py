"""What would have happened to a car by today: the network run from the day it came in.

The same core that plans the future writes the past, so that no job was done before what it needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from builds.network.calendars import at_midday
from builds.network.model import Model
from builds.network.rows import Rows, read_rows
from builds.network.solution import Solution
from builds.schedule.calendar import from_minutes
from builds.schedule.passes import backward, forward, total_float
from builds.schedule.whatif import with_activities

LEAST_SPARE_DAYS = 6
ORDERED_AHEAD_DAYS = 15  # bought-in parts are ordered so many working days before they must be


@dataclass(frozen=True)
class History:
    """When each activity of one car began and ended, or will: by key, on the workshop's clock."""

    start: Mapping[str, datetime]
    finish: Mapping[str, datetime]
    spare_days: Mapping[str, float]  # working days before a milestone would have moved
    waited_for_by: Mapping[str, tuple[str, ...]]


def car_history(car_id: int, began: date, held: Mapping[str, date]) -> History:
    """Run one car's network from the day it came in; what is in `held` does not begin before its day."""
    solution = Solution.of(Model(_rows_of(read_rows(), car_id), began))
    if solution.network is None or solution.early is None:
        raise RuntimeError(f"The build template gives no dates: {solution.problem}")
    network, early = solution.network, solution.early
    late = backward(network, early, dict.fromkeys(solution.start_up_keys | solution.later_keys))
    moved = {}
    for activity in network.activities:
        if activity.key in held:
            moved[activity.key] = replace(activity, not_before=at_midday(held[activity.key]))
        elif _is_bought_in(solution, activity.key) and activity.key in late.start:
            latest = from_minutes(late.start[activity.key]) - timedelta(days=ORDERED_AHEAD_DAYS * 7 // 5)
            moved[activity.key] = replace(activity, not_before=at_midday(max(latest.date(), began)))
    network = with_activities(network, moved)
    early = forward(network)
    spare = total_float(network, early, backward(network, early, dict.fromkeys(solution.later_keys)))
    after: dict[str, list[str]] = {}
    for link in network.links:
        after.setdefault(link.before, []).append(link.after)
    return History(
        {key: from_minutes(moment) for key, moment in early.start.items()},
        {key: from_minutes(moment) for key, moment in early.finish.items()},
        {key: minutes / solution.minutes_per_day for key, minutes in spare.items()},
        {key: tuple(keys) for key, keys in after.items()},
    )


def left_over(history: History, today: date, most: int) -> frozenset[str]:
    """Jobs that could have been done by now and were not: those with most to spare, nothing built on them.

    A workshop has fewer hands than its network allows for; without this the demo would have no backlog.
    """
    over = {key for key, finish in history.finish.items() if finish.date() < today}
    candidates = sorted(
        (
            key
            for key in over
            if key.startswith("job:") and history.spare_days.get(key, 0) >= LEAST_SPARE_DAYS
        ),
        key=lambda key: history.finish[key],
        reverse=True,
    )
    left: set[str] = set()
    for key in candidates:
        begun = [after for after in history.waited_for_by.get(key, ()) if history.start[after].date() < today]
        if len(left) < most and all(after in left for after in begun):
            left.add(key)
    return frozenset(left)


def _is_bought_in(solution: Solution, key: str) -> bool:
    kind, _, number = key.partition(":")
    return kind == "op" and solution.model.rows.operations[int(number)].process__kind == "supply"


def _rows_of(rows: Rows, car_id: int) -> Rows:
    jobs = {key: job for key, job in rows.jobs.items() if job.car_id == car_id}
    parts = {key: part for key, part in rows.parts.items() if part.car_id == car_id}
    return replace(
        rows,
        cars={car_id: rows.cars[car_id]},
        aways=(),
        jobs=jobs,
        links=tuple(link for link in rows.links if link.after_id in jobs),
        needs=tuple(need for need in rows.needs if need.job_id in jobs),
        parts=parts,
        operations={key: line for key, line in rows.operations.items() if line.part_id in parts},
        after_jobs=tuple(pair for pair in rows.after_jobs if pair[1] in jobs),
        batches={},
        milestones=tuple(row for row in rows.milestones if row.car_id == car_id),
        decisions=(),
    )

"""Which jobs are last checks before a first start-up, so that the plan puts them right before it.

Those of a day at most, in the area of the job with which the engine starts, that lead to nothing but that
start: extinguishers, chocks, the round of fasteners, the release sheet. A job of another area (a leak test of
the tank) finds faults that take time to put right, so it stays as early as hands are free; so does what is
longer or leads elsewhere too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from builds.schedule.network import Link

from .model import Model
from .solution import FIRST_START_UP

CHECK_HOURS = 8  # what takes longer is work, whatever area it stands in


def last_checks(model: Model, links: Iterable[Link]) -> frozenset[str]:
    """Keys of the open jobs that only release a first start-up."""
    awaited: dict[str, set[str]] = {}
    for link in links:
        awaited.setdefault(link.before, set()).add(link.after)
    found: set[str] = set()
    for milestone in model.rows.milestones:
        if milestone.kind == FIRST_START_UP:
            starts = [job_id for job_id in milestone.job_ids if job_id in model.open_jobs]
            found |= _releasing(model, awaited, starts)
    return frozenset(found)


def _releasing(model: Model, awaited: Mapping[str, set[str]], starts: list[int]) -> set[str]:
    jobs = model.open_jobs
    alike = {(jobs[job_id].car_id, jobs[job_id].area_id) for job_id in starts}
    of_start = {f"job:{job_id}" for job_id in starts}
    short = [job for job in jobs.values() if job.hours_likely <= CHECK_HOURS]
    left = {f"job:{job.id}" for job in short if (job.car_id, job.area_id) in alike} - of_start
    found: set[str] = set()
    while more := {key for key in left if awaited.get(key) and awaited[key] <= found | of_start}:
        found |= more
        left -= more
    return found

"""Which jobs are last checks before a first start-up or a handover: the plan puts them right before it.

Before a first start-up these are jobs of a day at most that lead to nothing but that start, in two kinds:

- in the area of the job with which the engine starts: extinguishers, chocks, the round of fasteners, the
  release sheet;
- in another area, if they take the skill that the start takes: oil primed weeks ahead has run down again.

What else is done in another area (a leak test of the tank) finds faults that take time to put right, so it
stays as early as hands are free; so does what is longer or leads elsewhere too.

Before a handover they are jobs of two days at most in its area that lead to nothing but that: the last look
at brakes, lights and torque marks, the valet, the build file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from builds.schedule.network import Link

from .model import Model
from .rows import JobRow
from .solution import FIRST_START_UP

HANDOVER = "handover"
CHECK_HOURS = {FIRST_START_UP: 8, HANDOVER: 16}  # what takes longer is work, whatever area it stands in


def last_checks(model: Model, links: Iterable[Link]) -> frozenset[str]:
    """Keys of the open jobs that only release a first start-up or a handover."""
    awaited: dict[str, set[str]] = {}
    for link in links:
        awaited.setdefault(link.before, set()).add(link.after)
    found: set[str] = set()
    for milestone in model.rows.milestones:
        if milestone.kind in CHECK_HOURS:
            ends = [model.open_jobs[job_id] for job_id in milestone.job_ids if job_id in model.open_jobs]
            found |= _releasing(model, awaited, ends, milestone.kind)
    return frozenset(found)


def _releasing(model: Model, awaited: Mapping[str, set[str]], ends: list[JobRow], kind: str) -> set[str]:
    areas = {(job.car_id, job.area_id) for job in ends}
    skills = {(job.car_id, job.skill__name) for job in ends if job.skill__name and kind == FIRST_START_UP}
    of_end = {f"job:{job.id}" for job in ends}
    short = [job for job in model.open_jobs.values() if job.hours_likely <= CHECK_HOURS[kind]]
    left = {
        f"job:{job.id}"
        for job in short
        if (job.car_id, job.area_id) in areas or (job.car_id, job.skill__name) in skills
    } - of_end
    found: set[str] = set()
    while more := {key for key in left if awaited.get(key) and awaited[key] <= found | of_end}:
        found |= more
        left -= more
    return found

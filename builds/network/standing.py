"""Dates with people at once after a tick: the order of the plan last worked out, with what is over let go.

Working a plan out for forty cars takes seconds, and a tick leaves its order as it was. So the plan last
worked out is kept by this process, and jobs that were begun, ticked or signed off since are let go in it.
Everything else must be as it was, by value: another job, part, day, absence or kept plan, and there is no
such date until the plan is worked out anew. The order can differ from that of the plan made anew, which may
take another one where something came free; who asks replaces the one by the other.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import dataclass, replace

from builds.models import KeptPlan
from builds.schedule.let_go import Pair, let_go
from builds.schedule.network import Activity
from builds.schedule.whatif import with_activities

from .levelled import Hands
from .model import Model
from .ordered import Ordered, by_pair
from .rows import JobRow, Rows
from .solution import Solution

PROGRESS = ("started_at", "done_at", "signed_off_at", "started_by_id")  # of a job: what a press changes


@dataclass(frozen=True)
class Standing:
    """The plan last worked out, and all that it was worked out from."""

    model: Model
    ordered: Ordered
    tied: frozenset[Pair]  # what waits for what, whatever the order

    @classmethod
    def of(cls, bare: Solution, ordered: Ordered) -> Standing:
        links = bare.network.links if bare.network else ()
        tied = frozenset((link.before, link.after) for link in links if link.lag_min >= 0)
        return cls(bare.model, ordered, tied)


_standing: Standing | None = None


def remember(bare: Solution, ordered: Ordered) -> None:
    """Keep a plan of the whole workshop as it is, until the next one."""
    global _standing
    _standing = None if ordered.refusal else Standing.of(bare, ordered)
    _set_memory_aside()


def _set_memory_aside() -> None:
    """Where the server looks seldom for memory that points at itself, look now, and no more at what is alive.

    A plan of forty cars is a million values: looked through in the middle of a tick they take 0.7 s.
    """
    if gc.get_freeze_count():
        gc.unfreeze()
        gc.collect()
        gc.freeze()


def forget() -> None:
    """Work the next plan out before any date is shown with people."""
    global _standing
    _standing = None


def is_known() -> bool:
    """Whether a plan was worked out, so that it is worth reading the whole workshop."""
    return _standing is not None


def ordered_at_once(model: Model) -> Ordered | None:
    """The network of the whole workshop in the order of the plan last worked out.

    None where anything but jobs' progress has changed since. Six queries: people, their skills, absences,
    overtime, bays, which plan is kept.
    """
    known = _standing
    if known is None or known.model.today != model.today or not _is_as_it_was(known, model.rows):
        return None
    changes = _changed(known, model)
    if changes is None:
        return None
    over = [key for key, activity in changes.items() if activity is None]
    others = {key: activity for key, activity in changes.items() if activity is not None}
    idle = [key for key, activity in others.items() if activity.work_min == 0]
    network = known.ordered.solution.network
    assert network is not None
    left = let_go(network, known.ordered.hand_overs, known.tied, over, idle)
    was = known.ordered.solution
    found = Solution.dated(model, with_activities(left.network, others), was)
    solution = replace(found, beyond={**was.beyond, **found.beyond})
    return Ordered(known.ordered.levelled, solution, by_pair(left.handed), left.handed, is_at_once=True)


def _is_as_it_was(known: Standing, now: Rows) -> bool:
    was = known.model.rows
    if (
        replace(now, jobs=was.jobs, minutes_spent=was.minutes_spent) != was
        or now.jobs.keys() != was.jobs.keys()
    ):
        return False
    levelled = known.ordered.levelled
    kept = KeptPlan.objects.values_list("pk", flat=True).first()
    return kept == (levelled.kept.pk if levelled.kept else None) and Hands.read().value == levelled.hands


def _changed(known: Standing, model: Model) -> dict[str, Activity | None] | None:
    """What each job that was pressed is now, or None if it is over, by key; nothing where the order says
    nothing about one of them.
    """
    network = known.ordered.solution.network
    changes: dict[str, Activity | None] = {}
    for job in _touched(known.model.rows, model):
        key = f"job:{job.id}"
        if network is None or key not in network.place or not _keeps_its_place(known, job):
            return None
        changes[key] = None
        if not job.is_complete:
            now, then = model.cured_activity(job), network.activity(key)
            calendar = now.calendar if now.work_min == 0 else then.calendar
            changes[key] = replace(then, work_min=now.work_min, not_before=now.not_before, calendar=calendar)
    return changes


def _touched(was: Rows, model: Model) -> Iterator[JobRow]:
    """Jobs that were pressed, that time was spent on, or that wait for one that cures."""
    now = model.rows
    pressed = {key for key, job in now.jobs.items() if job != was.jobs[key]}
    after = {link.after_id for link in now.links if link.lag_hours and link.before_id in pressed}
    spent = {
        key
        for key in now.minutes_spent.keys() | was.minutes_spent.keys()
        if now.minutes_spent.get(key) != was.minutes_spent.get(key)
    }
    for key in sorted(pressed | ((after | spent) & model.open_jobs.keys())):
        yield now.jobs[key]


def _keeps_its_place(known: Standing, job: JobRow) -> bool:
    """Whether nothing but its progress changed, with people for whom it was planned; a job done away frees
    the car, which is more than anybody's next job.
    """
    was = known.model.rows.jobs[job.id]
    if job._replace(**{name: getattr(was, name) for name in PROGRESS}) != was or job.place == "away":
        return False
    plan = known.ordered.levelled.plan
    if job.is_complete or job.done_at is not None or job.started_by_id == was.started_by_id:
        return plan is not None
    return plan is not None and f"person:{job.started_by_id}" in plan.placed[f"job:{job.id}"].people

"""The search for a better plan, as the process beside the server runs it.

A thread of its own writes once a second how far the search is and asks whether it should stop: one short
statement each, so that nobody's tick waits for it. The plan that comes out is kept only if it is better
than what people follow by then; where the workshop changed meanwhile it is mended first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from threading import Event, Lock, Thread
from time import monotonic
from typing import Any

from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from builds.models import Improving, KeptPlan
from builds.network import WorkshopState, load_workshop
from builds.network.keeping import first_plan, jobs_moved, mended, previous_like, settled, written
from builds.network.levelled import LevelledPlan, levelled_plan
from builds.schedule.levelling.improve import Progress, improve
from builds.schedule.levelling.plan import Bound, MovedTask, Plan, plan_of
from builds.schedule.levelling.problem import Problem

from .plan_changes import Chances, chances, changes_in_words, milestone_rows, promises_lost
from .plans import ALREADY, plan_write

BEAT_S = 1.0
OFFERED = "A plan is found that is better on the whole and costs a promise, so it is not kept by itself."
TOO_FULL = "No better plan is looked for while there is more work than hours."
FREELY = 0.6  # of the time, where a plan is kept, is searched as if none were

Search = Callable[..., Plan]


def improve_run(improving_id: int, *, search: Search = improve, beat_s: float = BEAT_S) -> Improving:
    """Carry out a search that was asked for; one that has ended or been given up already is left alone.

    Whatever goes wrong is written down in words, and the kept plan stays as it was.
    """
    improving = _begin(improving_id)
    if improving is None:
        return Improving.objects.get(pk=improving_id)
    try:
        return _search(improving, search, beat_s)
    except Exception as error:
        _end(improving, Improving.State.FAILED, f"The search broke off: {error} The plan is as it was.")
        raise


def _begin(improving_id: int) -> Improving | None:
    with transaction.atomic():
        improving = Improving.objects.select_for_update().get(pk=improving_id)
        if improving.state != Improving.State.ASKED:
            return None
        if Improving.objects.filter(state=Improving.State.RUNNING).exists():
            _end(improving, Improving.State.FAILED, ALREADY)
            return None
        improving.state, improving.heard_at = Improving.State.RUNNING, timezone.now()
        improving.save(update_fields=["state", "heard_at"])
    return improving


def _search(improving: Improving, search: Search, beat_s: float) -> Improving:
    state = load_workshop(timezone.localdate())
    levelled = levelled_plan(state.solution)
    problem, now = levelled.problem, levelled.plan
    if problem is None or now is None:
        return _end(improving, Improving.State.FAILED, f"No plan can be made: {levelled.refusal}")
    if levelled.unfit:
        return _end(improving, Improving.State.FAILED, f"{TOO_FULL} {' '.join(levelled.cautions)}")
    watch = _Watch(improving, state, levelled)
    watch.offer(now)
    with watch.beating(beat_s):
        watch.offer(first_plan(problem))
        for question, seconds in _questions(problem, improving.seconds):
            if not watch.is_over():
                take, stop = watch.take, watch.should_stop
                watch.offer(search(question, watch.best, seconds, take, stop))
        watch.settle()
        watch.draw_over()  # takes seconds, so it is done before anything is locked
    return _keep(improving, watch)


def _questions(problem: Problem, seconds: int) -> list[tuple[Problem, float]]:
    """What is searched, each for how long. Where a plan is kept, first as if nobody counted on it: from there
    the way to a much better plan is short, while every step away from the kept one costs at once. What was
    found is then weighed with what it moves, and searched on near the best.
    """
    if problem.previous is None:
        return [(problem, seconds)]
    return [
        (replace(problem, previous=None), seconds * FREELY),
        (problem, seconds * (1 - FREELY)),
    ]


@dataclass
class _Watch:
    """What the search has so far, for whoever looks."""

    improving: Improving
    state: WorkshopState
    levelled: LevelledPlan

    def __post_init__(self) -> None:
        assert self.levelled.problem is not None
        assert self.levelled.plan is not None
        self.begun, self.stopping, self.lock = monotonic(), Event(), Lock()
        self.problem, self.first = self.levelled.problem, self.levelled.plan
        self.best = self.first
        self.in_thread = True
        self.drawn: Chances | None = None  # of the plan before and the best, once the search is over

    def take(self, progress: Progress) -> None:
        self.offer(progress.plan)

    def offer(self, plan: Plan) -> None:
        """Weigh a plan with what it moves, and take it if it is the best; a bound holds in any case."""
        with self.lock:
            bounds = [one.bound for one in (self.best, plan) if one.bound is not None]
            bound = max(bounds, key=lambda bound: bound.cost, default=None)
            mine = plan_of(self.problem, plan.placed)
            best = mine if mine.cost < self.best.cost else self.best
            self.best = replace(best, bound=bound)

    def settle(self) -> None:
        """Put the checks of what was found right before what they release, as mending will."""
        with self.lock:
            if self.best.placed != self.first.placed:
                self.best = settled(self.problem, self.best)

    def draw_over(self) -> None:
        if self.best.placed != self.first.placed:
            self.drawn = chances(self.state, self.levelled, self.best)

    def is_over(self) -> bool:
        return self.stopping.is_set() or self.best.is_proven

    def should_stop(self) -> bool:
        if not self.in_thread:
            self.beat()
        return self.stopping.is_set()

    def beating(self, beat_s: float) -> _Beating:
        self.in_thread = beat_s > 0
        return _Beating(self, beat_s)

    def beat(self) -> None:
        """One sign of life, with the progress; and see whether somebody wants it to stop."""
        row = Improving.objects.filter(pk=self.improving.pk, state=Improving.State.RUNNING)
        if not row.update(heard_at=timezone.now(), progress=self.progress()):
            self.stopping.set()  # given up for dead: what it finds is nobody's any more
        elif row.filter(stop_asked=True).exists():
            self.stopping.set()

    def progress(self) -> dict[str, Any]:
        first, plan = self.first, self.best
        bound = plan.bound or Bound(0, {})
        return {
            "seconds": round(monotonic() - self.begun),
            "first": first.cost,
            "best": plan.cost,
            "bound": bound.cost,
            "moved": len(jobs_moved(previous_like(self.problem, first.placed), plan)),
            "cars": milestone_rows(self.state, first.placed, plan.placed, bound.earliest, self.drawn),
        }


class _Beating:
    """Signs of life from a thread of its own for as long as the search runs."""

    def __init__(self, watch: _Watch, beat_s: float) -> None:
        self.watch, self.beat_s, self.over = watch, beat_s, Event()
        self.thread = Thread(target=self._beats, daemon=True)

    def __enter__(self) -> None:
        if self.beat_s > 0:
            self.thread.start()

    def __exit__(self, *_: object) -> None:
        self.over.set()
        if self.beat_s > 0:
            self.thread.join()

    def _beats(self) -> None:
        try:
            while not self.over.wait(self.beat_s):
                try:
                    self.watch.beat()
                except DatabaseError:
                    continue  # busy: the next one gets through
        finally:
            connection.close()  # of this thread


def _keep(improving: Improving, watch: _Watch) -> Improving:
    """Keep what was found if it is better than what people follow by now."""
    at, best = timezone.now(), watch.best
    with transaction.atomic():
        row = Improving.objects.select_for_update().get(pk=improving.pk)
        row.progress = watch.progress()
        if row.state != Improving.State.RUNNING:
            return row
        now = load_workshop(timezone.localdate(at))
        levelled = levelled_plan(now.solution)
        has_changed = levelled.fingerprint != watch.levelled.fingerprint
        plan = _fitted(levelled, best) if has_changed else best
        ended = Improving.State.STOPPED if row.stop_asked else Improving.State.DONE
        if plan is None or levelled.plan is None:
            words = f"The workshop changed meanwhile, and no plan can be made: {levelled.refusal}"
            return _end(row, Improving.State.FAILED, words)
        if plan.cost >= levelled.plan.cost and levelled.kept is not None:
            return _end(row, ended, _nothing_better(has_changed, plan, row))
        found = replace(levelled, plan=plan, moved=_since_kept(levelled, plan))
        if levelled.kept is not None and promises_lost(row.progress["cars"]):
            return _offer(row, levelled.kept, plan, ended)
        bound = float(best.bound.cost) if best.bound and not has_changed else None
        row.plan = plan_write(levelled=found, at=at, bound=bound)
        if has_changed:
            row.progress["cars"] = milestone_rows(now, levelled.plan.placed, plan.placed, {})
        return _end(row, ended, _better(row, levelled, found, has_changed))


def _offer(row: Improving, kept: KeptPlan, plan: Plan, ended: str) -> Improving:
    """Leave it to a person whether a plan is followed that no longer keeps a promise at four in five."""
    row.progress["found"], row.progress["found_beside"] = written(plan), kept.pk
    today = timezone.localdate()
    said = [OFFERED, *changes_in_words(row.progress["cars"], today, can_go_back=False)]
    return _end(row, ended, "\n".join(said))


def _fitted(levelled: LevelledPlan, best: Plan) -> Plan | None:
    """The plan that was found, mended for what changed during the search, and weighed as today's is."""
    if levelled.problem is None:
        return None
    return plan_of(levelled.problem, mended(levelled.problem, best.placed).placed)


def _since_kept(levelled: LevelledPlan, plan: Plan) -> tuple[MovedTask, ...]:
    previous = levelled.problem.previous if levelled.problem else None
    return jobs_moved(previous, plan) if previous else ()


def _nothing_better(has_changed: bool, plan: Plan, improving: Improving) -> str:
    if has_changed:
        return (
            "The workshop changed during the search, and what was found is no better than the plan as it is "
            "now mended: it is dropped. The plan stays as it was."
        )
    if plan.is_proven:
        return "No plan can be better than the one there is. It stays as it was."
    when = "before it was stopped" if improving.stop_asked else f"in {improving.seconds} seconds"
    return f"Nothing better was found {when}. The plan stays as it was."


def _better(row: Improving, was: LevelledPlan, found: LevelledPlan, has_changed: bool) -> str:
    assert found.plan is not None
    assert row.plan is not None
    said = [
        "A better plan is kept, mended for what changed during the search." if has_changed else
        "A better plan is kept."
    ]  # fmt: skip
    today, can_go_back = timezone.localdate(row.plan.made_at), was.kept is not None
    said += changes_in_words(row.progress["cars"], today, can_go_back=can_go_back)
    jobs = "1 job" if row.plan.moved == 1 else f"{row.plan.moved or 'no'} jobs"
    said.append(f"Moved within the next three weeks: {jobs}.")
    if found.plan.is_proven and not has_changed:
        said.append("No plan can be better.")
    return "\n".join(said)  # a line each on the page


def _end(improving: Improving, state: str, words: str) -> Improving:
    improving.state, improving.words, improving.ended_at = state, words, timezone.now()
    improving.save(update_fields=["state", "words", "ended_at", "progress", "plan"])
    return improving

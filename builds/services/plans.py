"""The kept plan, and looking for a better one in a process of its own.

A search takes a minute of a whole core, so it is no business of a web worker. It runs as a process that
`manage.py improve_plan` starts, at the lowest priority: a workshop has one computer and nobody to keep a
queue with a broker and its workers alive. The row `Improving` is how the two speak: short writes once a
second, a wish to stop, a last sign of life. The search outlives the request that asked for it, and if it
dies nothing is lost but the search: the kept plan stays as it was.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime, timedelta

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from builds.models import Improving, KeptPlan, Person, Workshop
from builds.network import load_workshop
from builds.network.keeping import jobs_moved, mended, placed_of, previous_of, written
from builds.network.levelled import LevelledPlan, levelled_plan

SECONDS = (10, 30, 60, 120)
NO_SIGN_OF_LIFE = timedelta(seconds=15)
ALREADY = "A better plan is being looked for already. Wait until that ends, or stop it."
DIED = "The search gave no sign of life any more and is given up. The plan is as it was: try again."
LOG = "improve_plan.log"
PLANS_KEPT = 30  # older ones are thrown away


@transaction.atomic
def plan_keep(*, at: datetime) -> KeptPlan:
    """Keep the plan as it is now made or mended: from now on Today follows it, and moves count from it.

    Kept twice, it is the same plan. Raises ValidationError, saying why, if no plan can be made.
    """
    levelled = levelled_plan(load_workshop(timezone.localdate(at)).solution)
    if levelled.plan is None:
        raise ValidationError(f"No plan can be made: {levelled.refusal}")
    kept = levelled.kept
    if kept is not None and kept.fingerprint == levelled.fingerprint:
        return kept
    return plan_write(levelled=levelled, at=at)


@transaction.atomic
def plan_write(*, levelled: LevelledPlan, at: datetime, bound: float | None = None) -> KeptPlan:
    """Write a plan down as the newest."""
    assert levelled.plan is not None
    kept = KeptPlan.objects.create(
        made_at=at,
        fingerprint=levelled.fingerprint,
        starts=written(levelled.plan),
        value=levelled.plan.cost,
        bound=bound,
        moved=len(levelled.moved),
    )
    recent = KeptPlan.objects.values_list("pk", flat=True)[:PLANS_KEPT]
    KeptPlan.objects.exclude(pk__in=list(recent)).delete()
    return kept


def plan_before(improving: Improving, newest: KeptPlan | None) -> KeptPlan | None:
    """The plan that people followed before a search found its own; None once another is kept since, or if
    none was. One query at most.
    """
    if newest is None or improving.plan_id != newest.pk:
        return None
    return KeptPlan.objects.filter(pk__lt=newest.pk).first()


@transaction.atomic
def plan_back(*, improving: Improving, at: datetime) -> KeptPlan:
    """Follow the plan again that was kept before the search, mended for what has changed since.

    Raises ValidationError if another plan is kept since, or if the old one can no longer be followed.
    """
    Workshop.objects.get_or_create(pk=1)
    Workshop.objects.select_for_update().get(pk=1)
    newest = KeptPlan.objects.first()
    before = plan_before(improving, newest)
    if newest is None or before is None:
        raise ValidationError("Another plan is kept since: there is nothing to go back to.")
    levelled = levelled_plan(load_workshop(timezone.localdate(at)).solution, before)
    if levelled.plan is None or levelled.problem is None:
        raise ValidationError(f"The plan before cannot be followed any more: {levelled.refusal}")
    moved = jobs_moved(previous_of(newest, levelled.problem), levelled.plan)
    return plan_write(levelled=replace(levelled, moved=moved), at=at)


def is_offered(improving: Improving, newest: KeptPlan | None) -> bool:
    """Whether the plan that a search found still waits for somebody to keep it or leave it."""
    beside = improving.progress.get("found_beside")
    return newest is not None and "found" in improving.progress and beside == newest.pk


@transaction.atomic
def plan_take(*, improving: Improving, at: datetime) -> KeptPlan:
    """Keep the plan that a search found and did not keep by itself, mended for what has changed since.

    Raises ValidationError if it was left or taken already, or another plan is kept since.
    """
    improving = _offered(improving)
    levelled = levelled_plan(load_workshop(timezone.localdate(at)).solution)
    if levelled.problem is None:
        raise ValidationError(f"The plan found cannot be followed any more: {levelled.refusal}")
    plan = mended(levelled.problem, placed_of(improving.progress.pop("found")))
    previous = levelled.problem.previous
    moved = jobs_moved(previous, plan) if previous else ()
    improving.plan = plan_write(levelled=replace(levelled, plan=plan, moved=moved), at=at)
    _say_first(improving, "The plan found was kept, though it costs a promise.")
    return improving.plan


@transaction.atomic
def plan_leave(*, improving: Improving) -> None:
    """Leave the plan that a search found: the kept one stays. Raises ValidationError as `plan_take` does."""
    improving = _offered(improving)
    del improving.progress["found"]
    _say_first(improving, "The plan found was left. The plan stays as it was.")


def _offered(improving: Improving) -> Improving:
    Workshop.objects.get_or_create(pk=1)
    Workshop.objects.select_for_update().get(pk=1)  # of two presses at once the second waits here
    improving = Improving.objects.select_for_update().get(pk=improving.pk)
    if not is_offered(improving, KeptPlan.objects.first()):
        raise ValidationError(
            "That plan is no longer there to be kept or left: somebody answered already, or another plan is "
            "kept since. Look for a better plan again."
        )
    return improving


def _say_first(improving: Improving, words: str) -> None:
    _, *rest = improving.words.split("\n")
    improving.words = "\n".join([words, *rest])
    improving.save(update_fields=["progress", "words", "plan"])


@transaction.atomic
def improving_ask(*, seconds: int, by: Person, at: datetime) -> Improving:
    """Begin a search for a better plan once this is committed. Raises ValidationError if one runs already."""
    if seconds not in SECONDS:
        choices = ", ".join(str(each) for each in SECONDS)
        raise ValidationError({"seconds": f"Choose one of {choices} seconds."})
    Workshop.objects.get_or_create(pk=1)
    Workshop.objects.select_for_update().get(pk=1)  # of two presses at once the second waits here
    improving_bury(at=at)
    if Improving.objects.filter(state__in=(Improving.State.ASKED, Improving.State.RUNNING)).exists():
        raise ValidationError(ALREADY)
    asked = Improving.objects.create(asked_by=by, asked_at=at, seconds=seconds)
    transaction.on_commit(lambda: _launch(asked.pk))
    return asked


@transaction.atomic
def improving_stop(*, improving: Improving) -> Improving:
    """Ask the search to end with the best that it has; one that has ended is left as it is."""
    improving = Improving.objects.select_for_update().get(pk=improving.pk)
    if improving.state in (Improving.State.ASKED, Improving.State.RUNNING):
        improving.stop_asked = True
        improving.save(update_fields=["stop_asked"])
    return improving


@transaction.atomic
def improving_bury(*, at: datetime) -> int:
    """Call searches failed that gave no sign of life for a while. Gives how many."""
    silent = at - NO_SIGN_OF_LIFE
    alive = Improving.objects.select_for_update().filter(
        state__in=(Improving.State.ASKED, Improving.State.RUNNING)
    )
    dead = [each for each in alive if (each.heard_at or each.asked_at) < silent]
    for each in dead:
        each.state, each.ended_at, each.words = Improving.State.FAILED, at, DIED
        each.save(update_fields=["state", "ended_at", "words"])
    return len(dead)


def is_silent(improving: Improving, at: datetime) -> bool:
    """Whether a search that should run gives no sign of life, so that a page may say so without a write."""
    runs = improving.state in (Improving.State.ASKED, Improving.State.RUNNING)
    return runs and (improving.heard_at or improving.asked_at) < at - NO_SIGN_OF_LIFE


def _launch(improving_id: int) -> None:
    """Start the search beside the server; it reads the same settings from the same environment."""
    with open(settings.DATA_DIR / LOG, "w") as log:  # of the last search only: what a fault looked like
        subprocess.Popen(
            [sys.executable, str(settings.BASE_DIR / "manage.py"), "improve_plan", str(improving_id)],
            cwd=settings.BASE_DIR,
            env={**os.environ, "FO_DATA_DIR": str(settings.DATA_DIR.resolve())},
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,  # stopping the server with Ctrl-C does not end it half-way
        )

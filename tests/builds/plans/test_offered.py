"""A plan found that costs a promise its four in five is kept by a person or not at all."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from builds.models import Improving, KeptPlan
from builds.network import load_workshop
from builds.network.keeping import written
from builds.network.levelled import levelled_plan
from builds.schedule.levelling.serial import serial_plan
from builds.services import improving as service
from builds.services.improving import improve_run
from builds.services.plans import plan_keep, plan_leave, plan_take


def found_at_once(problem, start, seconds, on_progress, should_stop):
    return serial_plan(problem)


@pytest.fixture
def offered(jobs, bad_plan, manager, now, monkeypatch):
    """A search that found a better plan, with the draws saying that it loses the promise of Skua."""
    promised = timezone.localdate() + timedelta(days=4)
    rows = service.milestone_rows

    def losing(*args):
        found = rows(*args)
        for row in found:
            row["promised_on"] = promised.isoformat()
            row["first_even"] = row["first_four"] = promised.isoformat()
            row["best_even"] = row["best_four"] = (promised + timedelta(days=1)).isoformat()
        return found

    monkeypatch.setattr(service, "milestone_rows", losing)
    asked = Improving.objects.create(asked_by=manager, asked_at=now, seconds=10)
    return improve_run(asked.pk, search=found_at_once, beat_s=0)


def test_it_is_found_and_not_kept(offered, bad_plan):
    assert KeptPlan.objects.get() == bad_plan
    assert (offered.state, offered.plan) == (Improving.State.DONE, None)
    words = offered.words.split("\n")
    assert words[0] == service.OFFERED
    assert "the promise of" in words[1]
    assert "Go back" not in offered.words


def test_whoever_wants_it_keeps_it(offered, bad_plan, now):
    better = serial_plan(levelled_plan(load_workshop(timezone.localdate()).solution).problem)
    kept = plan_take(improving=offered, at=now)
    assert KeptPlan.objects.first() == kept != bad_plan
    assert kept.value <= better.cost
    offered.refresh_from_db()
    assert offered.plan == kept
    assert "found" not in offered.progress
    assert kept.starts == written(levelled_plan(load_workshop(timezone.localdate()).solution).plan)


def test_whoever_does_not_leaves_it(offered, bad_plan, now):
    plan_leave(improving=offered)
    offered.refresh_from_db()
    assert offered.words.startswith("The plan found was left.")
    assert KeptPlan.objects.get() == bad_plan


@pytest.mark.parametrize("first", ["taken", "left", "another plan"])
def test_the_second_who_answers_is_told(offered, jobs, now, first):
    if first == "taken":
        plan_take(improving=offered, at=now)
    elif first == "left":
        plan_leave(improving=offered)
    else:
        jobs[0].hours_high = jobs[0].hours_likely = 160
        jobs[0].save()
        plan_keep(at=now)
    before = list(KeptPlan.objects.all())
    for answer in (lambda: plan_take(improving=offered, at=now), lambda: plan_leave(improving=offered)):
        with pytest.raises(ValidationError, match="no longer there to be kept or left"):
            answer()
    assert list(KeptPlan.objects.all()) == before


def test_the_week_offers_both_in_one_press(offered, as_manager, as_fitter):
    page = as_manager.get("/week/").content.decode()
    assert ">Keep it</button>" in page
    assert ">Leave it</button>" in page
    assert "after the promise now" in page
    assert "Keep it</button>" not in as_fitter.get("/week/").content.decode()
    answer = as_manager.post(reverse("plan-leave", args=[offered.pk]), follow=True).content.decode()
    assert "It is left: the plan stays as it was." in answer
    assert ">Keep it</button>" not in answer


@pytest.mark.parametrize("name", ["plan-take", "plan-leave"])
def test_a_fitter_answers_nothing(offered, as_fitter, bad_plan, name):
    assert as_fitter.post(reverse(name, args=[offered.pk])).status_code == 403
    offered.refresh_from_db()
    assert "found" in offered.progress
    assert KeptPlan.objects.get() == bad_plan

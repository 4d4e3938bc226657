"""Keeping the plan as it stands."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from builds.models import KeptPlan
from builds.network.keeping import read
from builds.services import plans
from builds.services.plans import plan_keep


def test_the_plan_as_made_is_kept(jobs, now):
    kept = plan_keep(at=now)
    assert KeptPlan.objects.get() == kept
    assert {f"job:{job.pk}" for job in jobs} <= read(kept).keys()


def test_kept_twice_it_is_one_plan(jobs, now):
    assert plan_keep(at=now) == plan_keep(at=now)
    assert KeptPlan.objects.count() == 1


def test_a_mended_plan_is_kept_with_what_moved(jobs, bad_plan, now):
    longest = jobs[0]
    longest.hours_low = longest.hours_likely = longest.hours_high = 160
    longest.save()
    assert plan_keep(at=now).moved == 2
    assert KeptPlan.objects.count() == 2


def test_where_no_plan_can_be_made_none_is_kept(jobs, now, fitter):
    fitter.is_active = False
    fitter.save()
    with pytest.raises(ValidationError, match="No plan can be made: “Restore panels”"):
        plan_keep(at=now)
    assert not KeptPlan.objects.exists()


def test_old_plans_are_thrown_away(jobs, bad_plan, now, monkeypatch):
    monkeypatch.setattr(plans, "PLANS_KEPT", 1)
    jobs[0].hours_high = jobs[0].hours_likely = 160
    jobs[0].save()
    kept = plan_keep(at=now)
    assert list(KeptPlan.objects.all()) == [kept]


def test_a_manager_keeps_it_from_the_week(as_manager, jobs):
    answer = as_manager.post(reverse("plan-keep"), follow=True)
    assert answer.redirect_chain == [("/week/", 302)]
    assert "The plan is kept: Today follows it." in answer.content.decode()
    assert KeptPlan.objects.count() == 1


def test_a_fitter_keeps_none(as_fitter, jobs):
    assert as_fitter.post(reverse("plan-keep")).status_code == 403
    assert not KeptPlan.objects.exists()


def test_looking_at_the_week_keeps_none(as_manager, jobs):
    page = as_manager.get("/week/").content.decode()
    assert "Keep this plan" in page
    assert not KeptPlan.objects.exists()

"""The pages about certainty, and the promise log."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.models import MilestonePromise
from builds.sheets.promises import read_promises


@pytest.fixture
def uncertain(tern, make_job, first_start_up):
    wire = make_job(tern, "Wire the car", hours_low=40, hours_likely=80, hours_high=300)
    return first_start_up(tern, wire, promised=timezone.localdate() + timedelta(days=20))


def test_it_says_the_window_and_what_makes_it_wide(as_fitter, tern, uncertain):
    page = as_fitter.get(f"/cars/{tern.pk}/certainty/").content.decode()

    assert "as likely as not by" in page
    assert "Wire the car" in page
    assert "100 in 100" in page  # the only job sets the date in every draw
    assert "of certainty would come from a firm date for" in page
    assert "come of single lengths" in page
    assert page.count('<path class="tick-mark"') == 9  # a graduation for each tenth


def test_the_promise_is_weighed(as_fitter, tern, uncertain):
    assert "of 100</b>" in as_fitter.get(f"/cars/{tern.pk}/certainty/").content.decode()


def test_a_car_without_a_date_says_so(as_fitter, tern):
    assert "There is no date to doubt" in as_fitter.get(f"/cars/{tern.pk}/certainty/").content.decode()


def test_a_promise_keeps_what_was_forecast_when_it_was_given(as_manager, tern, uncertain):
    as_manager.post(
        f"/cars/{tern.pk}/promise/",
        {
            "milestone": uncertain.pk,
            "promised_on": (timezone.localdate() + timedelta(days=60)).isoformat(),
            "reason": "after the forecast",
        },
    )

    kept = MilestonePromise.objects.get(reason="after the forecast")
    assert kept.even_chance_on is not None
    assert kept.four_in_five_on >= kept.even_chance_on


def test_the_log_says_how_many_forecasts_held(as_manager, manager, fitter, tern, make_job, first_start_up):
    now = timezone.now()
    today = timezone.localdate()
    job = make_job(tern, "start", done_at=now, done_by=fitter)
    milestone = first_start_up(tern, job)
    for days in (-1, 1, 2, 3, 4):  # reached today: one four-in-five date was yesterday
        MilestonePromise.objects.create(
            milestone=milestone,
            promised_on=today,
            given_on=today,
            reason="test",
            by=manager,
            four_in_five_on=today + timedelta(days=days),
        )

    assert (read_promises().held, read_promises().judged, read_promises().percent) == (4, 5, 80)
    assert "80 in 100" in as_manager.get("/promises/").content.decode()


def test_a_fitter_does_not_see_the_log(as_fitter):
    assert as_fitter.get("/promises/").status_code == 403


def test_a_promise_for_a_day_on_which_the_workshop_is_shut_is_kept_and_warned_of(as_manager, tern, uncertain):
    today = timezone.localdate()
    sunday = today + timedelta(days=34 - today.weekday())

    page = as_manager.post(
        f"/cars/{tern.pk}/promise/",
        {"milestone": uncertain.pk, "promised_on": sunday.isoformat(), "reason": "the owner's birthday"},
        follow=True,
    ).content.decode()

    assert "on which the workshop is shut." in page
    assert MilestonePromise.objects.filter(promised_on=sunday).exists()

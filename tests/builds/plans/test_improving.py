"""Looking for a better plan: asked for, carried out, stopped, failed; two at once."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Improving, KeptPlan
from builds.network import load_workshop
from builds.network.keeping import read
from builds.network.levelled import levelled_plan
from builds.schedule.levelling.improve import Progress
from builds.schedule.levelling.plan import Bound, Plan, plan_of
from builds.schedule.levelling.serial import serial_plan
from builds.services import improving, plans
from builds.services.improving import improve_run
from builds.services.plans import (
    ALREADY,
    improving_ask,
    improving_bury,
    improving_stop,
    is_silent,
    plan_back,
)


@pytest.fixture
def launched(monkeypatch, django_capture_on_commit_callbacks):
    """Numbers of the searches that would have been started."""
    numbers = []
    monkeypatch.setattr(plans, "_launch", numbers.append)
    return numbers


@pytest.fixture
def ask(manager, now, django_capture_on_commit_callbacks):
    def begin(at=now, seconds=10):
        with django_capture_on_commit_callbacks(execute=True):
            return improving_ask(seconds=seconds, by=manager, at=at)

    return begin


def found_at_once(problem, start, seconds, on_progress, should_stop):
    """A search that finds the serial plan, which keeps the promises, and looks once whether to stop."""
    plan = serial_plan(problem)
    on_progress(Progress(plan, 0.5))
    should_stop()
    return plan


def nothing_found(problem, start, seconds, on_progress, should_stop):
    should_stop()
    return Plan(start.placed, start.cost, Bound(0, {}))


def run(asked, search=found_at_once):
    return improve_run(asked.pk, search=search, beat_s=0)


def test_asking_starts_a_process_and_writes_who_asked(jobs, ask, launched, manager):
    asked = ask(seconds=30)
    assert launched == [asked.pk]
    assert (asked.state, asked.asked_by, asked.seconds) == ("asked", manager, 30)


@pytest.mark.parametrize("seconds", [0, 11, 9999])
def test_another_time_limit_is_refused(jobs, ask, launched, seconds):
    with pytest.raises(ValidationError, match="Choose one of 10, 30, 60, 120 seconds"):
        ask(seconds=seconds)
    assert (launched, Improving.objects.count()) == ([], 0)


@pytest.mark.parametrize("state", ["asked", "running"])
def test_a_second_press_is_told_that_one_runs(jobs, ask, launched, now, state):
    first = ask()
    Improving.objects.update(state=state, heard_at=now)
    with pytest.raises(ValidationError, match="looked for already"):
        ask()
    assert launched == [first.pk]


def test_a_dead_search_makes_room_for_another(jobs, ask, launched, now):
    first = ask(at=now - timedelta(seconds=40))
    Improving.objects.update(state="running", heard_at=now - timedelta(seconds=16))
    second = ask()
    first.refresh_from_db()
    assert launched == [first.pk, second.pk]
    assert first.state == "failed"
    assert "gave no sign of life" in first.words


def test_a_search_that_never_began_is_given_up_too(jobs, ask, launched, now):
    asked = ask(at=now - timedelta(seconds=16))
    assert is_silent(asked, now)
    assert improving_bury(at=now) == 1


def test_one_that_was_heard_just_now_is_alive(jobs, ask, launched, now):
    asked = ask(at=now - timedelta(seconds=60))
    asked.heard_at, asked.state = now - timedelta(seconds=3), "running"
    asked.save()
    assert not is_silent(asked, now)
    assert improving_bury(at=now) == 0


def test_a_better_plan_is_kept_and_said_in_words(jobs, bad_plan, ask, launched):
    ended = run(ask())
    assert ended.state == "done"
    by = [f"{row['car']} first start-up by {-row['later']} working days" for row in ended.progress["cars"]]
    assert ended.words.startswith("A better plan is kept.\n")
    assert f"\nSooner: {', '.join(by)}.\n" in ended.words
    assert "\nMoved within the next three weeks: " in ended.words
    newest = KeptPlan.objects.first()
    assert (ended.plan, newest.value < bad_plan.value) == (newest, True)
    assert ended.progress["best"] < ended.progress["first"]
    days = {row["car"]: (row["first_late"] > 0, row["best_late"]) for row in ended.progress["cars"]}
    assert days == {"Tern": (True, 0), "Skua": (True, 0)}


def test_the_chances_of_both_plans_are_those_that_cars_shows_for_each(jobs, bad_plan, ask, launched):
    before = load_workshop(timezone.localdate()).dated()
    ended = run(ask())
    after = load_workshop(timezone.localdate()).dated()
    for row in ended.progress["cars"]:
        for name, facts in (("first", before), ("best", after)):
            window = facts.cars[row["car_id"]].first_start_up.window
            days = [date.fromisoformat(row[f"{name}_{which}"]) for which in ("even", "four")]
            assert days == [window.even_chance, window.four_in_five]


def test_where_nothing_is_better_the_plan_stays(jobs, bad_plan, ask, launched):
    ended = run(ask(), nothing_found)
    # the search starts from the cheaper of the kept plan and a new one, so here it starts from the new one
    assert ended.state == "done"
    ended = run(ask(), nothing_found)
    assert ended.words == "No plan can be better than the one there is. It stays as it was."
    assert ended.plan is None
    assert KeptPlan.objects.count() == 2


def test_what_is_not_proven_is_not_said_to_be(jobs, bad_plan, ask, launched, monkeypatch):
    monkeypatch.setattr(improving, "first_plan", lambda problem: plan_of(problem, read(bad_plan)))
    ended = run(ask(), nothing_found)
    assert ended.words == "Nothing better was found in 10 seconds. The plan stays as it was."
    assert KeptPlan.objects.get() == bad_plan


def test_what_was_stopped_early_says_so(jobs, bad_plan, ask, launched, monkeypatch):
    monkeypatch.setattr(improving, "first_plan", lambda problem: plan_of(problem, read(bad_plan)))
    asked = ask()
    improving_stop(improving=asked)
    ended = run(asked, nothing_found)
    assert (ended.state, ended.words) == (
        "stopped",
        "Nothing better was found before it was stopped. The plan stays as it was.",
    )


def test_the_first_plan_is_kept_even_where_nothing_is_better(jobs, ask, launched):
    ended = run(ask(), nothing_found)
    assert KeptPlan.objects.get() == ended.plan


def test_a_stopped_search_keeps_the_best_so_far(jobs, bad_plan, ask, launched):
    def stopped(problem, start, seconds, on_progress, should_stop):
        plan = serial_plan(problem)
        on_progress(Progress(plan, 0.5))
        assert not should_stop()
        improving_stop(improving=Improving.objects.get())
        assert should_stop()
        assert Improving.objects.get().progress["best"] < bad_plan.value  # for whoever looks meanwhile
        return plan

    ended = run(ask(), stopped)
    assert ended.state == "stopped"
    assert KeptPlan.objects.first() == ended.plan != bad_plan


def test_a_search_that_has_ended_is_not_stopped(jobs, bad_plan, ask, launched):
    ended = run(ask())
    assert not improving_stop(improving=ended).stop_asked


def test_a_fault_is_written_down_and_the_plan_stays(jobs, bad_plan, ask, launched):
    def broken(*_):
        raise RuntimeError("the solver is not installed.")

    asked = ask()
    with pytest.raises(RuntimeError):
        run(asked, broken)
    asked.refresh_from_db()
    assert (asked.state, asked.words) == (
        "failed",
        "The search broke off: the solver is not installed. The plan is as it was.",
    )
    assert KeptPlan.objects.get() == bad_plan


def test_where_no_plan_can_be_made_the_search_says_why(jobs, ask, launched, fitter):
    fitter.is_active = False
    fitter.save()
    ended = run(ask())
    assert ended.state == "failed"
    assert "needs 1 people, and there is nobody" in ended.words


def test_of_two_that_were_begun_one_goes_on(jobs, ask, launched, manager, now):
    asked = ask()
    Improving.objects.create(state="running", asked_by=manager, asked_at=now, heard_at=now)
    ended = run(asked)
    ended.refresh_from_db()
    assert (ended.state, ended.words) == ("failed", ALREADY)


def test_one_that_was_given_up_does_nothing_when_it_wakes(jobs, bad_plan, ask, launched):
    asked = ask()
    Improving.objects.update(state="failed")
    assert run(asked).state == "failed"
    assert KeptPlan.objects.get() == bad_plan


def test_one_that_is_given_up_while_it_searches_keeps_nothing(jobs, bad_plan, ask, launched):
    def given_up(problem, start, seconds, on_progress, should_stop):
        Improving.objects.update(state="failed", words="given up")
        assert should_stop()
        return serial_plan(problem)

    run(ask(), given_up)
    assert Improving.objects.get().words == "given up"
    assert KeptPlan.objects.get() == bad_plan


def test_what_changed_during_the_search_is_mended_and_said(jobs, bad_plan, ask, launched, skua, make_job):
    def changed(problem, start, seconds, on_progress, should_stop):
        if not skua.jobs.filter(title="Make bracket again").exists():
            make_job(skua, "Make bracket again")
        return found_at_once(problem, start, seconds, on_progress, should_stop)

    ended = run(ask(), changed)
    assert ended.words.startswith("A better plan is kept, mended for what changed during the search.")
    new = skua.jobs.get(title="Make bracket again")
    assert f"job:{new.pk}" in read(KeptPlan.objects.first())


def test_what_is_no_better_after_a_change_is_dropped(jobs, ask, launched, now):
    kept = plans.plan_keep(at=now)

    def ticked(problem, start, seconds, on_progress, should_stop):
        job = jobs[0]
        job.hours_high = job.hours_likely = 84
        job.save()
        return nothing_found(problem, start, seconds, on_progress, should_stop)

    ended = run(ask(), ticked)
    assert "The workshop changed during the search" in ended.words
    assert "it is dropped" in ended.words
    assert KeptPlan.objects.get() == kept


def test_the_plan_before_a_search_can_be_followed_again(jobs, bad_plan, ask, launched, now):
    before = levelled_plan(load_workshop(timezone.localdate()).solution).plan
    ended = run(ask())
    assert KeptPlan.objects.first() == ended.plan

    back = plan_back(improving=ended, at=now)

    assert KeptPlan.objects.first() == back
    assert read(back) == before.placed
    assert back.moved > 0
    with pytest.raises(ValidationError, match="Another plan is kept since"):
        plan_back(improving=ended, at=now)
    assert KeptPlan.objects.first() == back


def test_without_a_plan_before_there_is_nothing_to_go_back_to(jobs, ask, launched, now):
    ended = run(ask())
    with pytest.raises(ValidationError, match="nothing to go back to"):
        plan_back(improving=ended, at=now)
    assert KeptPlan.objects.get() == ended.plan


def test_while_there_is_more_work_than_hours_no_better_plan_is_looked_for(
    jobs, bad_plan, ask, launched, tern, make_job
):
    for number in range(5):
        make_job(tern, f"Restore shell {number}", hours=9999)
    ended = run(ask())
    assert ended.state == Improving.State.FAILED
    assert ended.words.startswith("No better plan is looked for while there is more work than hours.")
    assert "do not fit into the hours" in ended.words
    assert KeptPlan.objects.get() == bad_plan

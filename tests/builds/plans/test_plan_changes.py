"""What another plan does to each milestone, in words and in rows."""

from datetime import date

import pytest
from django.utils import timezone

from builds.models import Milestone
from builds.network import load_workshop
from builds.network.keeping import first_plan, read
from builds.network.levelled import levelled_plan
from builds.services.plan_changes import changes_in_words, milestone_rows

TODAY = date(2027, 3, 3)
ROW = {
    "car": "Skua",
    "milestone": "first start-up",
    "promised_on": "2027-05-25",
    "first_on": "2027-05-12",
    "best_on": "2027-05-19",
    "later": 5,
    "first_four": "2027-05-21",
    "best_four": "2027-05-28",
}
SOONER = {
    "car": "Tern",
    "milestone": "handover",
    "promised_on": None,
    "first_on": "2027-06-09",
    "best_on": "2027-06-08",
    "later": -1,
}


def words(*rows, can_go_back=True):
    return " ".join(changes_in_words(rows, TODAY, can_go_back=can_go_back))


def test_what_comes_sooner_and_later_is_named_with_its_days():
    assert words(SOONER, ROW).endswith(
        "Sooner: Tern handover by 1 working day. Later: Skua first start-up by 5 working days."
    )


def test_a_promise_that_is_no_longer_kept_at_four_in_five_is_said_with_the_way_back():
    assert words(SOONER, ROW).startswith(
        "Skua first start-up: the promise of 25 May was kept at four in five (21 May); now it is not, four "
        "in five is 28 May. Go back to the plan before if that matters more."
    )


def test_where_no_plan_was_before_there_is_no_way_back():
    assert "Go back" not in words(ROW, can_go_back=False)


@pytest.mark.parametrize(
    "change",
    [
        {"best_four": "2027-05-25"},  # on the day is kept
        {"first_four": "2027-05-26"},  # was not kept before either
        {"promised_on": None},
        {"best_four": None},
    ],
)
def test_nothing_lost_is_nothing_said(change):
    assert "four in five" not in words(ROW | change)


def test_a_promise_that_is_now_kept_is_said():
    assert words(ROW | {"first_four": "2027-05-28", "best_four": "2027-05-21"}).startswith(
        "Skua first start-up: the promise of 25 May is now kept at four in five, 21 May in place of 28 May."
    )


def test_where_nothing_is_a_day_sooner_that_is_said():
    assert "No milestone is a whole day sooner" in words(ROW)
    assert "No milestone is a whole day sooner" not in words(SOONER)


def test_every_milestone_that_changed_stands_beside_the_next_of_each_car(jobs, bad_plan, tern, skua):
    handovers = [Milestone.objects.create(car=car, kind="handover", name="handover") for car in (tern, skua)]
    handovers[0].jobs.set([jobs[0]])  # the long job, which gives way
    handovers[1].jobs.set([jobs[2]])
    state = load_workshop(timezone.localdate())
    first, best = read(bad_plan), first_plan(levelled_plan(state.solution).problem).placed
    for one in handovers:  # the kept plan was made before they were
        first[f"milestone:{one.pk}"] = best[f"milestone:{one.pk}"]

    rows = milestone_rows(state, first, best, {})

    assert [(row["car"], row["milestone"]) for row in rows] == [
        ("Tern", "first start-up"),
        ("Skua", "first start-up"),
    ]
    moved = {**first, f"milestone:{handovers[0].pk}": first[f"job:{jobs[0].pk}"]}
    rows = milestone_rows(state, moved, best, {})
    assert [(row["car"], row["milestone"], row["later"] > 0) for row in rows] == [
        ("Tern", "first start-up", False),
        ("Tern", "handover", True),
        ("Skua", "first start-up", False),
    ]

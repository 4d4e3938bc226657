"""Looking for a better plan, from The week."""

from datetime import timedelta

import pytest
from django.urls import reverse

from builds.models import Improving, KeptPlan
from builds.services import plans

CAR = {
    "car": "Tern",
    "car_id": 1,
    "milestone": "first start-up",
    "promised_on": "2027-03-12",
    "first_on": "2027-03-18",
    "best_on": "2027-03-11",
    "first_late": 4,
    "best_late": 0,
    "later": -5,
    "not_before": "2027-03-09",
}
PROGRESS = {"seconds": 12, "first": 2000, "best": 1000, "bound": 900, "moved": 14, "cars": [CAR]}


@pytest.fixture
def launched(monkeypatch, django_capture_on_commit_callbacks):
    numbers = []
    monkeypatch.setattr(plans, "_launch", numbers.append)
    return numbers


@pytest.fixture
def running(jobs, manager, now):
    return Improving.objects.create(
        state="running", asked_by=manager, asked_at=now, heard_at=now, seconds=30, progress=PROGRESS
    )


def week(client):
    return client.get("/week/").content.decode()


def test_a_manager_asks_for_a_better_plan(as_manager, jobs, launched, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_manager.post(reverse("plan-improve"), {"seconds": "60"})
    assert answer.url == "/week/"
    assert launched == [Improving.objects.get().pk]
    page = week(as_manager)
    assert "It is about to begin." in page
    assert "Look for a better plan</button>" not in page


def test_a_second_press_is_told(as_manager, running, launched):
    assert (
        "looked for already"
        in as_manager.post(reverse("plan-improve"), {"seconds": "60"}, follow=True).content.decode()
    )
    assert Improving.objects.get() == running


@pytest.mark.parametrize("seconds", ["", "7", "sixty", "99999999999999999999"])
def test_another_number_of_seconds_is_refused(as_manager, jobs, launched, seconds):
    as_manager.post(reverse("plan-improve"), {"seconds": seconds})
    assert not Improving.objects.exists()


def test_the_page_shows_how_far_it_is_in_plain_words(as_fitter, running):
    page = week(as_fitter)
    assert "<b>12 s of 30 s.</b>" in page
    assert "Late days and waiting, weighed together, come to 50 % less than in the plan before." in page
    assert "no plan can bring late days and waiting, weighed together, down by more than another 10 %" in page
    assert "14 jobs of the next three weeks would move" in page
    assert 'hx-trigger="every 2s"' in page
    assert "Stop, and keep the best so far" not in page  # that is the manager's


def test_each_car_stands_with_its_promise_then_now_and_at_best(as_manager, running):
    page = week(as_manager)
    row = page[page.index('id="search"') : page.index("</tbody>", page.index('id="search"'))]
    for words in (
        "Thu 18 Mar",
        "Thu 11 Mar",
        "Tue 9 Mar",
        "4 working days late",
        "not late",
        "5 working days sooner",
    ):
        assert words in row


def test_the_piece_is_fetched_anew_while_it_runs_and_the_page_once_it_has_ended(as_manager, running):
    address = reverse("plan-progress", args=[running.pk])
    piece = as_manager.get(address, headers={"HX-Request": "true"})
    assert piece.content.decode().lstrip().startswith('<section id="search"')
    assert "HX-Refresh" not in piece.headers
    running.state, running.words = "done", "A better plan is kept."
    running.save()
    ended = as_manager.get(address, headers={"HX-Request": "true"})
    assert ended.headers["HX-Refresh"] == "true"
    assert "every 2s" not in ended.content.decode()
    assert "A better plan is kept." in week(as_manager)


def test_a_manager_stops_it(as_manager, running):
    as_manager.post(reverse("plan-stop", args=[running.pk]))
    running.refresh_from_db()
    assert running.stop_asked
    assert "It is stopping." in week(as_manager)


def test_a_fitter_neither_asks_nor_stops(as_fitter, running, launched):
    assert as_fitter.post(reverse("plan-improve"), {"seconds": "10"}).status_code == 403
    assert as_fitter.post(reverse("plan-stop", args=[running.pk])).status_code == 403
    running.refresh_from_db()
    assert (running.stop_asked, launched) == (False, [])


def test_a_dead_search_is_said_to_be_and_another_can_be_asked_for(as_manager, running, now):
    Improving.objects.update(heard_at=now - timedelta(seconds=16))
    page = week(as_manager)
    assert "gave no sign of life" in page
    assert "Look for a better plan</button>" in page
    running.refresh_from_db()
    assert running.state == "running"  # looking writes nothing


def test_one_that_never_was_is_not_found(as_manager, workshop):
    assert as_manager.get(reverse("plan-progress", args=[987654])).status_code == 404
    assert as_manager.post(reverse("plan-stop", args=[987654])).status_code == 404


def test_going_back_stands_beside_the_plan_that_a_search_kept(as_manager, as_fitter, jobs, bad_plan, running):
    running.plan = KeptPlan.objects.create(made_at=bad_plan.made_at, starts=bad_plan.starts, value=1)
    running.state = Improving.State.DONE
    running.save()
    assert "Go back to the plan before" in week(as_manager)
    assert "Go back to the plan before" not in week(as_fitter)

    answer = as_manager.post(reverse("plan-back", args=[running.pk]), follow=True).content.decode()

    assert "The plan from before is followed again." in answer
    assert "Go back to the plan before" not in answer

"""Changing a car's card, where it is, its promises and milestones."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.models import Away, Customer, Milestone, MilestonePromise


@pytest.fixture
def today():
    return timezone.localdate()


def _card(car, **changes):
    return {
        "name": car.name,
        "description": car.description,
        "place": car.place,
        "version": car.version,
        **changes,
    }


def test_a_manager_changes_the_card_and_the_customer(as_manager, tern):
    as_manager.post(f"/cars/{tern.pk}/edit/", _card(tern, place="bay 4", customer_name="Mrs A. Quill"))

    tern.refresh_from_db()
    assert (tern.place, tern.customer.name, tern.version) == ("bay 4", "Mrs A. Quill", 2)


def test_the_second_of_two_editors_is_told_and_nothing_is_overwritten(as_manager, tern):
    seen_by_both = _card(tern)
    as_manager.post(f"/cars/{tern.pk}/edit/", {**seen_by_both, "place": "bay 4"})

    page = as_manager.post(f"/cars/{tern.pk}/edit/", {**seen_by_both, "place": "bay 5"}).content.decode()

    tern.refresh_from_db()
    assert "changed by somebody else meanwhile" in page
    assert tern.place == "bay 4"


def test_a_name_that_another_car_has_is_refused(as_manager, tern, skua):
    page = as_manager.post(f"/cars/{tern.pk}/edit/", _card(tern, name="skua")).content.decode()

    tern.refresh_from_db()
    assert "There is a car of that name already." in page
    assert tern.name == "Tern"


def test_a_telephone_without_a_name_is_refused_and_makes_no_customer(as_manager, tern):
    page = as_manager.post(
        f"/cars/{tern.pk}/edit/", _card(tern, customer_phone="01632 960 301")
    ).content.decode()

    assert "The customer needs a name." in page
    assert Customer.objects.count() == 0


def test_handed_over_before_it_came_is_refused(as_manager, tern, today):
    page = as_manager.post(
        f"/cars/{tern.pk}/edit/",
        _card(tern, arrived_on=today.isoformat(), handed_over_on=(today - timedelta(days=1)).isoformat()),
    ).content.decode()

    tern.refresh_from_db()
    assert "cannot be handed over before it came in" in page
    assert tern.handed_over_on is None


def _stay(supplier, leaves, back):
    return {
        "supplier": supplier.pk,
        "what_for": "alignment",
        "leaves_on": leaves.isoformat(),
        "due_back_on": back.isoformat(),
    }


def test_a_stay_is_booked_and_ended(as_manager, tern, plater, today):
    as_manager.post(f"/cars/{tern.pk}/where/", _stay(plater, today, today + timedelta(days=5)))
    away = Away.objects.get()

    as_manager.post(f"/away/{away.pk}/back/", {"on": today.isoformat()})

    away.refresh_from_db()
    assert away.back_on == today


def test_a_car_cannot_be_in_two_places(as_manager, tern, plater, today):
    as_manager.post(f"/cars/{tern.pk}/where/", _stay(plater, today, today + timedelta(days=5)))

    answer = as_manager.post(
        f"/cars/{tern.pk}/where/", _stay(plater, today + timedelta(days=2), today + timedelta(days=9))
    )

    assert "it cannot be in two places" in answer.content.decode()
    assert Away.objects.count() == 1


@pytest.mark.parametrize(
    ("leaves", "back", "words"),
    [(3, 1, "cannot be due back before it leaves"), (0, None, "Enter a valid date")],
    ids=["back before leaving", "nonsense date"],
)
def test_a_stay_that_cannot_be_is_refused(as_manager, tern, plater, today, leaves, back, words):
    given = _stay(plater, today + timedelta(days=leaves), today + timedelta(days=back or 0))
    if back is None:
        given["due_back_on"] = "31/31/2026"

    page = as_manager.post(f"/cars/{tern.pk}/where/", given).content.decode()

    assert words in page
    assert Away.objects.count() == 0


def test_back_tomorrow_or_before_it_left_is_refused(as_manager, tern, plater, today):
    away = Away.objects.create(
        car=tern, supplier=plater, what_for="paint", leaves_on=today - timedelta(days=2), due_back_on=today
    )

    for day, words in (
        (today + timedelta(days=1), "has not come yet"),
        (today - timedelta(days=3), "cannot be back before it left"),
    ):
        page = as_manager.post(f"/away/{away.pk}/back/", {"on": day.isoformat()}).content.decode()
        assert words in page

    away.refresh_from_db()
    assert away.back_on is None


def test_each_promise_is_kept_beside_the_last(as_manager, tern, make_job, first_start_up, today):
    milestone = first_start_up(tern, make_job(tern, "start"), promised=today + timedelta(days=30))

    as_manager.post(
        f"/cars/{tern.pk}/promise/",
        {
            "milestone": milestone.pk,
            "promised_on": (today + timedelta(days=44)).isoformat(),
            "reason": "the radiator is late",
        },
    )

    given = list(milestone.promises.values_list("promised_on", "reason"))
    assert given == [
        (today + timedelta(days=30), "first agreed"),
        (today + timedelta(days=44), "the radiator is late"),
    ]


@pytest.mark.parametrize("days", [30, 44], ids=["the same day", "another day"])
def test_a_promise_says_how_much_a_late_day_matters(as_manager, tern, make_job, first_start_up, today, days):
    milestone = first_start_up(tern, make_job(tern, "start"), promised=today + timedelta(days=30))
    given = {
        "milestone": milestone.pk,
        "promised_on": (today + timedelta(days=days)).isoformat(),
        "reason": "a wedding",
    }

    for weight in ("7", ""):
        as_manager.post(f"/cars/{tern.pk}/promise/", {**given, "weight": weight})
        milestone.refresh_from_db()
        assert milestone.weight == 7
    assert milestone.promises.count() == (1 if days == 30 else 2)


@pytest.mark.parametrize("weight", ["0", "10", "much"])
def test_a_weight_beyond_1_to_9_is_refused(as_manager, tern, make_job, first_start_up, today, weight):
    milestone = first_start_up(tern, make_job(tern, "start"))

    given = {"milestone": milestone.pk, "promised_on": today.isoformat(), "reason": "x", "weight": weight}
    page = as_manager.post(f"/cars/{tern.pk}/promise/", given).content.decode()

    milestone.refresh_from_db()
    assert "errorlist" in page
    assert (milestone.weight, milestone.promises.count()) == (1, 0)


@pytest.mark.parametrize(
    ("days", "reason", "words"),
    [
        (-1, "why", "That day is past"),
        (9000, "why", "more than five years away"),
        (30, "why", "already promised"),
        (40, "", "This field is required"),
    ],
    ids=["past", "far", "same", "no reason"],
)
def test_a_promise_that_says_nothing_is_refused(
    as_manager, tern, make_job, first_start_up, today, days, reason, words
):
    milestone = first_start_up(tern, make_job(tern, "start"), promised=today + timedelta(days=30))

    page = as_manager.post(
        f"/cars/{tern.pk}/promise/",
        {
            "milestone": milestone.pk,
            "promised_on": (today + timedelta(days=days)).isoformat(),
            "reason": reason,
        },
    ).content.decode()

    assert words in page
    assert MilestonePromise.objects.count() == 1


def test_a_milestone_of_our_own_is_made(as_manager, tern, make_job):
    job = make_job(tern, "rolls")

    as_manager.post(
        f"/cars/{tern.pk}/milestones/new/", {"kind": "own", "name": "rolling shell", "jobs": [job.pk]}
    )

    milestone = Milestone.objects.get()
    assert (milestone.name, list(milestone.jobs.all())) == ("rolling shell", [job])


def test_a_milestone_after_another_cars_job_is_refused(as_manager, tern, skua, make_job):
    strange = make_job(skua, "start")

    page = as_manager.post(
        f"/cars/{tern.pk}/milestones/new/", {"kind": "first start-up", "jobs": [strange.pk]}
    ).content.decode()

    assert "is not one of the available choices" in page
    assert Milestone.objects.count() == 0


def test_a_second_first_start_up_is_refused(as_manager, tern, make_job, first_start_up):
    job = make_job(tern, "start")
    first_start_up(tern, job)

    page = as_manager.post(
        f"/cars/{tern.pk}/milestones/new/", {"kind": "first start-up", "jobs": [job.pk]}
    ).content.decode()

    assert "already" in page
    assert Milestone.objects.count() == 1


def test_a_new_day_due_back_cannot_put_a_car_in_two_places(as_manager, tern, plater, today):
    as_manager.post(f"/cars/{tern.pk}/where/", _stay(plater, today, today + timedelta(days=5)))
    later = _stay(plater, today + timedelta(days=10), today + timedelta(days=12))
    as_manager.post(f"/cars/{tern.pk}/where/", later)
    first = Away.objects.order_by("leaves_on").first()

    page = as_manager.post(
        f"/away/{first.pk}/change/", {"due_back_on": (today + timedelta(days=11)).isoformat()}
    ).content.decode()

    first.refresh_from_db()
    assert "it cannot be in two places" in page
    assert first.due_back_on == today + timedelta(days=5)


@pytest.mark.parametrize(
    ("leaves", "back", "words"),
    [("0001-01-01", None, "over five years ago"), (None, "9999-12-31", "more than three years away")],
)
def test_a_stay_with_a_slip_in_the_year_is_refused(as_manager, tern, plater, today, leaves, back, words):
    given = _stay(plater, today, today)
    given |= {"leaves_on": leaves or given["leaves_on"], "due_back_on": back or given["due_back_on"]}

    page = as_manager.post(f"/cars/{tern.pk}/where/", given).content.decode()

    assert words in page
    assert not Away.objects.exists()


def test_a_new_day_due_back_with_a_slip_in_the_year_is_refused(as_manager, tern, plater, today):
    as_manager.post(f"/cars/{tern.pk}/where/", _stay(plater, today, today))
    away = Away.objects.get()

    page = as_manager.post(f"/away/{away.pk}/change/", {"due_back_on": "9999-12-31"}).content.decode()

    away.refresh_from_db()
    assert "more than three years away" in page
    assert away.due_back_on == today


@pytest.mark.parametrize(
    ("field", "day", "words"),
    [
        ("handed_over_on", 1, "has not come yet"),  # it would leave every list today
        ("arrived_on", 9000, "more than three years away"),
        ("arrived_on", -9000, "over five years ago"),
    ],
)
def test_a_car_neither_came_nor_went_on_such_a_day(as_manager, tern, today, field, day, words):
    given = _card(tern, **{field: (today + timedelta(days=day)).isoformat()})

    page = as_manager.post(f"/cars/{tern.pk}/edit/", given).content.decode()

    tern.refresh_from_db()
    assert words in page
    assert (tern.arrived_on, tern.handed_over_on) == (None, None)


def test_a_car_that_came_long_ago_can_still_be_changed(as_manager, tern, today):
    tern.arrived_on = today - timedelta(days=9000)
    tern.save()

    as_manager.post(
        f"/cars/{tern.pk}/edit/", _card(tern, arrived_on=tern.arrived_on.isoformat(), place="bay 4")
    )

    tern.refresh_from_db()
    assert tern.place == "bay 4"


def test_the_second_of_two_who_change_a_milestone_is_told(as_manager, tern, make_job, first_start_up):
    one, two, three = (make_job(tern, title) for title in ("one", "two", "three"))
    milestone = first_start_up(tern, one)
    address = f"/milestones/{milestone.pk}/"
    seen_by_both = as_manager.get(address).context["form"].initial["seen"]
    given = {"kind": "first start-up", "seen": seen_by_both}

    first = as_manager.post(address, {**given, "jobs": [one.pk, two.pk]})
    second = as_manager.post(address, {**given, "jobs": [one.pk, three.pk]})

    assert first.status_code == 302
    assert "changed by somebody else meanwhile" in second.content.decode()
    assert list(milestone.jobs.order_by("pk")) == [one, two]

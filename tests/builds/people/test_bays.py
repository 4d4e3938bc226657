"""Lifts and bays in the workshop settings: added, changed, removed while no job needs them."""

import pytest
from django.urls import reverse

from builds.models import Bay


def settings_page(client):
    return client.get("/settings/").content.decode().replace("&#x27;", "'")


@pytest.fixture
def lift(workshop):
    return Bay.objects.create(name="Two-post lift", places=2)


def test_a_lift_is_added(as_manager, workshop):
    answer = as_manager.post(reverse("bay-new"), {"bay-name": "  Two-post  lift ", "bay-places": "2"})
    assert answer.url == "/settings/#bays"
    assert list(Bay.objects.values_list("name", "places")) == [("Two-post lift", 2)]


@pytest.mark.parametrize(
    ("name", "places", "words"),
    [
        ("", "1", "This field is required"),
        ("x" * 61, "1", "at most 60 characters"),
        ("TWO-POST LIFT", "1", "of that name already"),
        ("Booth", "0", "greater than or equal to 1"),
        ("Booth", "100", "less than or equal to 99"),
        ("Booth", "two", "Enter a whole number"),
    ],
)
def test_a_refused_one_is_not_added(as_manager, lift, name, places, words):
    answer = as_manager.post(reverse("bay-new"), {"bay-name": name, "bay-places": places})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Bay.objects.get() == lift


def test_its_name_and_number_are_changed(as_manager, lift):
    as_manager.post(
        reverse("bay-edit", args=[lift.pk]), {"name": "Four-post lift", "places": "1", "version": "1"}
    )
    assert list(Bay.objects.values_list("name", "places", "version")) == [("Four-post lift", 1, 2)]


def test_the_second_of_two_editors_is_told(as_manager, lift):
    Bay.objects.update(places=3, version=2)
    as_manager.post(reverse("bay-edit", args=[lift.pk]), {"name": "Lift", "places": "1", "version": "1"})
    assert "changed by somebody else meanwhile: there are 3 now" in settings_page(as_manager)
    assert list(Bay.objects.values_list("name", "places")) == [("Two-post lift", 3)]


def test_a_change_to_nothing_is_refused(as_manager, lift):
    as_manager.post(reverse("bay-edit", args=[lift.pk]), {"name": "", "places": "0", "version": "1"})
    assert "Lift, bay or booth: This field is required." in settings_page(as_manager)
    assert list(Bay.objects.values_list("name", "places")) == [("Two-post lift", 2)]


def test_one_that_no_job_needs_is_removed(as_manager, lift):
    as_manager.post(reverse("bay-delete", args=[lift.pk]))
    assert not Bay.objects.exists()


def test_one_that_a_job_needs_stays(as_manager, lift, tern, make_job):
    make_job(tern, "Drop gearbox", bay=lift)
    as_manager.post(reverse("bay-delete", args=[lift.pk]))
    assert "1 job needs “Two-post lift”, so it stays." in settings_page(as_manager)
    assert Bay.objects.get() == lift


def test_fitters_change_none(as_fitter, lift):
    for name in ("bay-edit", "bay-delete"):
        assert as_fitter.post(reverse(name, args=[lift.pk]), {"name": "x", "places": "1"}).status_code == 403
    assert Bay.objects.get().name == "Two-post lift"

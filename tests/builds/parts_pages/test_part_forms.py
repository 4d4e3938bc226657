"""Writing parts and route cards from a page: managers only, every slip refused in words."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from parts.models import Operation, Part
from parts.services.operations import operation_reject, operation_send


@pytest.fixture
def line_data(process: Any, plater: Any) -> dict[str, Any]:
    return {
        "process": process("machine").pk,
        "supplier": plater.pk,
        "lead_low_days": 2,
        "lead_likely_days": 4,
        "lead_high_days": 8,
        "version": 1,
    }


def test_a_part_is_entered(tern: Any, as_manager: Client) -> None:
    answer = as_manager.post(
        reverse("part-new", args=[tern.pk]), {"name": "header tank", "quantity": 2, "version": 1}
    )
    part = Part.objects.get()
    assert (answer.status_code, answer.url) == (302, part.get_absolute_url())
    assert (part.name, part.quantity, part.car) == ("header tank", 2, tern)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"name": "Coolant TANK"}, "part of that name already"),
        ({"name": "x" * 121}, "at most 120"),
        ({"quantity": "0"}, "greater than or equal to 1"),
        ({"quantity": "-3"}, "greater than or equal to"),
        ({"quantity": "1e99"}, "Enter a whole number"),
        ({"quantity": "99999999999999999999"}, "less than or equal to 10000"),
        ({"mass_kg": "-1"}, "greater than or equal to 0.001"),
        ({"mass_kg": "2 lb"}, "Enter a number"),
        ({"length_mm": "0"}, "A size must be from 1"),
        ({"length_mm": "99999999"}, "A size must be from 1"),
        ({"length_mm": "99999999999999999999"}, "errorlist"),
        ({"material": "999999"}, "Select a valid choice"),
        ({"made_by": "99999999999999999999999"}, "Select a valid choice"),
    ],
)
def test_an_impossible_part_is_refused_in_words(
    tank: Any, tern: Any, as_manager: Client, data: dict[str, str], words: str
) -> None:
    url = reverse("part-new", args=[tern.pk])
    answer = as_manager.post(url, {"name": "header tank", "quantity": 1, "version": 1, **data})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Part.objects.count() == 1


def test_a_job_of_another_car_does_not_make_it(
    tank: Any, skua: Any, make_job: Any, as_manager: Client
) -> None:
    answer = as_manager.post(
        reverse("part-edit", args=[tank.pk]),
        {"name": "tank", "quantity": 1, "made_by": make_job(skua, "Draw").pk, "version": 1},
    )
    assert "Select a valid choice" in answer.content.decode()
    assert Part.objects.get().made_by is None


def test_two_people_edit_one_part_and_the_second_is_told(tank: Any, as_manager: Client) -> None:
    url = reverse("part-edit", args=[tank.pk])
    assert 'name="version" value="1"' in as_manager.get(url).content.decode()
    as_manager.post(url, {"name": "coolant tank", "quantity": 2, "version": 1})
    answer = as_manager.post(url, {"name": "coolant tank", "quantity": 7, "version": 1})
    assert "changed by somebody else meanwhile" in answer.content.decode()
    assert Part.objects.get().quantity == 2


def test_a_part_that_would_wait_for_itself_is_refused(
    tank: Any, tern: Any, make_job: Any, as_manager: Client
) -> None:
    fit = make_job(tern, "Fit tank", needs=[tank])
    answer = as_manager.post(
        reverse("part-edit", args=[tank.pk]),
        {"name": "coolant tank", "quantity": 1, "made_by": fit.pk, "version": 1},
    )
    assert "would wait for itself" in answer.content.decode()
    assert Part.objects.get().made_by is None


def test_a_line_is_added_after_another(tank: Any, line_data: Any, as_manager: Client) -> None:
    first = tank.operations.first()
    answer = as_manager.post(
        reverse("operation-new", args=[tank.pk]), {**line_data, "follows": first.pk, "colour": "black"}
    )
    assert answer.status_code == 302
    assert [line.process.key for line in tank.operations.all()] == ["fabricate", "machine", "zinc_plate"]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"process": ""}, "This field is required"),
        ({"process": "99999"}, "Select a valid choice"),
        ({"lead_low_days": "9"}, "rising order"),
        ({"lead_low_days": "-1"}, "greater than or equal to 0"),
        ({"lead_high_days": "99999999999999999999"}, "less than or equal to 500"),
        ({"lead_likely_days": "soon"}, "Enter a whole number"),
        ({"cost": "-5"}, "greater than or equal to 0"),
        ({"cost": "99999999999"}, "errorlist"),
        ({"colour": "x" * 61}, "at most 60"),
        ({"after_jobs": ["12345"]}, "is not one of the available choices"),
        ({"after_jobs": ["9" * 40]}, "errorlist"),
        ({"follows": "424242"}, "Select a valid choice"),
    ],
)
def test_an_impossible_line_is_refused_in_words(
    tank: Any, line_data: Any, as_manager: Client, data: Any, words: str
) -> None:
    answer = as_manager.post(reverse("operation-new", args=[tank.pk]), {**line_data, **data})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert tank.operations.count() == 2


def test_the_form_of_a_line_shows_what_stands_there(
    tank: Any, tern: Any, make_job: Any, as_manager: Client
) -> None:
    first, second = tank.operations.all()
    fit = make_job(tern, "Trial fit")
    second.after_jobs.add(fit)
    form = as_manager.get(reverse("operation-edit", args=[second.pk])).context["form"]
    assert form["follows"].value() == first.pk
    assert [job.pk for job in form.initial["after_jobs"]] == [fit.pk]
    assert form["lead_likely_days"].value() == 5


def test_a_line_that_is_out_keeps_its_supplier(
    tank: Any, line_data: Any, fitter: Any, today: Any, as_manager: Client
) -> None:
    line = operation_send(operation=tank.operations.first(), on=today, by=fitter)
    answer = as_manager.post(
        reverse("operation-edit", args=[line.pk]), {**line_data, "version": 2, "cost": "12.00"}
    )
    assert answer.status_code == 302
    changed = Operation.objects.get(pk=line.pk)
    assert (changed.supplier, changed.process.key) == (line.supplier, "fabricate")
    assert (changed.lead_likely_days, str(changed.cost)) == (4, "12.00")


def test_two_people_edit_one_line_and_the_second_is_told(
    tank: Any, line_data: Any, as_manager: Client
) -> None:
    line = tank.operations.first()
    url = reverse("operation-edit", args=[line.pk])
    as_manager.post(url, {**line_data, "colour": "black"})
    answer = as_manager.post(url, {**line_data, "colour": "red"})
    assert "changed by somebody else meanwhile" in answer.content.decode()
    assert Operation.objects.get(pk=line.pk).colour == "black"


def test_a_line_can_make_a_rejected_one_good(
    tank: Any, line_data: Any, fitter: Any, today: Any, as_manager: Client
) -> None:
    first = operation_send(operation=tank.operations.first(), on=today, by=fitter)
    url = reverse("operation-new", args=[tank.pk])
    assert "makes_good" not in as_manager.get(url).content.decode()
    operation_reject(operation=first, on=today, by=fitter, reason="scrap", rework=False)
    assert "makes_good" in as_manager.get(url).content.decode()
    as_manager.post(url, {**line_data, "follows": first.pk, "makes_good": first.pk})
    assert Operation.objects.get(reworks=first).process.key == "machine"


def test_a_line_is_struck_out(tank: Any, as_manager: Client, fitter: Any, today: Any) -> None:
    first, second = tank.operations.all()
    as_manager.post(reverse("operation-delete", args=[second.pk]))
    assert list(tank.operations.all()) == [first]
    operation_send(operation=first, on=today, by=fitter)
    as_manager.post(reverse("operation-delete", args=[first.pk]))
    assert tank.operations.count() == 1
    assert "only a line that is still to do" in as_manager.get(tank.get_absolute_url()).content.decode()


def test_only_managers_write(tank: Any, tern: Any, as_fitter: Client) -> None:
    line = tank.operations.first()
    for name, number in (
        ("part-new", tern.pk),
        ("part-edit", tank.pk),
        ("operation-new", tank.pk),
        ("operation-edit", line.pk),
    ):
        url = reverse(name, args=[number])
        assert as_fitter.get(url).status_code == 403
        assert as_fitter.post(url, {"name": "x"}).status_code == 403
    assert as_fitter.post(reverse("operation-delete", args=[line.pk])).status_code == 403
    assert as_fitter.post(reverse("operation-take-back", args=[line.pk])).status_code == 403
    assert (Part.objects.count(), Operation.objects.count()) == (1, 2)


def test_a_new_line_pressed_twice_is_written_once(
    tank: Any, line_data: dict[str, Any], as_manager: Client
) -> None:
    url = reverse("operation-new", args=[tank.pk])
    before = tank.operations.count()
    seen = as_manager.get(url).context["form"]["lines_seen"].value()
    as_manager.post(url, {**line_data, "lines_seen": seen})
    again = as_manager.post(url, {**line_data, "lines_seen": seen})
    assert tank.operations.count() == before + 1
    assert "perhaps it was pressed twice" in again.content.decode()

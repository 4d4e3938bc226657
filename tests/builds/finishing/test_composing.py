"""Making up a batch: tick, choose, see what it does, save."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from parts.models import FinishingBatch, Operation, Supplier

NEW = "/finishing/batches/new/"


def text(response: Any) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def composition(*lines: Any, supplier: Any, **fields: Any) -> dict[str, Any]:
    return {"operation": [line.pk for line in lines], "supplier": supplier.pk, "leaves": "ready", **fields}


def assert_nothing_saved() -> None:
    assert FinishingBatch.objects.count() == 0
    assert not Operation.objects.filter(batch__isnull=False).exists()


def test_looking_shows_the_choices_and_saves_nothing(
    clip: Any, late: Any, as_manager: Client, tern: Any, make_job: Any, first_start_up: Any
) -> None:
    line = clip()
    first_start_up(tern, make_job(tern, "fit", needs=[line.part]))

    shown = text(as_manager.get(NEW, {"operation": [line.pk, late.pk]}))

    assert "Leave today" in shown
    assert "Wait for the last (" in shown
    assert "headlamp brackets of Skua" in shown, "what would be left behind"
    assert "No first start-up is set for Skua" in shown
    assert_nothing_saved()


def test_with_script_only_the_effects_come_back(clip: Any, as_manager: Client, open_plater: Any) -> None:
    query = composition(clip(), supplier=open_plater, look="1")

    shown = text(as_manager.get(NEW, query, headers={"HX-Request": "true"}))

    assert shown.startswith('<section id="effects"')
    assert "</section>" in shown[-20:]


def test_a_date_adds_a_column(
    clip: Any,
    as_manager: Client,
    open_plater: Any,
    tern: Any,
    make_job: Any,
    first_start_up: Any,
    today: date,
) -> None:
    line = clip()
    first_start_up(tern, make_job(tern, "fit", needs=[line.part]))
    day = today + timedelta(4)

    shown = text(
        as_manager.get(
            NEW, composition(line, supplier=open_plater, leaves="fixed", planned_on=day.isoformat())
        )
    )

    assert f"Leave on {day:%a} {day.day} {day:%b}" in shown


def test_the_finisher_of_the_route_cards_is_chosen_at_first(
    clip: Any, as_manager: Client, open_plater: Any
) -> None:
    shown = text(as_manager.get(NEW, {"operation": clip().pk}))

    assert f'<option value="{open_plater.pk}" selected>' in shown
    assert "errorlist" not in shown


def test_a_manager_makes_the_batch(clip: Any, late: Any, as_manager: Client, open_plater: Any) -> None:
    one = clip()

    response = as_manager.post(NEW, composition(one, late, supplier=open_plater, note="mind the threads"))

    batch = FinishingBatch.objects.get()
    assert response.url == f"/finishing/batches/{batch.pk}/"
    assert set(batch.operations.all()) == {one, late}
    assert batch.note == "mind the threads"


def test_today_is_a_fixed_date_that_is_today(
    clip: Any, as_manager: Client, open_plater: Any, today: date
) -> None:
    as_manager.post(NEW, composition(clip(), supplier=open_plater, leaves="now"))

    batch = FinishingBatch.objects.get()
    assert (batch.leaves, batch.planned_on) == ("fixed", today)


def test_a_double_press_makes_one_batch(clip: Any, as_manager: Client, open_plater: Any) -> None:
    data = composition(clip(), supplier=open_plater)
    as_manager.post(NEW, data)

    second = as_manager.post(NEW, data)

    assert FinishingBatch.objects.count() == 1
    assert "is ticked that could still go into a batch" in text(second)


def test_an_empty_batch_is_refused(clip: Any, as_manager: Client, open_plater: Any) -> None:
    clip()

    shown = text(as_manager.post(NEW, composition(supplier=open_plater)))

    assert "Nothing is ticked" in shown
    assert_nothing_saved()


def test_mixed_finishes_are_refused(clip: Any, as_manager: Client, open_plater: Any) -> None:
    lines = clip("clip"), clip("clamp", colour="black")

    shown = text(as_manager.post(NEW, composition(*lines, supplier=open_plater)))

    assert "One batch takes one finish, and these differ" in shown
    assert_nothing_saved()


def test_a_piece_taken_by_another_manager_is_refused(
    clip: Any, make_batch: Any, as_manager: Client, open_plater: Any
) -> None:
    mine, taken = clip("mine"), clip("taken")
    batch = make_batch(taken)

    shown = text(as_manager.post(NEW, composition(mine, taken, supplier=open_plater)))

    assert f"is in zinc plate batch {batch.pk} already" in shown
    assert list(batch.operations.all()) == [taken]
    assert FinishingBatch.objects.count() == 1


@pytest.mark.parametrize("rubbish", ["999999", "-1", "x", "9" * 40, "9" * 5000, "²", "1.5", ""])
def test_rubbish_for_a_piece_is_refused(
    clip: Any, as_manager: Client, open_plater: Any, rubbish: str
) -> None:
    line = clip()

    for operation in ([rubbish], [line.pk, rubbish]):
        response = as_manager.post(
            NEW, {"operation": operation, "supplier": open_plater.pk, "leaves": "ready"}
        )
        assert response.status_code == 200
    assert_nothing_saved()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"supplier": "999"}, "does not offer this finish"),
        ({"supplier": ""}, "Choose the finisher."),
        ({"supplier": "x"}, "does not offer this finish"),
        ({"supplier": "9" * 40}, "does not offer this finish"),
        ({"supplier": "9" * 5000}, "does not offer this finish"),
        ({"planned_on": "9" * 5000, "leaves": "fixed"}, "could not be read"),
        ({"leaves": "never"}, "Say when the batch leaves."),
        ({"leaves": "fixed"}, "needs that date"),
        ({"leaves": "fixed", "planned_on": "31/02/2027"}, "could not be read"),
        ({"leaves": "fixed", "planned_on": "2020-01-01"}, "is over"),
        ({"leaves": "fixed", "planned_on": "9999-12-31"}, "Check the year"),
        ({"version": "x"}, "whole number"),
        ({"note": "x" * 501}, "500"),
    ],
)
def test_bad_input_is_refused_in_words(
    clip: Any, as_manager: Client, open_plater: Any, fields: dict[str, str], words: str
) -> None:
    shown = text(as_manager.post(NEW, {**composition(clip(), supplier=open_plater), **fields}))

    assert words in shown
    assert_nothing_saved()


def test_a_day_on_which_the_finisher_is_shut_is_refused_with_the_next(
    clip: Any, as_manager: Client, open_plater: Any, today: date
) -> None:
    open_plater.closures.create(first_day=today, last_day=today + timedelta(2))

    shown = text(as_manager.post(NEW, composition(clip(), supplier=open_plater, leaves="now")))

    assert "The next day it works is" in shown
    assert_nothing_saved()


def test_the_same_fault_is_shown_while_looking(
    clip: Any, as_manager: Client, open_plater: Any, today: date
) -> None:
    open_plater.closures.create(first_day=today, last_day=today + timedelta(2))

    assert "The next day it works is" in text(
        as_manager.get(NEW, composition(clip(), supplier=open_plater, leaves="now", look="1"))
    )


def test_a_fitter_composes_nothing(clip: Any, as_fitter: Client, open_plater: Any) -> None:
    data = composition(clip(), supplier=open_plater)

    assert as_fitter.get(NEW, data).status_code == 403
    assert as_fitter.post(NEW, data).status_code == 403
    assert_nothing_saved()


def test_without_a_piece_the_page_says_where_to_tick(workshop: Any, as_manager: Client) -> None:
    assert "Tick pieces on the Finishing sheet" in text(as_manager.get(NEW))


def test_a_change_begins_with_what_the_batch_is(
    clip: Any, make_batch: Any, as_manager: Client, open_plater: Any
) -> None:
    inside, free = clip("inside"), clip("free")
    batch = make_batch(inside)

    shown = text(as_manager.get(f"/finishing/batches/{batch.pk}/change/"))

    assert f'value="{inside.pk}" checked' in shown
    assert f'value="{free.pk}">' in shown
    assert "errorlist" not in shown


def test_a_change_takes_in_and_leaves_out(
    clip: Any, make_batch: Any, as_manager: Client, open_plater: Any
) -> None:
    inside, free = clip("inside"), clip("free")
    batch = make_batch(inside)

    as_manager.post(
        f"/finishing/batches/{batch.pk}/change/",
        composition(free, supplier=open_plater, version=batch.version),
    )

    assert list(batch.operations.all()) == [free]


def test_the_second_of_two_managers_is_told(
    clip: Any, make_batch: Any, as_manager: Client, open_plater: Any
) -> None:
    one, two = clip("one"), clip("two")
    batch = make_batch(one)
    address = f"/finishing/batches/{batch.pk}/change/"
    as_manager.post(address, composition(one, two, supplier=open_plater, version=batch.version))

    shown = text(as_manager.post(address, composition(one, supplier=open_plater, version=batch.version)))

    assert "changed by somebody else meanwhile" in shown
    assert set(batch.operations.all()) == {one, two}


def test_a_batch_that_has_gone_is_not_changed(
    clip: Any, make_batch: Any, as_manager: Client, today: date
) -> None:
    batch = make_batch(clip())
    FinishingBatch.objects.update(sent_on=today)

    response = as_manager.get(f"/finishing/batches/{batch.pk}/change/", follow=True)

    assert "It has gone out" in text(response)


def test_only_finishers_of_the_process_are_offered(
    clip: Any, as_manager: Client, open_plater: Any, process: Callable[..., Any]
) -> None:
    Supplier.objects.create(name="Marl Surface Works").processes.add(process("anodise_hard"))

    assert "Marl Surface Works" not in text(as_manager.get(NEW, {"operation": clip().pk}))


@pytest.mark.parametrize("count", [2, 20])
def test_the_number_of_queries_does_not_grow(
    clip: Any,
    as_manager: Client,
    open_plater: Any,
    count: int,
    django_assert_num_queries: Any,
    network_queries: int,
) -> None:
    lines = [clip(f"clip {number}") for number in range(count)]
    query = composition(*lines, supplier=open_plater, look="1")

    with django_assert_num_queries(network_queries + 16):
        as_manager.get(NEW, query)

"""The Finishing page: what may go together, what it waits for, what is in a batch."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from builds.models import Closure
from parts.models import Material, MaterialVerdict, Operation
from parts.services.batches import batch_send
from parts.services.operations import operation_count_in, operation_send


def page(client: Client) -> str:
    response = client.get("/finishing/")
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_one_sentence_says_what_a_lot_waits_for(clip: Any, late: Any, as_manager: Client) -> None:
    clip("clip")
    clip("clamp")

    assert "2 ready, 1 late piece: headlamp brackets of Skua, 3 days late, expected " in page(as_manager)


def test_a_piece_says_where_it_is_now(late: Any, as_manager: Client) -> None:
    assert "machine at Ferrand Plating: out, 3 days late" in page(as_manager)


def test_a_piece_says_which_job_comes_first(
    clip: Any, make_job: Callable[..., Any], tern: Any, as_manager: Client
) -> None:
    clip().after_jobs.add(make_job(tern, "Trial fit"))

    assert "first: Trial fit" in page(as_manager)


def test_a_rejected_piece_is_ready_when_its_rework_is_accepted(
    late: Operation, as_manager: Client, today: date, manager: Any
) -> None:
    first = late.part.operations.get(sequence=1)
    late.part.operations.filter(pk=late.pk).update(sequence=3)
    Operation.objects.filter(pk=first.pk).update(back_on=today, result="rejected", reason="bent")
    assert "machine at Ferrand Plating: rejected" in page(as_manager)

    Operation.objects.create(
        part=late.part,
        sequence=2,
        process=first.process,
        supplier=first.supplier,
        lead_low_days=1,
        lead_likely_days=1,
        lead_high_days=1,
        sent_on=today,
        back_on=today,
        result="accepted",
        checked_by=manager,
        reworks=first,
    )
    assert "ready now" in page(as_manager)


def test_oxide_marks_only_what_holds_first_start_up(
    clip: Any, tern: Any, make_job: Callable[..., Any], first_start_up: Any, as_manager: Client
) -> None:
    line = clip()
    assert '<b class="oxide">holds' not in page(as_manager)

    first_start_up(tern, make_job(tern, "fit", needs=[line.part]))
    assert '<b class="oxide">holds Tern’s first start-up</b>' in page(as_manager)  # beside the part
    assert '<b class="oxide">Holds Tern’s first start-up.</b>' in page(as_manager)  # of the whole lot


def test_care_is_flagged_with_reason_and_source(clip: Any, process: Any, as_manager: Client) -> None:
    bolts = Material.objects.get(key="fastener_10_9")
    verdict = MaterialVerdict.objects.get(process=process("zinc_plate"), material=bolts)
    assert verdict.verdict == "care"
    clip(material=bolts)

    shown = page(as_manager)
    assert "With care:" in shown
    assert verdict.source.replace("'", "&#x27;") in shown


def test_an_unsuited_material_is_kept_out_with_its_reason(
    clip: Any, process: Any, as_manager: Client
) -> None:
    aluminium = Material.objects.get(key="al_6xxx")
    assert MaterialVerdict.objects.get(process=process("zinc_plate"), material=aluminium).verdict == "no"
    clip("stay", material=aluminium)

    shown = page(as_manager)
    assert "Kept out" in shown
    assert "is not suited" in shown
    assert 'name="operation"' not in shown


def test_a_waiting_batch_and_one_that_is_out_are_listed(
    clip: Any, make_batch: Any, manager: Any, as_manager: Client, today: date
) -> None:
    waiting, out = make_batch(clip("a")), make_batch(clip("b"))
    batch_send(batch=out, on=today, by=manager, promised_on=today + timedelta(9))

    shown = page(as_manager)

    assert f"Batch {waiting.pk}:" in shown
    assert "Ready · for Ferrand Plating · leaves when all are ready" in shown
    assert "out at Ferrand Plating since" in shown


def test_a_batch_that_is_all_back_is_not_listed(
    clip: Any, make_batch: Any, manager: Any, as_manager: Client, today: date
) -> None:
    line = clip()
    batch = make_batch(line)
    batch_send(batch=batch, on=today, by=manager)
    Operation.objects.filter(pk=line.pk).update(back_on=today)

    assert f"Batch {batch.pk}:" not in page(as_manager)


def test_finishes_of_our_own_shop_are_counted_and_not_listed(clip: Any, as_manager: Client) -> None:
    clip("own piece", supplier=None)

    shown = page(as_manager)
    assert "own piece" not in shown
    assert "1 finish done in our own shop" in shown


def test_a_handed_over_car_has_no_pieces_here(clip: Any, tern: Any, as_manager: Client, today: date) -> None:
    clip()
    tern.handed_over_on = today
    tern.save()

    assert "No part has a finish before it." in page(as_manager)


def test_an_empty_page_says_what_to_do(workshop: Any, as_manager: Client) -> None:
    assert "Give a part’s route card a line" in page(as_manager)


def test_a_fitter_looks_and_ticks_nothing(clip: Any, as_fitter: Client) -> None:
    clip()

    shown = page(as_fitter)
    assert "ready now" in shown
    assert 'type="checkbox"' not in shown
    assert "Make up a batch" not in shown


def test_html_in_names_is_shown_and_not_obeyed(clip: Any, as_manager: Client) -> None:
    clip("<script>x</script>", colour="<b>blue</b>", masking="<i>all</i>")

    shown = page(as_manager)
    assert "<script>x" not in shown
    assert "<b>blue" not in shown
    assert "&lt;i&gt;all" in shown


@pytest.mark.parametrize("count", [2, 20])
def test_the_number_of_queries_does_not_grow(
    clip: Any,
    late: Any,
    make_batch: Any,
    as_manager: Client,
    make_job: Any,
    tern: Any,
    count: int,
    django_assert_num_queries: Any,
    network_queries: int,
) -> None:
    job = make_job(tern, "Trial fit")
    free = [clip(f"free {number}") for number in range(count)]
    free[0].after_jobs.add(job)
    make_batch(*[clip(f"taken {number}", colour="black") for number in range(count)])

    with django_assert_num_queries(network_queries + 14):
        page(as_manager)


def test_pieces_that_were_wrong_are_ready_to_go_again_though_others_are_still_out(
    clip: Any, as_manager: Client, today: date, manager: Any
) -> None:
    line = clip("clip", quantity=10)
    operation_send(operation=line, on=today, by=manager)
    operation_count_in(operation=line, on=today, by=manager, accepted=7, rejected=1, reason="dull")

    words = page(as_manager)

    assert "<b>Ready.</b>" in words
    assert "zinc plate at Ferrand Plating: out" not in words


def test_a_promise_for_a_day_on_which_the_workshop_is_shut_costs_no_piece_its_date(
    late: Operation, tern: Any, make_job: Any, first_start_up: Any, as_manager: Client, today: date
) -> None:
    shut = today + timedelta(days=200)
    Closure.objects.create(first_day=shut, last_day=shut)
    first_start_up(tern, make_job(tern, "Fit"), promised=shut)

    words = page(as_manager)

    assert "on which the workshop is shut" in words
    assert "nobody knows when" not in words

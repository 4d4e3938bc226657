"""Send now or wait: answers side by side, choosing one, what is not known, and staying when a piece slips."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.models import Workshop
from parts.models import FinishingBatch, Operation, Supplier, SupplierPrice
from parts.services.batches import LotPlan, batch_save, batches_plan


def text(response: Any) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def page(client: Client) -> str:
    return text(client.get(reverse("finishing")))


def choose(client: Client, line: Any, title: str) -> Any:
    """Press the button under the column of that title."""
    shown = page(client)
    seen = re.search(r'name="seen" value="(\w+)"', shown)
    button = re.search(rf'value="(\d+)">Choose this<span class="unseen"> answer, {title}<', shown)
    assert seen
    assert button
    lot = re.search(r"/finishing/lots/(\d+)/choose/", shown)
    assert lot
    finisher = re.search(r'name="finisher" value="(\d+)"', shown)
    assert finisher
    data = {"seen": seen[1], "answer": button[1], "finisher": finisher[1]}
    return client.post(reverse("finishing-choose", args=[lot[1]]), data, follow=True)


@pytest.fixture
def priced(open_plater: Any, process: Any) -> Any:
    """£100 a lot at least, £20 for a trip."""
    Supplier.objects.filter(pk=open_plater.pk).update(carriage_charge=20)
    SupplierPrice.objects.create(supplier=open_plater, process=process("zinc_plate"), minimum_lot_charge=100)
    return open_plater


@pytest.fixture
def coming(skua: Any, open_plater: Any, make_part: Any, today: date) -> Operation:
    """Due from the machinist in ten days."""
    part = make_part(skua, "pulley", route=[("machine", open_plater, 5), ("zinc_plate", open_plater, 5)])
    part.operations.filter(sequence=1).update(
        sent_on=today - timedelta(20), promised_on=today + timedelta(10)
    )
    return part.operations.get(sequence=2)


@pytest.fixture
def wanted(clip: Any, tern: Any, make_job: Any, first_start_up: Any) -> Operation:
    """Ready, and Tern's first start-up waits for nothing else."""
    line = clip("bracket")
    first_start_up(tern, make_job(tern, "Fit the bracket", needs=[line.part]))
    return line


def test_both_ends_stand_side_by_side_with_cost_days_and_who_pays(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    shown = page(as_manager)

    assert shown.index("Each when ready") < shown.index("One lot, wait for all")
    for words in ("£240", "£120", "no car"):
        assert words in shown
    assert re.search(r"Tern \d+ days", shown)
    assert "Each goes as soon as it is ready: waiting would save £120 and cost" in shown
    assert "Cost against days lost: £240 with 0 days lost; £120 with" in shown


def test_choosing_plans_a_batch_for_each_lot(
    priced: Any, wanted: Any, coming: Any, as_manager: Client, today: date
) -> None:
    answer = choose(as_manager, wanted, "Each when ready")

    assert "Planned: batch" in text(answer)
    now, later = FinishingBatch.objects.order_by("planned_on")
    assert [line.pk for line in now.operations.all()] == [wanted.pk]
    assert [line.pk for line in later.operations.all()] == [coming.pk]
    assert (now.leaves, now.chosen_on, later.leaves) == ("ready", today, "ready")
    assert today <= now.planned_on < later.planned_on
    assert later.planned_on >= today + timedelta(10)
    assert now.chosen_because.startswith("Each when ready: £240, no day of first start-up lost.")


def test_the_batch_says_why_it_was_chosen_to_managers_only(
    priced: Any, wanted: Any, coming: Any, as_manager: Client, as_fitter: Client
) -> None:
    answer = choose(as_manager, wanted, "One lot, wait for all")

    batch = FinishingBatch.objects.get()
    assert "One lot, wait for all: £120" in text(answer)
    assert "£" not in text(as_fitter.get(reverse("batch", args=[batch.pk])))
    assert "£" not in page(as_fitter)


def test_what_was_seen_is_what_is_planned_or_nothing(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    shown = page(as_manager)
    seen = re.search(r'name="seen" value="(\w+)"', shown)
    assert seen
    SupplierPrice.objects.update(minimum_lot_charge=110)

    answer = as_manager.post(
        reverse("finishing-choose", args=[wanted.pk]), {"seen": seen[1], "answer": 0}, follow=True
    )

    assert "The answers have changed since the page was made" in text(answer)
    assert not FinishingBatch.objects.exists()


@pytest.mark.parametrize("data", [{}, {"answer": "x", "seen": "y"}, {"answer": "99", "seen": ""}])
def test_a_choice_that_cannot_be_read_plans_nothing(
    priced: Any, wanted: Any, as_manager: Client, data: dict[str, str]
) -> None:
    as_manager.post(reverse("finishing-choose", args=[wanted.pk]), data)

    assert not FinishingBatch.objects.exists()


def test_only_managers_choose(priced: Any, wanted: Any, as_fitter: Client) -> None:
    assert as_fitter.get(reverse("finishing-lot", args=[wanted.pk])).status_code == 403
    assert as_fitter.post(reverse("finishing-choose", args=[wanted.pk]), {"answer": 0}).status_code == 403
    assert "Choose this" not in page(as_fitter)


def test_what_a_day_is_worth_decides(
    priced: Any, wanted: Any, coming: Any, workshop: Any, as_manager: Client
) -> None:
    url = reverse("finishing-lot", args=[wanted.pk])
    assert (
        "One lot, wait for all"
        in text(as_manager.get(url, {"worth": "1"})).partition("Our choice</span>")[2][:60]
    )

    Workshop.objects.filter(pk=workshop.pk).update(day_worth=1)

    assert "more than the days are worth at £1 each" in page(as_manager)


def test_without_prices_lots_are_counted_and_the_gap_is_named(
    wanted: Any, coming: Any, as_manager: Client, open_plater: Any
) -> None:
    shown = page(as_manager)

    assert "2 lots, not priced" in shown
    assert "Ferrand Plating has no prices for zinc plate: lots are counted instead." in shown
    assert reverse("supplier-price-new", args=[open_plater.pk]) in shown
    assert "£" not in shown


def test_a_surface_that_nobody_gave_makes_the_cost_a_least_one(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    SupplierPrice.objects.update(per_m2=Decimal(30))
    shown = page(as_manager)

    assert "at least £240" in shown
    assert "The surface of bracket of Tern is not known" in shown


def test_a_piece_that_is_too_large_is_left_out_with_its_reason(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    Supplier.objects.update(largest_length_mm=500)
    wanted.part.length_mm = 900
    wanted.part.save()
    shown = page(as_manager)

    assert "Left out:</b> bracket of Tern: it is larger than Ferrand Plating takes" in shown


def test_nothing_leaves_while_the_finisher_is_shut(
    priced: Any, wanted: Any, coming: Any, as_manager: Client, today: date
) -> None:
    priced.closures.create(first_day=today, last_day=today + timedelta(6), reason="annual")
    choose(as_manager, wanted, "Each when ready")

    assert min(batch.planned_on for batch in FinishingBatch.objects.all()) > today + timedelta(6)


def test_what_waits_for_a_piece_of_the_lot_is_worked_out_apart(
    priced: Any, clip: Any, tern: Any, make_job: Any, as_manager: Client
) -> None:
    sample, panel = clip("sample"), clip("panel")
    panel.after_jobs.add(make_job(tern, "Compare the sample", needs=[sample.part]))
    shown = page(as_manager)

    assert "First: sample of Tern" in shown
    assert "Then: panel of Tern, waiting for what goes before" in shown


def test_only_what_is_ready_is_ticked(wanted: Any, coming: Any, as_manager: Client) -> None:
    shown = page(as_manager)

    assert f'value="{wanted.pk}" checked' in shown
    assert f'value="{coming.pk}"' in shown
    assert f'value="{coming.pk}" checked' not in shown


def test_everything_that_went_in_stands_on_the_lots_own_page(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    shown = text(as_manager.get(reverse("finishing-lot", args=[coming.pk])))

    for words in (
        "£100 at least",
        "version 1",
        "£20.00 for each day on which something leaves",
        "5 of the finisher’s working days",
        "machine at Ferrand Plating: out, promised",
        "Nothing costs less at so few days: proven.",
        "First start-up by the network",
        "no day lost in",
    ):
        assert words in shown


def test_when_a_piece_slips_the_page_says_what_staying_costs(
    priced: Any, wanted: Any, coming: Any, as_manager: Client, today: date
) -> None:
    choose(as_manager, wanted, "One lot, wait for all")
    batch = FinishingBatch.objects.get()
    assert "Planned to leave on" not in text(as_manager.get(reverse("batch", args=[batch.pk])))
    Operation.objects.filter(part=coming.part, sequence=1).update(promised_on=today + timedelta(20))

    shown = text(as_manager.get(reverse("batch", args=[batch.pk])))
    assert "Planned to leave on" in shown
    assert re.search(r"Staying costs \d+ days more and £120 less than the best answer now", shown)
    assert re.search(r"staying costs \d+ days more and £120 less", page(as_manager))


def test_choosing_again_gives_the_old_batch_up(
    priced: Any, wanted: Any, coming: Any, as_manager: Client
) -> None:
    choose(as_manager, wanted, "One lot, wait for all")
    old = FinishingBatch.objects.get()
    shown = text(as_manager.get(reverse("finishing-lot", args=[wanted.pk])))
    seen = re.search(r'name="seen" value="(\w+)"', shown)
    number = re.search(r'value="(\d+)">Choose this<span class="unseen"> answer, Each when ready<', shown)
    assert seen
    assert number

    as_manager.post(reverse("finishing-choose", args=[wanted.pk]), {"seen": seen[1], "answer": number[1]})

    assert FinishingBatch.objects.count() == 2
    assert not FinishingBatch.objects.filter(pk=old.pk).exists()


def test_a_batch_changed_by_hand_is_no_longer_the_chosen_one(
    priced: Any, wanted: Any, coming: Any, as_manager: Client, today: date
) -> None:
    choose(as_manager, wanted, "One lot, wait for all")
    batch = FinishingBatch.objects.get()

    batch_save(operation_ids=[wanted.pk], supplier=priced, leaves="ready", today=today, batch=batch)

    batch.refresh_from_db()
    assert (batch.chosen_because, batch.chosen_on, batch.planned_on) == ("", None, None)


def test_lots_of_one_finisher_share_a_trip(
    priced: Any, clip: Any, make_batch: Callable[..., Any], coming: Any, as_manager: Client
) -> None:
    make_batch(clip("black clip", colour="black"))
    clip("white clip", colour="white")

    assert re.search(r"Ferrand Plating: \d calls instead of 6 save £\d\d", page(as_manager))


def test_suppliers_of_one_carrier_share_a_round(
    priced: Any, clip: Any, process: Any, as_manager: Client
) -> None:
    other = Supplier.objects.create(
        name="Marl Surface Works", carriage_charge=20, carrier="Penny’s van", saturday=True, sunday=True
    )
    other.processes.add(process("zinc_plate"))
    Supplier.objects.filter(pk=priced.pk).update(carrier="penny’s VAN")
    clip("white clip", colour="white")
    clip("grey clip", colour="grey", supplier=other)

    shown = page(as_manager)
    assert re.search(
        r"enny’s (van|VAN) \(Ferrand Plating, Marl Surface Works\): \d calls instead of 4 save £20", shown
    )


@pytest.fixture
def two(clip: Any) -> tuple[Any, Any]:
    return clip("one"), clip("two")


def plan(lots: list[LotPlan], supplier: Any, today: date, **more: Any) -> list[FinishingBatch]:
    return batches_plan(lots=lots, supplier=supplier, because="why", today=today, **more)


def test_a_piece_in_two_lots_is_refused(two: Any, open_plater: Any, today: date) -> None:
    one, other = two
    with pytest.raises(ValidationError, match="stands in two of the lots"):
        plan([LotPlan((one.pk, other.pk), today), LotPlan((one.pk,), today)], open_plater, today)

    assert not FinishingBatch.objects.exists()


def test_one_lot_refused_plans_none(two: Any, clip: Any, open_plater: Any, today: date) -> None:
    one, other = two
    Operation.objects.filter(pk=other.pk).update(colour="black")
    mixed = clip("third")
    with pytest.raises(ValidationError, match="One batch takes one finish"):
        plan([LotPlan((one.pk,), today), LotPlan((other.pk, mixed.pk), today)], open_plater, today)

    assert not FinishingBatch.objects.exists()
    assert not Operation.objects.filter(batch__isnull=False).exists()


def test_a_day_on_which_the_finisher_is_shut_is_refused(two: Any, open_plater: Any, today: date) -> None:
    open_plater.closures.create(first_day=today, last_day=today + timedelta(3))
    with pytest.raises(ValidationError, match="does not work on"):
        plan([LotPlan((two[0].pk,), today)], open_plater, today)

    assert not FinishingBatch.objects.exists()


def test_no_lot_is_refused(open_plater: Any, today: date) -> None:
    with pytest.raises(ValidationError, match="no lot to plan"):
        plan([], open_plater, today)


def test_a_batch_changed_meanwhile_is_not_given_up(
    two: Any, make_batch: Any, open_plater: Any, today: date
) -> None:
    old = make_batch(*two)
    FinishingBatch.objects.update(version=7)
    with pytest.raises(ValidationError, match="changed by somebody else meanwhile"):
        plan([LotPlan((two[0].pk,), today)], open_plater, today, instead_of={old.pk: 1})

    assert old.operations.count() == 2


@pytest.mark.parametrize(
    ("field", "most", "words"),
    [
        ("largest_lot_pieces", 7, "8 pieces, and Ferrand Plating takes up to 7 pieces"),
        ("largest_lot_kg", 1, "2 kg, and Ferrand Plating takes up to 1 kg"),
    ],
)
def test_a_lot_over_the_finishers_limit_is_refused(
    clip: Any, priced: Any, today: date, field: str, most: int, words: str
) -> None:
    SupplierPrice.objects.update(**{field: most})
    lines = [clip(name, quantity=4, mass_kg=Decimal("0.25")) for name in ("a", "b")]
    with pytest.raises(ValidationError, match=words):
        batch_save(operation_ids=[line.pk for line in lines], supplier=priced, leaves="ready", today=today)

    assert not FinishingBatch.objects.exists()


def test_days_lost_are_said_to_be_as_if_somebody_were_always_free(
    priced: Any, wanted: Any, coming: Any, tern: Any, skua: Any, as_manager: Client
) -> None:
    lot = text(as_manager.get(reverse("finishing-lot", args=[wanted.pk])))

    said = lot[
        lot.index("Days lost and first start-ups are worked out here as if somebody were always free.") :
    ]
    for car in (tern, skua):
        assert f'<a href="{reverse("car-certainty", args=[car.pk])}">{car}</a>' in said[: said.index("</p>")]
    assert "days lost, are worked out here as if somebody were always free" in page(as_manager)


@pytest.mark.parametrize("count", [2, 12])
def test_the_lots_page_asks_a_fixed_number_of_queries(
    clip: Any,
    coming: Any,
    priced: Any,
    as_manager: Client,
    count: int,
    django_assert_num_queries: Any,
    network_queries: int,
) -> None:
    lines = [clip(f"clip {number}") for number in range(count)]

    with django_assert_num_queries(network_queries + 15):
        as_manager.get(reverse("finishing-lot", args=[lines[0].pk]))


def test_what_waits_for_something_beyond_the_calendars_is_left_out(
    priced: Any, wanted: Any, clip: Any, tern: Any, make_job: Any, as_manager: Client
) -> None:
    clip("far piece").after_jobs.add(make_job(tern, "Endless", hours=90_000))

    shown = page(as_manager)
    assert "Left out:</b> far piece of Tern: nobody knows when it is ready" in shown
    assert "Choose this" in shown  # the others are worked out

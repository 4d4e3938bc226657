"""The demo steps forward, on whatever weekday, as often as one likes, and never in a real workshop."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import transaction
from django.utils import timezone

from builds.demo.loading import demo_load
from builds.demo.stepping import demo_step
from builds.models import Car, Job, MilestonePromise, Person, Workshop
from builds.network import load_workshop
from builds.sheets.chasing import read_chase_list
from parts.models import FinishingBatch, GoodsIn, Operation, Part
from parts.services.batches import batch_save, batch_send
from parts.services.pieces import count_of

# A Wednesday, a Saturday, and the Sunday on which summer time begins; the other tests take today.
DAYS = [date(2026, 11, 25), date(2027, 3, 6), date(2027, 3, 28)]


PIECES = (("Tern", "Fan bolts", 12), ("Gannet", "Engine spacers", 4), ("Skua", "Cap", 1))


def set_clock(monkeypatch: pytest.MonkeyPatch, day: date) -> None:
    moment = datetime(day.year, day.month, day.day, 17, tzinfo=ZoneInfo("Europe/London"))
    monkeypatch.setattr(timezone, "now", lambda: moment)


def zinc_across_cars(today: date, manager: Any) -> Any:
    """A batch of ready pieces of Tern’s and Gannet’s, sent today: what the page of lots leads to."""
    mounts = Operation.objects.filter(part__name="Oil tank mounts", part__car__name="Skua")
    plating = mounts.get(process__key="zinc_plate")
    lines = []
    for car, name, quantity in PIECES:
        part = Part.objects.create(car=Car.objects.get(name=car), name=name, quantity=quantity)
        lines.append(
            Operation.objects.create(
                part=part,
                sequence=1,
                process=plating.process,
                supplier=plating.supplier,
                lead_low_days=3,
                lead_likely_days=6,
                lead_high_days=12,
                colour="blue",
            )
        )
        Job.objects.filter(car=part.car, done_at=None).last().part_needs.create(part=part)
    batch = batch_save(
        operation_ids=[line.pk for line in lines], supplier=plating.supplier, leaves="ready", today=today
    )
    FinishingBatch.objects.filter(pk=batch.pk).update(chosen_on=today, chosen_because="it costs nothing")
    return batch_send(batch=batch, on=today, by=manager, promised_on=today + timedelta(days=7))


def _days_of_promises() -> list[date]:
    """Promised, and what the forecast said then."""
    fields = ("promised_on", "even_chance_on", "four_in_five_on")
    return [day for row in MilestonePromise.objects.order_by("pk").values_list(*fields) for day in row]


def _other_problems(problems: Iterable[str]) -> list[str]:
    """A promise that moves back by weeks may come to lie on a public holiday, and is then said to."""
    return [words for words in problems if not words.endswith("on which the workshop is shut.")]


@pytest.mark.parametrize("today", DAYS, ids=lambda day: f"{day:%A}")
def test_two_weeks_go_by(today: date, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    set_clock(monkeypatch, today)
    demo_load(today)
    manager = Person.objects.get(role="manager")
    promises = _days_of_promises()
    done = Job.objects.filter(done_at__isnull=False).count()
    batch = zinc_across_cars(today, manager)

    said = demo_step(days=7, today=today)

    # everything lies a week back
    assert _days_of_promises() == [day - timedelta(days=7) for day in promises]
    batch.refresh_from_db()
    assert batch.sent_on == today - timedelta(days=7)

    # the zinc came back: two short of the most, one of the next rejected, the rest right
    bolts, spacers, cap = batch.operations.order_by("pk")
    assert count_of(bolts).words == "10 of 12 back"
    assert (bolts.state, cap.state) == ("out", "accepted")
    assert (spacers.state, spacers.reason) == ("rejected", "1 of 4: dull patches: the bath was spent")
    assert (spacers.rework.state, spacers.rework.pieces) == ("to do", 1)
    assert "It is 2 pieces short: Tern, Fan bolts." in said
    assert "One is rejected: Gannet, Engine spacers: dull patches: the bath was spent." in said

    # the chase list asks for them, the network waits for both, and jobs went on
    state = load_workshop(today)
    assert _other_problems(state.facts().problems) == []
    asked = {
        item.what: item.ask
        for call in read_chase_list(state, with_customers=True).calls
        for item in call.items
    }
    (ask,) = [words for what, words in asked.items() if "Fan bolts" in what]
    assert ask[0].endswith("where are the other 2?")
    need = spacers.part.job_needs.get()
    held = [reason.text for reason in state.facts().jobs[need.job_id].held_by]
    assert any("Engine spacers to go to zinc plate" in text for text in held)
    assert Job.objects.filter(done_at__isnull=False).count() > done
    assert not Job.objects.filter(done_at__gt=timezone.now()).exists()
    assert not GoodsIn.objects.filter(came_on__gt=today).exists()

    # and again: the same days bring other events, and nothing breaks
    assert demo_step(days=7, today=today)
    facts = load_workshop(today).facts()
    assert _other_problems(facts.problems) == []
    assert all(car.first_start_up is not None for car in facts.cars.values())


def test_a_batch_that_waits_is_sent_and_comes_back_the_week_after(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    today = DAYS[0]
    set_clock(monkeypatch, today)
    demo_load(today)
    first, second = demo_step(days=7, today=today), demo_step(days=7, today=today)
    assert any("went out to Ferrand Plating" in sentence for sentence in first)
    assert any("is back from Ferrand Plating" in sentence for sentence in second)


def test_the_same_days_bring_the_same_events(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    today = DAYS[0]
    set_clock(monkeypatch, today)
    demo_load(today)
    told = []
    for _ in range(2):
        with transaction.atomic():
            told.append(demo_step(days=3, today=today))
            transaction.set_rollback(True)
    assert told[0] == told[1]


def test_a_real_workshop_is_left_alone(workshop: Any, manager: Any, tern: Any, make_job: Any) -> None:
    job = make_job(tern, "Fit pump", started_at=timezone.now(), started_by=manager)
    with pytest.raises(CommandError, match="This workshop is not the demo"):
        call_command("demo_day", days=7)
    assert Job.objects.get(pk=job.pk).started_at == job.started_at


@pytest.mark.parametrize("days", [0, -7, 29, 10**9])
def test_days_that_cannot_be_meant_are_refused(days: int, workshop: Any, tern: Any) -> None:
    Workshop.objects.update(is_demo=True)
    with pytest.raises(ValidationError, match="by 1 to 28 days"):
        demo_step(days=days, today=timezone.localdate())


def test_the_command_says_what_happened(db: None) -> None:
    demo_load(timezone.localdate())
    out = StringIO()
    call_command("demo_day", days=1, stdout=out)
    assert out.getvalue().startswith("1 day has gone by:")

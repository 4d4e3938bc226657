"""A secret address that a phone can follow, and that can be taken away again."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
import vobject
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from builds.models import CalendarFeed, Customer, MilestonePromise
from builds.network import load_workshop
from builds.services.feeds import MOST, feed_behind, feed_make, feed_revoke
from builds.templatetags.days import short_day
from parts.services.batches import batch_save
from parts.services.operations import operation_send


def events(answer: Any) -> dict[str, Any]:
    contents = vobject.readOne(answer.content.decode()).contents
    return {event.summary.value: event for event in contents.get("vevent", [])}


def address_of(person: Any) -> str:
    _, secret = feed_make(person=person, now=timezone.now())
    return f"/calendar/{secret}.ics"


@pytest.fixture
def radiator(tern: Any, make_part: Any, make_job: Any, first_start_up: Any, radiator_maker: Any) -> Any:
    part = make_part(tern, "radiator", route=[("fabricate", radiator_maker, 15)])
    first_start_up(tern, make_job(tern, "Fit radiator", needs=[part]))
    return part


def test_a_phone_reads_promised_days_without_signing_in(
    client: Client, manager: Any, fitter: Any, radiator: Any, today: Any, day: Any
) -> None:
    operation_send(operation=radiator.operations.get(), on=today, by=fitter, promised_on=day(9))
    answer = client.get(address_of(fitter))
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    event = events(answer)["Promised: radiator from Ostler Radiators"]
    assert event.dtstart.value == day(9)
    assert event.description.value == "Tern: radiator, fabricate, 1 off"
    assert event.url.value == "http://testserver/waiting/"


def test_a_new_promise_takes_the_place_of_the_old_one(
    client: Client, fitter: Any, manager: Any, radiator: Any, today: Any, day: Any
) -> None:
    from parts.services.promises import supplier_promise

    line = radiator.operations.get()
    operation_send(operation=line, on=today, by=fitter, promised_on=day(9))
    supplier_promise(operation=line, promised_on=day(16), on=today, by=manager)
    found = events(client.get(address_of(fitter)))
    assert [event.dtstart.value for event in found.values()] == [day(16)]


def test_what_goes_out_is_there_alone_and_as_a_batch(
    client: Client,
    fitter: Any,
    manager: Any,
    tern: Any,
    make_part: Any,
    make_job: Any,
    first_start_up: Any,
    plater: Any,
    today: Any,
) -> None:
    bolts = make_part(tern, "bolts", route=[("zinc_plate", plater, 5)])
    clips = make_part(tern, "clips", route=[("zinc_plate", plater, 5)])
    first_start_up(tern, make_job(tern, "Fit them", needs=[bolts, clips]))
    address = address_of(fitter)
    assert "Goods out: 2 parts to Ferrand Plating" in events(client.get(address))
    line = bolts.operations.get()
    plater.processes.add(line.process)
    batch_save(batch=None, operation_ids=[line.pk], supplier=plater, leaves="ready", today=today)
    found = events(client.get(address))
    assert any(title.startswith("Goods out: zinc plate batch") for title in found)
    assert "Goods out: clips to Ferrand Plating" in found


def test_what_a_customer_was_promised_is_for_managers(
    client: Client, fitter: Any, manager: Any, tern: Any, radiator: Any, day: Any, today: Any
) -> None:
    tern.customer = Customer.objects.create(name="Odile Farrant")
    tern.save()
    MilestonePromise.objects.create(
        milestone=tern.milestones.get(), promised_on=day(90), given_on=today, reason="asked", by=manager
    )
    for_manager, for_fitter = client.get(address_of(manager)), client.get(address_of(fitter))
    title = f"Tern: {tern.milestones.get().name} promised to the customer"
    assert title in events(for_manager)
    assert title not in events(for_fitter)
    assert b"Farrant" not in for_manager.content
    window = load_workshop(today).dated().cars[tern.pk].first_start_up.window
    words = events(for_manager)[title].description.value
    assert (
        f"Even chance {short_day(window.even_chance)}, four in five {short_day(window.four_in_five)}" in words
    )


def test_the_same_thing_keeps_its_name_between_two_readings(
    client: Client, fitter: Any, radiator: Any, today: Any, day: Any
) -> None:
    operation_send(operation=radiator.operations.get(), on=today, by=fitter, promised_on=day(9))
    address = address_of(fitter)
    first, second = events(client.get(address)), events(client.get(address))
    assert [event.uid.value for event in first.values()] == [event.uid.value for event in second.values()]


def test_a_revoked_address_and_one_never_made_answer_alike(client: Client, fitter: Any) -> None:
    address = address_of(fitter)
    assert client.get(address).status_code == 200
    feed_revoke(feed=CalendarFeed.objects.get(), by=fitter, now=timezone.now())
    revoked, never = client.get(address), client.get("/calendar/never-made.ics")
    assert (revoked.status_code, never.status_code) == (404, 404)


def test_who_has_left_reads_nothing_any_more(client: Client, fitter: Any) -> None:
    address = address_of(fitter)
    fitter.is_active = False
    fitter.save()
    assert client.get(address).status_code == 404


def test_the_secret_is_shown_once_and_kept_only_as_a_hash(as_fitter: Client) -> None:
    page = as_fitter.post("/calendars/new/", follow=True).content.decode()
    secret = re.search(r"/calendar/([\w-]+)\.ics", page)
    assert secret is not None
    assert len(secret[1]) >= 40
    assert CalendarFeed.objects.get().secret_hash != secret[1]
    assert secret[1] not in as_fitter.get("/calendars/").content.decode()


def test_nobody_revokes_the_address_of_another_but_a_manager(
    as_fitter: Client, as_manager: Client, other_fitter: Any
) -> None:
    feed, _ = feed_make(person=other_fitter, now=timezone.now())
    as_fitter.post(f"/calendars/{feed.pk}/revoke/")
    feed.refresh_from_db()
    assert feed.revoked_at is None
    as_manager.post(f"/calendars/{feed.pk}/revoke/")
    feed.refresh_from_db()
    assert feed.revoked_at is not None


def test_one_person_has_no_more_than_a_handful(fitter: Any) -> None:
    for _ in range(MOST):
        feed_make(person=fitter, now=timezone.now())
    with pytest.raises(ValidationError, match="revoke one first"):
        feed_make(person=fitter, now=timezone.now())
    assert CalendarFeed.objects.count() == MOST


def test_a_phone_that_asks_every_minute_writes_once_an_hour(fitter: Any) -> None:
    now = timezone.now()
    _, secret = feed_make(person=fitter, now=now)
    for minutes in (0, 1, 59):
        feed_behind(secret, now=now + timedelta(minutes=minutes))
    assert CalendarFeed.objects.get().read_at == now
    feed_behind(secret, now=now + timedelta(minutes=61))
    assert CalendarFeed.objects.get().read_at == now + timedelta(minutes=61)

"""What sets the date: the chain of reasons, from the first cause to the date."""

from datetime import date, datetime
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings

from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.driving import what_sets
from builds.schedule.errors import BeyondHorizon, UnknownActivity
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.passes import forward
from tests.builds.schedule.networks import plain_networks

FIRST, LAST = date(2027, 1, 1), date(2027, 12, 31)
SHOP = WorkCalendar.build(dict.fromkeys(range(5), ((480, 1020),)), (), FIRST, LAST)
CLOCK = WorkCalendar.around_the_clock(FIRST, LAST)
WEDNESDAY = to_minutes(datetime(2027, 3, 10, 8))
DAY = 1440


def chain(activities, links, target, start=WEDNESDAY, **calendars):
    network = Network.build(activities, links, {"shop": SHOP, "clock": CLOCK, **calendars}, start)
    steps = what_sets(network, forward(network), target)
    return [(step.key, step.cause, step.waits_min) for step in steps]


def test_a_supplier_s_promise_sets_the_date_and_the_weekend_is_a_wait():
    saturday = WEDNESDAY + 3 * DAY
    jobs = [
        Activity("tank back", 0, "clock", not_before=saturday),
        Activity("fit tank", 60, "shop"),
        Activity("wire dash", 120, "shop"),
        Activity("first start-up", 0, "shop"),
    ]
    links = [
        Link("tank back", "fit tank"),
        Link("fit tank", "first start-up"),
        Link("wire dash", "first start-up"),
    ]
    assert chain(jobs, links, "first start-up") == [
        ("tank back", "not before", 0),
        ("fit tank", "after", 2 * DAY),
        ("first start-up", "after", 0),
    ]


def test_the_car_that_is_away_is_a_wait():
    away = SHOP.without([(WEDNESDAY, WEDNESDAY + 2 * DAY)])
    jobs = [Activity("fit tank", 60, "car")]
    assert chain(jobs, [], "fit tank", car=away) == [("fit tank", "start of the plan", 2 * DAY)]


def test_a_chain_of_work_goes_back_to_the_start_of_the_plan():
    jobs = [Activity("a", 60, "shop"), Activity("b", 60, "shop"), Activity("c", 60, "shop")]
    links = [Link("a", "b"), Link("b", "c", LinkKind.SS, 30)]
    assert chain(jobs, links, "c") == [("a", "start of the plan", 0), ("b", "after", 0), ("c", "after", 0)]


def test_a_finish_link_is_the_cause_where_it_pushes_the_start_back():
    jobs = [Activity("fill", 300, "shop"), Activity("bleed", 60, "shop")]
    links = [Link("fill", "bleed", LinkKind.FF, 30)]
    network = Network.build(jobs, links, {"shop": SHOP}, WEDNESDAY)
    fill, bleed = what_sets(network, forward(network), "bleed")
    assert fill.cause == "start of the plan"
    assert (bleed.start, bleed.finish) == (WEDNESDAY + 270, WEDNESDAY + 330)
    assert (bleed.cause, bleed.link, bleed.waits_min) == ("after", links[0], 0)


def test_a_finish_link_that_pushes_nothing_is_no_cause():
    jobs = [Activity("short", 10, "shop"), Activity("long", 100, "shop")]
    assert chain(jobs, [Link("short", "long", LinkKind.FF)], "long") == [("long", "start of the plan", 0)]


def test_a_finish_link_within_the_work_is_no_cause_of_a_weekend():
    saturday, monday = WEDNESDAY + 3 * DAY, WEDNESDAY + 5 * DAY
    jobs = [Activity("delivery", 0, "clock", not_before=monday + 360), Activity("long", 480, "shop")]
    links = [Link("delivery", "long", LinkKind.FF)]  # allows 14:00; the work ends at 16:00 anyhow
    assert chain(jobs, links, "long", start=saturday) == [("long", "start of the plan", 2 * DAY)]


def test_what_was_allowed_before_the_calendar_begins_is_no_cause_and_no_error():
    jobs = [Activity("old", 10, "clock"), Activity("older", 10, "shop", not_before=-(10**9))]
    links = [Link("old", "older", lag_min=-(10**9)), Link("old", "older", LinkKind.FF, -(10**9))]
    assert chain(jobs, links, "older") == [("older", "start of the plan", 0)]


def test_of_two_that_end_together_the_longer_work_is_named():
    jobs = [
        Activity("a short", 60, "clock", not_before=WEDNESDAY + 60),
        Activity("b long", 120, "clock"),
        Activity("c long", 120, "clock"),
        Activity("end", 0, "clock"),
    ]
    links = [Link(key, "end") for key in ("c long", "a short", "b long")]
    assert chain(jobs, links, "end") == [("b long", "start of the plan", 0), ("end", "after", 0)]


def test_of_two_that_end_together_a_given_reason_goes_before_the_order_of_a_plan():
    """The tank is back as the welder ends, who was only put before it: it would wait without him too."""
    back = WEDNESDAY + 120
    jobs = [
        Activity("tank back", 0, "clock", not_before=back),
        Activity("weld bracket", 120, "shop"),
        Activity("fit tank", 60, "shop"),
    ]
    links = [Link("tank back", "fit tank"), Link("weld bracket", "fit tank")]
    network = Network.build(jobs, links, {"shop": SHOP, "clock": CLOCK}, WEDNESDAY)
    early = forward(network)
    assert what_sets(network, early, "fit tank")[0].key == "weld bracket"
    reason = {("tank back", "fit tank")}
    assert what_sets(network, early, "fit tank", reason)[0].key == "tank back"


def test_of_two_over_the_same_weekend_the_later_is_named():
    friday, sunday = WEDNESDAY + 2 * DAY + 540, WEDNESDAY + 4 * DAY
    jobs = [
        Activity("job", 3 * 540, "shop"),
        Activity("delivery", 0, "clock", not_before=sunday),
        Activity("next", 60, "shop"),
    ]
    monday = WEDNESDAY + 5 * DAY
    assert SHOP.add(WEDNESDAY, 3 * 540) == friday
    assert chain(jobs, [Link("job", "next"), Link("delivery", "next")], "next") == [
        ("delivery", "not before", 0),
        ("next", "after", monday - sunday),
    ]


def test_nothing_before_the_start_of_the_plan_is_a_cause():
    jobs = [Activity("old", 0, "clock", not_before=WEDNESDAY - DAY), Activity("b", 60, "shop")]
    assert chain(jobs, [Link("old", "b")], "b") == [("b", "start of the plan", 0)]


def test_a_target_that_is_not_there_is_named():
    with pytest.raises(UnknownActivity) as refusal:
        chain([Activity("a", 60, "shop")], [], "z")
    assert refusal.value.keys == ("z",)


@settings(max_examples=200, deadline=None)
@given(plain=plain_networks())
def test_every_chain_is_linked_from_its_first_cause_to_its_target(plain):
    network = plain.built()
    try:
        early = forward(network)
    except BeyondHorizon:
        assume(False)
    for target in plain.work:
        steps = what_sets(network, early, target)
        assert steps[-1].key == target
        assert steps[0].cause in ("start of the plan", "not before")
        for earlier, later in pairwise(steps):
            assert later.cause == "after"
            assert later.link in network.links
            assert (later.link.before, later.link.after) == (earlier.key, later.key)
        for step in steps:
            assert step.waits_min >= 0
            assert (step.start, step.finish) == (early.start[step.key], early.finish[step.key])


@settings(max_examples=150, deadline=None)
@given(plain=plain_networks())
def test_the_chain_alone_gives_the_same_date(plain):
    """Take everything out of the network that the chain does not name: the target stays where it is."""
    network = plain.built()
    try:
        early = forward(network)
    except BeyondHorizon:
        assume(False)
    for target in plain.work:
        steps = what_sets(network, early, target)
        named = {step.key: step for step in steps}
        alone = [
            Activity(
                key,
                plain.work[key],
                plain.calendar[key],
                plain.not_before[key] if step.cause == "not before" else None,
            )
            for key, step in named.items()
        ]
        links = [step.link for step in steps if step.link is not None]
        rebuilt = forward(Network.build(alone, links, network.calendars, network.start))
        assert rebuilt.start[target] == early.start[target]


def test_a_thousand_steps_are_no_trouble():
    jobs = [Activity(f"{n:04}", 1, "clock") for n in range(1000)]
    links = [Link(f"{n:04}", f"{n + 1:04}") for n in range(999)]
    assert len(chain(jobs, links, "0999")) == 1000

"""What would happen if: a changed copy, and the network itself as it was."""

from dataclasses import replace
from datetime import date

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BadDuration, BeyondHorizon, UnknownActivity, UnknownCalendar
from builds.schedule.network import Activity, Link, Network
from builds.schedule.passes import forward, forward_within
from builds.schedule.whatif import (
    following,
    replace_activity,
    with_activities,
    with_more,
    with_overtime,
    without,
)
from tests.builds.schedule.networks import plain_networks

CLOCK = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 12, 31))}


@pytest.fixture
def network():
    return Network.build([Activity("a", 10, "clock"), Activity("b", 20, "clock")], [Link("a", "b")], CLOCK, 0)


def test_a_later_promise_moves_what_comes_after_and_leaves_the_network_alone(network):
    late = replace_activity(network, "a", not_before=500)
    assert forward(late).finish == {"a": 510, "b": 530}
    assert forward(network).finish == {"a": 10, "b": 30}


def test_several_changes_at_once(network):
    changed = with_activities(network, {"a": Activity("a", 5, "clock"), "b": Activity("b", 1, "clock")})
    assert forward(changed).finish == {"a": 5, "b": 6}


def test_no_change_gives_an_equal_network(network):
    assert with_activities(network, {}) == network


@settings(max_examples=80, deadline=None)
@given(plain=plain_networks(), data=st.data())
def test_a_change_gives_what_building_anew_gives(plain, data):
    key = data.draw(st.sampled_from(list(plain.work)))
    work = data.draw(st.integers(0, 60))
    anew = replace(plain, work={**plain.work, key: work}).built()
    changed = replace_activity(plain.built(), key, work_min=work)
    assert changed == anew
    try:
        expected = forward(anew)
    except BeyondHorizon:
        return
    assert forward(changed) == expected


@pytest.mark.parametrize(
    ("key", "changes", "refusal"),
    [
        ("z", {"work_min": 1}, UnknownActivity),
        ("a", {"work_min": -1}, BadDuration),
        ("a", {"calendar": "plater"}, UnknownCalendar),
    ],
)
def test_a_change_that_cannot_be_is_refused(network, key, changes, refusal):
    with pytest.raises(refusal):
        replace_activity(network, key, **changes)
    assert forward(network).finish == {"a": 10, "b": 30}


def test_a_change_to_an_activity_that_is_not_there_is_refused(network):
    with pytest.raises(UnknownActivity) as refusal:
        with_activities(network, {"z": Activity("z", 1, "clock")})
    assert refusal.value.keys == ("z",)


def test_an_activity_cannot_stand_in_for_one_of_another_key(network):
    with pytest.raises(UnknownActivity) as refusal:
        with_activities(network, {"a": Activity("z", 1, "clock")})
    assert refusal.value.keys == ("z",)


def test_without_something_nothing_waits_for_it(network):
    assert forward(without(network, ["a"])).finish == {"b": 20}
    assert forward(network).finish == {"a": 10, "b": 30}


def test_something_more_is_waited_for(network):
    more = with_more(network, [Activity("car back", 100, "clock")], [Link("car back", "b")])

    assert forward(more).finish == {"a": 10, "b": 120, "car back": 100}
    assert with_more(network, [], []) is network


@pytest.mark.parametrize("ask", [without, following], ids=lambda function: function.__name__)
def test_what_is_not_there_is_refused_by_name(network, ask):
    with pytest.raises(UnknownActivity) as refusal:
        ask(network, "z")
    assert refusal.value.keys == ("z",)


@given(plain_networks())
@settings(max_examples=60, deadline=None)
def test_what_follows_an_activity_is_what_moves_with_it_or_could(plain):
    network = plain.built()
    graph = nx.DiGraph([(link.before, link.after) for link in network.links])
    graph.add_nodes_from(network.keys)

    for key in network.keys:
        assert following(network, key) == nx.descendants(graph, key) | {key}


@given(plain_networks(), st.integers(1, 40_000))
@settings(max_examples=100, deadline=None)
def test_what_lies_too_far_ahead_takes_only_what_waits_for_it_along(plain, length):
    network = plain.built()
    key = network.keys[0]
    try:
        changed = replace_activity(network, key, work_min=length)
        before = forward(network)
    except BeyondHorizon:
        return

    early, beyond = forward_within(changed)

    assert set(early.finish) | set(beyond) == set(network.keys)
    assert set(beyond) <= following(network, key)
    untouched = set(network.keys) - following(network, key)
    assert {one: early.finish[one] for one in untouched} == {one: before.finish[one] for one in untouched}
    if not beyond:
        assert early == forward(changed)
    else:
        with pytest.raises(BeyondHorizon) as refusal:
            forward(changed)
        assert refusal.value.key == next(iter(beyond))


def test_overtime_lengthens_the_last_stretch_of_each_day_of_its_time_and_no_other():
    """Saturday 8 to 12 and 13 to 16, Sunday and Monday 8 to 12; two hours more on Saturday and Sunday."""
    week = {5: [(480, 720), (780, 960)], 6: [(480, 720)], 0: [(480, 720)]}
    shop = WorkCalendar.build(week, (), date(2000, 1, 1), date(2000, 1, 4))

    longer = with_overtime(shop, 0, 2 * 1440, 120)

    assert longer.starts == shop.starts
    assert longer.ends == (720, 1080, 1440 + 840, 2 * 1440 + 720)
    assert longer.total_min == shop.total_min + 240


def test_overtime_ends_at_midnight():
    shop = WorkCalendar.build({5: [(480, 1380)]}, (), date(2000, 1, 1), date(2000, 1, 4))

    assert with_overtime(shop, 0, 1440, 120).ends == (1440,)


@pytest.mark.parametrize("extra", [0, -60])
def test_no_overtime_is_refused(extra):
    with pytest.raises(BadDuration):
        with_overtime(CLOCK["clock"], 0, 1440, extra)

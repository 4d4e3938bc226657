"""What would happen if: a changed copy, and the network itself as it was."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BadDuration, BeyondHorizon, UnknownActivity, UnknownCalendar
from builds.schedule.network import Activity, Link, Network
from builds.schedule.passes import forward
from builds.schedule.whatif import replace_activity, with_activities
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

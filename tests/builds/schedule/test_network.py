"""What a network accepts, in which order it keeps it, and what it refuses by name."""

from datetime import date

import pytest

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import (
    BadDuration,
    CycleError,
    DuplicateActivity,
    ScheduleError,
    UnknownActivity,
    UnknownCalendar,
)
from builds.schedule.network import Activity, Link, LinkKind, Network

CLOCK = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 12, 31))}


def built(keys, links=(), **work):
    activities = [Activity(key, work.get(key, 10), "clock") for key in keys]
    return Network.build(activities, links, CLOCK, 0)


def test_the_order_puts_what_is_waited_for_first_and_ties_by_key():
    links = [Link("d", "a"), Link("c", "b")]
    assert [a.key for a in built("abcde", links).activities] == ["c", "d", "e", "a", "b"]
    assert built("edcba", reversed(links)).keys == built("abcde", links).keys


def test_two_activities_may_be_tied_more_than_once():
    links = [Link("a", "b", LinkKind.SS), Link("a", "b", LinkKind.FF, 5), Link("a", "b", LinkKind.FF, 5)]
    network = built("ab", links)
    assert network.waits_for == ((), ((0, LinkKind.SS, 0), (0, LinkKind.FF, 5), (0, LinkKind.FF, 5)))
    assert network.awaited_by == (((1, LinkKind.SS, 0), (1, LinkKind.FF, 5), (1, LinkKind.FF, 5)), ())


def test_an_activity_is_found_by_its_key():
    assert built("ab").activity("b") == Activity("b", 10, "clock")
    with pytest.raises(UnknownActivity):
        built("ab").activity("c")


@pytest.mark.parametrize("kind", LinkKind)
def test_a_link_to_itself_is_a_circle_of_one(kind):
    with pytest.raises(CycleError, match="a → a") as refusal:
        built("ab", [Link("a", "a", kind)])
    assert refusal.value.keys == ("a",)


def test_a_circle_of_two_is_named_in_working_order():
    with pytest.raises(CycleError) as refusal:
        built("ab", [Link("b", "a"), Link("a", "b", LinkKind.SS, -50)])
    assert refusal.value.keys == ("a", "b")


def test_a_circle_among_others_is_named_without_those_that_only_wait_for_it():
    links = [Link("s", "p"), Link("p", "q"), Link("q", "r"), Link("r", "p"), Link("r", "z"), Link("z", "y")]
    with pytest.raises(CycleError) as refusal:
        built("pqrsyz", links)
    circle = refusal.value.keys
    assert circle == ("p", "q", "r")
    assert all(Link(*pair) in links for pair in zip(circle, circle[1:] + circle[:1], strict=True))
    assert str(refusal.value).startswith("These wait for each other in a circle: p → q → r → p.")


def test_of_two_circles_the_same_one_is_named_whatever_the_order():
    links = [Link("c", "d"), Link("d", "c"), Link("a", "b"), Link("b", "a"), Link("b", "c")]
    named = set()
    for listed in (links, links[::-1]):
        with pytest.raises(CycleError) as refusal:
            built("abcd", listed)
        named.add(refusal.value.keys)
    assert named == {("a", "b")}


def test_keys_used_twice_are_all_named():
    with pytest.raises(DuplicateActivity, match="b, d") as refusal:
        built("dabbdc")
    assert refusal.value.keys == ("b", "d")


def test_ends_of_links_that_are_not_there_are_all_named():
    with pytest.raises(UnknownActivity, match="x, y") as refusal:
        built("ab", [Link("a", "y"), Link("x", "b")])
    assert refusal.value.keys == ("x", "y")


def test_a_calendar_that_is_not_there_is_named_with_the_activity():
    with pytest.raises(UnknownCalendar) as refusal:
        Network.build([Activity("a", 10, "plater")], [], CLOCK, 0)
    assert (refusal.value.key, refusal.value.calendar) == ("a", "plater")


@pytest.mark.parametrize("work", [-1, 1.5, float("nan"), float("inf"), None, "10"])
def test_work_that_is_no_whole_number_of_minutes_is_refused(work):
    with pytest.raises(BadDuration, match="of a must be a whole number") as refusal:
        built("a", a=work)
    assert refusal.value.key == "a"
    assert refusal.value.value is work


@pytest.mark.parametrize("lag", [0.5, float("nan"), None])
def test_a_lag_that_is_no_whole_number_of_minutes_is_refused(lag):
    with pytest.raises(BadDuration, match="lag from a to b"):
        built("ab", [Link("a", "b", lag_min=lag)])


def test_an_earliest_moment_that_is_no_whole_number_is_refused():
    with pytest.raises(BadDuration):
        Network.build([Activity("a", 10, "clock", not_before=1.5)], [], CLOCK, 0)


def test_every_refusal_is_of_one_family():
    for kind in (BadDuration, CycleError, DuplicateActivity, UnknownActivity, UnknownCalendar):
        assert issubclass(kind, ScheduleError)

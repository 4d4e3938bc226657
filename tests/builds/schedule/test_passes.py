"""Both passes and the floats: by hand, against slower methods, and what must always hold."""

from dataclasses import replace
from datetime import date, datetime

import networkx as nx
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from builds.schedule.calendar import WorkCalendar, from_minutes, to_minutes
from builds.schedule.errors import BeyondHorizon, UnknownActivity
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.passes import (
    Early,
    Late,
    backward,
    forward,
    forward_again,
    forward_within,
    free_float,
    total_float,
)
from builds.schedule.whatif import replace_activity
from tests.builds.schedule import slow
from tests.builds.schedule.networks import CALENDARS, WORKED, plain_networks

SHOP = WorkCalendar.build(
    dict.fromkeys(range(5), ((480, 720), (780, 1020))), (), date(2027, 1, 1), date(2027, 12, 31)
)
HOURS = {"shop": SHOP, "clock": WorkCalendar.around_the_clock(date(2027, 1, 1), date(2027, 12, 31))}


def at(text):
    return to_minutes(datetime.fromisoformat(text))


def shown(moment):
    return f"{from_minutes(moment):%a %H:%M}"


WEDNESDAY = at("2027-03-10 08:00")


# --- by hand


def test_an_empty_network_has_no_dates():
    network = Network.build([], [], {}, 0)
    early = forward(network)
    late = backward(network, early, {})
    assert (early, late) == (Early({}, {}), Late({}, {}))
    assert total_float(network, early, late) == free_float(network, early, {}) == {}


def test_one_activity_starts_at_once_and_has_no_float():
    network = Network.build([Activity("fit tank", 480, "shop")], [], HOURS, WEDNESDAY)
    early = forward(network)
    late = backward(network, early, {"fit tank": None})
    assert (shown(early.start["fit tank"]), shown(early.finish["fit tank"])) == ("Wed 08:00", "Wed 17:00")
    assert total_float(network, early, late) == {"fit tank": 0}
    assert free_float(network, early, {"fit tank": None}) == {"fit tank": 0}


def test_a_lag_runs_through_the_night_and_the_work_waits_for_the_morning():
    jobs = [Activity("seal tank", 480, "shop"), Activity("fit tank", 60, "shop")]
    network = Network.build(jobs, [Link("seal tank", "fit tank", lag_min=12 * 60)], HOURS, WEDNESDAY)
    assert shown(forward(network).start["fit tank"]) == "Thu 08:00"  # cured at 05:00


def test_a_finish_link_pushes_the_start_back():
    jobs = [Activity("fill", 600, "shop"), Activity("bleed", 60, "shop")]
    links = [Link("fill", "bleed", LinkKind.FF, 30), Link("fill", "bleed", LinkKind.SS)]
    early = forward(Network.build(jobs, links, HOURS, WEDNESDAY))
    assert shown(early.finish["fill"]) == "Thu 10:00"
    assert (shown(early.start["bleed"]), shown(early.finish["bleed"])) == ("Thu 09:30", "Thu 10:30")


def test_a_milestone_stands_where_its_last_activity_ends():
    jobs = [Activity("last job", 3 * 480, "shop"), Activity("first start-up", 0, "shop")]
    early = forward(Network.build(jobs, [Link("last job", "first start-up")], HOURS, WEDNESDAY))
    assert shown(early.start["first start-up"]) == "Fri 17:00"


def test_a_promise_on_a_saturday_lets_the_work_begin_on_monday():
    jobs = [Activity("fit", 60, "shop", not_before=at("2027-03-13 11:00"))]
    assert shown(forward(Network.build(jobs, [], HOURS, WEDNESDAY)).start["fit"]) == "Mon 08:00"


def test_float_is_counted_in_working_minutes_of_the_own_calendar():
    jobs = [
        Activity("wire", 60, "shop"),
        Activity("bake", 60, "clock"),
        Activity("rear axle", 5 * 480, "shop"),
        Activity("first start-up", 0, "shop"),
    ]
    links = [Link(job.key, "first start-up") for job in jobs[:3]]
    network = Network.build(jobs, links, HOURS, WEDNESDAY)  # the axle is done on Tuesday at 17:00
    early = forward(network)
    targets = {"first start-up": None}
    floats = total_float(network, early, backward(network, early, targets))
    assert floats == {"wire": 2340, "bake": 6 * 1440 + 480, "rear axle": 0, "first start-up": 0}
    assert free_float(network, early, targets) == floats


def test_a_target_that_cannot_be_kept_gives_negative_float():
    jobs = [Activity("fit", 2 * 480, "shop"), Activity("handover", 0, "shop")]
    network = Network.build(jobs, [Link("fit", "handover")], HOURS, WEDNESDAY)
    early = forward(network)
    targets = {"handover": at("2027-03-10 17:00")}
    assert total_float(network, early, backward(network, early, targets)) == {"fit": -480, "handover": -480}
    assert free_float(network, early, targets) == {"fit": 0, "handover": 0}


def test_an_activity_that_leads_to_no_target_has_no_late_dates():
    jobs = [Activity(key, 60, "shop") for key in ("fit", "start-up", "trim")]
    network = Network.build(jobs, [Link("fit", "start-up"), Link("fit", "trim")], HOURS, WEDNESDAY)
    early = forward(network)
    late = backward(network, early, {"start-up": None})
    assert list(late.start) == list(late.finish) == ["fit", "start-up"]
    assert list(free_float(network, early, {"start-up": None})) == ["fit", "start-up"]


def test_the_tighter_of_two_targets_counts():
    jobs = [Activity(key, 60, "clock") for key in ("fit", "start-up", "handover")]
    links = [Link("fit", "start-up"), Link("start-up", "handover")]
    network = Network.build(jobs, links, HOURS, WEDNESDAY)
    early = forward(network)
    late = backward(network, early, {"start-up": WEDNESDAY + 150, "handover": WEDNESDAY + 1000})
    assert total_float(network, early, late) == {"fit": 30, "start-up": 30, "handover": 820}


def test_a_date_beyond_the_horizon_names_the_activity_and_its_calendar():
    jobs = [Activity("fit", 60, "shop", not_before=at("2031-03-12 08:00"))]
    with pytest.raises(BeyondHorizon, match=r"fit cannot be dated.* of shop covers") as refusal:
        forward(Network.build(jobs, [], HOURS, WEDNESDAY))
    error = refusal.value
    assert (error.key, error.calendar, error.last) == ("fit", "shop", date(2027, 12, 31))


@pytest.mark.parametrize("due", ["2026-12-31 12:00", "2028-01-01 12:00"])
def test_a_target_beyond_the_horizon_names_the_activity(due):
    network = Network.build([Activity("fit", 60, "shop")], [], HOURS, WEDNESDAY)
    early = forward(network)
    with pytest.raises(BeyondHorizon) as refusal:
        backward(network, early, {"fit": at(due)})
    assert refusal.value.key == "fit"


@pytest.mark.parametrize("ask", [backward, free_float])
def test_a_target_that_is_not_there_is_named(ask):
    network = Network.build([Activity("fit", 60, "shop")], [], HOURS, WEDNESDAY)
    with pytest.raises(UnknownActivity) as refusal:
        ask(network, forward(network), {"fit": None, "paint": None})
    assert refusal.value.keys == ("paint",)


# --- against slower methods that share nothing with the core


def spans(dates):
    return {key: (start, dates.finish[key]) for key, start in dates.start.items()}


@settings(max_examples=150, deadline=None)
@given(plain=plain_networks())
def test_early_dates_agree_with_trying_every_minute(plain):
    least = {key: max(plain.start, plain.not_before.get(key, 0)) for key in plain.work}
    worked = {key: WORKED[plain.calendar[key]] for key in plain.work}
    expected = slow.earliest(list(plain.work), plain.work, worked, least, plain.ties)
    if expected is None:
        with pytest.raises(BeyondHorizon):
            forward(plain.built())
    else:
        assert spans(forward(plain.built())) == expected


@settings(max_examples=150, deadline=None)
@given(plain=plain_networks(), late_by=st.integers(-300, 900), data=st.data())
def test_late_dates_agree_with_trying_every_minute(plain, late_by, data):
    network = plain.built()
    early = dates_or_none(network)
    assume(early is not None)
    keys = data.draw(st.sets(st.sampled_from(sorted(plain.work)), min_size=1))
    due = {key: early.finish[key] + late_by for key in keys}
    worked = {key: WORKED[plain.calendar[key]] for key in plain.work}
    try:
        expected = slow.latest(list(plain.work), plain.work, worked, due, plain.ties)
    except slow.PastTheEnd:
        assume(False)
    if expected is None:
        with pytest.raises(BeyondHorizon):
            backward(network, early, due)
    else:
        assert spans(backward(network, early, due)) == expected


def dates_or_none(network):
    try:
        return forward(network)
    except BeyondHorizon:
        return None


@settings(max_examples=80, deadline=None)
@given(plain=plain_networks(calendars=("clock",), kinds=("FS",), least_lag=0))
def test_finish_to_start_agrees_with_the_longest_path_of_networkx(plain):
    graph = nx.DiGraph()
    for key in plain.work:
        graph.add_edge("outset", key, weight=max(plain.start, plain.not_before.get(key, 0)))
    for before, after, _, lag in plain.ties:
        graph.add_edge(before, after, weight=plain.work[before] + lag)
    early = forward(plain.built())
    for key in plain.work:
        ancestry = graph.subgraph(nx.ancestors(graph, key) | {key})
        assert early.start[key] == nx.dag_longest_path_length(ancestry)


@settings(max_examples=60, deadline=None)
@given(plain=plain_networks(calendars=("clock",)), spare=st.integers(0, 500))
def test_all_kinds_of_link_agree_with_a_linear_programme(plain, spare):
    """Earliest and latest starts minimise and maximise the sum of starts: scipy's HiGHS does both."""
    keys = list(plain.work)
    rows, limits = [], []
    for before, after, kind, lag in plain.ties:
        row = np.zeros(len(keys))
        row[keys.index(before)], row[keys.index(after)] = 1, -1
        rows.append(row)
        ahead = plain.work[before] if kind[0] == "F" else 0
        behind = plain.work[after] if kind[1] == "F" else 0
        limits.append(behind - ahead - lag)
    bounds = [(max(plain.start, plain.not_before.get(key, 0)), None) for key in keys]
    kept = (np.array(rows), limits) if rows else (None, None)
    least = linprog(np.ones(len(keys)), *kept, bounds=bounds, method="highs")
    network = plain.built()
    early = forward(network)
    assert [early.start[key] for key in keys] == np.round(least.x, 6).tolist()

    ends = plain.ends()
    targets = {key: early.finish[key] + spare for key in ends}
    bounds = [(None, targets[key] - plain.work[key] if key in ends else None) for key in keys]
    most = linprog(-np.ones(len(keys)), *kept, bounds=bounds, method="highs")
    try:
        late = backward(network, early, targets)
    except BeyondHorizon:
        assume(False)
    assert [late.start[key] for key in keys] == np.round(most.x, 6).tolist()


# --- what must always hold


@settings(max_examples=200, deadline=None)
@given(plain=plain_networks(), spare=st.integers(0, 400))
def test_no_early_date_is_after_a_late_one_and_free_float_is_within_total(plain, spare):
    network = plain.built()
    early = dates_or_none(network)
    assume(early is not None)
    targets = {key: early.finish[key] + spare for key in plain.ends()}
    try:
        late = backward(network, early, targets)
        free = free_float(network, early, targets)
    except BeyondHorizon:
        assume(False)
    total = total_float(network, early, late)
    for key in plain.work:
        assert early.start[key] <= late.start[key]
        assert 0 <= free[key] <= total[key]


@settings(max_examples=150, deadline=None)
@given(plain=plain_networks(), data=st.data())
def test_using_up_the_free_float_moves_nothing_and_one_minute_more_moves_something(plain, data):
    network = plain.built()
    early = dates_or_none(network)
    assume(early is not None)
    assume(plain.ties)
    key = data.draw(st.sampled_from(sorted({tie[0] for tie in plain.ties})))
    # A milestone in closed time can slip through all of it and use no working minute.
    assume(plain.work[key] or plain.calendar[key] == "clock")
    free = free_float(network, early, {})[key]
    calendar = CALENDARS[plain.calendar[key]]
    slipped = calendar.next_working(calendar.add(early.start[key], free))
    beyond = calendar.next_working(calendar.add(early.start[key], free + 1))
    moved = forward(replaced(plain, key, slipped).built())
    moved_more = forward(replaced(plain, key, beyond).built())
    others = [other for other in plain.work if other != key]
    assert all(moved.start[other] == early.start[other] for other in others)
    assert any(moved_more.start[other] > early.start[other] for other in others)


def replaced(plain, key, moment):
    return replace(plain, not_before={**plain.not_before, key: max(moment, plain.not_before.get(key, 0))})


@settings(max_examples=150, deadline=None)
@given(
    plain=plain_networks(), change=st.sampled_from(["start", "work", "moment", "lag", "link"]), data=st.data()
)
def test_more_work_later_input_or_another_link_never_makes_anything_earlier(plain, change, data):
    before = dates_or_none(plain.built())
    assume(before is not None)
    key = data.draw(st.sampled_from(list(plain.work)))
    more = data.draw(st.integers(1, 120))
    if change == "start":
        later = replace(plain, start=plain.start + more)
    elif change == "work":
        # A longer activity finishes later but may start earlier under a finish link: finishes are compared.
        later = replace(plain, work={**plain.work, key: plain.work[key] + more})
        assume(not any(tie[1] == key and tie[2][1] == "F" for tie in plain.ties))
        assume(plain.work[key] > 0)
    elif change == "moment":
        later = replace(plain, not_before={**plain.not_before, key: plain.not_before.get(key, 0) + more})
    elif change == "lag":
        assume(plain.ties)
        b, a, kind, lag = plain.ties[0]
        later = replace(plain, ties=[(b, a, kind, lag + more), *plain.ties[1:]])
    else:
        keys = list(plain.work)
        other = data.draw(st.sampled_from(keys))
        assume(keys.index(key) < keys.index(other))
        kind = data.draw(st.sampled_from(["FS", "SS", "FF", "SF"]))
        later = replace(plain, ties=[*plain.ties, (key, other, kind, more)])
    after = dates_or_none(later.built())
    assume(after is not None)
    assert all(after.start[k] >= before.start[k] for k in plain.work)
    assert all(after.finish[k] >= before.finish[k] for k in plain.work)


def sharing(now, was):
    """The same network, with the very objects of another where the two are equal."""
    return replace(
        now,
        calendars=was.calendars,
        activities=tuple(a if a != b else b for a, b in zip(now.activities, was.activities, strict=True)),
        waits_for=tuple(a if a != b else b for a, b in zip(now.waits_for, was.waits_for, strict=True)),
    )


@settings(max_examples=300, deadline=None)
@given(plain=plain_networks(), data=st.data())
def test_worked_out_again_after_changes_the_dates_are_those_worked_out_from_nothing(plain, data):
    was = plain.built()
    early = dates_or_none(was)
    assume(early is not None)
    some = st.sets(st.sampled_from(sorted(plain.work)), max_size=2)
    work = {key: data.draw(st.integers(0, 200)) for key in sorted(data.draw(some))}
    moments = {key: data.draw(st.integers(0, 3000)) for key in sorted(data.draw(some))}
    ties = [tie for tie in plain.ties if data.draw(st.integers(0, 3))]
    now = replace(
        plain, work={**plain.work, **work}, not_before={**plain.not_before, **moments}, ties=ties
    ).built()
    again = now if now.place != was.place else sharing(now, was)

    assert forward_again(again, was, early) == forward_within(now)


def test_worked_out_again_nothing_is_asked_of_what_did_not_move():
    """The calendar is asked about nothing but the job that changed and the one after it."""
    asked = []

    class Asked(WorkCalendar):
        def earliest(self, moment, work_min):
            asked.append(work_min)
            return super().earliest(moment, work_min)

    clock = WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))
    calendars = {"clock": Asked(clock.first, clock.last, clock.starts, clock.ends)}
    jobs = [Activity(key, work, "clock") for key, work in (("a", 10), ("b", 20), ("c", 30), ("d", 40))]
    was = Network.build(jobs, [Link("a", "b"), Link("b", "c"), Link("a", "d")], calendars, 0)
    early = forward(was)
    asked.clear()

    again, beyond = forward_again(replace_activity(was, "b", work_min=25), was, early)

    assert asked == [25, 30]
    assert again.finish == {"a": 10, "b": 35, "d": 50, "c": 65}
    assert beyond == {}


def test_worked_out_again_what_no_longer_fits_has_no_date_and_keeps_no_other_from_its_own():
    clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    jobs = [Activity(key, 10, "clock") for key in "abc"]
    was = Network.build(jobs, [Link("a", "b")], clock, 0)

    again, beyond = forward_again(replace_activity(was, "a", work_min=99_999), was, forward(was))

    assert again.finish == {"c": 10}
    assert list(beyond) == ["a", "b"]


@settings(max_examples=100, deadline=None)
@given(plain=plain_networks(), order=st.randoms(use_true_random=False))
def test_dates_do_not_depend_on_the_order_in_which_things_were_typed(plain, order):
    early = dates_or_none(plain.built())
    assume(early is not None)
    keys, ties = list(plain.work), list(plain.ties)
    order.shuffle(keys)
    order.shuffle(ties)
    shuffled = replace(plain, work={key: plain.work[key] for key in keys}, ties=ties)
    assert forward(shuffled.built()) == early
    assert list(forward(shuffled.built()).start) == list(early.start)

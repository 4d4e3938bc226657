"""Every single draw is a forward pass: dates to the minute, on random networks with calendars.

The random networks are those of the tests of the forward pass, which has its own slow reference.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from builds.schedule.calendar import WorkCalendar
from builds.schedule.driving import what_sets
from builds.schedule.errors import BeyondHorizon
from builds.schedule.forecast import forecast
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.passes import earliest_span, forward
from builds.schedule.simulation import Simulation
from builds.schedule.spread import Fixed, Triangular
from builds.schedule.whatif import with_activities
from tests.builds.schedule.networks import CALENDARS, FIRST, plain_networks


def dated(network):
    """The early finishes, or None where an activity does not fit into its calendar."""
    try:
        return forward(network).finish
    except BeyondHorizon:
        return None


def with_work(network, work):
    return with_activities(
        network, {key: replace(network.activity(key), work_min=minutes) for key, minutes in work.items()}
    )


@settings(deadline=None, max_examples=300)
@given(plain=plain_networks())
def test_without_spread_the_dates_are_those_of_the_forward_pass(plain):
    network = plain.built()
    finishes = dated(network)
    assume(finishes is not None)
    found = forecast(network, {}, list(network.keys), seed=0, draws=2, most_draws=2)
    assert {key: outcome.even_chance for key, outcome in found.outcomes.items()} == finishes
    assert {key: outcome.four_in_five for key, outcome in found.outcomes.items()} == finishes


@settings(deadline=None, max_examples=200)
@given(plain=plain_networks())
def test_certain_spreads_take_the_place_of_the_work(plain):
    network = plain.built()
    work = {key: 2 * minutes for key, minutes in plain.work.items()}
    finishes = dated(with_work(network, work))
    assume(finishes is not None)
    spreads = {key: Fixed(minutes) for key, minutes in work.items()}
    found = forecast(network, spreads, list(network.keys), seed=0, draws=2, most_draws=2)
    assert {key: outcome.even_chance for key, outcome in found.outcomes.items()} == finishes


@settings(deadline=None, max_examples=200)
@given(plain=plain_networks(), seed=st.integers(0, 10**6))
def test_every_draw_is_a_forward_pass_with_the_lengths_drawn(plain, seed):
    network = plain.built()
    spreads = {key: Triangular(1, 1 + work, 1 + 2 * work) for key, work in plain.work.items() if work}
    try:
        simulation = Simulation(network, spreads, network.keys, seed, {})
    except BeyondHorizon:
        assume(False)
    block = next(simulation.blocks([6], False))
    drawn = block.lengths.astype(int)
    for column in range(6):
        work = dict(zip(simulation.drawn, drawn[:, column].tolist(), strict=True))
        finishes = dated(with_work(network, work))
        if finishes is not None:
            found = [int(row[column]) for row in block.finishes]
            assert found == [finishes[key] for key in simulation.targets]


def test_what_waits_for_the_start_of_a_job_that_is_held_back_keeps_its_own_first_day():
    """The longer the second job takes, the earlier it can have begun, as its finish is held back."""
    network = Network.build(
        [
            Activity("first", 5000, "clock"),
            Activity("second", 100, "clock"),
            Activity("third", 0, "clock", 4900),
        ],
        [Link("first", "second", LinkKind.FF), Link("second", "third", LinkKind.SS)],
        CALENDARS,
        0,
    )
    simulation = Simulation(network, {"second": Triangular(10, 100, 4000)}, ["third"], 0, {})
    block = next(simulation.blocks([200], False))
    assert min(block.finishes[0]) >= 4900


@settings(deadline=None, max_examples=200)
@given(plain=plain_networks())
def test_what_sets_the_date_is_critical_in_every_draw_where_nothing_is_uncertain(plain):
    network = plain.built()
    assume(dated(network) is not None)
    for end in plain.ends():
        chain = what_sets(network, forward(network), end)
        outcome = forecast(network, {}, [end], seed=0, draws=2, most_draws=2).outcomes[end]
        assert all(outcome.criticality[step.key] == 1 for step in chain)


def surely_and_perhaps_critical(network, early, end):
    """What sets the date of `end`, link by link from the definition: without and with what the plan's own
    start would give as well."""

    def reached(perhaps):
        found, todo = {end}, [end]
        while todo:
            key = todo.pop()
            activity = network.activity(key)
            dates = early.start[key], early.finish[key]
            outset = earliest_span(network, activity, network.start, None) == dates
            for before, kind, lag in network.waits_for[network.place[key]]:
                other = network.keys[before]
                bound = (early.finish if kind[0] == "F" else early.start)[other] + lag
                if kind[1] == "S":
                    from_bound = earliest_span(network, activity, max(bound, network.start), None)
                    sets = from_bound == dates and (perhaps or bound >= network.start)
                else:
                    from_bound = earliest_span(network, activity, network.start, bound)
                    sets = from_bound == dates and (perhaps or not outset)
                if sets and other not in found:
                    found.add(other)
                    todo.append(other)
        return found

    return reached(False), reached(True)


@settings(deadline=None, max_examples=300)
@given(plain=plain_networks())
def test_critical_is_what_sets_the_date_link_by_link(plain):
    network = plain.built()
    assume(dated(network) is not None)
    early = forward(network)
    for end in plain.ends():
        outcome = forecast(network, {}, [end], seed=0, draws=2, most_draws=2).outcomes[end]
        surely, perhaps = surely_and_perhaps_critical(network, early, end)
        found = {key for key, share in outcome.criticality.items() if share}
        assert surely <= found <= perhaps
        assert set(outcome.criticality.values()) <= {0, 1}


@pytest.mark.parametrize("shorts", [["short"], ["short", "shorter"]])
def test_a_start_that_does_not_hold_the_finish_back_is_not_critical(shorts):
    jobs = [Activity("short", 10, "clock"), Activity("shorter", 9, "clock")]
    jobs += [Activity("long", 100, "clock"), Activity("fit", 20, "clock")]
    links = [*(Link(key, "fit") for key in shorts), Link("long", "fit", LinkKind.FF, 30)]
    network = Network.build(jobs, links, CALENDARS, 1000)
    outcome = forecast(network, {}, ["fit"], seed=0, draws=2, most_draws=2).outcomes["fit"]
    assert outcome.criticality == {"long": 1, "fit": 1} | dict.fromkeys(shorts, 0)


def assert_no_earlier(before, then, seed, ends):
    """In every order statistic, as the same lengths are drawn."""
    try:
        first, second = (
            forecast(network, spreads, ends, seed, draws=50, most_draws=50)
            for network, spreads in (before, then)
        )
    except BeyondHorizon:
        assume(False)
    for end in ends:
        assert (second.outcomes[end].finishes >= first.outcomes[end].finishes).all()


@settings(deadline=None, max_examples=100)
@given(plain=plain_networks(), seed=st.integers(0, 10**6), data=st.data())
def test_a_later_earliest_moment_never_makes_a_date_earlier(plain, seed, data):
    network = plain.built()
    spreads = {key: Triangular(1, 5, 5 + work) for key, work in plain.work.items()}
    key = data.draw(st.sampled_from(sorted(plain.work)))
    begin = (network.activity(key).not_before or network.start) + 200
    after = with_activities(network, {key: replace(network.activity(key), not_before=begin)})
    assert_no_earlier((network, spreads), (after, spreads), seed, plain.ends())


# Not FF and SF: where a finish is held back, a longer job begins earlier, and what waits for its start gains.
@settings(deadline=None, max_examples=100)
@given(plain=plain_networks(kinds=("FS", "SS")), seed=st.integers(0, 10**6), data=st.data())
def test_a_longer_job_never_makes_a_date_earlier(plain, seed, data):
    network = plain.built()
    spreads = {key: Triangular(1, 5, 5 + work) for key, work in plain.work.items()}
    key = data.draw(st.sampled_from(sorted(plain.work)))
    longer = {**spreads, key: Triangular(3, 9, 9 + plain.work[key])}
    assert_no_earlier((network, spreads), (network, longer), seed, plain.ends())


def odd_week(minute):
    """A week whose hours share no divisor but a minute, over so many years that no table is laid out."""
    day = ((480, 720), (750 + minute, 1020))
    return WorkCalendar.build(dict.fromkeys(range(5), day), (), FIRST, FIRST.replace(year=2003))


def test_a_calendar_too_fine_for_a_table_is_searched_with_the_same_result():
    calendars = {"odd": odd_week(1), "clock": WorkCalendar.around_the_clock(FIRST, FIRST.replace(year=2003))}
    activities = [
        Activity("cut", 700, "odd"),
        Activity("cure", 1700, "clock"),
        Activity("fit", 311, "odd"),
        Activity("check", 5, "odd"),
        Activity("done", 0, "odd"),
    ]
    links = [
        Link("cut", "cure"),
        Link("cure", "fit", lag_min=60),
        Link("fit", "check"),
        Link("check", "done"),
    ]
    network = Network.build(activities, links, calendars, 2900)
    finishes = forward(network).finish
    found = forecast(network, {}, list(network.keys), seed=0, draws=2, most_draws=2)
    assert {key: outcome.even_chance for key, outcome in found.outcomes.items()} == finishes


def test_blocks_of_any_size_give_the_same_draws():
    jobs = [
        Activity(key, 60, name) for key, name in zip("abcd", ["clock", "shop", "shop", "clock"], strict=True)
    ]
    network = Network.build(jobs, [Link("a", "b"), Link("b", "d"), Link("c", "d")], CALENDARS, 1000)
    spreads = {key: Triangular(10, 30, 90) for key in "abcd"}
    one, other = (
        forecast(network, spreads, ["d"], seed=7, draws=1002, most_draws=1002, block=size).outcomes["d"]
        for size in (1002, 64)
    )
    assert (one.finishes == other.finishes).all()
    assert one.criticality == other.criticality
    assert one.contribution_min == pytest.approx(other.contribution_min, abs=1e-3)


def test_the_same_seed_gives_the_same_answer_and_another_seed_another():
    network = Network.build([Activity("a", 60, "clock")], [], CALENDARS, 1000)
    spreads = {"a": Triangular(10, 300, 900)}
    one, same, other = (
        forecast(network, spreads, ["a"], seed=seed, draws=200, most_draws=200).outcomes["a"].finishes
        for seed in (3, 3, 4)
    )
    assert (one == same).all()
    assert (one != other).any()


def test_an_activity_draws_the_same_lengths_whatever_stands_beside_it():
    spreads = {key: Triangular(10, 300, 900) for key in "ab"}
    alone = Network.build([Activity("b", 60, "clock")], [], CALENDARS, 1000)
    beside = Network.build([Activity("a", 60, "clock"), Activity("b", 60, "clock")], [], CALENDARS, 1000)
    drawn = [
        forecast(network, {k: spreads[k] for k in network.keys}, ["b"], seed=3, draws=200, most_draws=200)
        for network in (alone, beside)
    ]
    assert (drawn[0].outcomes["b"].finishes == drawn[1].outcomes["b"].finishes).all()


def test_what_leads_to_no_target_is_not_drawn():
    jobs = [Activity("a", 60, "clock"), Activity("b", 60, "clock")]
    simulation = Simulation(
        Network.build(jobs, [], CALENDARS, 1000), dict.fromkeys("ab", Triangular(1, 2, 9)), ["b"], 0, {}
    )
    assert simulation.drawn == ("b",)
    assert np.shape(next(simulation.blocks([4], False)).lengths) == (1, 4)

"""Tasks of a plan that are over: the rest keeps its order, as if it were put in that order from scratch."""

from random import Random

import pytest

from builds.schedule.handover import hand_overs, in_plan_order
from builds.schedule.let_go import let_go
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Network
from builds.schedule.passes import forward
from builds.schedule.whatif import without
from tests.builds.schedule.levelling.workshops import workshop


@pytest.mark.parametrize("seed", range(12))
def test_what_is_left_is_as_if_put_in_order_without_what_is_over(seed):
    """Put in order anew from the plan by the core that knows nothing of letting go, with people alone."""
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed)
    placed = serial_plan(problem).placed
    network = in_plan_order(problem.network, problem, placed)
    handed = hand_overs(problem, placed)
    tied = {(link.before, link.after) for link in problem.network.links}
    away = {one.key for one in problem.tasks if one.place == "away" or one.uses}
    over = Random(seed).sample(sorted(set(network.place) - away), 4)

    left = let_go(network, handed, tied, over)

    anew = in_plan_order(without(problem.network, over), problem, placed)
    dates = forward(left.network)
    assert {key: dates.finish[key] for key in anew.place} == dict(forward(anew).finish)


@pytest.mark.parametrize("seed", range(4))
def test_its_arcs_are_those_of_its_links(seed):
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed)
    placed = serial_plan(problem).placed
    network = in_plan_order(problem.network, problem, placed)
    over = Random(seed).sample(sorted(network.place), 3)

    left = let_go(network, hand_overs(problem, placed), (), over[:2], over[2:]).network

    built = Network.build(left.activities, left.links, left.calendars, left.start)
    for key in left.place:
        for found, arcs in ((left, left.waits_for), (built, built.waits_for)):
            assert len(arcs[found.place[key]]) == len(left.waits_for[left.place[key]])
    assert forward(built).finish == forward(left).finish
    assert not any({link.before, link.after} & set(over[:2]) for link in left.links)


def test_nothing_over_changes_nothing():
    problem = workshop(cars=3, jobs=25, workers=4, seed=1)
    placed = serial_plan(problem).placed
    network = in_plan_order(problem.network, problem, placed)

    left = let_go(network, hand_overs(problem, placed), (), ())

    assert left.network == network
    assert left.handed == hand_overs(problem, placed)

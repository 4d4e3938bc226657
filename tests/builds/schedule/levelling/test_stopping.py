"""Looking for a better plan tells how far it is, can be stopped, and keeps the best."""

from itertools import pairwise
from time import monotonic

from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from tests.builds.schedule.levelling.workshops import workshop


def test_progress_only_gets_better_and_ends_with_what_comes_back():
    problem = workshop(cars=5, jobs=20, workers=3, seed=5)
    seen = []
    best = improve(problem, serial_plan(problem), 1, lambda plan, bound: seen.append((plan.cost, bound.cost)))
    assert seen[0][0] == serial_plan(problem).cost
    assert all(later[0] <= earlier[0] and later[1] >= earlier[1] for earlier, later in pairwise(seen))
    assert seen[-1] == (best.cost, best.bound.cost)


def test_it_stops_when_it_is_told_to_and_keeps_the_best():
    problem = workshop(cars=6, jobs=60, workers=3, seed=2)
    start = serial_plan(problem)
    begun = monotonic()
    best = improve(problem, start, 60, should_stop=lambda: monotonic() - begun > 0.3)
    assert monotonic() - begun < 10
    assert best.cost <= start.cost


def test_it_stops_when_the_time_is_up():
    problem = workshop(cars=6, jobs=60, workers=3, seed=2)
    start = serial_plan(problem)
    begun = monotonic()
    improve(problem, start, 0.5)
    assert monotonic() - begun < 10  # with room for a busy machine

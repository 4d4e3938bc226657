"""What is proven to be the least cost is so by a plain CP-SAT model too, written for the benchmarks."""

import pytest

from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from tests.benchmarks.levelling import Run, ours, plain, told
from tests.benchmarks.plain_model import solve_plainly
from tests.builds.schedule.levelling.workshops import workshop

LONG = 60  # these take a second or two on an idle machine, and come back as soon as they are proven


@pytest.mark.parametrize(
    ("cars", "jobs", "people", "seed"),
    [(3, 30, 6, 0), (3, 30, 6, 1), (3, 30, 6, 2), (2, 12, 2, 0), (2, 12, 2, 1), (2, 20, 3, 1)],
)
def test_both_prove_the_same_least_cost(cars, jobs, people, seed):
    problem = workshop(cars, jobs, people, seed, uneven=False)
    best = improve(problem, serial_plan(problem), LONG)
    plain = solve_plainly(problem, LONG, 1)[-1]
    assert best.is_proven
    assert plain.gap == 0
    assert best.cost == plain.cost


@pytest.mark.parametrize("seed", range(6))
def test_no_plan_is_cheaper_and_no_bound_higher_than_what_is_proven_plainly(seed):
    """With three people for as many cars the order matters; seeds 2 and 3 are not proven in a second."""
    problem = workshop(3, 15, 3, seed, uneven=False)
    best = improve(problem, serial_plan(problem), 1)
    plain = solve_plainly(problem, LONG, 1)[-1]
    assert plain.gap == 0
    assert best.bound.cost <= plain.cost <= best.cost


def test_the_benchmark_tells_a_plan_of_either_side_and_that_there_is_none():
    problem = workshop(2, 12, 2, 1, uneven=False)
    for way in (ours, plain):
        run = way(problem, 5, 1)
        assert (run.cost, run.gap) == (31590, 0)
        assert "after 5 s gap 0.0%, cost 31,590;" in told([run], 5)
    large = plain(workshop(uneven=False), 0.01, 1)
    assert told([large, large, run], 0.01).startswith("no plan in 0.01 s with 2 of 3 seeds;")
    some = told([Run(), run, run], 5)
    assert some.startswith("first plan ")
    assert some.endswith("; no plan with 1 of 3 seeds")

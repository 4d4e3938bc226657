"""A new plan moves as little as it may against the plan that people know."""

from dataclasses import replace
from random import Random

import pytest

from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.plan import MovedTask, cost_of, moved
from builds.schedule.levelling.problem import Placed, Previous, Problem, Target, Task
from builds.schedule.levelling.serial import serial_plan
from tests.builds.schedule.levelling.workshops import at, jobs_of, workshop

NINE, TEN = Placed(at(1, 9), at(1, 10), ("Ann",)), Placed(at(1, 10), at(1, 11), ("Ann",))


def test_what_starts_at_another_time_or_with_others_has_moved():
    before = Previous({"a": NINE, "b": NINE, "c": NINE, "gone": NINE}, tolerance_min=30)
    bob = Placed(NINE.start, NINE.finish, ("Bob",))
    now = {"a": TEN, "b": bob, "c": Placed(NINE.start + 30, NINE.finish + 30, ("Ann",)), "new": TEN}
    assert moved(before, now) == (
        MovedTask("a", 60, ("Ann",), ("Ann",)),
        MovedTask("b", 0, ("Ann",), ("Bob",)),
    )


def test_nothing_moves_when_nothing_has_changed():
    first = serial_plan(workshop(cars=3, jobs=15, workers=3))
    problem = workshop(cars=3, jobs=15, workers=3, previous=Previous(first.placed, moved_weight=100))
    again = serial_plan(problem)
    assert moved(problem.previous, again.placed) == ()
    assert again.moved_count == 0
    assert check(problem, again.placed) == ()


@pytest.mark.parametrize("seed", range(6))
def test_improving_moves_nothing_of_the_best_plan_of_an_unchanged_problem(seed):
    first = serial_plan(workshop(cars=2, jobs=8, workers=2, seed=seed, jobs_for=2))
    heavy = Previous(first.placed, moved_weight=10_000_000)
    problem = workshop(cars=2, jobs=8, workers=2, seed=seed, jobs_for=2, previous=heavy)
    best = improve(problem, serial_plan(problem), 0.4)
    assert (best.moved_count, best.cost) == (0, first.cost)


def test_what_needs_nobody_any_more_has_not_moved():
    done = Placed(NINE.start, NINE.start)
    assert moved(Previous({"a": NINE}), {"a": done}) == ()


def swap(weight):
    """Two jobs of an hour as they were planned, of which the later now matters three times as much."""
    before = {"fit dash": Placed(at(1, 8), at(1, 9), ("Ann",)), "fit tank": NINE}
    return jobs_of(
        {"fit dash": 60, "fit tank": 60},
        targets=[Target("fit dash", early_weight=1), Target("fit tank", early_weight=3)],
        previous=Previous(before, moved_weight=weight),
    )


def test_a_plan_is_turned_over_where_that_gains_more_than_it_costs():
    problem = swap(weight=10)  # gains 120, costs 20
    best = improve(problem, serial_plan(problem), 1)
    assert len(moved(problem.previous, best.placed)) == best.moved_count == 2
    assert best.is_proven


def test_a_plan_stays_where_turning_it_over_costs_more_than_it_gains():
    problem = swap(weight=70)  # gains 120, costs 140
    best = improve(problem, serial_plan(problem), 1)
    assert moved(problem.previous, best.placed) == ()
    assert best.is_proven


def test_a_heavier_weight_moves_fewer_tasks():
    first = serial_plan(workshop(cars=3, jobs=15, workers=2, seed=1, jobs_for=2))
    counts = []
    for weight in (0, 100_000):
        previous = Previous(first.placed, moved_weight=weight)
        problem = workshop(cars=3, jobs=15, workers=3, seed=1, previous=previous, jobs_for=2)
        best = improve(problem, serial_plan(problem), 0.8)
        assert check(problem, best.placed) == ()
        counts.append(len(moved(previous, best.placed)))
    assert counts[1] < counts[0]


def test_a_delay_moves_only_what_it_must():
    tasks = {"fit dash": 60, "fit tank": 60, "trim": 60}
    first = serial_plan(jobs_of(tasks)).placed
    late = {**tasks, "fit dash": Task("fit dash", 60, not_before=at(2, 8))}
    problem = jobs_of(late, previous=Previous(first))
    best = improve(problem, serial_plan(problem), 1)
    assert [task.key for task in moved(problem.previous, best.placed)] == ["fit dash"]


def with_less_to_do(problem, previous, random):
    """The same workshop after a few parts came in or jobs went faster than thought."""
    tasks = list(problem.tasks)
    for number in random.sample(range(len(tasks)), 4):
        left = random.choice((0.0, 0.25, 0.5))
        tasks[number] = replace(tasks[number], work_min=int(tasks[number].work_min * left))
    return Problem.build(
        tasks,
        problem.links,
        problem.workers,
        problem.calendars,
        problem.start,
        hours=problem.hours,
        counted=problem.counted.values(),
        targets=problem.targets,
        previous=previous,
    )


@pytest.mark.parametrize("seed", range(10))
def test_accepting_parts_never_makes_the_plan_worse(seed):
    problem = workshop(cars=3, jobs=20, workers=3, seed=seed)
    before = serial_plan(problem)
    after = with_less_to_do(problem, Previous(before.placed), Random(seed))
    plan = serial_plan(after)
    assert check(after, plan.placed) == ()
    assert plan.cost <= before.cost  # with what moved counted in
    assert cost_of(after, plan.placed).late <= plan.cost


@pytest.mark.parametrize("seed", range(10))
def test_a_task_that_is_gone_never_makes_the_plan_worse(seed):
    problem = workshop(cars=3, jobs=20, workers=3, seed=seed)
    before = serial_plan(problem)
    targets = {target.key for target in problem.targets}
    gone = Random(seed).choice([task.key for task in problem.tasks if task.key not in targets])
    after = Problem.build(
        [task for task in problem.tasks if task.key != gone],
        [link for link in problem.links if gone not in (link.before, link.after)],
        problem.workers,
        problem.calendars,
        problem.start,
        hours=problem.hours,
        counted=problem.counted.values(),
        targets=problem.targets,
        previous=Previous(before.placed),
    )
    assert serial_plan(after).cost <= before.cost

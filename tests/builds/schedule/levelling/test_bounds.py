"""What no plan can beat: by hand, and never worse for one person more."""

import pytest

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.problem import Counted, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import at, jobs_of, week, workshop


def test_the_bound_of_two_cars_is_that_of_the_better_order():
    # one person, 2 h and 6 h: the short one first costs 2 + 8 = 10 h, the other way 6 + 8 = 14 h
    problem = jobs_of({"Tern": 120, "Skua": 360}, targets=[Target("Tern"), Target("Skua")])
    assert Bounds(Axis(problem)).in_order == ((120, 480), 600)
    assert serial_plan(problem).is_proven


def test_no_car_is_finished_before_those_who_can_do_its_work_have_done_it():
    crew = [Worker("Ann", week()), Worker("Bob", week())]
    tasks = {f"job {n}": 480 for n in range(6)} | {"start-up": Task("start-up", 0, people=0)}
    links = [Link(f"job {n}", "start-up") for n in range(6)]
    bound = serial_plan(jobs_of(tasks, links, crew, targets=[Target("start-up")])).bound
    assert bound.earliest == {"start-up": at(3, 16, 30)}


def test_no_car_is_finished_before_its_lines_are_through_the_supplier():
    # three lines of two hours each, of which the supplier takes one at a time; then an hour at the bench
    tasks = {f"plate {n}": Task(f"plate {n}", 120, people=0, uses=(("plater", 1),)) for n in range(3)}
    tasks["fit"] = Task("fit", 60)
    problem = jobs_of(
        tasks,
        [Link(f"plate {n}", "fit") for n in range(3)],
        counted=[Counted("plater", 1)],
        targets=[Target("fit")],
    )
    plan = serial_plan(problem)
    assert plan.is_proven
    assert plan.bound.earliest == {"fit": at(1, 15, 30)}


def test_what_cannot_begin_before_a_later_day_is_bounded_from_that_day():
    tasks = {
        f"plate {n}": Task(f"plate {n}", 120, people=0, not_before=at(3, 8), uses=(("plater", 1),))
        for n in range(3)
    }
    tasks["strip"] = Task("strip", 60, people=0, uses=(("plater", 1),))
    tasks["fit"] = Task("fit", 0, people=0)
    problem = jobs_of(
        tasks,
        [Link(key, "fit") for key in tasks if key != "fit"],
        counted=[Counted("plater", 1)],
        targets=[Target("fit")],
    )
    assert serial_plan(problem).bound.earliest == {"fit": at(3, 14, 30)}


def test_a_time_by_the_clock_counts_as_little_as_it_can_in_the_days_in_question():
    problem = jobs_of(
        {"plate": Task("plate", 3 * 1440, "clock", people=0), "fit": 60},
        [Link("plate", "fit")],
        targets=[Target("fit")],
    )
    plate = problem.place["plate"]
    assert Axis(problem).sizes[plate] == 0  # over Christmas the workshop is shut for nine days
    assert Axis(problem, latest=(at(15, 8), at(15, 8))).sizes[plate] == 480  # two halves of a day, or one day
    assert Axis(problem, latest=(at(2, 8), at(2, 8))).sizes[plate] == 3 * 480
    # begun on Monday it is back on Thursday; the fitting is then an hour more
    assert serial_plan(problem).bound.cost == 3 * 480 + 60


@pytest.mark.parametrize("seed", range(4))
def test_one_person_more_never_makes_the_bound_worse(seed):
    bounds = []
    for workers in (2, 3):
        problem = workshop(cars=2, jobs=12, workers=workers, seed=seed, uneven=False, jobs_for=2)
        bounds.append(Bounds(Axis(problem)).bound())
    assert bounds[1].cost <= bounds[0].cost
    assert all(bounds[1].earliest[key] <= moment for key, moment in bounds[0].earliest.items())


def test_one_person_more_never_makes_a_proven_plan_worse():
    costs = []
    for crew in (["Ann"], ["Ann", "Bob"], ["Ann", "Bob", "Cas"]):
        tasks = {f"{car} {n}": 60 * n for car in ("Tern", "Skua") for n in (1, 2, 3)}
        problem = jobs_of(
            tasks,
            [Link("Tern 1", "Tern 3"), Link("Skua 2", "Skua 3")],
            [Worker(name, week()) for name in crew],
            targets=[Target("Tern 3"), Target("Skua 3", at(1, 12))],
        )
        best = improve(problem, serial_plan(problem), 1)
        assert best.is_proven
        costs.append(best.bound.cost)
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1]

"""Schedules in steps: the same as plans where they say so, and no order of tasks breaks a rule."""

import csv
from pathlib import Path
from random import Random

import pytest

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.breeding import breed
from builds.schedule.levelling.problem import Counted, Placed, Target, Task
from builds.schedule.levelling.serial import latest_finishes, place_in_order
from builds.schedule.levelling.steps import Steps
from builds.schedule.network import Link
from tests.builds.schedule.levelling.projects import UNIT_MIN, read_project
from tests.builds.schedule.levelling.workshops import START, jobs_of, workshop

PSPLIB = Path(__file__).parent / "psplib"
NAMES = sorted(path.stem for path in PSPLIB.glob("*.sm"))
OPTIMA = {row["instance"]: int(row["makespan"]) for row in csv.DictReader((PSPLIB / "optima.csv").open())}


def projects():
    return [(name, read_project((PSPLIB / f"{name}.sm").read_text())) for name in NAMES]


def as_plan(problem, steps, starts):
    """The schedule as placed tasks: in these projects every hour of the clock is open."""
    minutes = [start * steps.grid_min for start in starts]
    return {task.key: Placed(at, at + task.work_min) for task, at in zip(problem.tasks, minutes, strict=True)}


class Schedule:
    def __init__(self, placed):
        self.placed = placed


@pytest.mark.parametrize("seed", range(3))
def test_any_order_keeps_every_link_and_resource(seed):
    random = Random(seed)
    for _, project in projects():
        problem = project.problem()
        steps = Steps.of(Axis(problem))
        assert steps.is_exact
        order = steps.in_order([random.random() for _ in problem.tasks])
        starts, ends = steps.place(order)
        assert project.faults(Schedule(as_plan(problem, steps, starts))) == []
        again, later = steps.place(steps.pushed_back(ends))
        assert project.faults(Schedule(as_plan(problem, steps, again))) == []
        assert steps.cost(later) <= steps.cost(ends)


def test_a_schedule_in_steps_is_the_plan_of_the_same_order():
    for _, project in projects():
        problem = project.problem()
        steps = Steps.of(Axis(problem))
        order = steps.in_order([Random(7).random() for _ in problem.tasks])
        rank = [order.index(place) for place in range(len(order))]
        assert as_plan(problem, steps, steps.place(order)[0]) == place_in_order(problem, rank)


def test_breeding_comes_within_a_twentieth_of_the_published_optimum_and_never_below():
    for name, project in projects():
        problem = project.problem()
        axis = Axis(problem)
        steps = Steps.of(axis)
        late = latest_finishes(axis, Bounds(axis).alone)
        found = list(breed(steps, late, [], Random(1), lambda: False, 1000))
        costs = [bred.cost for bred in found]
        assert costs == sorted(costs, reverse=True)
        assert OPTIMA[name] <= costs[-1] <= OPTIMA[name] * 1.05
        assert project.faults(Schedule(as_plan(problem, steps, found[-1].starts))) == []
        assert costs[-1] * UNIT_MIN == costs[-1] * steps.grid_min


def test_breeding_is_repeatable():
    problem = projects()[0][1].problem()
    steps = Steps.of(Axis(problem))
    late = [0] * len(problem.tasks)
    one, other = (list(breed(steps, late, [], Random(3), lambda: False, 150)) for _ in range(2))
    assert one == other


def test_nothing_to_do_breeds_one_empty_schedule():
    steps = Steps.of(Axis(jobs_of({})))
    assert [bred.starts for bred in breed(steps, [], [], Random(1), lambda: False, 5)] == [[]]


def test_a_workshop_with_people_is_only_near_its_steps():
    assert not Steps.of(Axis(workshop(cars=1, jobs=5, workers=2))).is_exact


def test_a_lag_or_a_supplier_of_other_hours_is_only_near_its_steps():
    def steps(link, calendar=None):
        tasks = {
            "plate": Task("plate", 60, calendar, people=0, uses=(("plater", 1),)),
            "fit": Task("fit", 60, people=0),
        }
        plater = [Counted("plater", 1)]
        return Steps.of(Axis(jobs_of(tasks, [link], counted=plater, targets=[Target("fit")])))

    assert steps(Link("plate", "fit")).is_exact
    assert not steps(Link("plate", "fit", lag_min=960)).is_exact
    assert not steps(Link("plate", "fit"), "clock").is_exact


def test_a_fixed_last_moment_costs_in_steps_what_it_costs_in_a_plan():
    tasks = {"photographs": Task("photographs", 60, people=0, not_after=START + 120, uses=(("bay", 1),))}
    tasks["strip"] = Task("strip", 120, people=0, uses=(("bay", 1),))
    problem = jobs_of(tasks, counted=[Counted("bay", 1)], targets=[Target("strip")])
    steps = Steps.of(Axis(problem))
    found = list(breed(steps, [0, 0], [], Random(1), lambda: False, 20))
    assert found[-1].starts[problem.place["photographs"]] == 0

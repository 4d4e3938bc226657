"""Questions whether a schedule is as cheap as a cost: 'yes' at the published optimum, 'no' a step below.

The projects and their optimal makespans are those of `psplib/` (see `test_published_projects`).
"""

import csv
from pathlib import Path
from random import Random

import pytest
from ortools.sat.python import cp_model

from builds.schedule.levelling.axis import Axis
from builds.schedule.levelling.bounds import Bounds
from builds.schedule.levelling.problem import Counted, Placed, Target, Task
from builds.schedule.levelling.question import Question
from builds.schedule.levelling.solver import cp_solver, learn_more
from builds.schedule.levelling.steps import Steps
from tests.builds.schedule.levelling.projects import UNIT_MIN, read_project
from tests.builds.schedule.levelling.workshops import START, jobs_of

PSPLIB = Path(__file__).parent / "psplib"
OPTIMA = {row["instance"]: int(row["makespan"]) for row in csv.DictReader((PSPLIB / "optima.csv").open())}
SOON = ("j301_1", "j302_3", "j305_1", "j3021_1", "j3037_1", "j3041_1")  # answered in a fraction of a second
WAYS = {
    "forwards": {},
    "backwards": {"backwards": True},
    "contrary": {"backwards": True, "contrary": True},
    "shuffled": {"shuffled": 5},
}
LONG_S = 60


class Schedule:
    def __init__(self, placed):
        self.placed = placed


def asked_about(problem, most, **way):
    """The answer's status and its starts by place [min], if it is a yes."""
    axis = Axis(problem)
    if "shuffled" in way:
        way["shuffled"] = Random(way["shuffled"])
    question = Question(Steps.of(axis), Bounds(axis), most, **way)
    solver = cp_solver(1, 1, LONG_S)
    learn_more(solver)
    status = solver.solve(question.cp)
    is_yes = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return status, question.read(solver.value).starts if is_yes else {}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", SOON)
def test_the_published_optimum_is_possible_and_a_step_less_is_not(name, way):
    project = read_project((PSPLIB / f"{name}.sm").read_text())
    problem = project.problem()
    status, starts = asked_about(problem, OPTIMA[name] * UNIT_MIN, **WAYS[way])
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    placed = {
        task.key: Placed(starts[place], starts[place] + task.work_min)
        for place, task in enumerate(problem.tasks)
    }
    assert project.faults(Schedule(placed)) == []
    assert max(one.finish for one in placed.values()) <= OPTIMA[name] * UNIT_MIN
    status, _ = asked_about(problem, OPTIMA[name] * UNIT_MIN - 1, **WAYS[way])
    assert status == cp_model.INFEASIBLE


def two_in_one_bay(**target):
    tasks = {key: Task(key, 60, people=0, uses=(("bay", 1),)) for key in ("paint", "trim")}
    return jobs_of(tasks, counted=[Counted("bay", 1)], targets=[Target("paint", **target), Target("trim")])


@pytest.mark.parametrize("way", WAYS)
def test_two_targets_in_one_bay_cost_both_their_finishes(way):
    """By hand: one finishes after 60 minutes and the other after 120, at a weight of 1 each."""
    assert asked_about(two_in_one_bay(), 180, **WAYS[way])[0] in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    assert asked_about(two_in_one_bay(), 179, **WAYS[way])[0] == cp_model.INFEASIBLE


@pytest.mark.parametrize("way", WAYS)
def test_a_broken_promise_costs_its_weight(way):
    """By hand: painted first it keeps its hour; painted second it is an hour late at a weight of 10."""
    problem = two_in_one_bay(promised=START + 60, late_weight=10)
    status, starts = asked_about(problem, 180, **WAYS[way])
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    assert starts[problem.place["paint"]] < starts[problem.place["trim"]]


def test_near_a_schedule_no_more_is_asked_about_than_what_is_near():
    problem = two_in_one_bay()
    paint, trim = problem.place["paint"], problem.place["trim"]
    near = [(0, 0), (0, 0)]
    near[paint], near[trim] = (1, 2), (0, 1)  # steps of an hour
    status, starts = asked_about(problem, 180, near=near)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    assert (starts[paint], starts[trim]) == (60, 0)
    near[paint] = (5, 6)
    assert asked_about(problem, 180, near=near)[0] == cp_model.INFEASIBLE

"""A plan's order as links. What a plan may do is judged by the independent check of the levelling core."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import CycleError
from builds.schedule.forecast import forecast
from builds.schedule.handover import HandOver, hand_overs, in_plan_order
from builds.schedule.levelling.check import check
from builds.schedule.levelling.problem import Counted, Placed, Problem, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from builds.schedule.passes import forward
from builds.schedule.spread import Fixed, Triangular
from tests.builds.schedule.levelling.workshops import CLOCK, FIRST, LAST, at, jobs_of, week, workshop


def in_order(problem):
    placed = serial_plan(problem).placed
    return placed, in_plan_order(problem.network, problem, placed)


def with_lengths(problem, lengths):
    tasks = [replace(task, work_min=lengths.get(task.key, task.work_min)) for task in problem.tasks]
    return Problem.build(
        tasks,
        problem.links,
        problem.workers,
        problem.calendars,
        problem.start,
        hours=problem.hours,
        counted=problem.counted.values(),
        targets=problem.targets,
    )


def test_two_jobs_of_one_welder_by_hand():
    """Weld floor 8 h, then weld wing 4 h by the only welder; the fit of the wing, 1 h, by anybody.

    Bare: the wing is welded on Monday from 8 to 12 and fitted by 13:30 (half an hour at midday).
    Levelled: the floor takes Monday (8 hours end at 16:30), the wing Tuesday until 12, its fit until 13:30.
    """
    tasks = {
        "weld floor": Task("weld floor", 480, skill="welding"),
        "weld wing": Task("weld wing", 240, skill="welding"),
        "fit wing": Task("fit wing", 60),
    }
    crew = [Worker("Tomas", week(), frozenset({"welding"})), Worker("Ann", week())]
    problem = jobs_of(tasks, [Link("weld wing", "fit wing")], crew)
    placed = {
        "weld floor": Placed(at(1, 8), at(1, 16, 30), ("Tomas",)),
        "weld wing": Placed(at(2, 8), at(2, 12), ("Tomas",)),
        "fit wing": Placed(at(2, 12, 30), at(2, 13, 30), ("Ann",)),
    }

    handed = hand_overs(problem, placed)
    levelled = in_plan_order(problem.network, problem, placed)

    assert handed == (HandOver("weld floor", "weld wing", "Tomas", True),)
    assert forward(problem.network).finish["fit wing"] == at(1, 13, 30)
    assert forward(levelled).finish["fit wing"] == at(2, 13, 30)


@pytest.mark.parametrize("seed", range(6))
def test_the_plans_order_gives_the_plan_back_or_better_and_can_be_carried_out(seed):
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed)
    placed, levelled = in_order(problem)

    early = forward(levelled)
    again = {key: Placed(early.start[key], early.finish[key], placed[key].people) for key in placed}

    assert all(again[key].finish <= placed[key].finish for key in placed)
    assert check(problem, again) == ()


@pytest.mark.parametrize("seed", range(4))
def test_nobody_is_in_two_places_whatever_the_jobs_turn_out_to_take(seed):
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed)
    placed = serial_plan(problem).placed
    random = Random(seed)
    lengths = {
        task.key: round(task.work_min * random.uniform(0.5, 3)) for task in problem.tasks if task.needs
    }
    drawn = with_lengths(problem, lengths)

    early = forward(in_plan_order(drawn.network, drawn, placed))
    again = {key: Placed(early.start[key], early.finish[key], placed[key].people) for key in placed}

    assert check(drawn, again) == ()


@pytest.mark.parametrize("seed", range(4))
def test_a_levelled_forecast_is_never_earlier_than_the_bare_one_at_the_same_draws(seed):
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed)
    _, levelled = in_order(problem)
    spreads = {
        task.key: Triangular(task.work_min / 2, task.work_min, task.work_min * 2.5)
        for task in problem.tasks
        if task.work_min
    }
    targets = [target.key for target in problem.targets]

    bare, with_people = (
        forecast(network, spreads, targets, seed=seed, draws=400, most_draws=400).outcomes
        for network in (problem.network, levelled)
    )

    for target in targets:  # both in order: if each draw is no earlier, neither is the n-th of them
        assert np.all(with_people[target].finishes >= bare[target].finishes)
    assert any(with_people[one].even_chance > bare[one].even_chance for one in targets)


def test_a_lift_is_handed_on_to_whoever_takes_it_next():
    tasks = {key: Task(key, 120, uses=(("lift", 1),)) for key in ("axle", "gearbox", "exhaust")}
    crew = [Worker(name, week()) for name in ("Ann", "Bob", "Cy")]
    problem = jobs_of(tasks, workers=crew, counted=[Counted("lift", 2)])
    placed = {
        "axle": Placed(at(1, 8), at(1, 10), ("Ann",)),
        "gearbox": Placed(at(1, 8), at(1, 10), ("Bob",)),
        "exhaust": Placed(at(1, 10), at(1, 12), ("Cy",)),
    }

    (handed,) = hand_overs(problem, placed)

    assert (handed.after, handed.resource, handed.is_person) == ("exhaust", "lift", False)
    assert handed.before in ("axle", "gearbox")


def test_a_car_that_leaves_keeps_the_jobs_on_it_apart_from_its_stay():
    tasks = {
        "fit dash": Task("fit dash", 60, None, "Tern", "on"),
        "align chassis": Task("align chassis", 1440, "clock", "Tern", "away", people=0),
        "fit seats": Task("fit seats", 60, None, "Tern", "on"),
        "trim seat": Task("trim seat", 60, None, "Tern", "bench"),
    }
    problem = jobs_of(tasks)
    placed = {
        "fit dash": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "align chassis": Placed(at(1, 9), at(2, 9)),
        "trim seat": Placed(at(1, 9), at(1, 10), ("Ann",)),
        "fit seats": Placed(at(2, 9), at(2, 10), ("Ann",)),
    }

    handed = [(one.before, one.after) for one in hand_overs(problem, placed) if not one.is_person]

    assert handed == [("fit dash", "align chassis"), ("align chassis", "fit seats")]


def test_an_absence_is_kept_in_every_draw():
    crew = [Worker("Ann", week(spans=((at(2, 0), at(9, 0)),)))]
    problem = jobs_of({"weld": 480}, workers=crew)
    _, levelled = in_order(problem)

    found = forecast(
        levelled, {"weld": Triangular(481, 500, 520)}, ["weld"], seed=1, draws=100, most_draws=100
    )

    assert found.outcomes["weld"].finishes[0] >= at(9, 8)  # Monday's eight hours are never enough


def test_somebody_carries_on_when_one_has_left_for_good():
    """Ann leaves on Monday at noon: of eight hours four are hers, the others the shop's from half past."""
    leaves = WorkCalendar(FIRST, LAST, (at(1, 8),), (at(1, 12),))
    problem = jobs_of({"weld": 240}, workers=[Worker("Ann", leaves)])
    _, levelled = in_order(problem)

    found = forecast(levelled, {"weld": Fixed(480)}, ["weld"], 1, draws=2, most_draws=2)

    assert found.outcomes["weld"].even_chance == at(1, 16, 30)


def test_a_network_that_lacks_tasks_takes_the_rest_of_the_order():
    problem = jobs_of({"one": 60, "two": 60, "three": 60})
    placed = serial_plan(problem).placed
    smaller = jobs_of({"one": 60, "two": 60}).network

    levelled = in_plan_order(smaller, problem, placed)

    assert forward(levelled).finish == {"one": at(1, 9), "two": at(1, 10)}


def test_an_order_against_the_links_is_refused():
    problem = jobs_of({"one": 60, "two": 60}, [Link("one", "two")])
    placed = {"two": Placed(at(1, 8), at(1, 9), ("Ann",)), "one": Placed(at(1, 9), at(1, 10), ("Ann",))}

    with pytest.raises(CycleError):
        in_plan_order(problem.network, problem, placed)


def test_nothing_planned_hands_nothing_over():
    empty = Problem.build([], [], [Worker("Ann", week())], {"shop": week(), **CLOCK}, 0, hours="shop")
    point = jobs_of({"start": Task("start", 0, people=0)}, targets=[Target("start")])

    assert hand_overs(empty, {}) == ()
    assert hand_overs(point, serial_plan(point).placed) == ()

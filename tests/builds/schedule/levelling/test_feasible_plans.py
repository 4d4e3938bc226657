"""Every plan can be carried out, as the independent check finds, and none is begun by what is impossible."""

from dataclasses import replace

import pytest

from builds.schedule.levelling.check import check
from builds.schedule.levelling.errors import NotAPlan
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.plan import Plan
from builds.schedule.levelling.problem import Counted, Placed, Problem, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import START, at, jobs_of, week, workshop


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("uneven", [False, True], ids=["same weeks", "short weeks and holidays"])
def test_a_serial_plan_of_any_workshop_can_be_carried_out(seed, uneven):
    problem = workshop(cars=3, jobs=25, workers=4, seed=seed, uneven=uneven)
    plan = serial_plan(problem)
    assert check(problem, plan.placed) == ()
    assert plan.bound.cost <= plan.cost
    for target in problem.targets:
        assert plan.bound.earliest[target.key] <= plan.placed[target.key].finish


@pytest.mark.parametrize("seed", range(3))
def test_an_improved_plan_can_be_carried_out_and_is_no_dearer(seed):
    problem = workshop(cars=4, jobs=20, workers=3, seed=seed)
    start = serial_plan(problem)
    best = improve(problem, start, 1.0)
    assert check(problem, best.placed) == ()
    assert best.bound.cost <= best.cost <= start.cost
    assert start.bound.cost <= best.bound.cost


def test_a_job_of_several_days_goes_on_next_morning_with_the_same_people():
    plan = serial_plan(jobs_of({"fit loom": 20 * 60}))
    assert plan.placed == {"fit loom": Placed(at(1, 8), at(3, 12), ("Ann",))}


def test_two_people_work_at_once_in_the_hours_that_both_have():
    crew = [Worker("Ann", week()), Worker("Bob", week(spans=[(START, at(2, 8))]))]
    plan = serial_plan(jobs_of({"lift engine": Task("lift engine", 120, people=2)}, workers=crew))
    assert plan.placed == {"lift engine": Placed(at(2, 8), at(2, 10), ("Ann", "Bob"))}


def test_a_helper_need_not_have_the_skill():
    crew = [Worker("Ann", week()), Worker("Tomas", week(), frozenset({"welding"}))]
    job = Task("weld floor", 60, people=2, skill="welding", skilled=1)
    assert serial_plan(jobs_of({"weld floor": job}, workers=crew)).placed["weld floor"].people == (
        "Ann",
        "Tomas",
    )


def test_a_job_for_somebody_by_name_waits_for_them():
    crew = [Worker("Ann", week()), Worker("Bob", week(spans=[(START, at(3, 8))]))]
    plan = serial_plan(jobs_of({"set timing": Task("set timing", 60, named=("Bob",))}, workers=crew))
    assert plan.placed["set timing"] == Placed(at(3, 8), at(3, 9), ("Bob",))


def test_who_can_do_the_least_else_is_taken_first():
    crew = [Worker("Tomas", week(), frozenset({"welding"})), Worker("Ann", week())]
    assert serial_plan(jobs_of({"sweep": 60}, workers=crew)).placed["sweep"].people == ("Ann",)


def test_a_car_is_not_worked_on_while_it_is_away():
    tasks = {
        "align chassis": Task("align chassis", 2 * 1440, "clock", "Tern", "away", people=0),
        "fit dash": Task("fit dash", 60, None, "Tern", "on"),
        "trim seat": Task("trim seat", 60, None, "Tern", "bench"),
    }
    problem = jobs_of(tasks, targets=[Target("align chassis", early_weight=100), Target("fit dash")])
    placed = improve(problem, serial_plan(problem), 0.5).placed
    assert placed["align chassis"].start == at(1, 8)
    assert placed["fit dash"].start == at(3, 8)
    assert placed["trim seat"].start == at(1, 8)


def test_a_lift_is_held_overnight():
    tasks = {key: Task(key, 12 * 60, uses=(("lift", 1),)) for key in ("axle", "gearbox")}
    crew = [Worker("Ann", week()), Worker("Bob", week())]
    placed = serial_plan(jobs_of(tasks, workers=crew, counted=[Counted("lift", 1)])).placed
    assert sorted(p.start for p in placed.values()) == [at(1, 8), at(2, 12, 30)]


def test_a_lag_runs_through_the_night():
    placed = serial_plan(jobs_of({"paint": 8 * 60, "fit": 60}, [Link("paint", "fit", lag_min=960)])).placed
    assert placed["fit"].start == at(2, 8, 30)


def test_what_is_in_hand_is_carried_on_with_first():
    tasks = {"start engine": 60, "fit carpet": Task("fit carpet", 60, in_hand=True)}
    problem = jobs_of(tasks, targets=[Target("start engine")])
    for plan in (serial_plan(problem), improve(problem, serial_plan(problem), 0.5)):
        assert plan.placed["fit carpet"].start == at(1, 8)
        assert plan.placed["start engine"].start == at(1, 9)
    assert plan.is_proven or plan.gap > 0


def test_a_last_moment_outweighs_every_promise():
    tasks = {"photographs": Task("photographs", 60, not_after=at(1, 9)), "start engine": 60}
    problem = jobs_of(tasks, targets=[Target("start engine", at(1, 9), late_weight=50)])
    best = improve(problem, serial_plan(problem), 0.5)
    assert best.placed["photographs"].finish == at(1, 9)
    assert best.is_proven


def test_an_empty_workshop_has_an_empty_plan():
    problem = Problem.build([], [], [], {"shop": week()}, START, hours="shop")
    plan = serial_plan(problem)
    assert plan == Plan({}, 0, plan.bound)
    assert improve(problem, plan, 0.2).is_proven
    assert check(problem, {}) == ()


def test_a_milestone_of_nothing_stands_at_the_start():
    assert serial_plan(jobs_of({"ready": 0})).placed == {"ready": Placed(START, START)}


def test_a_plan_that_leaves_a_task_out_is_nothing_to_start_from():
    problem = jobs_of({"paint": 60, "fit": 60})
    half = replace(serial_plan(problem), placed={"paint": Placed(at(1, 8), at(1, 9), ("Ann",))})
    with pytest.raises(NotAPlan, match=r"leaves tasks out \(fit\)"):
        improve(problem, half, 0.2)

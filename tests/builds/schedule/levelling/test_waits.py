"""Why a task is not earlier, with the names of people."""

import pytest

from builds.schedule.errors import UnknownActivity
from builds.schedule.levelling.problem import Counted, Placed, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.levelling.waits import Wait, waits_for
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import START, at, jobs_of, week

WELDING = frozenset({"welding"})
FLOOR, WING = Task("floor", 3 * 480, skill="welding"), Task("wing", 60, skill="welding")


def why(problem, key):
    return waits_for(problem, serial_plan(problem).placed, key)


def test_a_job_waits_for_the_only_welder():
    crew = [Worker("Ann", week()), Worker("Tomas Kell", week(), WELDING)]
    problem = jobs_of({"floor": FLOOR, "wing": WING}, workers=crew, targets=[Target("floor")])
    assert why(problem, "wing") == (Wait("person", "Tomas Kell", "floor", at(3, 16, 30), is_only=True),)


@pytest.mark.parametrize(("asked", "done", "gap"), [(360, at(5, 14, 30), 240), (240, at(5, 12), 0)])
def test_a_gap_that_is_too_short_for_the_job_is_said(asked, done, gap):
    # counted by hand: Tomas is free on the first day from 12.30 to 16.30
    tasks = {"sill": Task("sill", 240, skill="welding"), "floor": FLOOR}
    tasks["wing"] = Task("wing", asked, skill="welding")
    problem = jobs_of(tasks, workers=[Worker("Tomas Kell", week(), WELDING)], targets=[])
    who = ("Tomas Kell",)
    placed = {
        "sill": Placed(START, at(1, 12), who),
        "floor": Placed(at(2, 8), at(4, 16, 30), who),
        "wing": Placed(at(5, 8), done, who),
    }
    (found,) = waits_for(problem, placed, "wing")
    assert found == (
        Wait("person", "Tomas Kell", "floor", at(4, 16, 30), is_only=True, gap_min=gap)
        if gap
        else Wait("kept", None, None, at(5, 8))  # it would have fitted: the plan leaves it where it is
    )


def test_a_job_waits_for_either_of_two_welders():
    crew = [Worker("Wim", week(), WELDING), Worker("Tomas", week(), WELDING)]
    tasks = {"floor": FLOOR, "sill": Task("sill", 960, skill="welding"), "wing": WING}
    problem = jobs_of(tasks, workers=crew, targets=[Target("floor"), Target("sill")])
    found = {(wait.task, wait.is_only) for wait in why(problem, "wing")}
    assert ("sill", False) in found
    assert not any(only for _, only in found)


def test_a_job_waits_for_somebody_who_is_not_here():
    crew = [Worker("Tomas", week(spans=[(START, at(4, 8))]), WELDING)]
    assert why(jobs_of({"wing": WING}, workers=crew), "wing") == (
        Wait("person", "Tomas", None, at(4, 8), is_only=True),
    )


def test_a_job_waits_for_the_one_before():
    problem = jobs_of({"paint": 60, "fit": 60}, [Link("paint", "fit", lag_min=30)])
    assert why(problem, "fit") == (Wait("task", None, "paint", at(1, 9, 30)),)


def test_a_job_waits_for_its_day():
    problem = jobs_of({"fit": Task("fit", 60, not_before=at(2, 10))})
    assert why(problem, "fit") == (Wait("not before", None, None, at(2, 10)),)


def test_a_job_at_the_start_waits_for_nothing():
    assert why(jobs_of({"fit": 60}), "fit") == (Wait("start of the plan", None, None, START),)


def test_a_job_waits_for_the_lift():
    crew = [Worker("Ann", week()), Worker("Bob", week())]
    tasks = {key: Task(key, 120, uses=(("lift", 1),)) for key in ("axle", "sump")}
    problem = jobs_of(tasks, workers=crew, counted=[Counted("lift", 1)], targets=[Target("axle")])
    assert why(problem, "sump") == (Wait("thing", "lift", "axle", at(1, 10), is_only=True),)


def test_a_lift_that_is_given_back_in_the_evening_is_waited_for_until_then():
    crew = [Worker("Ann", week()), Worker("Bob", week())]
    tasks = {"axle": Task("axle", 480, uses=(("lift", 1),)), "sump": Task("sump", 120, uses=(("lift", 1),))}
    problem = jobs_of(tasks, workers=crew, counted=[Counted("lift", 1)], targets=[Target("axle")])
    placed = serial_plan(problem).placed
    assert placed["sump"].start > placed["axle"].finish  # the next morning
    assert why(problem, "sump") == (Wait("thing", "lift", "axle", placed["axle"].finish, is_only=True),)


def test_a_job_waits_for_the_car_to_come_back():
    tasks = {
        "align": Task("align", 1440, "clock", "Tern", "away", people=0),
        "dash": Task("dash", 60, None, "Tern", "on"),
    }
    problem = jobs_of(tasks, targets=[Target("align")])
    assert why(problem, "dash") == (Wait("car", "Tern", "align", at(2, 8), is_only=True),)


def test_a_job_that_could_be_earlier_is_kept_back():
    problem = jobs_of({"fit": 60})
    assert waits_for(problem, {"fit": Placed(at(1, 10), at(1, 11), ("Ann",))}, "fit") == (
        Wait("kept", None, None, at(1, 10)),
    )


def test_no_such_task():
    with pytest.raises(UnknownActivity):
        waits_for(jobs_of({"fit": 60}), {}, "weld")

"""Checks go to right before what they release: nothing else moves, and the plan can still be carried out.

The independent check (`check`) judges each plan; what 'as late as it goes' means is tried minute by minute.
"""

from dataclasses import replace

import pytest

from builds.schedule.levelling.check import check
from builds.schedule.levelling.late import pushed_late
from builds.schedule.levelling.plan import cost_of
from builds.schedule.levelling.problem import Counted, Placed, Problem, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import START, at, week, workshop

ANN, BOB = Worker("Ann", week()), Worker("Bob", week())
CHOCKS = Task("chock wheels", 60, as_late=True)


def problem(tasks, links, workers=(ANN, BOB), counted=()):
    return Problem.build(tasks, links, workers, {"shop": week()}, START, hours="shop", counted=counted)


def pushed(made, placed):
    assert check(made, placed) == ()
    late = pushed_late(made, placed)
    assert check(made, late) == ()
    return late


def test_a_check_is_done_in_the_hour_before_the_start_up():
    made = problem(
        [CHOCKS, Task("start engine", 60, not_before=at(5, 14))], [Link("chock wheels", "start engine")]
    )
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "start engine": Placed(at(5, 14), at(5, 15), ("Ann",)),
    }
    assert pushed(made, placed)["chock wheels"] == Placed(at(5, 13), at(5, 14), ("Ann",))


def test_of_two_checks_in_a_row_both_go_with_the_start_up():
    fill = Task("first small fill", 120, as_late=True)
    links = [Link("chock wheels", "first small fill"), Link("first small fill", "start engine")]
    made = problem([CHOCKS, fill, Task("start engine", 60, not_before=at(5, 14))], links)
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "first small fill": Placed(at(1, 9), at(1, 11), ("Ann",)),
        "start engine": Placed(at(5, 14), at(5, 15), ("Ann",)),
    }
    late = pushed(made, placed)
    # half an hour's rest from 12.00 on
    assert late["first small fill"] == Placed(at(5, 11, 30), at(5, 14), ("Ann",))
    assert late["chock wheels"] == Placed(at(5, 10, 30), at(5, 11, 30), ("Ann",))


def test_a_lag_is_kept():
    made = problem(
        [CHOCKS, Task("start engine", 60, not_before=at(5, 14))],
        [Link("chock wheels", "start engine", lag_min=120)],
    )
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "start engine": Placed(at(5, 14), at(5, 15), ("Ann",)),
    }
    assert pushed(made, placed)["chock wheels"].finish == at(5, 12)


def test_nobody_is_drawn_off_another_car():
    weld = Task("weld sill", 8 * 60, not_before=at(4, 8))
    links = [Link("chock wheels", "start engine")]
    made = problem([CHOCKS, weld, Task("start engine", 60, not_before=at(4, 16))], links, workers=[ANN])
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "weld sill": Placed(at(4, 8), at(4, 16, 30), ("Ann",)),
        "start engine": Placed(at(5, 8), at(5, 9), ("Ann",)),
    }
    late = pushed(made, placed)
    assert late["chock wheels"] == Placed(at(3, 15, 30), at(3, 16, 30), ("Ann",))
    assert late["weld sill"] == placed["weld sill"]


def test_whoever_is_free_closer_to_the_start_up_does_it():
    weld = Task("weld sill", 8 * 60, not_before=at(4, 8))
    links = [Link("chock wheels", "start engine")]
    made = problem([CHOCKS, weld, Task("start engine", 60, not_before=at(5, 8))], links)
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "weld sill": Placed(at(4, 8), at(4, 16, 30), ("Ann",)),
        "start engine": Placed(at(5, 8), at(5, 9), ("Ann",)),
    }
    assert pushed(made, placed)["chock wheels"] == Placed(at(4, 15, 30), at(4, 16, 30), ("Bob",))


def test_a_lift_that_is_taken_is_not_taken_twice():
    lifted = replace(CHOCKS, uses=(("lift", 1),))
    drop = Task("drop gearbox", 4 * 60, uses=(("lift", 1),))
    made = problem(
        [lifted, drop, Task("start engine", 60, not_before=at(5, 12, 30))],
        [Link("chock wheels", "start engine")],
        counted=[Counted("lift", 1)],
    )
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "drop gearbox": Placed(at(5, 8), at(5, 12), ("Bob",)),
        "start engine": Placed(at(5, 12, 30), at(5, 13, 30), ("Ann",)),
    }
    assert pushed(made, placed)["chock wheels"] == Placed(at(4, 15, 30), at(4, 16, 30), ("Ann",))


@pytest.mark.parametrize(
    "task",
    [replace(CHOCKS, in_hand=True), replace(CHOCKS, as_late=False)],
    ids=["in hand", "not a check"],
)
def test_it_stays(task):
    made = problem(
        [task, Task("start engine", 60, not_before=at(5, 14))], [Link("chock wheels", "start engine")]
    )
    placed = {
        "chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "start engine": Placed(at(5, 14), at(5, 15), ("Ann",)),
    }
    assert pushed(made, placed) == placed


def test_what_nothing_follows_stays():
    made = problem([CHOCKS], [])
    placed = {"chock wheels": Placed(at(1, 8), at(1, 9), ("Ann",))}
    assert pushed(made, placed) == placed


def with_checks(seed):
    """A workshop in which every fifth job of people is a check."""
    made = workshop(cars=3, jobs=20, workers=4, seed=seed)
    tasks = [replace(task, as_late=task.needs > 0 and n % 5 == 0) for n, task in enumerate(made.tasks)]
    return Problem.build(
        tasks,
        made.links,
        made.workers,
        made.calendars,
        made.start,
        hours=made.hours,
        counted=made.counted.values(),
        targets=made.targets,
    )


@pytest.mark.parametrize("seed", range(12))
def test_in_any_workshop_nothing_else_moves_and_no_target_is_later(seed):
    made = with_checks(seed)
    plan = serial_plan(made)
    late = pushed(made, plan.placed)
    checks = {task.key for task in made.tasks if task.as_late}
    for key, one in plan.placed.items():
        assert late[key] == one if key not in checks else late[key].start >= one.start
    assert cost_of(made, late) == cost_of(made, plan.placed)
    assert any(late[key] != plan.placed[key] for key in checks)


def test_no_check_could_be_half_an_hour_later():
    """Tried one by one: every start up to a day later, with every crew, breaks a rule."""
    made = with_checks(0)
    late = pushed(made, serial_plan(made).placed)
    for place, task in enumerate(made.tasks):
        if not task.as_late or not made.network.awaited_by[place]:
            continue
        now = late[task.key]
        for crew in made.crews[place]:
            hours = made.hours_of(place, crew)
            for start in range(now.start + 30, now.start + 1440, 30):
                if hours is None or hours.between(start, start + 1) == 0:
                    continue
                there = Placed(*hours.earliest(start, task.work_min), crew)
                assert check(made, late | {task.key: there}), (task.key, now, there)

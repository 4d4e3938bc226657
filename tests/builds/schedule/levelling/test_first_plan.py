"""The first plan is never absurd: nobody is drawn off a car that is promised soon."""

import pytest

from builds.schedule.levelling.plan import cost_of
from builds.schedule.levelling.problem import Counted, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import at, jobs_of, week


def two_cars(near, far):
    """Tern needs six hours after a part that comes at ten; the work on Skua could begin at once."""
    tasks = {
        "Tern part": Task("Tern part", 0, people=0, not_before=at(1, 10)),
        "Tern fit": Task("Tern fit", 360, car="Tern"),
        "Tern start-up": Task("Tern start-up", 0, people=0),
        "Skua strip": Task("Skua strip", 120, car="Skua"),
        "Skua trim": Task("Skua trim", 960, car="Skua"),
        "Skua start-up": Task("Skua start-up", 0, people=0),
    }
    links = [
        Link("Tern part", "Tern fit"),
        Link("Tern fit", "Tern start-up"),
        Link("Skua strip", "Skua start-up"),
        Link("Skua trim", "Skua start-up"),
    ]
    return jobs_of(tasks, links, targets=[Target("Tern start-up", near), Target("Skua start-up", far)])


def test_the_car_that_is_promised_today_is_finished_today():
    plan = serial_plan(two_cars(near=at(1, 16, 30), far=at(26, 16)))
    assert plan.placed["Tern start-up"].finish == at(1, 16, 30)
    assert plan.placed["Skua strip"].start == at(1, 8)  # in the two hours before the part comes


@pytest.mark.parametrize("number", range(4))
def test_the_heavier_of_two_promises_that_cannot_both_be_kept_is_kept(number):
    weights = [10] * 4
    weights[number] = 90
    tasks = {f"car {n}": Task(f"car {n}", 480) for n in range(4)}
    targets = [Target(f"car {n}", at(1, 16, 30), late_weight=weight) for n, weight in enumerate(weights)]
    plan = serial_plan(jobs_of(tasks, targets=targets))
    assert plan.placed[f"car {number}"].finish == at(1, 16, 30)


def test_being_late_by_weight_comes_before_being_early_everywhere():
    # the short jobs first would finish three cars sooner and keep no promise
    tasks = {"promised": Task("promised", 420)} | {f"short {n}": Task(f"short {n}", 60) for n in range(3)}
    targets = [Target("promised", at(1, 15, 30)), *(Target(f"short {n}") for n in range(3))]
    problem = jobs_of(tasks, targets=targets)
    assert cost_of(problem, serial_plan(problem).placed).late == 0


def test_a_supplier_takes_no_more_lines_at_once_than_he_has_room_for():
    lines = {
        f"plate {n}": Task(f"plate {n}", 1440, "clock", people=0, uses=(("plater", n % 2 + 1),))
        for n in range(4)
    }
    placed = serial_plan(jobs_of(lines, counted=[Counted("plater", 2)])).placed
    days = {key: (when.start - at(1, 8)) // 1440 for key, when in placed.items()}
    assert days["plate 0"] == days["plate 2"]
    assert len(set(days.values())) == 3


def test_bays_and_people_are_both_asked_for():
    crew = [Worker(name, week()) for name in ("Ann", "Bob", "Cas")]
    jobs = {f"axle {n}": Task(f"axle {n}", 240, uses=(("lift", 1),)) for n in range(3)}
    placed = serial_plan(jobs_of(jobs, workers=crew, counted=[Counted("lift", 2)])).placed
    assert sorted(when.start for when in placed.values()) == [at(1, 8), at(1, 8), at(1, 12, 30)]

"""Looking for a better plan tells how far it is, can be stopped, and keeps the best."""

from concurrent.futures import ProcessPoolExecutor
from itertools import pairwise
from multiprocessing import get_context
from time import monotonic

from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.problem import Counted, Target, Task
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import at, jobs_of, workshop


def test_progress_only_gets_better_and_ends_with_what_comes_back():
    problem = workshop(cars=5, jobs=20, workers=3, seed=5)
    seen = []
    best = improve(problem, serial_plan(problem), 1, seen.append)
    assert seen[0].plan.cost == serial_plan(problem).cost
    for earlier, later in pairwise(seen):
        assert later.plan.cost <= earlier.plan.cost
        assert later.plan.bound.cost >= earlier.plan.bound.cost
        assert later.seconds >= earlier.seconds >= 0
    assert seen[-1].plan == best


def test_it_stops_when_it_is_told_to_and_keeps_the_best():
    problem = workshop(cars=6, jobs=60, workers=3, seed=2)
    start = serial_plan(problem)
    begun = monotonic()
    best = improve(problem, start, 60, should_stop=lambda: monotonic() - begun > 0.3)
    assert monotonic() - begun < 10
    assert best.cost <= start.cost


def test_it_stops_when_the_time_is_up():
    problem = workshop(cars=6, jobs=60, workers=3, seed=2)
    start = serial_plan(problem)
    begun = monotonic()
    improve(problem, start, 0.5)
    assert monotonic() - begun < 10  # with room for a busy machine


def test_it_asks_whether_to_stop_no_more_than_about_ten_times_a_second():
    problem = workshop(cars=6, jobs=60, workers=3, seed=2)
    asked = []

    def is_enough():
        asked.append(monotonic())
        return len(asked) == 5

    improve(problem, serial_plan(problem), 60, should_stop=is_enough)
    assert len(asked) == 5
    assert all(later - earlier > 0.09 for earlier, later in pairwise(asked))


def test_it_runs_in_another_process_and_gives_the_same_kind_of_answer():
    problem = workshop(cars=3, jobs=12, workers=3, seed=4)
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        best = pool.submit(improve, problem, serial_plan(problem), 1).result(timeout=60)
    assert check(problem, best.placed) == ()
    assert best.bound.cost <= best.cost <= serial_plan(problem).cost


def test_the_bound_says_before_when_no_plan_finishes():
    tasks = {f"job {n}": Task(f"job {n}", 180, people=0, uses=(("bay", 1),)) for n in range(3)}
    tasks["start-up"] = Task("start-up", 0, people=0)
    problem = jobs_of(
        tasks,
        [Link(f"job {n}", "start-up") for n in range(3)],
        counted=[Counted("bay", 2)],
        targets=[Target("start-up")],
    )
    best = improve(problem, serial_plan(problem), 2)
    # nine hours of work in two bays take four and a half; three jobs that are not cut up take six
    assert serial_plan(problem).bound.in_words("start-up") == (
        "No plan can be earlier than Mon 1 Mar 2027, 13:00."
    )
    assert best.bound.in_words("start-up") == "No plan can be earlier than Mon 1 Mar 2027, 14:30."
    assert best.placed["start-up"].finish == at(1, 14, 30)

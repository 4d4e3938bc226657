"""The check names each rule that a plan breaks, and the people and things concerned."""

import pytest

from builds.schedule.levelling.check import check
from builds.schedule.levelling.problem import Counted, Placed, Task, Worker
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import at, jobs_of, week

CREW = [Worker("Ann", week()), Worker("Bob", week(), frozenset({"welding"}))]
TASKS = {
    "cut": Task("cut", 60, not_before=at(1, 9), uses=(("bay", 1),)),
    "weld": Task("weld", 120, None, "Tern", "on", skill="welding", uses=(("bay", 1),)),
    "lift": Task("lift", 60, None, "Tern", "on", people=2, not_after=at(5, 12)),
    "align": Task("align", 1440, "clock", "Tern", "away", people=0),
}
GOOD = {
    "cut": Placed(at(1, 9), at(1, 10), ("Ann",)),
    "weld": Placed(at(1, 11), at(1, 13, 30), ("Bob",)),
    "lift": Placed(at(2, 8), at(2, 9), ("Ann", "Bob")),
    "align": Placed(at(2, 9), at(3, 9)),
}


def broken(**changes):
    links = [Link("cut", "weld", lag_min=60)]
    problem = jobs_of(TASKS, links, CREW, counted=[Counted("bay", 1)])
    return [(v.rule, v.keys, v.words) for v in check(problem, GOOD | changes)]


def test_a_plan_that_keeps_every_rule_passes():
    assert broken() == []


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {"cut": Placed(at(1, 8), at(1, 9), ("Ann",))},
            [("dates", ("cut",), "cut starts before it may")],
        ),
        (
            {"lift": Placed(at(5, 12, 30), at(5, 13, 30), ("Ann", "Bob"))},
            [("dates", ("lift",), "lift finishes after its last moment")],
        ),
        (
            {"cut": Placed(at(1, 9, 30), at(1, 10, 30), ("Ann",))},
            [("order", ("cut", "weld"), "weld starts before cut is finished and 60 min are over")],
        ),
        (
            {"weld": Placed(at(1, 11), at(1, 13, 30), ("Ann",))},
            [("skills", ("weld",), "weld needs 1 with welding, has 0")],
        ),
        (
            {"lift": Placed(at(2, 8), at(2, 9), ("Bob",))},
            [("people", ("lift",), "lift needs 2 people and has 1")],
        ),
        (
            {"lift": Placed(at(2, 8), at(2, 9), ("Ann", "Zoe"))},
            [("people", ("lift",), "lift: nobody is called Zoe")],
        ),
        (
            {"weld": Placed(at(1, 11), at(1, 13), ("Bob",))},
            [("hours", ("weld",), "weld takes 120 min and is given 90 min")],
        ),
        (
            {"weld": Placed(at(1, 11), at(1, 14), ("Bob",))},
            [("hours", ("weld",), "weld takes 120 min and is given 150 min")],
        ),
        (
            {"lift": Placed(at(2, 7), at(2, 9), ("Ann", "Bob"))},
            [("hours", ("lift",), "lift begins or ends while it is not worked on")],
        ),
        (
            {"lift": Placed(at(1, 12, 30), at(1, 13, 30), ("Ann", "Bob"))},
            [("one job each", ("weld", "lift"), "Bob is on weld and lift at once")],
        ),
        (
            {"align": Placed(at(2, 8, 30), at(3, 8, 30))},
            [("one place", ("lift", "align"), "Tern is in two places: lift and align")],
        ),
    ],
    ids=lambda value: value[0][0] if isinstance(value, list) else "",
)
def test_a_broken_rule_is_named(changes, expected):
    assert broken(**changes) == expected


def test_too_much_of_a_thing_at_once_is_named():
    problem = jobs_of(
        {"cut": Task("cut", 60, uses=(("bay", 1),)), "weld": Task("weld", 60, uses=(("bay", 1),))},
        workers=CREW,
        counted=[Counted("bay", 1)],
    )
    placed = {
        "cut": Placed(at(1, 8), at(1, 9), ("Ann",)),
        "weld": Placed(at(1, 8, 30), at(1, 9, 30), ("Bob",)),
    }
    words = [v.words for v in check(problem, placed)]
    assert words == ["cut, weld need 2 of bay at once, and there are 1"]


def test_a_task_left_out_is_named():
    problem = jobs_of({"cut": 60, "weld": 60})
    assert check(problem, {"cut": GOOD["cut"]})[0].words == "weld: not in the plan"


def test_a_job_for_somebody_by_name_is_not_done_by_another():
    problem = jobs_of({"cut": Task("cut", 60, named=("Bob",))}, workers=CREW)
    assert [v.words for v in check(problem, {"cut": GOOD["cut"]})] == ["cut is for Bob"]

"""Bad input is refused with the names concerned: no hang, and no date beyond the calendars."""

from datetime import date, datetime

import pytest

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import (
    BadDuration,
    BeyondHorizon,
    CycleError,
    DuplicateActivity,
    NoWorkingTime,
    UnknownActivity,
    UnknownCalendar,
)
from builds.schedule.levelling.errors import (
    BadTask,
    ContradictoryDates,
    DuplicateName,
    NoCommonHours,
    OverCapacity,
    TooFewPeople,
    UnknownName,
)
from builds.schedule.levelling.problem import Counted, Problem, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.workshops import FIRST, LAST, START, at, jobs_of, week

WELD = {"weld": Task("weld", 60, skill="welding")}


def test_a_skill_that_nobody_has():
    with pytest.raises(
        TooFewPeople, match="weld needs 1 with the skill welding, and there is nobody"
    ) as refused:
        jobs_of(WELD)
    assert (refused.value.key, refused.value.skill, refused.value.able) == ("weld", "welding", ())


@pytest.mark.parametrize("calendar", [None, week(spans=[(START, at(31, 23, month=12) + 3000 * 1440)])])
def test_the_only_one_who_could_is_away_for_ever(calendar):
    crew = [Worker("Ann", week()), Worker("Tomas Kell", calendar, frozenset({"welding"}))]
    with pytest.raises(TooFewPeople, match="there is nobody: Tomas Kell is never here") as refused:
        jobs_of(WELD, workers=crew)
    assert refused.value.never_here == ("Tomas Kell",)


def test_somebody_away_for_ever_whom_nothing_needs_is_no_matter():
    crew = [Worker("Ann", week()), Worker("Tomas Kell", None, frozenset({"welding"}))]
    assert serial_plan(jobs_of({"sweep": 60}, workers=crew)).placed["sweep"].people == ("Ann",)


def test_a_job_for_somebody_by_name_who_is_never_here():
    crew = [Worker("Ann", week()), Worker("Bob", None)]
    with pytest.raises(TooFewPeople, match="Bob is never here"):
        jobs_of({"cut": Task("cut", 60, named=("Bob",))}, workers=crew)


def test_more_people_than_there_are():
    with pytest.raises(TooFewPeople, match="lift needs 2 people, and there is only Ann"):
        jobs_of({"lift": Task("lift", 60, people=2)})


def test_two_who_are_never_here_at_the_same_time():
    crew = [Worker("Ann", week(range(2))), Worker("Bob", week(range(2, 5)))]
    with pytest.raises(NoCommonHours, match="lift cannot be done: Ann, Bob have no hours"):
        jobs_of({"lift": Task("lift", 60, people=2)}, workers=crew)


def test_a_week_without_a_working_day():
    with pytest.raises(NoWorkingTime):
        WorkCalendar.build({}, (), FIRST, LAST)


def test_a_fixed_day_that_no_number_of_people_could_keep():
    tasks = {"strip": 5 * 480, "paint": 480, "show": Task("show", 60, not_after=at(5, 16, 30))}
    with pytest.raises(ContradictoryDates) as refused:
        jobs_of(tasks, [Link("strip", "paint"), Link("paint", "show")])
    assert refused.value.keys == ("strip", "paint", "show")
    assert refused.value.earliest == datetime(2027, 3, 9, 9)
    assert str(refused.value) == (
        "show must be finished by Fri 5 Mar 2027, 16:30 but cannot be before Tue 9 Mar 2027, 09:00 after "
        "strip → paint, even with endless people. Change one of the dates."
    )


def test_a_task_that_must_be_finished_before_it_may_begin():
    with pytest.raises(ContradictoryDates) as refused:
        jobs_of({"show": Task("show", 60, not_before=at(5, 8), not_after=at(4, 8))})
    assert refused.value.keys == ("show",)


def test_a_circle():
    with pytest.raises(CycleError, match="fit → paint → fit"):
        jobs_of({"paint": 60, "fit": 60}, [Link("paint", "fit"), Link("fit", "paint")])


def test_more_work_than_the_calendars_hold():
    with pytest.raises(BeyondHorizon, match="rebuild cannot be dated") as refused:
        jobs_of({"rebuild": 10_000_000})
    assert refused.value.key == "rebuild"


def test_more_jobs_than_the_calendars_hold():
    shop = WorkCalendar.build({0: ((480, 720),)}, (), date(2027, 3, 1), date(2027, 3, 14))
    tasks = [Task(f"job {n}", 200) for n in range(3)]
    problem = Problem.build(tasks, [], [Worker("Ann", shop)], {"shop": shop}, START, hours="shop")
    with pytest.raises(BeyondHorizon, match="job 2 cannot be dated"):
        serial_plan(problem)


@pytest.mark.parametrize(
    ("task", "words"),
    [
        (Task("cut", 60, people=-1), "cut needs 0 people or more, not -1"),
        (Task("cut", 60, skill="x", skilled=2), "cut needs no more skilled people than its 1, not 2"),
        (Task("cut", 60, named=("Ann", "Ann"), people=2), "cut needs different people, no more than 2"),
        (Task("cut", 60, place="on"), "cut needs a car to be on or away with, not none"),
        (Task("cut", 60, uses=(("bay", -1),)), "cut needs 0 or more of bay, not -1"),
    ],
)
def test_a_task_that_cannot_be(task, words):
    with pytest.raises(BadTask) as refused:
        jobs_of({"cut": task}, counted=[Counted("bay", 1)])
    assert str(refused.value).startswith(words)


def test_a_task_too_large_for_the_workshop():
    with pytest.raises(OverCapacity, match="cut needs 2 of bay, and there are only 1"):
        jobs_of({"cut": Task("cut", 60, uses=(("bay", 2),))}, counted=[Counted("bay", 1)])


def test_less_than_nothing_of_a_counted_thing():
    with pytest.raises(BadTask, match="bay needs a capacity of 0 or more, not -1"):
        jobs_of({"cut": 60}, counted=[Counted("bay", -1)])


def test_negative_work():
    with pytest.raises(BadDuration):
        jobs_of({"cut": Task("cut", -1)})


def test_names_that_are_not_there():
    with pytest.raises(UnknownName, match="no worker called Zoe"):
        jobs_of({"cut": Task("cut", 60, named=("Zoe",))})
    with pytest.raises(UnknownName, match="no counted thing called bay"):
        jobs_of({"cut": Task("cut", 60, uses=(("bay", 1),))})
    with pytest.raises(UnknownCalendar):
        jobs_of({"cut": Task("cut", 60, "plater")})
    with pytest.raises(UnknownActivity):
        jobs_of({"cut": 60}, targets=[Target("weld")])
    with pytest.raises(UnknownActivity):
        jobs_of({"cut": 60}, [Link("cut", "weld")])


def test_names_that_are_there_twice():
    with pytest.raises(DuplicateName, match="Ann"):
        jobs_of({"cut": 60}, workers=[Worker("Ann", week()), Worker("Ann", week())])
    with pytest.raises(DuplicateActivity):
        Problem.build([Task("cut", 1), Task("cut", 2)], [], [], {"shop": week()}, START, hours="shop")


def test_weights_below_nothing():
    with pytest.raises(BadTask, match="weights of 0 or more"):
        jobs_of({"cut": 60}, targets=[Target("cut", early_weight=-1)])

"""Questions asked at once come to the published optimum, and leave nothing running behind them."""

import csv
import threading
from pathlib import Path

import pytest

from builds.schedule.levelling.deciding import decide
from builds.schedule.levelling.search import Search
from builds.schedule.levelling.serial import serial_plan
from tests.builds.schedule.levelling.projects import UNIT_MIN, read_project

PSPLIB = Path(__file__).parent / "psplib"
OPTIMA = {row["instance"]: int(row["makespan"]) for row in csv.DictReader((PSPLIB / "optima.csv").open())}
LONG_S = 60  # these take a second at most on an idle machine, and come back as soon as they are proven


def search_of(name, seconds=LONG_S, should_stop=None):
    problem = read_project((PSPLIB / f"{name}.sm").read_text()).problem()
    return Search(problem, serial_plan(problem), seconds, should_stop=should_stop)


@pytest.mark.parametrize("name", ["j305_1", "j309_1", "j3021_1", "j3037_1"])
def test_the_published_optimum_is_found_and_proven(name):
    search = search_of(name)
    decide(search, seed=1)
    plan = search.answer()
    assert (plan.cost, plan.bound.cost) == (OPTIMA[name] * UNIT_MIN, OPTIMA[name] * UNIT_MIN)


@pytest.mark.parametrize("name", sorted(OPTIMA))
def test_no_bound_is_above_the_published_optimum_however_soon_it_is_over(name):
    """A second is too short for some: what was proven until then must hold all the same."""
    search = search_of(name, seconds=1)
    decide(search, seed=1)
    assert search.bound.cost <= OPTIMA[name] * UNIT_MIN <= search.best.cost


def test_somebody_who_stops_it_finds_no_question_still_asked():
    before = threading.active_count()
    asked = []

    def stop_at_the_third_time():
        asked.append(1)
        return len(asked) > 2

    search = search_of("j309_1", should_stop=stop_at_the_third_time)
    decide(search, seed=1)
    assert threading.active_count() == before
    assert search.left > 0 or search.answer().is_proven


def test_nothing_is_asked_where_the_first_plan_is_proven():
    search = search_of("j309_1")
    search.prove(search.best.cost)
    decide(search, seed=1)
    assert search.left > LONG_S - 1

"""Published projects with limited resources: no plan beats the printed optimum, no bound passes it.

- `psplib/`: R. Kolisch, A. Sprecher (1997) 'PSPLIB - A project scheduling problem library', European
  Journal of Operational Research 96, 205-216; the optimal makespans are those of the list `j30opt.sm` of
  E. Demeulemeester and W. Herroelen (1995).
- `cpm_examples.json`: a ten-job example of the Python-MIP documentation, and project 1 of J.H. Patterson
  (1984), Management Science 30, 854-867.

The example `rcpsp_max_1` (greatest lags between starts) is not solved: levelling knows finish-to-start links
with least lags only, and the test below holds that it refuses others by name.
"""

import csv
import json
from pathlib import Path

import pytest

from builds.schedule.levelling.errors import BadTask
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link, LinkKind
from tests.builds.schedule.levelling.projects import UNIT_MIN, Project, read_project
from tests.builds.schedule.levelling.workshops import jobs_of

HERE = Path(__file__).parent
OPTIMA = {
    row["instance"]: int(row["makespan"]) for row in csv.DictReader((HERE / "psplib/optima.csv").open())
}
EXAMPLES = json.loads((HERE.parent / "cpm_examples.json").read_text())["examples"]
PROVEN = {"j301_1", "j302_3", "j305_1", "j309_1", "j3021_1", "j3037_1", "j3041_1"}
SECONDS = 2
LONG = 60  # these take a fraction of a second on an idle machine, and come back as soon as they are proven


def example(name):
    found = next(example for example in EXAMPLES if example["id"] == name)
    number = {activity["id"]: place for place, activity in enumerate(found["activities"])}
    after = {place: [] for place in number.values()}
    for activity in found["activities"]:
        for before in activity["predecessors"]:
            assert (before["type"], before["lag"]) == ("FS", 0)
            after[number[before["id"]]].append(number[activity["id"]])
    project = Project(
        durations={number[a["id"]]: a["duration"] for a in found["activities"]},
        successors={place: tuple(afters) for place, afters in after.items()},
        requests={number[a["id"]]: tuple(a["requests"]) for a in found["activities"]},
        capacities=tuple(found["capacities"]),
    )
    return project, found["published"]["makespan"]


@pytest.mark.parametrize("name", sorted(OPTIMA))
def test_no_plan_beats_the_published_optimum_of_psplib(name):
    project = read_project((HERE / f"psplib/{name}.sm").read_text())
    problem, optimum = project.problem(), OPTIMA[name]
    start = serial_plan(problem)
    assert project.makespan(start) >= optimum
    assert start.bound.cost <= optimum * UNIT_MIN

    best = improve(problem, start, LONG if name in PROVEN else SECONDS)
    assert best.bound.cost / UNIT_MIN <= optimum <= project.makespan(best) <= project.makespan(start)
    if name in PROVEN:
        assert best.is_proven
        assert project.makespan(best) == optimum


@pytest.mark.parametrize("name", ["rcpsp_10", "patterson_1"])
def test_the_optimum_of_a_printed_example_is_found_and_proven(name):
    project, optimum = example(name)
    best = improve(project.problem(), serial_plan(project.problem()), LONG)
    assert project.makespan(best) == optimum == best.bound.cost / UNIT_MIN


def test_links_other_than_finish_to_start_are_refused():
    with pytest.raises(BadTask, match="weld needs finish-to-start links only, not SS after cut"):
        jobs_of({"cut": 60, "weld": 60}, links=[Link("cut", "weld", LinkKind.SS)])

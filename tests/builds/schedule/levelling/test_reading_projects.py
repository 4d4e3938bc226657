"""A project file that is broken is refused with what is wrong, and a run over many goes on without it."""

import json
import sys
from pathlib import Path

import pytest

from tests.benchmarks import psplib
from tests.builds.schedule.levelling.projects import BadProject, read_project

GOOD = (Path(__file__).parent / "psplib/j301_1.sm").read_text()
FIRST = "   1        1          3           2   3   4"  # a job and its successors
REQUEST = "  2      1     8       4    0    0    0"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "there is no block PRECEDENCE RELATIONS"),
        (GOOD[: GOOD.index("REQUESTS/DURATIONS")], "there is no block REQUESTS/DURATIONS"),
        (GOOD[: GOOD.index("RESOURCEAVAILABILITIES")], "there is no block RESOURCEAVAILABILITIES"),
        (GOOD[: GOOD.index("   1        1          3")], "there are no numbers under PRECEDENCE RELATIONS"),
        (GOOD.replace(FIRST, FIRST.replace("3   4", "x   4")), "x   4' .*is not 3 whole numbers or more"),
        (GOOD.replace(FIRST, FIRST.replace("3   4", "-3   4")), "-3   4' .*is not 3 whole numbers"),
        (GOOD.replace(FIRST, FIRST[:14]), "'1        1' .*is not 3 whole numbers or more"),
        (GOOD.replace(FIRST, FIRST[:-4]), "job 1 says 3 successors and names 2"),
        (GOOD.replace(FIRST, FIRST.replace(" 4", "44")), "job 1 goes before job 44, which is not there"),
        (GOOD.replace(FIRST, FIRST.replace("      1 ", "      2 ")), "job 1 has 2 modes"),
        (GOOD.replace(FIRST + "\n", ""), "job 1 has no line under PRECEDENCE RELATIONS"),
        (GOOD.replace(FIRST, FIRST + "\n" + FIRST), "job 1 has more than one line under PRECEDENCE"),
        (GOOD.replace(REQUEST + "\n", ""), "job 2 has no line under REQUESTS/DURATIONS"),
        (GOOD.replace(REQUEST, REQUEST[:-5]), "job 2 asks for 3 resources, and there are 4"),
        (GOOD.replace(REQUEST, REQUEST.replace(" 1 ", " 2 ", 1)), "job 2 has mode 2"),
    ],
)
def test_a_broken_file_is_refused_with_what_is_wrong(text, why):
    assert text != GOOD
    with pytest.raises(BadProject, match=why):
        read_project(text)


@pytest.fixture
def folder(tmp_path):
    """A good project between a broken one and one that asks for more than there is."""
    (tmp_path / "j301_1.sm").write_text(GOOD)
    (tmp_path / "j301_0.sm").write_text(GOOD[: GOOD.index("REQUESTS/DURATIONS")])
    (tmp_path / "j301_2.sm").write_text(GOOD.replace(REQUEST, REQUEST.replace(" 4 ", "99 ")))
    (tmp_path / "optima.csv").write_text("instance,makespan\nj301_1,43\n")
    return tmp_path


def run(monkeypatch, *arguments):
    monkeypatch.setattr(sys, "argv", ["psplib", *map(str, arguments)])
    return psplib.main()


def test_a_run_names_what_is_broken_and_solves_the_others(folder, monkeypatch, capsys):
    assert run(monkeypatch, folder, "--seconds", 20) == 1
    said = capsys.readouterr().out
    assert "j301_0 does not count: it cannot be solved: there is no block REQUESTS/DURATIONS" in said
    assert "j301_2 does not count: it cannot be solved: " in said
    assert "solved 1 of 3, proven optimal 1 (33.3%), at the best known 1" in said


def test_what_is_broken_has_no_figures_in_json(folder, monkeypatch, capsys):
    run(monkeypatch, folder, "--seconds", 20, "--json")
    broken, good, _ = json.loads(capsys.readouterr().out)["projects"]
    assert (broken["name"], broken["makespan"], broken["gap"]) == ("j301_0", None, None)
    assert not broken["is_proven"]
    assert (good["name"], good["makespan"]) == ("j301_1", 43)


def test_a_run_of_nothing_but_broken_files_ends_in_words(folder, monkeypatch, capsys):
    (folder / "j301_1.sm").unlink()
    assert run(monkeypatch, folder) == 1
    assert "solved 0 of 2" in capsys.readouterr().out

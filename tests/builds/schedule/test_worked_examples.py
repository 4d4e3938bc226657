"""The published worked examples: every printed figure, with its source in the name of the test.

`cpm_examples.json` holds for each example what its source prints (`published`), where it was printed, and
whether the print was seen or is from memory. A printed whole number must be met exactly; a printed
decimal to one unit of its last digit, since some sources round and others cut off; or to the tolerance
that the example states. Each example is also solved by a longest-path search of networkx, which is all
there is to compare with where nothing printed was seen.
"""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import networkx as nx
import pytest

from builds.schedule.calendar import EPOCH, WorkCalendar
from builds.schedule.driving import what_sets
from builds.schedule.network import Activity, Link, LinkKind, Network
from builds.schedule.passes import backward, forward, free_float, total_float
from builds.schedule.pert import Estimate, along, chance_within

UNIT_MIN = 60  # one printed unit of time; sixths of half units are then whole minutes
CLOCK = {"clock": WorkCalendar.around_the_clock(EPOCH.date(), EPOCH.date().replace(year=2001))}
EXAMPLES = json.loads(Path(__file__).with_name("cpm_examples.json").read_text())["examples"]
DATED = [example for example in EXAMPLES if example["kind"] in ("cpm", "cpm_lags", "pert")]
PRINTED = [example for example in DATED if example["published"]]
THREE_POINT = [example for example in DATED if example["kind"] == "pert"]


def named(examples):
    return [pytest.param(example, id=name_of(example)) for example in examples]


def name_of(example):
    source = example["source"]
    how = {"seen": "print seen", "memory": "from memory"}[example["seen_or_memory"]]
    against = how if example["published"] else "no print seen, networkx only"
    return f"{example['id']}: {source['author']}, {source['title']} {source['address']} ({against})"


def mean_of(activity):
    if "duration" in activity:
        return Fraction(str(activity["duration"]))
    low, likely, high = (Fraction(str(activity[letter])) for letter in "omp")
    return (low + 4 * likely + high) / 6


class Solved:
    """One example solved by the core, in the units of its source."""

    def __init__(self, example):
        lengths = {activity["id"]: mean_of(activity) * UNIT_MIN for activity in example["activities"]}
        assert all(length.denominator == 1 for length in lengths.values())
        activities = [Activity(key, int(length), "clock") for key, length in lengths.items()]
        links = [
            Link(before["id"], activity["id"], LinkKind(before["type"]), before["lag"] * UNIT_MIN)
            for activity in example["activities"]
            for before in activity["predecessors"]
        ]
        self.network = Network.build(activities, links, CLOCK, 0)
        self.early = forward(self.network)
        self.end = max(self.early.finish.values())
        last = {link.before for link in links}
        self.targets = {key: self.end for key in lengths if key not in last}
        self.late = backward(self.network, self.early, self.targets)
        self.total = total_float(self.network, self.early, self.late)
        self.free = free_float(self.network, self.early, self.targets)

    def row(self, key):
        figures = {
            "ES": self.early.start[key],
            "EF": self.early.finish[key],
            "LS": self.late.start[key],
            "LF": self.late.finish[key],
            "total_float": self.total[key],
            "free_float": self.free[key],
        }
        return {name: Fraction(figure, UNIT_MIN) for name, figure in figures.items()}

    def critical_paths(self):
        """Every way through activities without float along links without slack."""
        tight = nx.DiGraph()
        tight.add_nodes_from(key for key, slack in self.total.items() if slack == 0)
        for link in self.network.links:
            ends = (self.early.finish if link.kind[0] == "F" else self.early.start)[link.before]
            begins = (self.early.start if link.kind[1] == "S" else self.early.finish)[link.after]
            if link.before in tight and link.after in tight and ends + link.lag_min == begins:
                tight.add_edge(link.before, link.after)
        firsts = [key for key in tight if tight.in_degree(key) == 0]
        lasts = [key for key in tight if tight.out_degree(key) == 0]
        return sorted(
            path
            for first in firsts
            for last in lasts
            for path in (nx.all_simple_paths(tight, first, last) if first != last else [[first]])
        )


def matches(computed, printed, tolerance=None):
    if tolerance is None:
        digits = -Decimal(repr(printed)).as_tuple().exponent
        tolerance = 0 if float(printed).is_integer() else 10.0**-digits
    return abs(float(computed) - printed) <= tolerance + 1e-12


@pytest.mark.parametrize("example", named(PRINTED))
def test_every_printed_date_and_float_is_met(example):
    solved, published = Solved(example), example["published"]
    compared = 0
    for key, figures in published.get("activities", {}).items():
        row = solved.row(key)
        for name in figures.keys() & row.keys():
            assert matches(row[name], figures[name], published.get("tolerance")), (key, name, row[name])
            compared += 1
    if "project_duration" in published:
        assert Fraction(solved.end, UNIT_MIN) == published["project_duration"]
        compared += 1
    if "critical_paths" in published:
        assert solved.critical_paths() == sorted(published["critical_paths"])
        compared += 1
    # An example that prints means only is compared below; one that compares nothing anywhere is a slip.
    assert compared or all("mean" in figures for figures in published["activities"].values())


@pytest.mark.parametrize("example", named(e for e in PRINTED if "critical_paths" in e["published"]))
def test_what_sets_the_end_is_the_printed_critical_path(example):
    solved = Solved(example)
    (last,) = {path[-1] for path in example["published"]["critical_paths"]}
    chain = [step.key for step in what_sets(solved.network, solved.early, last)]
    assert chain in example["published"]["critical_paths"]


@pytest.mark.parametrize("example", named(THREE_POINT))
def test_every_printed_mean_variance_and_chance_is_met(example):
    published = example["published"]
    estimates = {a["id"]: Estimate(a["o"], a["m"], a["p"]) for a in example["activities"]}
    tolerance = published.get("tolerance")
    for key, figures in published.get("activities", {}).items():
        if "mean" in figures:
            assert matches(estimates[key].mean, figures["mean"], tolerance), key
        if "variance" in figures:
            assert matches(estimates[key].variance, figures["variance"], tolerance), key
    if "variance" not in published and "probabilities" not in published:
        return
    (path,) = published["critical_paths"]
    total = along(estimates[key] for key in path)
    assert matches(total.mean, published["project_duration"])
    assert matches(total.variance, published["variance"], published.get("variance_tolerance"))
    for chance in published["probabilities"]:
        assert chance["tail"] == "<="
        assert matches(chance_within(total, chance["t"]), chance["p"], chance.get("tolerance"))


@pytest.mark.parametrize("example", named(DATED))
def test_early_dates_are_the_longest_paths_that_networkx_finds(example):
    solved = Solved(example)
    graph = nx.DiGraph()
    lengths = {activity["id"]: mean_of(activity) for activity in example["activities"]}

    def tie(tail, head, weight):
        if not graph.has_edge(tail, head) or graph[tail][head]["weight"] < weight:
            graph.add_edge(tail, head, weight=weight)

    # One node per activity, its start; a link to or from a finish carries the length with it.
    for activity in example["activities"]:
        key = activity["id"]
        tie("outset", key, Fraction(0))
        tie(key, "end", lengths[key])
        for before in activity["predecessors"]:
            ahead = lengths[before["id"]] if before["type"][0] == "F" else 0
            behind = lengths[key] if before["type"][1] == "F" else 0
            tie(before["id"], key, ahead + before["lag"] - behind)
    assert Fraction(solved.end, UNIT_MIN) == nx.dag_longest_path_length(graph)
    for key in lengths:
        to_here = graph.subgraph(nx.ancestors(graph, key) | {key})
        from_here = graph.subgraph(nx.descendants(graph, key) | {key})
        row = solved.row(key)
        assert row["ES"] == nx.dag_longest_path_length(to_here)
        end = Fraction(solved.end, UNIT_MIN)
        assert row["LS"] == end - nx.dag_longest_path_length(from_here)


def test_the_printed_result_that_belongs_to_another_network_is_not_met():
    """Rossetti's example 3.12 lists a path that runs B before C; its table does not (see the note there)."""
    (example,) = [example for example in EXAMPLES if example["id"] == "ksl_triangular_9"]
    assert example["agrees"] is False
    modes = {activity["id"]: activity["m"] for activity in example["activities"]}
    by_mode = [
        {"id": a["id"], "duration": a["m"], "predecessors": a["predecessors"]} for a in example["activities"]
    ]
    solved = Solved({"activities": by_mode})
    assert solved.end == sum(modes[key] for key in "ABDFHI") * UNIT_MIN == 46 * UNIT_MIN
    assert sum(modes[key] for key in "ABCGHI") == 47  # the listed path, longer than any in the table


def test_every_example_of_these_kinds_is_compared_with_print_unless_it_says_so():
    assert [example["id"] for example in DATED if not example["published"]] == ["ss_links_14"]
    assert len(DATED) == 15
    assert all(example["disagreements"] == [] for example in DATED)

"""How long a loom of 600 wires over 150 runs takes, from nothing and after one change.

    python -m tests.benchmarks.loom

Beside it the plain way: a loop over the wires that finds each its shortest route, counts the drop of the one
wire with cold copper, and takes the current from a table (DIN VDE 0298-4, conductor 70 °C, re-rated to the
hottest run by the square root, times the BS 7671 factor for the wires in it). It knows no fuse, no duty, no
path of several wires and no heat of neighbours, and cannot say what a change changes.
"""

import itertools
import math
import random
from collections import Counter

import networkx as nx

from engineering.loom import WIRES, Rule, Series
from engineering.loom.change import changes
from engineering.loom.circuits import current_through, follow
from engineering.loom.sizing import size_loom
from engineering.loom.thermal import VDE_30C_A, grouping_factor
from engineering.loom.wire_list import DROPS, LoomList
from tests.benchmarks.measuring import measured, own_peak_mb, print_machine, print_table
from tests.engineering.loom.looms import large_loom, with_component, with_run

TABLE_A = {1.0: 19, 1.5: 24, 2.5: 32, 4.0: 42, 6.0: 54} | dict(VDE_30C_A)


def plain_sizes(loom: LoomList) -> dict[str, float]:
    """Area of every wire by a table, one wire after the other [mm²]."""
    graph = nx.Graph()
    for run in loom.runs:
        known = graph.get_edge_data(run.start, run.end)
        if known is None or run.length_mm < known["mm"]:
            graph.add_edge(run.start, run.end, mm=run.length_mm, run=run)
    circuits = follow(loom)
    routes, together = {}, Counter()
    for wire in loom.wires:
        ends = (loom.joint_of[wire.start.place], loom.joint_of[wire.end.place])
        joints = nx.dijkstra_path(graph, *ends, weight="mm")
        routes[wire.label] = [graph[one][other]["run"] for one, other in itertools.pairwise(joints)]
        together.update(run.name for run in routes[wire.label])
    return {wire.label: _plain_size(loom, wire.label, routes, together, circuits) for wire in loom.wires}


def _plain_size(loom, label, routes, together, circuits):
    loads = circuits.flows[label].loads
    amperes, runs = current_through(loom, loads), routes[label]
    length_m = sum(run.length_mm for run in runs) / 1000 + 0.2
    allowed_v = min((DROPS[loom.by_name[name].drop].volts(loom.system_v) for name in loads), default=math.inf)
    hottest_c = max((run.ambient_c for run in runs), default=50.0)
    fewest = grouping_factor(min(max((together[run.name] for run in runs), default=1), 20))
    for size in WIRES[Series.METRIC]:
        table_a = TABLE_A.get(size.area_mm2)
        if table_a is None:
            continue
        carries_a = (
            table_a * math.sqrt(max(0.0, 70 - hottest_c) / 40) * fewest if hottest_c < 70 else math.inf
        )
        if amperes * size.milliohm_per_m / 1000 * length_m <= allowed_v and amperes <= carries_a:
            return size.area_mm2
    return math.inf


def main() -> None:
    loom = large_loom(random.Random(1))
    result = size_loom(loom)
    print_machine()
    print(
        f"{len(loom.wires)} wires, {len(loom.runs)} runs, {len(loom.components)} components, "
        f"{len(loom.devices)} fuses; {len(result.wires)} wires sized"
    )
    step = itertools.count(1)
    run, component = loom.runs[20], loom.components[30]

    def another_length():
        return size_loom(with_run(loom, run.name, length_mm=run.length_mm + next(step)), result)

    def another_current():
        return size_loom(with_component(loom, component.name, steady_a=2 + next(step) / 100), result)

    print_table(
        "Whole loom, and after one change",
        [
            measured("sized from nothing", lambda: size_loom(loom)),
            measured("one run measured again", another_length, 15),
            measured("one component with another current", another_current, 15),
            measured("plain loop over a table", lambda: plain_sizes(loom)),
        ],
    )
    plain = plain_sizes(loom)
    thinner = [wire for label, wire in result.wires.items() if plain[label] < wire.size.area_mm2 * 0.999]
    unfused = sum(wire.rule is Rule.PROTECTION for wire in thinner)
    changed = changes(result, another_current())
    touched = len({each.thing for each in changed})
    print(
        f"\nThe table takes a thinner wire for {len(thinner)} of {len(result.wires)}, and {unfused} of those "
        f"would not bear their fuse.\n{component.name}'s current changes {touched} wires and fuses."
    )
    print(f"Peak memory {own_peak_mb():.0f} MB")


if __name__ == "__main__":
    main()

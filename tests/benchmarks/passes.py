"""How long both passes over 20,000 activities take: `python -m tests.benchmarks.passes`.

Beside them, in the same run, plain networkx over the same bare network: topological order, longest path
forward and backward, no calendars and no floats.
"""

import sys

import networkx as nx

from builds.schedule.network import Network
from builds.schedule.passes import backward, forward, free_float, total_float
from tests.benchmarks.measuring import measured, own_peak_mb, peak_mb_of, print_machine, print_table
from tests.benchmarks.networks import bare, workshop

SIZE = 20_000


def both_passes(network: Network, targets: list[str]) -> tuple[object, object]:
    early = forward(network)
    return early, backward(network, early, dict.fromkeys(targets))


def with_floats(network: Network, targets: list[str]) -> object:
    early = forward(network)
    due = dict.fromkeys(targets)
    late = backward(network, early, due)
    return total_float(network, early, late), free_float(network, early, due)


def graph_of(network: Network) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from((activity.key, {"work": activity.work_min}) for activity in network.activities)
    graph.add_edges_from((link.before, link.after) for link in network.links)
    return graph


def networkx_passes(graph: nx.DiGraph, start: int) -> tuple[dict[str, int], dict[str, int]]:
    order = list(nx.topological_sort(graph))
    finish: dict[str, int] = {}
    for key in order:
        begin = max((finish[before] for before in graph.predecessors(key)), default=start)
        finish[key] = begin + graph.nodes[key]["work"]
    end = max(finish.values())
    late: dict[str, int] = {}
    for key in reversed(order):
        late[key] = (
            min((late[after] for after in graph.successors(key)), default=end) - graph.nodes[key]["work"]
        )
    return finish, late


def main() -> None:
    print_machine()
    network, _, targets = bare(SIZE)
    graph = graph_of(network)
    if networkx_passes(graph, network.start)[0] != dict(forward(network).finish):
        raise SystemExit("The passes and networkx disagree.")
    cars, _, car_targets, _ = workshop(SIZE)
    module = "tests.benchmarks.passes"
    rows = [
        measured("both passes, bare", lambda: both_passes(network, targets)),
        measured("both passes and both floats, bare", lambda: with_floats(network, targets)),
        measured(
            "plain networkx, both passes, no floats, bare", lambda: networkx_passes(graph, network.start)
        ),
        measured("both passes, calendars, batches, cars away", lambda: both_passes(cars, car_targets)),
        measured("Network.build, bare: checks and order", lambda: bare_again(network)),
    ]
    print_table(f"{len(network.activities):,} activities, {len(network.links):,} links", rows)
    print(
        "  (early finishes equal those of networkx; peak of a process with both passes "
        f"{peak_mb_of(module, 'passes'):.0f} MB)"
    )


def bare_again(network: Network) -> Network:
    return Network.build(network.activities, network.links, network.calendars, network.start)


if __name__ == "__main__":
    if "--peak" in sys.argv:
        network, _, targets = bare(SIZE)
        both_passes(network, targets)
        print(own_peak_mb())
    else:
        main()

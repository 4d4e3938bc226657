"""Which runs each wire passes, and how long it is cut."""

import itertools
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field

import networkx as nx  # type: ignore[import-untyped]  # it brings no types

from engineering.loom.faults import Fault, FaultKind
from engineering.loom.wire_list import LoomList, Pin, Run, WireLine

MOST_PINS = 4
"""Joints that one wire may be pinned through; every order of them is tried."""


@dataclass(frozen=True)
class Route:
    """The way of one wire.

    Parameters
    ----------
    joints : tuple of str
        Joints from its start to its end.
    runs : tuple of str
        Runs between them; empty where both ends sit at one joint.
    run_mm : float
        Length of the runs together [mm].
    cut_mm : float
        Length to cut: the runs, both tails and the service loop [mm].
    """

    joints: tuple[str, ...]
    runs: tuple[str, ...]
    run_mm: float
    cut_mm: float


@dataclass
class RouteBook:
    """Routes of a loom, and what is needed to find them again quickly after a change of the tape.

    Parameters
    ----------
    routes : dict of str to Route
        By the label of the wire.
    faults : tuple of Fault
        Wires that no permitted run reaches.
    maps : RunMaps
        The shortest ways found so far.
    loom : LoomList
        The list that was routed.
    """

    routes: dict[str, Route]
    faults: tuple[Fault, ...]
    maps: "RunMaps" = field(repr=False)
    loom: LoomList = field(repr=False)


def find_routes(loom: LoomList, before: RouteBook | None = None) -> RouteBook:
    """Take every wire the shortest permitted way.

    Parameters
    ----------
    loom : LoomList
        The list; names and figures already found sound.
    before : RouteBook or None
        Routes of the list before a change; what cannot have changed is taken from there.

    Returns
    -------
    RouteBook
        The routes. With or without `before` they are the same.

    Notes
    -----
    Dijkstra's method by networkx, once for each joint at which a wire begins, O((r + j) log j) each. Equal
    ways are told apart by the names of their runs, so that the same car always gets the same routes.

    Examples
    --------
    >>> from engineering.loom.wire_list import LoomList, Pin, Run, Splice, WireLine
    >>> loom = LoomList(12, (WireLine("W1", Pin("S1"), Pin("S2")),),
    ...                 (Run("R1", "A", "B", 900), Run("R2", "B", "C", 300), Run("R3", "A", "C", 1500)),
    ...                 splices=(Splice("S1", "A"), Splice("S2", "C")), tail_mm=50)
    >>> find_routes(loom).routes["W1"]
    Route(joints=('A', 'B', 'C'), runs=('R1', 'R2'), run_mm=1200.0, cut_mm=1300.0)
    """
    if before is not None and _laid_alike(loom, before.loom):
        return before
    maps = RunMaps(loom.runs, before.maps if before else None)
    kept = _unchanged(before, maps, loom) if before else {}
    lengths = {run.name: run.length_mm for run in loom.runs}
    routes: dict[str, Route] = {}
    faults: list[Fault] = []
    for wire in loom.wires:
        way = kept.get(wire.label) or _way(loom, wire, maps)
        if isinstance(way, Fault):
            faults.append(way)
        else:
            joints, runs = way
            run_mm = float(sum(lengths[run] for run in runs))
            routes[wire.label] = Route(joints, runs, run_mm, run_mm + extra_mm(loom, wire))
    return RouteBook(routes, tuple(faults), maps, loom)


def _laid_alike(loom: LoomList, other: LoomList) -> bool:
    """Whether nothing that a route depends on has changed: lists share what did not change."""
    return (
        loom.runs is other.runs
        and loom.wires is other.wires
        and loom.connectors is other.connectors
        and loom.joint_of == other.joint_of
        and (loom.tail_mm, loom.loop_mm) == (other.tail_mm, other.loop_mm)
    )


def extra_mm(loom: LoomList, wire: WireLine) -> float:
    """What a wire needs beside the length of its runs.

    Parameters
    ----------
    loom : LoomList
        The list.
    wire : WireLine
        The wire.

    Returns
    -------
    float
        Tails at both ends and service loop [mm].
    """
    loop_mm = loom.loop_mm if wire.loop_mm is None else wire.loop_mm
    return _tail_mm(loom, wire.start) + _tail_mm(loom, wire.end) + loop_mm


def _tail_mm(loom: LoomList, pin: Pin) -> float:
    tail_mm = loom.tails_mm.get(pin.place)
    return loom.tail_mm if tail_mm is None else tail_mm


_Way = tuple[tuple[str, ...], tuple[str, ...]]


def _way(loom: LoomList, wire: WireLine, maps: "RunMaps") -> _Way | Fault:
    start, end = loom.joint_of[wire.start.place], loom.joint_of[wire.end.place]
    if len(wire.via) > MOST_PINS:
        words = f"Wire {wire.label}: is pinned through {len(wire.via)} joints; {MOST_PINS} at most."
        return Fault(FaultKind.ROUTE, wire.label, "via", words, (wire.label,))
    avoid = frozenset(wire.avoid)
    best: tuple[int, list[str]] | None = None
    for order in itertools.permutations(wire.via):
        stops = [start, *order, end]
        legs = [maps.leg(avoid, one, other) for one, other in itertools.pairwise(stops)]
        found = [leg for leg in legs if leg is not None]
        if len(found) == len(legs):
            length = sum(weight for weight, _ in found)
            joints = [start, *(joint for _, leg in found for joint in leg[1:])]
            if best is None or length < best[0]:
                best = (length, joints)
    if best is None:
        through = f" through {', '.join(wire.via)}" if wire.via else ""
        without = f" without {', '.join(wire.avoid)}" if wire.avoid else ""
        words = (
            f"Wire {wire.label}: no run leads from {wire.start} at {start} to {wire.end} at {end}{through}"
            f"{without}. Measure the missing run, or let the wire go another way."
        )
        return Fault(FaultKind.ROUTE, wire.label, "route", words, (wire.label,))
    return tuple(best[1]), tuple(maps.runs_along(avoid, best[1]))


class RunMaps:
    """The runs as graphs, one for each set of runs to keep out of, and the shortest ways found in them.

    Parameters
    ----------
    runs : tuple of Run
        The measured stretches.
    before : RunMaps or None
        Those of an earlier list; what was found there is kept where no run has changed.
    """

    def __init__(self, runs: tuple[Run, ...], before: "RunMaps | None" = None) -> None:
        self.weights = {run.name: (run.start, run.end, _weight(run)) for run in runs}
        self._runs = runs
        self._graphs: dict[frozenset[str], nx.Graph] = {}
        self._trees: dict[tuple[frozenset[str], str], tuple[dict[str, list[str]], dict[str, int]]] = {}
        if before is not None and before.weights == self.weights:
            self._graphs, self._trees = before._graphs, before._trees

    def graph(self, avoid: frozenset[str]) -> "nx.Graph":
        """The permitted runs."""
        if avoid not in self._graphs:
            graph = nx.Graph()
            for run in self._runs:
                weight = self.weights[run.name][2]
                known = graph.get_edge_data(run.start, run.end)
                if run.name not in avoid and (known is None or weight < known["weight"]):
                    graph.add_edge(run.start, run.end, weight=weight, run=run.name)
            self._graphs[avoid] = graph
        return self._graphs[avoid]

    def leg(self, avoid: frozenset[str], start: str, end: str) -> tuple[int, list[str]] | None:
        """Weight and joints of the shortest way, or None where there is none."""
        if start == end:
            return 0, [start]
        graph = self.graph(avoid)
        if start not in graph or end not in graph:
            return None
        # the shortest way back is the same way: a tree from either end will do
        if (avoid, start) not in self._trees and (avoid, end) in self._trees:
            back = self.leg(avoid, end, start)
            return None if back is None else (back[0], back[1][::-1])
        if (avoid, start) not in self._trees:
            self._trees[avoid, start] = nx.dijkstra_predecessor_and_distance(graph, start)
        before, weights = self._trees[avoid, start]
        if end not in weights:
            return None
        joints = [end]
        while joints[-1] != start:
            joints.append(before[joints[-1]][0])
        return weights[end], joints[::-1]

    def runs_along(self, avoid: frozenset[str], joints: list[str]) -> Iterator[str]:
        """Names of the runs between joints that follow each other."""
        graph = self.graph(avoid)
        return (graph[one][other]["run"] for one, other in itertools.pairwise(joints))


def _weight(run: Run) -> int:
    """Length in thousandths of a millimetre; below that, a number from the name tells equal ways apart."""
    return (round(run.length_mm * 1000) << 32) + zlib.crc32(run.name.encode()) // 1024


def _unchanged(before: RouteBook, maps: RunMaps, loom: LoomList) -> dict[str, _Way]:
    """Routes of the list before that are shortest still.

    A longer run matters only to wires in it. A shorter one keeps the wires in it, and draws others where the
    way through it beats what they have.
    """
    old, new = before.maps.weights, maps.weights
    if {name: ends[:2] for name, ends in old.items()} != {name: ends[:2] for name, ends in new.items()}:
        return {}
    changed = [name for name in new if new[name] != old[name]]
    if len(changed) > 1:
        return {}
    wires_before = {wire.label: wire for wire in before.loom.wires}
    kept: dict[str, _Way] = {}
    for wire in loom.wires:
        route, was = before.routes.get(wire.label), wires_before.get(wire.label)
        same_ends = (
            was is not None
            and (was.start, was.end, was.via, was.avoid) == (wire.start, wire.end, wire.via, wire.avoid)
            and all(loom.joint_of[p.place] == before.loom.joint_of[p.place] for p in (wire.start, wire.end))
        )
        if route is None or not same_ends:
            continue
        if all(_stays(name, wire, route, old[name][2], maps) for name in changed):
            kept[wire.label] = (route.joints, route.runs)
    return kept


def _stays(name: str, wire: WireLine, route: Route, was: int, maps: RunMaps) -> bool:
    one, other, weight = maps.weights[name]
    if wire.via:
        return False  # pinned wires are few: looked up anew
    if weight >= was:
        return name not in route.runs
    if name in wire.avoid or name in route.runs:
        return name in wire.avoid or route.runs.count(name) == 1
    avoid, start, end = frozenset(wire.avoid), route.joints[0], route.joints[-1]
    has = sum(maps.weights[run][2] for run in route.runs)
    for near, far in ((one, other), (other, one)):
        there, onward = maps.leg(avoid, near, start), maps.leg(avoid, far, end)
        if there and onward and there[0] + weight + onward[0] < has:
            return False
    return True

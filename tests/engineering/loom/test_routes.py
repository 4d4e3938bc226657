"""Every wire takes the shortest permitted way, as an independent library finds it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from engineering.loom.faults import FaultKind
from engineering.loom.routes import find_routes
from engineering.loom.wire_list import LoomList, Pin, Run, Splice, WireLine
from tests.engineering.loom.looms import small_loom, with_run, with_wire


def test_routes_and_cut_lengths_by_hand():
    """Tails of 50 mm at both ends: W3 from J2 to J3 is 2000 + 100, W1 stays at J1: 100 mm."""
    routes = find_routes(small_loom()).routes
    assert {label: (route.runs, route.cut_mm) for label, route in routes.items()} == {
        "W1": ((), 100),
        "W2": (("R1",), 1100),
        "W3": (("R2",), 2100),
        "W4": ((), 100),
        "W5": ((), 100),
        "W6": (("R1", "R3"), 1600),
        "W7": ((), 100),
    }


def test_a_change_of_the_tape_changes_every_wire_in_that_run():
    longer = find_routes(with_run(small_loom(), "R1", length_mm=1250)).routes
    before = find_routes(small_loom()).routes
    changed = {label: longer[label].cut_mm - before[label].cut_mm for label in before}
    assert {label: mm for label, mm in changed.items() if mm} == {"W2": 250, "W6": 250}


def test_tails_and_loops_are_added():
    loom = with_wire(small_loom(), "W2", loop_mm=80)
    tailed = replace(loom, connectors=tuple(
        replace(each, tail_mm=200) if each.name == "SW" else each for each in loom.connectors))  # fmt: skip
    assert find_routes(tailed).routes["W2"].cut_mm == 1000 + 50 + 200 + 80


TRIANGLE = LoomList(
    12,
    (WireLine("W1", Pin("S1"), Pin("S2")),),
    (Run("R1", "A", "B", 900), Run("R2", "B", "C", 300), Run("R3", "A", "C", 1500), Run("R4", "B", "D", 100)),
    splices=(Splice("S1", "A"), Splice("S2", "C")),
)


def test_a_wire_pinned_through_a_joint_goes_there():
    assert find_routes(TRIANGLE).routes["W1"].runs == ("R1", "R2")
    pinned = find_routes(with_wire(TRIANGLE, "W1", via=("D",))).routes["W1"]
    assert pinned.runs == ("R1", "R4", "R4", "R2")
    assert pinned.run_mm == 1400


def test_pins_are_taken_in_the_shortest_order():
    assert find_routes(with_wire(TRIANGLE, "W1", via=("D", "B"))).routes["W1"].run_mm == 1400


def test_a_wire_kept_out_of_a_run_goes_round():
    assert find_routes(with_wire(TRIANGLE, "W1", avoid=("R2",))).routes["W1"].runs == ("R3",)


def test_of_two_runs_side_by_side_the_shorter_is_taken():
    twin = replace(TRIANGLE, runs=(*TRIANGLE.runs, Run("R5", "C", "A", 1100)))
    assert find_routes(twin).routes["W1"].runs == ("R5",)
    assert find_routes(with_wire(twin, "W1", avoid=("R5",))).routes["W1"].runs == ("R1", "R2")


def test_no_permitted_run_is_said_by_name():
    book = find_routes(with_wire(TRIANGLE, "W1", avoid=("R1", "R3")))
    (fault,) = book.faults
    assert (fault.kind, fault.thing, book.routes) == (FaultKind.ROUTE, "W1", {})
    assert "no run leads from S1 at A to S2 at C without R1, R3" in fault.message
    cut_off = replace(TRIANGLE, splices=(Splice("S1", "A"), Splice("S2", "Z")))
    assert find_routes(cut_off).faults[0].kind is FaultKind.ROUTE
    crowded = find_routes(with_wire(TRIANGLE, "W1", via=tuple("ABCDE")))
    assert "pinned through 5 joints; 4 at most" in crowded.faults[0].message


JOINTS = 9


@st.composite
def networks(draw):
    """Runs between nine joints, some side by side, and wires between any two."""
    ends = st.tuples(st.integers(0, JOINTS - 1), st.integers(0, JOINTS - 1)).filter(lambda p: p[0] != p[1])
    pairs = draw(st.lists(ends, min_size=4, max_size=16))
    lengths = draw(st.lists(st.integers(1, 40), min_size=len(pairs), max_size=len(pairs)))
    runs = tuple(
        Run(f"R{n}", f"J{one}", f"J{other}", 10.0 * length)
        for n, ((one, other), length) in enumerate(zip(pairs, lengths, strict=True))
    )
    wires = tuple(
        WireLine(f"W{n}", Pin(f"S{one}"), Pin(f"S{other}"))
        for n, (one, other) in enumerate(draw(st.lists(ends, min_size=1, max_size=12)))
    )
    splices = tuple(Splice(f"S{n}", f"J{n}") for n in range(JOINTS))
    return LoomList(12, wires, runs, splices=splices, tail_mm=0)


@settings(max_examples=150, deadline=None)
@given(networks())
def test_lengths_are_those_of_scipy(loom):
    """scipy.sparse.csgraph.dijkstra on the same runs."""
    lengths = np.full((JOINTS, JOINTS), np.inf)
    for run in loom.runs:
        one, other = int(run.start[1:]), int(run.end[1:])
        lengths[one, other] = lengths[other, one] = min(lengths[one, other], run.length_mm)
    lengths[np.isinf(lengths)] = 0
    shortest = dijkstra(csr_array(lengths), directed=False)
    book = find_routes(loom)
    for wire in loom.wires:
        expected = shortest[int(wire.start.place[1:]), int(wire.end.place[1:])]
        if np.isinf(expected):
            assert wire.label not in book.routes
        else:
            route = book.routes[wire.label]
            assert route.run_mm == pytest.approx(expected)
            by_name = {run.name: run for run in loom.runs}
            for name, one, other in zip(route.runs, route.joints, route.joints[1:], strict=False):
                assert {one, other} == {by_name[name].start, by_name[name].end}


@settings(max_examples=150, deadline=None)
@given(networks(), st.integers(0, 15), st.integers(1, 40))
def test_after_a_change_of_one_run_the_routes_are_as_if_found_anew(loom, which, length):
    run = loom.runs[which % len(loom.runs)]
    changed = with_run(loom, run.name, length_mm=10.0 * length)
    quick = find_routes(changed, find_routes(loom))
    anew = find_routes(changed)
    assert (quick.routes, quick.faults) == (anew.routes, anew.faults)

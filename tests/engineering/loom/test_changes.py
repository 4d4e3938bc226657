"""One change on the car changes exactly the wires that it should, and says which."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.loom.change import changes
from engineering.loom.sizing import size_loom
from engineering.loom.wire_list import Pin
from tests.engineering.loom.looms import (
    large_loom,
    small_loom,
    tree_loom,
    with_component,
    with_device,
    with_run,
    with_wire,
)


def said(loom, changed):
    before = size_loom(loom)
    return [str(change) for change in changes(before, size_loom(changed, before))]


def test_nothing_changed_says_nothing():
    assert said(small_loom(), small_loom()) == []


def test_a_longer_run_changes_the_wires_in_it_and_what_shares_their_drop():
    """R2 holds W3, which with W2 shares what the lamps may lose; the pump's wires stay. A regression test."""
    assert said(small_loom(), with_run(small_loom(), "R2", length_mm=2600)) == [
        "W2: size 3 mm² → 4 mm²",
        "W3: cut length 2100 mm → 2700 mm",
    ]


def test_a_slightly_longer_run_changes_lengths_only():
    assert said(small_loom(), with_run(small_loom(), "R3", length_mm=520)) == [
        "W6: cut length 1600 mm → 1620 mm"
    ]


def test_another_current_changes_its_own_circuit():
    loom = with_device(small_loom(), "F2", rating_a=None)
    assert said(loom, with_component(loom, "Pump", steady_a=12)) == [
        "W1: size 3 mm² → 6 mm²",
        "W6: size 1.5 mm² → 3 mm²",
        "W7: size 1 mm² → 2 mm²",
        "F2: rating 15 A blade fuse → 25 A blade fuse",
    ]


def test_a_wire_that_loses_its_size_says_so():
    assert said(small_loom(), with_wire(small_loom(), "W1", loop_mm=200)) == [
        "W1: without a size 3 mm² → ",
        "W1: cut length 100 mm → 300 mm",
        "W4: size 1.5 mm² → 2.5 mm²",
        "W5: size 1.5 mm² → 2.5 mm²",
    ]


def test_another_end_another_wire_and_one_less():
    loom = small_loom()
    moved = with_wire(loom, "W7", end=Pin("S1"))
    assert said(loom, moved)[-1] == "W7: ends PU/- to G1 → PU/- to S1"
    assert "W6: without a size 1.5 mm² → " in said(loom, moved)
    less = replace(loom, wires=loom.wires[:-2], components=loom.components[:2], devices=loom.devices[:1])
    assert said(loom, less)[-3:] == [
        "W6: gone 1.5 mm² → ",
        "W7: gone 1 mm² → ",
        "F2: rating 15 A blade fuse → ",
    ]
    assert "W6: new  → 1.5 mm²" in said(less, loom)


ONE_CHANGE = {
    "run": lambda loom, pick, chance: with_run(
        loom, pick(loom.runs).name, length_mm=chance.choice([90.0, 350.0, 700.0, 2200.0])
    ),
    "current": lambda loom, pick, chance: with_component(
        loom, pick(loom.components).name, steady_a=chance.choice([0.1, 3.0, 9.0])
    ),
    "heat": lambda loom, pick, chance: with_run(
        loom, pick(loom.runs).name, measured_c=chance.choice([20, 70, 88])
    ),
    "fuse": lambda loom, pick, chance: with_device(
        loom, pick(loom.devices).name, rating_a=chance.choice([5, 20])
    ),
    "size": lambda loom, pick, chance: with_wire(
        loom, pick(loom.wires).label, given_mm2=chance.choice([1.0, 6.0])
    ),
    "insulation": lambda loom, pick, chance: with_wire(loom, pick(loom.wires).label, insulation="c"),
    "wire off": lambda loom, pick, chance: replace(loom, wires=loom.wires[1:]),
}


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(1, 8), st.sampled_from(sorted(ONE_CHANGE)))
def test_after_one_change_the_loom_is_as_if_sized_anew(seed, branches, loads, kind):
    chance = random.Random(seed)
    loom = tree_loom(branches, chance, loads)
    changed = ONE_CHANGE[kind](loom, chance.choice, chance)
    assert size_loom(changed, size_loom(loom)) == size_loom(changed)


@pytest.mark.parametrize("kind", ["run", "current"])
def test_a_large_loom_after_one_change_is_as_if_sized_anew(kind):
    chance = random.Random(4)
    loom = large_loom(chance, 240, 60)
    result = size_loom(loom)
    for _ in range(3):
        changed = ONE_CHANGE[kind](loom, chance.choice, chance)
        quick = size_loom(changed, result)
        assert quick == size_loom(changed)
        loom, result = changed, quick


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 7), st.integers(2, 8))
def test_a_current_changes_no_wire_that_shares_neither_path_nor_run(seed, branches, loads):
    chance = random.Random(seed)
    loom = tree_loom(branches, chance, loads)
    component = chance.choice(loom.components)
    before = size_loom(loom)
    after = size_loom(with_component(loom, component.name, steady_a=component.steady_a * 1.3), before)
    path = before.circuits.paths[component.name]
    own = {*path.feed, *path.returns}
    near = {label for label, route in before.routes.items() for mine in own
            if set(route.runs) & set(before.routes[mine].runs) or not route.runs}  # fmt: skip
    shared = {
        label
        for label, flow in before.circuits.flows.items()
        if set(flow.loads) & {name for mine in own for name in before.circuits.flows[mine].loads}
        or flow.device in path.devices
    }
    for change in changes(before, after):
        assert change.thing in own | near | shared | set(path.devices)

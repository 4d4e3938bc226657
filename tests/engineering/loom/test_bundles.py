"""Many wires at once run as hot as each by itself, and mixed bundles keep the order of physics."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.loom import WIRES, Series
from engineering.loom.bundles import Bundles, capacity_alone_a, core_c, densities, running_alone_c, sizes_of
from engineering.loom.thermal import (
    LOOSE_PACKING,
    PACKING,
    _balance_a,
    capacity_a,
    meets_the_table,
    running_c,
)

SIZES = {series: sizes_of(series) for series in Series}


@pytest.mark.parametrize("series", Series)
@pytest.mark.parametrize(("conductor_c", "ambient_c"), [(70, 30), (90, 50), (90, 85), (115, -20), (90, 95)])
def test_alone_a_wire_carries_what_the_circuit_sheet_says(series, conductor_c, ambient_c):
    found = capacity_alone_a(SIZES[series], np.array([conductor_c]), np.array([ambient_c]))[0]
    one_by_one = [capacity_a(wire, conductor_c, ambient_c) for wire in WIRES[series]]
    assert found == pytest.approx(one_by_one, rel=1e-7)


@pytest.mark.parametrize("series", Series)
def test_alone_a_wire_runs_as_hot_as_the_circuit_sheet_says(series):
    wires, amperes = WIRES[series], np.geomspace(3, 150, len(WIRES[series]))
    air = np.linspace(-20, 80, len(wires))
    found = running_alone_c(SIZES[series], np.arange(len(wires)), amperes, air, np.full(len(wires), 300.0))
    one_by_one = [min(running_c(w, a, c), 300.0) for w, a, c in zip(wires, amperes, air, strict=True)]
    assert found == pytest.approx(one_by_one, abs=1e-5)


@pytest.mark.parametrize("together", [4, 7, 12, 20, 40])
@pytest.mark.parametrize("area_mm2", [0.5, 1.5, 4])
def test_equal_wires_carry_what_the_circuit_sheets_bunch_carries(together, area_mm2):
    """The reference bundle of equal currents at J = I/A is the circuit sheet's bunch."""
    wire = next(wire for wire in WIRES[Series.METRIC] if wire.area_mm2 == area_mm2)
    bunch_a = _balance_a(wire, 90, 50, together)
    alike = Bundles(
        np.zeros(together, int), np.full(together, bunch_a), np.full(together, 0.35), np.array([50.0])
    )
    (density,) = densities(SIZES[Series.METRIC], alike, np.array([90.0]))
    assert density * area_mm2 == pytest.approx(bunch_a, rel=1e-4)
    ohm, outer = np.full(together, wire.milliohm_per_m / 1000), np.full(together, wire.outer_mm)
    assert core_c(alike, ohm, outer)[0] == pytest.approx(90, abs=0.01)
    assert meets_the_table(wire) == 1
    assert together not in PACKING
    assert alike.diameter_mm(outer)[0] == pytest.approx(LOOSE_PACKING * wire.outer_mm * together**0.5)


def test_a_bundle_of_few_is_never_narrower_than_its_two_thickest():
    two = Bundles(np.array([0, 1, 0, 1, 1]), np.ones(5), np.ones(5), np.array([20.0, 20.0]))
    assert two.diameter_mm(np.array([3.0, 1.0, 3.0, 1.0, 6.0])) == pytest.approx([6.0, 7.397], abs=1e-3)


def test_wires_that_carry_nothing_bind_nothing():
    idle = Bundles(np.zeros(3, int), np.zeros(3), np.ones(3), np.array([50.0]))
    assert densities(SIZES[Series.METRIC], idle, np.array([90.0]))[0] == np.inf
    assert core_c(idle, np.ones(3), np.ones(3))[0] == pytest.approx(50, abs=1e-5)
    hot = Bundles(np.zeros(1, int), np.ones(1), np.ones(1), np.array([95.0]))
    assert densities(SIZES[Series.METRIC], hot, np.array([90.0]))[0] == 0


CURRENTS = st.lists(st.floats(0.0, 40), min_size=2, max_size=30)


@settings(max_examples=200, deadline=None)
@given(CURRENTS, st.integers(0, 29), st.floats(1.0, 3.0), st.floats(0, 30), st.sampled_from([0.35, 0.5, 1.0]))
def test_more_current_or_hotter_never_gives_a_higher_density(amperes, which, more, hotter, floor_mm2):
    count = len(amperes)
    floors = np.full(count, floor_mm2)
    harder = np.array(amperes)
    harder[which % count] *= more

    def density(current_a, ambient_c):
        bundle = Bundles(np.zeros(count, int), current_a, floors, np.array([ambient_c]))
        return densities(SIZES[Series.METRIC], bundle, np.array([90.0]))[0]

    easy = density(np.array(amperes), 40.0)
    assert density(harder, 40.0) <= easy
    assert density(np.array(amperes), 40.0 + hotter) <= easy

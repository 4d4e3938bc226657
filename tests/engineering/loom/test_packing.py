"""Bundles and sleeves, against proved packings, an independent optimiser and a supplier's sheet."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from engineering.loom import LoomInputError
from engineering.loom.packing import (
    EQUAL_PACKINGS,
    SHRINK_2_TO_1,
    bundle_diameter_mm,
    heat_shrink_for,
    sleeve_bore_mm,
)

PUBLISHED = {1: 1, 2: 2, 3: 2.154, 4: 2.414, 5: 2.701, 6: 3, 7: 3, 8: 3.304, 9: 3.613, 10: 3.813, 11: 3.923,
             12: 4.029, 13: 4.236, 14: 4.328, 15: 4.521, 16: 4.615, 17: 4.792, 18: 4.863, 19: 4.863,
             20: 5.122}  # fmt: skip


@pytest.mark.parametrize("count", PUBLISHED)
def test_equal_wires_as_they_are_known_to_pack(count):
    """An encyclopaedia's table of circle packing in a circle, three decimals, some cut off."""
    assert 0 <= EQUAL_PACKINGS[count - 1] - PUBLISHED[count] < 0.001
    laid = bundle_diameter_mm([2.4] * count) / 2.4
    assert laid >= EQUAL_PACKINGS[count - 1] - 1e-9
    assert laid <= 1.08 * EQUAL_PACKINGS[count - 1]


def test_three_unlike_wires_by_descartes():
    """Descartes' circle theorem, kissing circles of radius 2, 3 and 1 inside one of 6 (curvature −1/6)."""
    assert pytest.approx(2 * (1 / 4 + 1 / 9 + 1 + 1 / 36)) == (1 / 2 + 1 / 3 + 1 - 1 / 6) ** 2
    assert bundle_diameter_mm([6, 4, 2]) == pytest.approx(10.0)
    assert bundle_diameter_mm([2, 2, 2]) == pytest.approx(2 * (1 + 2 / math.sqrt(3)))
    assert bundle_diameter_mm([6, 4, 3]) == pytest.approx(_smallest_found([6, 4, 3]), rel=1e-3)


def _smallest_found(outer_mm):
    """Multi-start SLSQP over all centres and the radius: an independent, slower way."""
    radii, chance = np.array(outer_mm) / 2, np.random.default_rng(7)
    one, other = np.triu_indices(len(radii), 1)

    def free(x):
        centres = x[:-1].reshape(-1, 2)
        apart = np.hypot(*(centres[one] - centres[other]).T) - radii[one] - radii[other]
        return np.concatenate([apart, x[-1] - np.hypot(*centres.T) - radii])

    best = math.inf
    for _ in range(12):
        start = np.append(chance.normal(0, radii.sum() / 2, 2 * len(radii)), radii.sum())
        found = minimize(lambda x: x[-1], start, constraints={"type": "ineq", "fun": free}, method="SLSQP",
                         options={"maxiter": 400})  # fmt: skip
        if found.success and free(found.x).min() > -1e-6:
            best = min(best, 2 * found.x[-1])
    return best


@pytest.mark.parametrize(
    "outer_mm",
    [
        [3.7, 2.4, 1.7, 1.7],
        [6, 1.7, 1.7, 1.7],
        [4.3, 3, 2.4, 2.4, 1.7],
        [3, 3, 3, 1.7, 1.7, 1.7],
        [6] + [1.7] * 6,
    ],
    ids=str,
)
def test_unlike_wires_fit_into_their_bundle(outer_mm):
    """Never tighter than an optimiser packs them, and not a quarter looser."""
    packed = _smallest_found(outer_mm)
    assert packed <= bundle_diameter_mm(outer_mm) * (1 + 1e-3)
    assert bundle_diameter_mm(outer_mm) <= 1.25 * packed


def test_a_large_bundle_is_the_trades_rule():
    """Cable trade: 1.2 times the root of the sum of the squares."""
    assert bundle_diameter_mm([1.7] * 60) == pytest.approx(1.2 * 1.7 * math.sqrt(60))
    assert bundle_diameter_mm([]) == 0
    with pytest.raises(LoomInputError, match="more than 0 mm, not -1 mm"):
        bundle_diameter_mm([2, -1])


def test_heat_shrink_goes_over_and_grips():
    """AMS-DTL-23053/5 sizes, a supplier's sheet: 9.5 mm recovers to 4.8 mm."""
    assert (9.5, 4.8) in SHRINK_2_TO_1
    shrink = heat_shrink_for(6.0)
    assert (shrink.supplied_mm, shrink.recovered_mm) == (9.5, 4.8)
    assert heat_shrink_for(6.0, passes_over_mm=12) is None
    assert heat_shrink_for(200) is None


def test_a_braid_is_filled_to_three_quarters():
    assert (10 / sleeve_bore_mm(10)) ** 2 == pytest.approx(0.75)

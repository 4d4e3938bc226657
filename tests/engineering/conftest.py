"""Two jobs to size something for, and what a fitter would type."""

from typing import Any

import pytest


@pytest.fixture
def fuel_job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Make the main fuel tank")


@pytest.fixture
def lamp_job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Wire the headlamps")


@pytest.fixture
def typed_tank() -> dict[str, str]:
    """Inside 600 × 400 × 200 mm: 48 L."""
    return {
        "title": "Main fuel tank",
        "shape": "box",
        "measured": "outside",
        "length_mm": "604",
        "width_mm": "404",
        "height_mm": "204",
        "diameter_mm": "",
        "thickness_mm": "2",
        "metal": "aluminium_5083",
        "liquid": "petrol",
        "foam": "none",
        "expansion_percent": "5",
        "fill_c": "15",
        "hottest_c": "50",
        "pickup_mm": "10",
        "dip_step_mm": "50",
    }


@pytest.fixture
def typed_circuit() -> dict[str, str]:
    """A pair of 55 W lamps at the end of 4 m."""
    return {
        "title": "Headlamp feed",
        "system_v": "12",
        "load": "lamp",
        "current_a": "9.2",
        "length_m": "4",
        "return_path": "body",
        "body_allowance_v": "0.1",
        "drop_limit_percent": "3",
        "drop_limit_v": "",
        "ambient_c": "60",
        "insulation": "b",
        "other_wires": "0",
        "least_area_mm2": "0.5",
        "series": "metric",
    }

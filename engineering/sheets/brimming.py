"""How full a tank can be brimmed, level and on four slopes, by the mouths of its vents."""

from typing import Any

import numpy as np

from engineering.tank import TankBuild, TankInputError
from engineering.tank.attitude import Attitude
from engineering.tank.filling import brimmed

Place = tuple[float, float, float]


def brimmed_ways(
    build: TankBuild, vents: list[Place], slope_percent: float, free_share: float
) -> list[dict[str, Any]]:
    """Litres that go in and air that stays, however the car stands; `free_share` is what foam leaves."""
    for number, vent in enumerate(vents, start=1):
        _check_vent(number, vent, build)
    ways = {
        "level": (0.0, 0.0),
        "nose up": (slope_percent, 0.0),
        "nose down": (-slope_percent, 0.0),
        "left side up": (0.0, slope_percent),
        "right side up": (0.0, -slope_percent),
    }
    found = []
    for words, (nose_up, left_up) in ways.items():
        air = brimmed(build.inside, vents, Attitude.on_slope(nose_up, left_up))
        found.append(
            {
                "words": words,
                "litres": air.brimmed_l * free_share,
                "trapped_l": air.trapped_l,
                "vent": air.last_vent + 1,
            }
        )
    return found


def places_of(rows: list[dict[str, Any]] | None) -> list[Place]:
    """The mouths as typed."""
    return [(row["x_mm"], row["y_mm"], row["z_mm"]) for row in rows or []]


def worst_way(ways: list[dict[str, Any]]) -> dict[str, Any]:
    """How the car stands when least goes in."""
    return min(ways, key=lambda way: way["litres"])


def _check_vent(number: int, vent: Place, build: TankBuild) -> None:
    """A mouth outside the tank lets nothing out: a tenth of a millimetre is the roof itself."""
    x, y, z = vent
    low, high = build.inside_solid.low_mm, build.inside_solid.high_mm
    # at the very edge there is no sheet over the place to look for
    inner = np.clip((x, y), low[:2] + 0.01, high[:2] - 0.01)
    upright = build.inside.upright_mm(float(inner[0]), float(inner[1]))
    beside = abs(inner[0] - x) > 0.2 or abs(inner[1] - y) > 0.2
    if beside or upright is None or not upright[0] - 0.2 <= z <= upright[1] + 0.2:
        raise TankInputError(
            "vents", f"Line {number}: this vent is outside the tank. Give its mouth, measured like the tank."
        )

"""Pieces of one finish that wait for one another: the colour sample goes before what is matched to it."""

from __future__ import annotations

from collections.abc import Sequence

from builds.network.solution import Solution
from builds.sheets.finishing import Piece as Line


def waves(lines: Sequence[Line], solution: Solution) -> list[list[Line]]:
    """The lines in waves: none waits for another of its own wave, each later one for some of an earlier.

    What waits for another piece's return can never be in its lot.
    """
    level = _levels([f"op:{line.id}" for line in lines], solution)
    found: dict[int, list[Line]] = {}
    for line in lines:
        found.setdefault(level.get(f"op:{line.id}", 0), []).append(line)
    return [found[number] for number in sorted(found)]


def _levels(keys: Sequence[str], solution: Solution) -> dict[str, int]:
    """For each key how many of the others stand before it on the longest way to it."""
    network = solution.network
    if network is None:
        return {}
    own = {network.place[key] for key in keys if key in network.place}
    depth = [0] * len(network.activities)
    for place in range(len(network.activities)):  # in working order
        for before, *_ in network.waits_for[place]:
            depth[place] = max(depth[place], depth[before] + (before in own))
    return {network.keys[place]: depth[place] for place in own}

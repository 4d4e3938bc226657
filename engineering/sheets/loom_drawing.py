"""The runs of a loom as a picture: each as long as its tape measure, as thick as its bundle."""

import math
from typing import Any

WIDTH = 900.0
MARGIN = 70.0
THICKER = 3.0
"""Bundles are drawn this many times as thick as their lengths ask, so that thin ones show."""
LEAST_PX = 1.5
BESIDE = 17.0
WIDEST_RAD = 0.95 * math.pi
"""A branch keeps within less than half a turn, so that branches never cross."""

Point = tuple[float, float]


def loom_view(runs: list[dict[str, Any]]) -> dict[str, Any] | None:
    """What the drawing's template prints, from the runs of a result; None where there are none.

    Spread out from the joint where most runs meet. Each branch has a sector of directions to itself, and
    those after it share that sector, so that no run crosses another. A run that closes a ring cannot keep
    both its length and its ends, and a run apart from the rest has no place: these are named, not drawn.
    """
    if not runs:
        return None
    spread = Spread(runs)
    at = spread.at
    xs, ys = zip(*at.values(), strict=True)
    if max(ys) - min(ys) > max(xs) - min(xs):  # the long way lies along the sheet
        at = {joint: (y, -x) for joint, (x, y) in at.items()}
        xs, ys = zip(*at.values(), strict=True)
    scale = (WIDTH - 2 * MARGIN) / max(max(xs) - min(xs), max(ys) - min(ys), 1.0)

    def px(joint: str) -> Point:
        x_mm, y_mm = at[joint]
        return MARGIN + (x_mm - min(xs)) * scale, 24 + (y_mm - min(ys)) * scale

    lines = [_line(run, px(run["start"]), px(run["end"]), scale) for run in spread.drawn]
    joints = [{"words": joint, "x": f"{px(joint)[0]:.1f}", "y": f"{px(joint)[1]:.1f}"} for joint in at]
    return {
        "width": f"{WIDTH:.0f}",
        "height": f"{48 + (max(ys) - min(ys)) * scale:.0f}",
        "lines": lines,
        "joints": [joint | {"above": f"{float(joint['y']) - 9:.1f}"} for joint in joints],
        "left_out": [run["name"] for run in runs if run not in spread.drawn],
        "thicker": f"{THICKER:.0f}",
    }


def _line(run: dict[str, Any], start: Point, end: Point, scale: float) -> dict[str, str]:
    """A run with its name beside its middle."""
    long_px = math.dist(start, end) or 1.0
    aside = BESIDE * (end[1] - start[1]) / long_px, BESIDE * (start[0] - end[0]) / long_px
    if aside[1] < 0:
        aside = -aside[0], -aside[1]
    return {
        "name": run["name"],
        "x1": f"{start[0]:.2f}",
        "y1": f"{start[1]:.2f}",
        "x2": f"{end[0]:.2f}",
        "y2": f"{end[1]:.2f}",
        "stroke": f"{max(LEAST_PX, THICKER * run['diameter_mm'] * scale):.1f}",
        "x": f"{(start[0] + end[0]) / 2 + aside[0]:.1f}",
        "y": f"{(start[1] + end[1]) / 2 + aside[1] + 5:.1f}",
    }


class Spread:
    """Where each joint lies [mm]."""

    def __init__(self, runs: list[dict[str, Any]]) -> None:
        self.runs_at: dict[str, list[dict[str, Any]]] = {}
        for run in runs:
            for joint in (run["start"], run["end"]):
                self.runs_at.setdefault(joint, []).append(run)
        root = max(self.runs_at, key=lambda joint: len(self.runs_at[joint]))
        self.drawn: list[dict[str, Any]] = []
        self.next: dict[str, list[tuple[dict[str, Any], str]]] = {}
        self._branch(root)
        self.at: dict[str, Point] = {root: (0.0, 0.0)}
        self._place(root, -math.pi, 2 * math.pi)

    def _branch(self, root: str) -> None:
        """Which run leads to which joint, nearest the root first."""
        waiting, known = [root], {root}
        for joint in waiting:
            self.next[joint] = []
            for run in self.runs_at[joint]:
                other = run["end"] if run["start"] == joint else run["start"]
                if other not in known:
                    known.add(other)
                    waiting.append(other)
                    self.drawn.append(run)
                    self.next[joint].append((run, other))

    def _ends(self, joint: str) -> int:
        return sum(self._ends(other) for _, other in self.next[joint]) or 1

    def _place(self, joint: str, first: float, width: float) -> None:
        x, y = self.at[joint]
        ends = sum(self._ends(other) for _, other in self.next[joint])
        for run, other in self.next[joint]:
            own = width * self._ends(other) / ends
            middle = first + own / 2
            self.at[other] = (
                x + run["length_mm"] * math.cos(middle),
                y + run["length_mm"] * math.sin(middle),
            )
            kept = min(own, WIDEST_RAD)
            self._place(other, middle - kept / 2, kept)
            first += own

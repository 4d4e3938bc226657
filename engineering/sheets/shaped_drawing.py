"""A tank of any shape, drawn: three views with sizes and level, and the polar plot of surge."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Plot, Text, dip_plot

WIDTH, MARGIN_LEFT, MARGIN_RIGHT, GAP, TOP = 660.0, 66.0, 84.0, 100.0, 30.0
TALLEST = 420.0  # both views over each other, without their gaps
BETWEEN = 66.0
MOST_NUMBERS = 24

Point = tuple[float, float]


@dataclass(frozen=True)
class Views:
    """Paths and texts of three views, with the words that say the same."""

    width: str
    height: str
    outline: str
    hidden: str
    liquid: str
    level: str
    pickup: str
    measures: str
    texts: tuple[Text, ...]
    words: str


@dataclass(frozen=True)
class _Frame:
    """Where one view stands: millimetres to drawing units, upwards being up."""

    left: float
    bottom: float
    scale: float
    low: Point

    def at(self, across_mm: float, up_mm: float) -> Point:
        return (
            self.left + (across_mm - self.low[0]) * self.scale,
            self.bottom - (up_mm - self.low[1]) * self.scale,
        )

    def path(self, points: list[Point]) -> str:
        return _closed([self.at(*point) for point in points])


def views(inputs: dict[str, Any], results: dict[str, Any], what: str = "the outside") -> Views:
    """Side with the front to the right, end from the rear, and plan below the side, to one scale."""
    drawn = results["drawing"]
    if "outer" in drawn:
        drawn = _as_outlines(drawn)
    low, high = drawn["low_mm"], drawn["high_mm"]
    long, wide, tall = (b - a for a, b in zip(low, high, strict=True))
    scale = min(
        (WIDTH - MARGIN_LEFT - GAP - MARGIN_RIGHT) / (long + wide),
        TALLEST / (tall + wide),
        TALLEST / 2 / tall,
    )
    side = _Frame(MARGIN_LEFT, TOP + tall * scale, scale, (low[0], low[2]))
    # seen from the rear the left side of the car is at the left: y runs the other way
    end = _Frame(MARGIN_LEFT + long * scale + GAP, side.bottom, scale, (-high[1], low[2]))
    plan = _Frame(MARGIN_LEFT, side.bottom + BETWEEN + wide * scale, scale, (low[0], low[1]))
    x, y, z = (low[0], high[0]), (low[1], high[1]), (low[2], high[2])
    level, hidden = drawn["level_mm"], drawn.get("hidden") or {}
    pickup = (inputs["pickup_x_mm"], inputs["pickup_y_mm"], inputs["pickup_z_mm"])
    return Views(
        width=f"{max(WIDTH, end.left + wide * scale + MARGIN_RIGHT):.0f}",
        height=f"{plan.bottom + 44:.0f}",
        outline=_drawn(side, drawn["side"]) + _drawn(end, drawn["end"], -1) + _drawn(plan, drawn["plan"]),
        hidden=(
            _drawn(side, hidden.get("side", []))
            + _drawn(end, hidden.get("end", []), -1)
            + _drawn(plan, hidden.get("plan", []))
        ),
        liquid=_drawn(side, drawn["side_wet"]) + _drawn(end, drawn["end_wet"], -1),
        level=_line(side.at(x[0], level), side.at(x[1], level), 10),
        pickup=(
            _cross(side.at(pickup[0], pickup[2]))
            + _cross(end.at(-pickup[1], pickup[2]))
            + _cross(plan.at(pickup[0], pickup[1]))
        ),
        measures=_measures(side, end, plan, x, y, z),
        texts=(
            *_texts(side, end, plan, x, y, z, level, results),
            *_numbers(side, [corner[:2] for corner in results.get("corners", [])]),
        ),
        words=(
            f"Sketch of {what} from the right, the rear and above, not for setting out. It is {long:.0f} "
            f"long, {wide:.0f} wide and {tall:.0f} mm high over all; filled to "
            f"{results['filled_depth_mm']:.0f} mm on the stick; a cross marks the pickup, broken lines what "
            "is hidden."
        ),
    )


def _numbers(side: _Frame, corners: list[list[float]]) -> tuple[Text, ...]:
    """The number of each corner of a side profile, just within it."""
    if not 3 <= len(corners) <= MOST_NUMBERS:
        return ()
    middle = [sum(corner[axis] for corner in corners) / len(corners) for axis in (0, 1)]
    texts = []
    for number, (x, z) in enumerate(corners, start=1):
        away = math.hypot(x - middle[0], z - middle[1]) or 1.0
        inwards = 20 / side.scale / away
        at = side.at(x + (middle[0] - x) * inwards, z + (middle[1] - z) * inwards)
        texts.append(Text(f"{at[0]:.1f}", f"{at[1] + 5:.1f}", str(number)))
    return tuple(texts)


def _as_outlines(drawn: dict[str, Any]) -> dict[str, Any]:
    """The drawing of a side-profile sheet as it was kept at first, as outlines of three views."""
    right, left, sheet, level = (drawn[name] for name in ("right_mm", "left_mm", "sheet_mm", "level_mm"))
    outer, pots = drawn["outer"], drawn["pots"]
    xs, zs = [x for x, _ in outer], [z for _, z in outer]
    walls = [*drawn.get("baffles", []), *drawn.get("box", [])]
    return {
        "side": [outer, *(_box(p[0], p[1], p[4], p[5]) for p in pots)],
        "end": [_box(right, left, min(zs), max(zs)), *(_box(p[2], p[3], p[4], p[5]) for p in pots)],
        "plan": [_box(min(xs), max(xs), right, left)],
        "side_wet": [
            _below([(x, z) for x, z in drawn["inner"]], level),
            *(_box(p[0] + sheet, p[1] - sheet, p[4] + sheet, p[5] + sheet) for p in pots),
        ],
        "end_wet": [
            _box(right + sheet, left - sheet, min(zs) + sheet, min(level, max(zs) - sheet)),
            *(_box(p[2] + sheet, p[3] - sheet, p[4] + sheet, p[5] + sheet) for p in pots),
        ],
        "hidden": {
            "side": [_box(wall[0], wall[1], wall[4], wall[5]) for wall in drawn.get("box", [])],
            "end": [_box(wall[2], wall[3], wall[4], wall[5]) for wall in drawn.get("box", [])],
            "plan": [_box(*part[:4]) for part in [*pots, *walls]],
        },
        "low_mm": [min(xs), right, min([*zs, *(p[4] for p in pots)])],
        "high_mm": [max(xs), left, max(zs)],
        "level_mm": level,
    }


def _drawn(frame: _Frame, outlines: Sequence[Sequence[Sequence[float]]], across: int = 1) -> str:
    return "".join(frame.path([(across * a, b) for a, b in outline]) for outline in outlines)


def stick_plot(results: dict[str, Any]) -> Plot:
    """The dip chart as a curve, with the pickup at its height on the stick."""
    return dip_plot({"pickup_mm": max(results["pickup_depth_mm"], 0.0)}, results)


@dataclass(frozen=True)
class Polar:
    """Litres left by direction of the car's acceleration, as curves round a middle."""

    rings: str
    axes: str
    here: str
    without_pot: str
    on_slope: str
    texts: tuple[Text, ...]
    words: str


MIDDLE_X, MIDDLE_Y, RADIUS = 250.0, 190.0, 140.0


def polar_plot(inputs: dict[str, Any], results: dict[str, Any]) -> Polar:
    """Gathering speed upwards, a left-hand bend to the left, as the driver feels it on a plan of the car."""
    surge = results["surge"]
    legs = surge["here"]
    bare = surge["without_pot"]["here"] if surge["without_pot"] else []
    sloped = surge["on_slope"]["here"] if surge.get("on_slope") else []  # sheets from before have none
    most = max(litres for _, litres in [*legs, *bare, *sloped]) or 1.0
    rings = _round_figures(most)
    scale = RADIUS / rings[-1]

    def at(direction_deg: float, litres: float) -> Point:
        turn = math.radians(direction_deg)
        return MIDDLE_X - litres * scale * math.sin(turn), MIDDLE_Y - litres * scale * math.cos(turn)

    worst = surge["worst"]
    return Polar(
        rings="".join(_circle(MIDDLE_X, MIDDLE_Y, ring * scale) for ring in rings),
        axes=_line((MIDDLE_X - RADIUS, MIDDLE_Y), (MIDDLE_X + RADIUS, MIDDLE_Y))
        + _line((MIDDLE_X, MIDDLE_Y - RADIUS), (MIDDLE_X, MIDDLE_Y + RADIUS)),
        here=_closed([at(*leg) for leg in legs]),
        without_pot=_closed([at(*leg) for leg in bare]),
        on_slope=_closed([at(*leg) for leg in sloped]),
        texts=(
            Text(f"{MIDDLE_X:.0f}", f"{MIDDLE_Y - RADIUS - 12:.0f}", "gathering speed"),
            Text(f"{MIDDLE_X:.0f}", f"{MIDDLE_Y + RADIUS + 24:.0f}", "braking"),
            Text(f"{MIDDLE_X - RADIUS - 8:.0f}", f"{MIDDLE_Y + 5:.0f}", "left bend", "end"),
            Text(f"{MIDDLE_X + RADIUS + 8:.0f}", f"{MIDDLE_Y + 5:.0f}", "right bend", "start"),
            *(
                Text(f"{MIDDLE_X + 5:.0f}", f"{MIDDLE_Y - ring * scale + 15:.1f}", f"{ring:g} L", "start")
                for ring in rings
            ),
        ),
        words=(
            f"Litres left when the pickup comes dry at {inputs['surge_g']:g} g, by what the car does. At "
            f"worst {worst['litres_left']:.1f} L."
            + (" Broken line: the same pickup without the pot." if bare else "")
            + (" Dotted line: on the slope." if sloped else "")
        ),
    )


def _measures(side: _Frame, end: _Frame, plan: _Frame, x: Point, y: Point, z: Point) -> str:
    below = side.bottom + 18
    return (
        _across(side.at(x[0], z[0])[0], side.at(x[1], z[0])[0], below)
        + _across(end.at(-y[1], z[0])[0], end.at(-y[0], z[0])[0], below)
        + _down(side.at(x[0], z[1])[1], side.bottom, side.left - 20)
        + _down(plan.at(x[0], y[1])[1], plan.bottom, plan.left - 20)
    )


def _texts(
    side: _Frame, end: _Frame, plan: _Frame, x: Point, y: Point, z: Point, level: float,
    results: dict[str, Any],
) -> tuple[Text, ...]:  # fmt: skip
    middle_x, middle_y = (x[0] + x[1]) / 2, -(y[0] + y[1]) / 2
    below = f"{side.bottom + 35:.1f}"
    return (
        Text(f"{side.at(middle_x, 0)[0]:.1f}", f"{TOP - 10:.1f}", "side, front to the right"),
        Text(f"{end.at(middle_y, 0)[0]:.1f}", f"{TOP - 10:.1f}", "from the rear"),
        Text(f"{plan.at(middle_x, 0)[0]:.1f}", f"{plan.bottom + 22:.1f}", "from above"),
        Text(f"{side.at(middle_x, 0)[0]:.1f}", below, f"{x[1] - x[0]:.0f}"),
        Text(f"{end.at(middle_y, 0)[0]:.1f}", below, f"{y[1] - y[0]:.0f}"),
        Text(f"{side.left - 26:.1f}", f"{side.at(0, sum(z) / 2)[1] + 5:.1f}", f"{z[1] - z[0]:.0f}", "end"),
        Text(f"{plan.left - 26:.1f}", f"{plan.at(0, sum(y) / 2)[1] + 5:.1f}", f"{y[1] - y[0]:.0f}", "end"),
        Text(
            f"{side.at(x[1], 0)[0] + 14:.1f}", f"{side.at(0, level)[1] + 5:.1f}",
            f"full {results['filled_depth_mm']:.0f}", "start",
        ),
    )  # fmt: skip


def _below(outline: list[Point], level: float) -> list[Point]:
    """The part of an outline under a level line."""
    kept: list[Point] = []
    for (x1, z1), (x2, z2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if z1 <= level:
            kept.append((x1, z1))
        if (z1 <= level) != (z2 <= level):
            kept.append((x1 + (level - z1) / (z2 - z1) * (x2 - x1), level))
    return kept


def _round_figures(largest: float) -> list[float]:
    """Rings at round figures, three to five of them, the last at or beyond the largest."""
    rough = largest / 4
    unit = 10 ** math.floor(math.log10(rough))
    step = next(unit * factor for factor in (1, 2, 5, 10) if unit * factor >= rough)
    return [round(step * number, 6) for number in range(1, math.ceil(largest / step - 1e-9) + 1)]


def _box(low_x: float, high_x: float, low_z: float, high_z: float) -> list[Point]:
    return [(low_x, low_z), (high_x, low_z), (high_x, high_z), (low_x, high_z)]


def _closed(points: list[Point]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + "z" if points else ""


def _line(a: Point, b: Point, beyond: float = 0.0) -> str:
    return f"M{a[0]:.1f} {a[1]:.1f}L{b[0] + beyond:.1f} {b[1]:.1f}"


def _cross(at: Point) -> str:
    x, y = at
    return f"M{x - 6:.1f} {y:.1f}h12M{x:.1f} {y - 6:.1f}v12"


def _circle(x: float, y: float, r: float) -> str:
    return f"M{x - r:.1f} {y:.1f}a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0z"


def _across(left: float, right: float, y: float) -> str:
    """A measuring line with a stroke across each end."""
    return _line((left, y), (right, y)) + _stroke(left, y) + _stroke(right, y)


def _down(top: float, bottom: float, x: float) -> str:
    return _line((x, top), (x, bottom)) + _stroke(x, top) + _stroke(x, bottom)


def _stroke(x: float, y: float) -> str:
    return _line((x - 5, y + 5), (x + 5, y - 5))

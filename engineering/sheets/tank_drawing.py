"""The tank drawn: a dimensioned sketch, and its dip chart as a plot. Numbers for the templates to print."""

import math
from dataclasses import dataclass
from typing import Any

ROOM = 150.0  # the longer of width and height of the views, in drawing units
GAP = 96.0  # between the two views
SIDES = ("diameter_mm", "length_mm", "width_mm", "height_mm")
LEFT, TOP = 70.0, 26.0


@dataclass(frozen=True)
class Text:
    x: str
    y: str
    words: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Drawing:
    """Paths and texts, with the words that say the same."""

    width: str
    height: str
    outline: str
    liquid: str
    level: str
    pickup: str
    measures: str
    texts: tuple[Text, ...]
    words: str


@dataclass(frozen=True)
class _View:
    """Where one view stands, and how many drawing units a millimetre is."""

    left: float
    top: float
    scale: float
    wide_mm: float
    high_mm: float

    @property
    def right(self) -> float:
        return self.left + self.wide_mm * self.scale

    @property
    def bottom(self) -> float:
        return self.top + self.high_mm * self.scale

    def y(self, depth_mm: float, thickness_mm: float) -> float:
        """Height of a depth above the inside floor."""
        return self.bottom - (depth_mm + thickness_mm) * self.scale


def tank_sketch(inputs: dict[str, Any], results: dict[str, Any]) -> Drawing:
    """Side and end, to one scale, with the outside sizes, the highest level and the pickup."""
    outside, thickness_mm = results["outside"], inputs["thickness_mm"]
    high_mm = outside.get("height_mm", outside.get("diameter_mm"))
    long_mm = outside["diameter_mm"] if inputs["shape"] == "upright" else outside["length_mm"]
    end_mm = outside.get("width_mm", outside.get("diameter_mm"))
    scale = min(2 * ROOM / (long_mm + end_mm), ROOM / max(high_mm, end_mm))
    side = _View(LEFT, TOP, scale, long_mm, high_mm)
    end_high_mm = end_mm if inputs["shape"] == "upright" else high_mm
    end = _View(side.right + GAP, TOP, scale, end_mm, end_high_mm)
    level_y = side.y(results["filled_depth_mm"], thickness_mm)
    pickup_y = side.y(inputs["pickup_mm"], thickness_mm)
    seen_from_above = inputs["shape"] == "upright"
    end_outline, end_liquid = _end(inputs, end, level_y, thickness_mm)
    inset = thickness_mm * scale
    side_liquid = _rectangle(side.left + inset, level_y, side.right - inset, side.bottom - inset)
    words = (
        f"Sketch, not for setting out. Outside {_sizes(outside)}; filled to "
        f"{results['filled_depth_mm']:.0f} mm above the floor inside; pickup at {inputs['pickup_mm']:g} mm."
    )
    below = max(side.bottom, end.bottom)
    return Drawing(
        width=_n(end.right + 76),
        height=_n(below + 46),
        outline=_rectangle(side.left, side.top, side.right, side.bottom) + end_outline,
        liquid=side_liquid + ("" if seen_from_above else end_liquid),
        level=_line(side.left + inset, level_y, side.right + 8, level_y),
        pickup=_line(side.right - 20 - inset, pickup_y, side.right + 8, pickup_y),
        measures=(
            _across(side.left, side.right, below + 20)
            + _across(end.left, end.right, below + 20)
            + _down(side.top, side.bottom, side.left - 20)
        ),
        texts=(
            Text(_n((side.left + side.right) / 2), _n(below + 38), f"{long_mm:g}"),
            Text(_n((end.left + end.right) / 2), _n(below + 38), f"{end_mm:g}"),
            Text(_n(side.left - 26), _n((side.top + side.bottom) / 2 + 5), f"{high_mm:g}", "end"),
            Text(_n(side.right + 11), _n(level_y + 4), f"full {results['filled_depth_mm']:.0f}", "start"),
            Text(
                _n(side.right + 11),
                _n(max(pickup_y + 4, level_y + 19)),
                f"pickup {inputs['pickup_mm']:g}",
                "start",
            ),
            Text(_n((side.left + side.right) / 2), _n(side.top - 9), "side"),
            Text(_n((end.left + end.right) / 2), _n(end.top - 9), "from above" if seen_from_above else "end"),
        ),
        words=words,
    )


@dataclass(frozen=True)
class Plot:
    """The dip chart as a curve of litres against depth."""

    curve: str
    filled: str
    pickup: str
    grid: str
    texts: tuple[Text, ...]
    words: str


PLOT_LEFT, PLOT_RIGHT, PLOT_TOP, PLOT_BOTTOM = 64.0, 500.0, 34.0, 300.0


def dip_plot(inputs: dict[str, Any], results: dict[str, Any]) -> Plot:
    """Depth upwards, as on a dip stick, litres to the right."""
    rows = results["dip_chart"]
    deepest_mm, most_l = rows[-1]["depth_mm"], rows[-1]["litres"]

    def x(litres: float) -> float:
        return PLOT_LEFT + litres / most_l * (PLOT_RIGHT - PLOT_LEFT)

    def y(depth_mm: float) -> float:
        return PLOT_BOTTOM - depth_mm / deepest_mm * (PLOT_BOTTOM - PLOT_TOP)

    depth_marks, litre_marks = _marks(deepest_mm), _marks(most_l)
    filled_y, pickup_y = y(results["filled_depth_mm"]), y(inputs["pickup_mm"])
    return Plot(
        curve="M" + "L".join(f"{_n(x(row['litres']))} {_n(y(row['depth_mm']))}" for row in rows),
        filled=_line(PLOT_LEFT, filled_y, PLOT_RIGHT, filled_y),
        pickup=_line(PLOT_LEFT, pickup_y, PLOT_RIGHT, pickup_y),
        grid="".join(
            [_line(PLOT_LEFT - 7, y(mark), PLOT_RIGHT, y(mark)) for mark in depth_marks]
            + [_line(x(mark), PLOT_TOP, x(mark), PLOT_BOTTOM + 7) for mark in litre_marks]
        ),
        texts=(
            *(Text(_n(PLOT_LEFT - 11), _n(y(mark) + 5), f"{mark:g}", "end") for mark in depth_marks),
            *(Text(_n(x(mark)), _n(PLOT_BOTTOM + 24), f"{mark:g}") for mark in litre_marks),
            Text(_n(PLOT_LEFT - 11), _n(PLOT_TOP - 14), "mm", "end"),
            Text(_n(PLOT_RIGHT), _n(PLOT_BOTTOM + 42), "litres", "end"),
            Text(_n(PLOT_LEFT + 6), _n(filled_y - 5), "most to fill in", "start"),
            Text(_n(PLOT_RIGHT - 4), _n(pickup_y - 5), "pickup", "end"),
        ),
        words=(
            f"Litres against depth, from 0 L at 0 mm to {most_l:.1f} L at {deepest_mm:g} mm; the table has "
            "the same figures."
        ),
    )


def _end(inputs: dict[str, Any], end: _View, level_y: float, thickness_mm: float) -> tuple[str, str]:
    """Outline of the end view, and the liquid in it."""
    inset = thickness_mm * end.scale
    if inputs["shape"] == "box":
        return (
            _rectangle(end.left, end.top, end.right, end.bottom),
            _rectangle(end.left + inset, level_y, end.right - inset, end.bottom - inset),
        )
    radius = end.wide_mm * end.scale / 2
    middle_x, middle_y = end.left + radius, end.top + radius
    outline = (
        f"M{_n(middle_x - radius)} {_n(middle_y)}a{_n(radius)} {_n(radius)} 0 1 0 {_n(2 * radius)} 0"
        f"a{_n(radius)} {_n(radius)} 0 1 0 {_n(-2 * radius)} 0z"
    )
    bore = radius - inset
    half_chord = math.sqrt(max(bore**2 - (level_y - middle_y) ** 2, 0.0))
    larger = 1 if level_y < middle_y else 0
    liquid = (
        f"M{_n(middle_x - half_chord)} {_n(level_y)}A{_n(bore)} {_n(bore)} 0 {larger} 0 "
        f"{_n(middle_x + half_chord)} {_n(level_y)}z"
    )
    return outline, liquid


def sides_in_order(sizes: dict[str, float]) -> list[tuple[str, float]]:
    """As people name them: a database may give a stored sheet's figures in an order of its own."""
    return [(name, sizes[name]) for name in SIDES if name in sizes]


def _sizes(outside: dict[str, float]) -> str:
    sides = sides_in_order(outside)
    return " × ".join(f"{name.removesuffix('_mm')} {size:g} mm" for name, size in sides)


def _marks(largest: float) -> list[float]:
    """Round figures from 0, about four to seven of them."""
    rough = largest / 5
    unit = 10 ** math.floor(math.log10(rough))
    step = next(unit * factor for factor in (1, 2, 5, 10) if unit * factor >= rough)
    return [round(step * number, 6) for number in range(int(largest / step + 1e-9) + 1)]


def _n(value: float) -> str:
    return f"{value:.1f}"


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}"


def _rectangle(left: float, top: float, right: float, bottom: float) -> str:
    return f"M{_n(left)} {_n(top)}H{_n(right)}V{_n(bottom)}H{_n(left)}z"


def _across(left: float, right: float, y: float) -> str:
    """A measuring line with a stroke across each end."""
    return _line(left, y, right, y) + _stroke(left, y) + _stroke(right, y)


def _down(top: float, bottom: float, x: float) -> str:
    return _line(x, top, x, bottom) + _stroke(x, top) + _stroke(x, bottom)


def _stroke(x: float, y: float) -> str:
    return _line(x - 5, y + 5, x + 5, y - 5)

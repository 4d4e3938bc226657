"""The voltage drop of each size, as a plot: numbers for the template to print."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text

LEFT, RIGHT, TOP, BOTTOM = 56.0, 640.0, 20.0, 220.0


@dataclass(frozen=True)
class Mark:
    x: str
    y: str
    passes: bool
    chosen: bool
    above: bool


@dataclass(frozen=True)
class DropPlot:
    limit: str
    stems: str
    axis: str
    marks: tuple[Mark, ...]
    texts: tuple[Text, ...]
    words: str


def drop_plot(results: dict[str, Any]) -> DropPlot:
    """Drop upwards in per cent, sizes side by side, with the limit as a line."""
    sizes, limit = results["sizes"], results["allowed_percent"]
    highest = 2.2 * limit  # sizes far over the limit are cut off there, with an arrowhead instead of a mark
    step = (RIGHT - LEFT) / len(sizes)

    def y(percent: float) -> float:
        return BOTTOM - min(percent, highest) / highest * (BOTTOM - TOP)

    places = [(LEFT + (number + 0.5) * step, size) for number, size in enumerate(sizes)]
    marks = tuple(
        Mark(
            f"{x:.1f}",
            f"{y(size['drop_percent']):.1f}",
            not size["failures"],
            size["name"] == results["chosen"]["name"],
            size["drop_percent"] > highest,
        )
        for x, size in places
    )
    return DropPlot(
        limit=f"M{LEFT:.1f} {y(limit):.1f}H{RIGHT:.1f}",
        stems="".join(f"M{x:.1f} {BOTTOM:.1f}V{y(size['drop_percent']):.1f}" for x, size in places),
        axis=f"M{LEFT:.1f} {TOP:.1f}V{BOTTOM:.1f}H{RIGHT:.1f}",
        marks=marks,
        texts=(
            *(Text(f"{x:.1f}", f"{BOTTOM + 20:.1f}", size["name"]) for x, size in places),
            *(Text(f"{x:.1f}", f"{BOTTOM + 40:.1f}", f"{size['drop_percent']:.1f} %") for x, size in places),
            Text(f"{LEFT - 6:.1f}", f"{y(limit) + 5:.1f}", f"{limit:.3g} %", "end"),
            Text(f"{LEFT - 6:.1f}", f"{BOTTOM + 4:.1f}", "0", "end"),
        ),
        words=(
            f"Voltage drop of each size against the limit of {limit:.3g} %: "
            + ", ".join(f"{size['name']} {size['drop_percent']:.1f} %" for size in sizes)
            + f". Chosen: {results['chosen']['name']}."
        ),
    )

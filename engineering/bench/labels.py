"""The sheet of labels as it is printed: every figure in millimetres on the paper."""

from collections import Counter, defaultdict
from typing import Any

from engineering.bench.services import cut_rows
from engineering.loom.labels import MARGIN_MM, WireLabel, wire_labels
from engineering.models import CalcSheet

CUT_MARK_MM = 2.0
CAP_SHARE = 0.7
"""Height of the capitals of the condensed type, in its nominal size: read from the font."""


def labels_context(sheet: CalcSheet, ratio: int) -> dict[str, Any]:
    """What the template of the labels prints."""
    pairs = wire_labels(cut_rows(sheet).values(), ratio)
    sleeves: Counter[str] = Counter()
    metres: dict[str, float] = defaultdict(float)
    for label in (label for pair in pairs for label in pair):
        size = str(label.shrink) if label.shrink else "none fits"
        sleeves[size] += 1
        metres[size] += label.long_mm / 1000
    return {
        "sheet": sheet,
        "job": sheet.job,
        "ratio": ratio,
        "pairs": [
            {
                "order": pair[0].order,
                "sleeve": str(pair[0].shrink) if pair[0].shrink else "none fits",
                "labels": [_drawn(label) for label in pair],
            }
            for pair in pairs
        ],
        "sleeves": [(size, count, f"{metres[size]:.1f}") for size, count in sleeves.items()],
    }


def _drawn(label: WireLabel) -> dict[str, Any]:
    """A label as lines and text, with marks for the knife outside its corners."""
    mark = CUT_MARK_MM
    wide, high = label.long_mm, label.wrap_mm
    step = high / label.lines
    return {
        "text": label.text,
        "width": f"{wide + 2 * mark:.2f}",
        "height": f"{high + 2 * mark:.2f}",
        "font": f"{label.text_mm / CAP_SHARE:.2f}",
        "marks": _marks(wide, high),
        "lines": [_line(label, step * (number + 0.5), number % 2 == 1) for number in range(label.lines)],
    }


def _line(label: WireLabel, middle_mm: float, is_turned: bool) -> dict[str, Any]:
    """Where the text begins: at the left, or turned at the right, so that it is read from the other side."""
    x = label.long_mm - MARGIN_MM if is_turned else MARGIN_MM
    y = middle_mm + label.text_mm / 2 * (-1 if is_turned else 1)
    return {"x": f"{CUT_MARK_MM + x:.2f}", "y": f"{CUT_MARK_MM + y:.2f}", "turned": is_turned}


def _marks(wide: float, high: float) -> list[dict[str, str]]:
    """Two strokes outside each corner."""
    mark = CUT_MARK_MM
    found = []
    for x in (mark, mark + wide):
        for y in (mark, mark + high):
            out_x = x - mark if x == mark else x + mark
            out_y = y - mark if y == mark else y + mark
            found.append({"x1": x, "y1": y, "x2": out_x, "y2": y})
            found.append({"x1": x, "y1": y, "x2": x, "y2": out_y})
    return [{key: f"{value:.2f}" for key, value in one.items()} for one in found]

"""Where the volts of the battery go while it cranks, as a rule to scale: numbers for the template."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text

LEFT, RIGHT, TOP, BOTTOM = 20.0, 640.0, 44.0, 96.0


@dataclass(frozen=True)
class Part:
    x: str
    width: str
    hatch: int  # 0 for what arrives


@dataclass(frozen=True)
class Ladder:
    parts: tuple[Part, ...]
    ticks: str
    leaders: str
    least: str
    texts: tuple[Text, ...]
    words: str


def ladder(results: dict[str, Any]) -> Ladder:
    """The starter's share from the left, then what each side and the battery itself take."""
    arrives_v = max(results["at_starter_v"], 0.0)
    lost = (
        ("plus cable", results["plus"]["drop_v"]),
        ("return", results["back"]["drop_v"]),
        ("inside the battery", results["rest_v"] - results["battery_v"]),
    )
    scale = (RIGHT - LEFT) / (arrives_v + sum(volts for _, volts in lost))
    parts, texts, leaders, at = [], [], "", LEFT
    for number, (words, volts) in enumerate((("at the starter", arrives_v), *lost)):
        width, middle = volts * scale, at + volts * scale / 2
        parts.append(Part(f"{at:.1f}", f"{width:.1f}", number))
        low = BOTTOM + 22 + 22 * number
        texts.append(
            Text(f"{middle:.1f}", f"{low:.1f}", f"{words} {volts:.2f} V", "end" if number else "middle")
        )
        leaders += f"M{middle:.1f} {BOTTOM:.1f}V{low - 12:.1f}"
        at += width
    whole = int(results["rest_v"])
    ticks = "".join(
        f"M{LEFT + volts * scale:.1f} {TOP:.1f}v{-12 if volts % 5 == 0 else -6}" for volts in range(whole + 1)
    )
    texts += [
        Text(f"{LEFT + volts * scale:.1f}", f"{TOP - 16:.1f}", f"{volts}", "middle")
        for volts in range(0, whole + 1, 2 if whole < 20 else 10)
    ]
    least = LEFT + results["least_v"] * scale
    return Ladder(
        tuple(parts),
        ticks,
        leaders,
        f"M{least:.1f} {TOP - 12:.1f}V{BOTTOM + 6:.1f}",
        tuple(texts),
        f"Of {results['rest_v']:.1f} V at rest the starter gets {arrives_v:.2f} V; "
        + ", ".join(f"{words} {volts:.2f} V" for words, volts in lost)
        + f". Wanted: {results['least_v']:g} V.",
    )

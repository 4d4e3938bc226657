"""What is drawn beside what the alternator gives, on one rule of amperes: numbers for the template."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text

LEFT, RIGHT, TOP, STEP = 20.0, 640.0, 40.0, 74.0
STEPS_A = (1, 2, 5, 10, 20, 50, 100)


@dataclass(frozen=True)
class DrawnLine:
    y: str
    width: str
    given: str  # path of the alternator's mark


@dataclass(frozen=True)
class BalanceRules:
    lines: tuple[DrawnLine, ...]
    ticks: str
    height: str
    texts: tuple[Text, ...]
    words: str


def balance_rules(situations: list[dict[str, Any]]) -> BalanceRules:
    """One hatched line for each situation, and a heavy mark where the alternator stands."""
    most = max([1.0, *(max(each["drawn_a"], each["given_a"]) for each in situations)]) * 1.05
    scale = (RIGHT - LEFT) / most
    step = next((a for a in STEPS_A if most / a <= 12), 100)
    lines, texts, words = [], [], []
    for number, each in enumerate(situations):
        y, at = TOP + 30 + number * STEP, LEFT + each["given_a"] * scale
        lines.append(DrawnLine(f"{y:.1f}", f"{each['drawn_a'] * scale:.1f}", f"M{at:.1f} {y - 8:.1f}v40"))
        said = f"{each['name']}: {each['drawn_a']:.1f} A drawn, {each['given_a']:.1f} A given"
        texts.append(Text(f"{LEFT:.1f}", f"{y - 10:.1f}", said, "start"))
        words.append(said)
    marks = [step * n for n in range(int(most / step) + 1)]
    texts += [Text(f"{LEFT + a * scale:.1f}", f"{TOP - 18:.1f}", f"{a}", "middle") for a in marks]
    return BalanceRules(
        tuple(lines),
        f"M{LEFT:.1f} {TOP:.1f}H{RIGHT:.1f}"
        + "".join(f"M{LEFT + a * scale:.1f} {TOP:.1f}v-12" for a in marks),
        f"{TOP + 30 + len(situations) * STEP - 20:.0f}",
        tuple(texts),
        "; ".join(words) + ".",
    )

"""The lines from tank to rail and back as a scheme: each with its size, and the pressure at each end."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text
from engineering.tank.pipes import Duty

WIDE = 660.0
STEP = 19.0  # between two lines of text
TANK, RAIL = (20.0, 130.0), (520.0, 640.0)
PUMP_X, PUMP_R, REGULATOR_X = 230.0, 18.0, 580.0
LONGEST = 30  # letters of a name: more runs out of the picture
BETWEEN = 92.0  # feed and return


@dataclass(frozen=True)
class Scheme:
    """Paths and texts, with the words that say the same."""

    width: str
    height: str
    boxes: str
    pipes: str
    pump: tuple[str, str, str]
    texts: tuple[Text, ...]
    words: str


def scheme(inputs: dict[str, Any], results: dict[str, Any], sizes: list[str]) -> Scheme:
    """Not to scale; `sizes` are those of the lines, as printed."""
    said = {
        duty: [
            f"{_short(line['name'])}: {size}, {line['drop_kpa']:.1f} kPa"
            for line, size in zip(results["lines"], sizes, strict=True)
            if line["duty"] == duty
        ]
        for duty in Duty
    }
    has_return = bool(said[Duty.RETURN])
    feed_y = 34 + STEP * max(len(said[Duty.PRESSURE]), 1)
    return_y = feed_y + BETWEEN + STEP * len(said[Duty.SUCTION])
    pump_x = PUMP_X if said[Duty.SUCTION] else sum(TANK) / 2
    pipes = f"M{TANK[1]:.1f} {feed_y:.1f}H{PUMP_X - PUMP_R:.1f}" if said[Duty.SUCTION] else ""
    pipes += f"M{pump_x + PUMP_R:.1f} {feed_y:.1f}H{RAIL[0]:.1f}"
    if has_return:
        pipes += f"M{REGULATOR_X:.1f} {feed_y + 16:.1f}V{return_y:.1f}H{TANK[1]:.1f}"
    bottom = return_y + 26
    return Scheme(
        width=f"{WIDE:.0f}",
        height=f"{bottom + STEP * len(said[Duty.RETURN]) + 6:.0f}",
        boxes=(
            f"M{TANK[0]:.1f} {feed_y - 26:.1f}H{TANK[1]:.1f}V{bottom:.1f}H{TANK[0]:.1f}z"
            f"M{RAIL[0]:.1f} {feed_y - 16:.1f}H{RAIL[1]:.1f}v32H{RAIL[0]:.1f}z"
            + (f"M{REGULATOR_X - 11:.1f} {return_y - 40:.1f}l11 -11 11 11 -11 11z" if has_return else "")
        ),
        pipes=pipes,
        pump=(f"{pump_x:.1f}", f"{feed_y:.1f}", f"{PUMP_R:.1f}"),
        texts=(
            Text(f"{sum(TANK) / 2:.1f}", f"{return_y + 5:.1f}", "tank"),
            Text(f"{sum(RAIL) / 2:.1f}", f"{feed_y + 5:.1f}", f"{inputs['rail_kpa']:g} kPa"),
            *_stack(
                said[Duty.PRESSURE], RAIL[1], feed_y - 28 - STEP * (len(said[Duty.PRESSURE]) - 1), "end"
            ),
            *_stack(said[Duty.SUCTION], TANK[1] + 12, feed_y + PUMP_R + 24, "start"),
            *_stack(said[Duty.RETURN], TANK[1] + 12, return_y + 22, "start"),
            Text(
                f"{pump_x + PUMP_R + 6:.1f}", f"{feed_y + 20:.1f}",
                f"{results['pump']['pressure_kpa']:.0f} kPa", "start",
            ),
        ),
        words=(
            "Scheme, not to scale, with the pressure lost in each line and that over the tank at pump and "
            f"rail. {'; '.join(line for lines in said.values() for line in lines)}."
        ),
    )  # fmt: skip


def _short(name: str) -> str:
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 1]}…"


def _stack(lines: list[str], x: float, y: float, anchor: str) -> tuple[Text, ...]:
    return tuple(
        Text(f"{x:.1f}", f"{y + STEP * number:.1f}", line, anchor) for number, line in enumerate(lines)
    )

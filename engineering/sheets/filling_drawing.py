"""The filler neck from the side: how high fuel is lifted, where the nozzle's mouth is, where the vent "
"ends."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text

WIDE, HIGH = 660.0, 330.0
ROOF = 262.0  # of the tank, where fuel stands at brim
TALLEST = 200.0  # of the largest height
VENT_X, NECK_X, NECK_WIDE, SPOUT_WIDE = 190.0, 380.0, 54.0, 22.0
TANK = (60.0, 600.0)
TICK = 6.0


@dataclass(frozen=True)
class Neck:
    """Paths and texts, with the words that say the same."""

    width: str
    height: str
    tank: str
    fuel: str
    spout: str
    vent: str
    measures: str
    texts: tuple[Text, ...]
    words: str


def neck_view(inputs: dict[str, Any], results: dict[str, Any]) -> Neck:
    """Heights to scale over the fuel at brim; widths are not."""
    found = results["filling"]
    room, lift = found["room_mm"], found["lift_mm"]
    outlet = max(room + inputs["outlet_over_nozzle_mm"], 0.0)
    scale = TALLEST / max(room, min(lift, 2 * room), outlet, 1.0)

    def y(over_brim_mm: float) -> float:
        return ROOF - min(over_brim_mm * scale, TALLEST)

    left, right = NECK_X - NECK_WIDE / 2, NECK_X + NECK_WIDE / 2
    return Neck(
        width=f"{WIDE:.0f}",
        height=f"{HIGH:.0f}",
        tank=(
            f"M{TANK[0]:.1f} {HIGH:.1f}V{ROOF:.1f}H{VENT_X - 8:.1f}M{VENT_X + 8:.1f} {ROOF:.1f}H{left:.1f}"
            f"V{ROOF - TALLEST - 24:.1f}M{right:.1f} "
            f"{ROOF - TALLEST - 24:.1f}V{ROOF:.1f}H{TANK[1]:.1f}V{HIGH:.1f}"
        ),
        fuel=(
            f"M{TANK[0]:.1f} {HIGH:.1f}V{ROOF:.1f}H{left:.1f}V{y(lift):.1f}H{right:.1f}V{ROOF:.1f}"
            f"H{TANK[1]:.1f}V{HIGH:.1f}z"
        ),
        spout=(
            f"M{NECK_X - SPOUT_WIDE / 2:.1f} {ROOF - TALLEST - 40:.1f}V{y(room):.1f}h{SPOUT_WIDE:.1f}"
            f"V{ROOF - TALLEST - 40:.1f}"
        ),
        vent=f"M{VENT_X:.1f} {ROOF:.1f}V{y(outlet):.1f}h-30v14",
        measures=(
            _measure(right + 46, ROOF, y(room))
            + _measure(right + 22, ROOF, y(lift))
            + _measure(VENT_X + 60, y(room), y(outlet))
        ),
        texts=(
            Text(
                f"{right + 58:.1f}", f"{(ROOF + y(room)) / 2 + 5:.1f}", f"nozzle’s mouth {room:g} mm", "start"
            ),
            Text(f"{right + 58:.1f}", f"{ROOF - 8:.1f}", f"fuel lifted {lift:.0f} mm", "start"),
            Text(
                f"{VENT_X + 70:.1f}", f"{(y(room) + y(outlet)) / 2 + 5:.1f}",
                f"{inputs['outlet_over_nozzle_mm']:+g} mm", "start",
            ),
            Text(f"{VENT_X - 40:.1f}", f"{y(outlet) + 5:.1f}", f"vent, {inputs['bore_mm']:g} mm", "end"),
            Text(f"{TANK[0] + 12:.1f}", f"{ROOF + 24:.1f}", "fuel at brim", "start"),
        ),
        words=(
            f"Heights over the fuel at brim, to scale: nozzle’s mouth {room:g} mm, fuel lifted by "
            f"{lift:.0f} mm, "
            f"vent’s outlet {outlet:g} mm."
        ),
    )  # fmt: skip


def _measure(x: float, one: float, other: float) -> str:
    """A dimension line with a tick at either end."""
    return (
        f"M{x:.1f} {one:.1f}V{other:.1f}M{x - TICK:.1f} {one:.1f}h{2 * TICK:.1f}"
        f"M{x - TICK:.1f} {other:.1f}h{2 * TICK:.1f}"
    )

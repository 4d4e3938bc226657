"""The car from above: its wheels with their loads, the items, and the centre of gravity empty and full."""

from dataclasses import dataclass
from typing import Any

from engineering.sheets.tank_drawing import Text

WIDE, MARGIN = 620.0, 70.0
TYRE_MM = (600.0, 190.0)
LARGEST_R, SMALLEST_R = 20.0, 3.0


@dataclass(frozen=True)
class Circle:
    x: str
    y: str
    r: str
    number: str  # as in the list below
    number_y: str


@dataclass(frozen=True)
class Plan:
    """Paths, circles and texts, with the words that say the same."""

    width: str
    height: str
    tyres: str
    axles: str
    items: tuple[Circle, ...]
    before: str
    after: str
    texts: tuple[Text, ...]
    words: str


def plan_view(inputs: dict[str, Any], results: dict[str, Any]) -> Plan:
    """Front to the left, to scale; a circle's area is as the mass of its item."""
    before, after = results["loaded"]["before"], results["loaded"]["after"]
    things = [*inputs["items"], *({**row, "mass_kg": row["most_kg"]} for row in inputs.get("changing") or [])]
    things += results.get("loom", [])
    things += [row["item"] for row in results.get("fuel", [])[:1]]
    lows = [0.0, *(thing["x_mm"] for thing in things)]
    highs = [inputs["wheelbase_mm"], *(thing["x_mm"] for thing in things)]
    aside = max([inputs["track_front_mm"], inputs["track_rear_mm"], *(2 * abs(t["y_mm"]) for t in things)])
    scale = WIDE / (max(highs) - min(lows) + TYRE_MM[0])
    left = MARGIN - (min(lows) - TYRE_MM[0] / 2) * scale
    middle = MARGIN + (aside + TYRE_MM[1]) / 2 * scale
    view = _View(left, middle, scale)
    heaviest = max(thing["mass_kg"] for thing in things)
    corners = after["corners"]
    wheels = _wheels(inputs)
    words = (
        f"Seen from above, front to the left. Full: {_place(after)}; with the least: {_place(before)}. "
        + ", ".join(f"{name.replace('_', ' ')} {corners[name]:.0f} kg" for name, _, _ in wheels)
        + "."
    )
    return Plan(
        width=f"{WIDE + 2 * MARGIN:.0f}",
        height=f"{2 * middle:.0f}",
        tyres="".join(view.box(x, y, *TYRE_MM) for _, x, y in wheels),
        axles="".join(
            f"M{view.x(x):.1f} {view.y(-track / 2):.1f}V{view.y(track / 2):.1f}"
            for x, track in ((0, inputs["track_front_mm"]), (inputs["wheelbase_mm"], inputs["track_rear_mm"]))
        )
        + f"M{view.x(0):.1f} {middle:.1f}H{view.x(inputs['wheelbase_mm']):.1f}",
        items=tuple(
            _circle(view, number, thing, heaviest)
            for number, thing in enumerate(things, start=1)
            if thing["mass_kg"] > 0
        ),
        before=view.cross(before["x_mm"], before["y_mm"]),
        after=view.cross(after["x_mm"], after["y_mm"]),
        texts=tuple(_load(view, name, x, y, corners[name]) for name, x, y in wheels),
        words=words,
    )


@dataclass(frozen=True)
class _View:
    left: float
    middle: float
    scale: float

    def x(self, aft_mm: float) -> float:
        return self.left + aft_mm * self.scale

    def y(self, right_mm: float) -> float:
        """The driver's right is up the sheet: the front of the car is to the left."""
        return self.middle - right_mm * self.scale

    def box(self, aft_mm: float, right_mm: float, long_mm: float, wide_mm: float) -> str:
        x, y = self.x(aft_mm - long_mm / 2), self.y(right_mm + wide_mm / 2)
        long, wide = long_mm * self.scale, wide_mm * self.scale
        return f"M{x:.1f} {y:.1f}h{long:.1f}v{wide:.1f}h{-long:.1f}z"

    def cross(self, aft_mm: float, right_mm: float) -> str:
        return f"M{self.x(aft_mm) - 12:.1f} {self.y(right_mm):.1f}h24m-12 -12v24"


def _wheels(inputs: dict[str, Any]) -> list[tuple[str, float, float]]:
    front, rear, base = inputs["track_front_mm"] / 2, inputs["track_rear_mm"] / 2, inputs["wheelbase_mm"]
    return [
        ("front_left", 0.0, -front),
        ("front_right", 0.0, front),
        ("rear_left", base, -rear),
        ("rear_right", base, rear),
    ]


def _circle(view: _View, number: int, thing: dict[str, Any], heaviest: float) -> Circle:
    radius = max(SMALLEST_R, LARGEST_R * (thing["mass_kg"] / heaviest) ** 0.5)
    x, y = view.x(thing["x_mm"]), view.y(thing["y_mm"])
    beside = radius + 16 if number % 2 else -radius - 5  # in turn below and above: many sit on one line
    return Circle(f"{x:.1f}", f"{y:.1f}", f"{radius:.1f}", str(number), f"{y + beside:.1f}")


def _load(view: _View, name: str, x: float, y: float, load_kg: float) -> Text:
    outwards = view.y(y) + (-22 if view.y(y) < view.middle else 34)
    return Text(f"{view.x(x):.1f}", f"{outwards:.1f}", f"{load_kg:.0f} kg")


def _place(found: dict[str, Any]) -> str:
    side = "right" if found["y_mm"] >= 0 else "left"
    return (
        f"{found['mass_kg']:.0f} kg with the centre of gravity {found['x_mm']:.0f} mm behind the front axle, "
        f"{abs(found['y_mm']):.0f} mm {side} of the middle"
    )

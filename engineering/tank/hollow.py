"""What can be cut by a plane at any tilt."""

from typing import Protocol

from engineering.tank.cutting import Floats


class Hollow(Protocol):
    """What the dip chart and the surge sums need to know of the inside of a tank."""

    @property
    def full_l(self) -> float:
        """Volume of the whole [L]."""

    @property
    def depth_mm(self) -> float:
        """Depth standing level [mm]."""

    def litres_at(self, depth_mm: float) -> float:
        """Litres below a level surface [L]."""

    def span_mm(self, up: Floats) -> tuple[float, float]:
        """Lowest and highest point along a direction [mm]."""

    def litres_below(self, up: Floats, levels_mm: Floats) -> Floats:
        """Litres below each of many parallel planes [L]."""

    def centroid_below_mm(self, up: Floats, level_mm: float) -> Floats:
        """Where the liquid below a plane has its centre [mm]."""

    def upright_mm(self, x_mm: float, y_mm: float) -> tuple[float, float] | None:
        """Floor and roof, as z, over and under a place; None where there is no tank [mm]."""

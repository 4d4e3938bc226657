"""The dip chart: litres against depth."""

import math
from dataclasses import dataclass

from engineering.tank.errors import TankInputError
from engineering.tank.inputs import check_positive_mm
from engineering.tank.shapes import Cavity

MOST_ROWS = 400


@dataclass(frozen=True)
class DipRow:
    """One line of a dip chart.

    Parameters
    ----------
    depth_mm : float
        Depth of liquid above the lowest inside point [mm].
    litres : float
        Liquid in the tank, less what foam displaces [L].
    brim_percent : float
        The same as a share of the brim [%].
    """

    depth_mm: float
    litres: float
    brim_percent: float


def dip_chart(inside: Cavity, step_mm: float, free_share: float = 1.0) -> tuple[DipRow, ...]:
    """Litres against depth, from empty to the brim.

    Parameters
    ----------
    inside : Cavity
        The inside of the tank [mm].
    step_mm : float
        Step between lines [mm]; the last one, to the brim, may be shorter.
    free_share : float
        Share of the inside that liquid can take, less than 1 with foam [-].

    Returns
    -------
    tuple of DipRow
        Always with depth 0 and the full depth.

    Raises
    ------
    TankInputError
        If the step is not greater than 0, or would make more than 400 lines.

    Examples
    --------
    >>> from engineering.tank import Box
    >>> [(row.depth_mm, row.litres) for row in dip_chart(Box(600, 400, 25), 10)]
    [(0.0, 0.0), (10.0, 2.4), (20.0, 4.8), (25.0, 6.0)]
    """
    check_positive_mm("dip_step_mm", "Dip chart step", step_mm)
    if inside.depth_mm / step_mm > MOST_ROWS:
        raise TankInputError(
            "dip_step_mm",
            f"Dip chart step: {step_mm:g} mm would make more than {MOST_ROWS} lines; "
            f"take {math.ceil(inside.depth_mm / MOST_ROWS)} mm or more.",
        )
    # without the tiny allowance a step that divides the depth would give the last line twice
    whole_steps = math.ceil(inside.depth_mm / step_mm - 1e-9)
    depths = [number * step_mm for number in range(whole_steps)] + [inside.depth_mm]
    return tuple(_row(inside, float(depth), free_share) for depth in depths)


def _row(inside: Cavity, depth_mm: float, free_share: float) -> DipRow:
    litres = inside.litres_at(depth_mm)
    return DipRow(depth_mm, litres * free_share, 100 * litres / inside.full_l)

"""Fuel on the weight sheet: mass and place of what a kept tank sheet's tank holds, litre by litre."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from engineering.kept_tanks import tank_sheet
from engineering.sheets import drum, mesh, profile
from engineering.sheets.kind import Inputs, Results
from engineering.tank import TankBuild, level_for_litres
from engineering.tank.attitude import LEVEL
from engineering.weight import Item

STEPS = 10
_BUILT: dict[str, Callable[[Inputs, Results], TankBuild]] = {
    "profile": profile.made_build,
    "drum": drum.made_build,
    "mesh": mesh.made_build,
}
_SLIVER = 1e-4  # of the tank: where the last of the liquid is


@dataclass(frozen=True)
class FuelTank:
    """A tank in the car, and between how many litres it changes."""

    name: str
    build: TankBuild
    kg_per_l: float
    free_share: float
    origin_mm: tuple[float, float, float]
    least_l: float
    most_l: float

    def item(self, litres: float) -> Item:
        """What so many litres weigh and where they lie, the car level."""
        inside, up = self.build.inside, LEVEL.up()
        level = level_for_litres(inside, up, max(litres / self.free_share, _SLIVER * inside.full_l))
        forwards, left, high = (float(value) for value in inside.centroid_below_mm(up, level))
        x, y, z = self.origin_mm
        # the tank counts forwards and to the left, the car backwards and to the right
        return Item(self.name, litres * self.kg_per_l, x - forwards, y - left, z + high)

    def steps_l(self) -> list[float]:
        """Litres from the most to the least."""
        step = (self.most_l - self.least_l) / STEPS
        return [self.most_l - step * number for number in range(STEPS)] + [self.least_l]


def fuel_tank(inputs: Inputs) -> FuelTank | None:
    """The tank that the inputs name, if any. Raises ValidationError by field."""
    sheet = named_tank(inputs, "fuel_sheet")
    if sheet is None:
        return None
    holds = sheet.results
    least_l = inputs.get("fuel_least_l", 0.0)
    most_l = inputs.get("fuel_most_l", holds["filled_l"])
    _check_litres(least_l, most_l, holds["brim_l"])
    return FuelTank(
        name=sheet.title,
        build=built(sheet),
        kg_per_l=holds["liquid_kg"] / holds["filled_l"],  # a specific gravity may have been typed
        free_share=holds["brim_l"] / holds["gross_l"],
        origin_mm=(inputs["fuel_x_mm"], inputs["fuel_y_mm"], inputs["fuel_z_mm"]),
        least_l=least_l,
        most_l=most_l,
    )


def named_tank(inputs: Inputs, field: str) -> Any | None:
    """The kept tank sheet that the inputs name in a field; None where that is empty."""
    if not inputs.get(field):
        return None
    sheet = tank_sheet(inputs[field])
    if sheet is None:
        raise ValidationError({field: "That tank sheet is there no more. Choose another, or none."})
    return sheet


def built(sheet: Any) -> TankBuild:
    """The tank of a kept sheet, as it is made."""
    return _BUILT[sheet.kind](sheet.inputs, sheet.results)


def _check_litres(least_l: float, most_l: float, brim_l: float) -> None:
    if not least_l >= 0:
        raise ValidationError({"fuel_least_l": f"Least in the tank: {least_l:g} L is less than nothing."})
    if not most_l <= brim_l + 1e-6:
        raise ValidationError(
            {"fuel_most_l": f"Most in the tank: {most_l:g} L does not go in; the brim is at {brim_l:.2f} L."}
        )
    if not least_l < most_l:
        raise ValidationError(
            {"fuel_least_l": f"Least in the tank: {least_l:g} L is not less than the most, {most_l:.2f} L."}
        )

"""What the sheets of tanks of any shape share: the sums behind them, as JSON takes them."""

from dataclasses import asdict, replace
from typing import Any

from django.core.exceptions import ValidationError

from engineering.forms import SheetForm
from engineering.sheets.brimming import brimmed_ways, places_of
from engineering.sheets.kind import Inputs, PartFacts, Results
from engineering.sheets.shaped_form import NO_SENDER, OWN_FOAM
from engineering.sheets.shaped_words import notes_of
from engineering.tank import FOAMS, LIQUIDS, METALS, Foam, TankError, TankInputError
from engineering.tank.attitude import LEVEL, Attitude
from engineering.tank.build import TankBuild
from engineering.tank.dipping import dip_chart_at
from engineering.tank.liquids import measured_liquid
from engineering.tank.sender import SENDER_RANGES, Sender, sender_table
from engineering.tank.shaped import ShapedInputs, ShapedResult
from engineering.tank.surge import SurgePolar, surge_polar

DIRECTIONS = 72
_FIELDS = {
    "pot": "pot_depth_mm",
    "collector": "box_height_mm",
    "pot_holes": "box_hole_mm",
    "tank_l": "bend_l",
    "pot_pickup_mm": "pickup_z_mm",
    "stick": "stick_x_mm",
    "pickup_mm": "pickup_z_mm",
    "nose_up_deg": "nose_up_percent",
    "left_up_deg": "left_up_percent",
    "length_mm": "profile",
    "height_mm": "profile",
}
"""Where on the form a refusal of the core belongs, when the core calls it otherwise."""


def refusal(error: TankError, form: type[SheetForm]) -> ValidationError:
    """What the core refused, beside the field that it is about where the form has it."""
    if not isinstance(error, TankInputError):
        return ValidationError(str(error))
    field = _FIELDS.get(error.field, error.field)
    if field not in form.base_fields:
        return ValidationError(error.message)
    return ValidationError({field: error.message})


def shaped_inputs(inputs: Inputs, build: TankBuild) -> ShapedInputs:
    stick = (inputs["stick_x_mm"], inputs["stick_y_mm"]) if "stick_x_mm" in inputs else None
    return ShapedInputs(
        build=build,
        metal=METALS[inputs["metal"]],
        liquid=measured_liquid(
            LIQUIDS[inputs["liquid"]], inputs.get("specific_gravity"), inputs.get("expansion_per_c")
        ),
        foam=_foam(inputs),
        foam_percent=inputs.get("foam_percent", 100.0),
        expansion_percent=inputs["expansion_percent"],
        fill_c=inputs["fill_c"],
        hottest_c=inputs["hottest_c"],
        pickup_mm=(inputs["pickup_x_mm"], inputs["pickup_y_mm"], inputs["pickup_z_mm"]),
        attitude=_attitude(inputs),
        stick_mm=stick,
        dip_step_mm=inputs["dip_step_mm"],
    )


def _foam(inputs: Inputs) -> Foam | None:
    """The foam by its stored name, with the figures of its own data sheet where typed; “none” is no foam."""
    foam = FOAMS.get(inputs["foam"])
    own = {name.removeprefix("foam_"): inputs[name] for name in OWN_FOAM if name in inputs}
    return replace(foam, **own) if foam and own else foam


def _attitude(inputs: Inputs) -> Attitude:
    return Attitude.on_slope(inputs.get("nose_up_percent", 0.0), inputs.get("left_up_percent", 0.0))


def common_results(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> Results:
    """All that does not depend on how the tank was described."""
    return {
        **_plain(sized),
        "pickup_depth_mm": inputs["pickup_z_mm"] - sized.stick.foot_mm,
        "on_slope": _on_slope(inputs, given, sized),
        "sender": _sender(inputs, given, sized),
        "brimming": _brimming(inputs, given, sized),
        "notes": notes_of(
            given.liquid, given.metal, given.foam, is_own_foam=all(name in inputs for name in OWN_FOAM)
        ).stored(),
    }


def _brimming(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> list[dict[str, Any]]:
    """How full the tank can be brimmed, level and on four slopes, where its vents are given."""
    vents = places_of(inputs.get("vents"))
    if not vents:
        return []
    slope = inputs.get("vent_slope_percent", 0.0)
    return brimmed_ways(given.build, vents, slope, _free_share(sized))


def _plain(sized: ShapedResult) -> dict[str, Any]:
    """The result as JSON takes it."""
    return {
        **asdict(sized),
        "expansion_governed_by": str(sized.expansion_governed_by),
        "dip_chart": [asdict(row) for row in sized.dip_chart],
    }


def _free_share(sized: ShapedResult) -> float:
    return sized.brim_l / sized.gross_l


def _on_slope(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> list[float] | None:
    """Litres at the depths of the dip chart on the slope, where there is one."""
    if not inputs.get("nose_up_percent") and not inputs.get("left_up_percent"):
        return None
    rows = dip_chart_at(
        given.build.inside, sized.stick, given.dip_step_mm, given.attitude, _free_share(sized)
    )
    return [row.litres for row in rows]


def _sender(inputs: Inputs, given: ShapedInputs, sized: ShapedResult) -> dict[str, Any] | None:
    if inputs["sender"] == NO_SENDER:
        return None
    fitted = Sender(
        SENDER_RANGES[inputs["sender"]], sized.stick, inputs["sender_lowest_mm"], inputs["sender_highest_mm"]
    )
    table = sender_table(
        given.build.inside, fitted, inputs["sender_points"], free_share=_free_share(sized), best=True
    )
    return {**asdict(table), "unit": str(fitted.range.signal)}


def surge_results(
    inputs: Inputs, given: ShapedInputs, sized: ShapedResult, without_pot: ShapedInputs | None = None
) -> dict[str, Any]:
    """Litres left when the pickup comes dry, all round: level, on the slope, and without the pot."""
    g, free = inputs["surge_g"], _free_share(sized)

    def around(tank: ShapedInputs, attitude: Attitude = LEVEL) -> dict[str, Any]:
        polar = surge_polar(tank.build.inside, tank.pickup_mm, g, DIRECTIONS, attitude, free)
        return {"here": _legs(polar), "worst": asdict(polar.worst)}

    is_sloped = given.attitude != LEVEL
    return {
        **around(given),
        "on_slope": around(given, given.attitude) if is_sloped else None,
        "without_pot": around(without_pot) if without_pot else None,
        "without_pot_on_slope": around(without_pot, given.attitude) if without_pot and is_sloped else None,
    }


def _legs(polar: SurgePolar) -> list[list[float]]:
    """Direction and litres left, all round."""
    return [[leg.direction_deg, leg.litres_left] for leg in polar.around]


def facts(inputs: Inputs, results: Results) -> PartFacts:
    """The bare tank: mass, outside sizes and blank area."""
    long, wide, high = results["outside_mm"]
    return PartFacts(
        mass_kg=results["empty_kg"], length_mm=long, width_mm=wide, height_mm=high,
        area_m2=results["sheet_m2"],
    )  # fmt: skip

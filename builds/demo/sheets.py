"""The demo's fuel tank on paper: from a wanted capacity to the axles, and an oil tank read from a file.

The tank's pot is made deeper after the tank went out, so its maker has an old revision.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from builds.models import Car, Job, Person
from builds.services.sheet_facts import facts_take_over
from engineering.models import CalcSheet
from engineering.services import calc_sheet_part, calc_sheet_save
from engineering.sheets import KINDS
from engineering.tank import Drum, Lie, stl_of
from parts.models import Part

from .story import Day

Typed = dict[str, str]


def lines_of(name: str, columns: tuple[str, ...], *lines: tuple[object, ...]) -> Typed:
    """A table as it is typed into a form."""
    return {
        f"{name}-{number}-{column}": str(cell)
        for number, line in enumerate(lines)
        for column, cell in zip(columns, line, strict=True)
    }


TANK_TITLE = "Main fuel tank with pot"
FUEL_TANK = {
    "title": TANK_TITLE,
    "start": "typed",
    **lines_of(
        "profile", ("x_mm", "z_mm", "bend_mm"), (0, 0, 15), (420, 0, 15), (290, 260, 15), (0, 260, 15)
    ),
    "width_mm": "800", "measured": "outside", "thickness_mm": "3", "metal": "aluminium_5083",
    "wanted_l": "72", "stretch": "width_mm",
    "pot_x_mm": "90", "pot_y_mm": "340", "pot_length_mm": "160", "pot_width_mm": "160", "pot_depth_mm": "120",
    "liquid": "petrol", "foam": "none", "foam_percent": "100",
    "pickup_x_mm": "170", "pickup_y_mm": "420", "pickup_z_mm": "-107",
    "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "dip_step_mm": "20",
    "stick_x_mm": "200", "stick_y_mm": "620", "nose_up_percent": "5", "left_up_percent": "0",
    "sender": "240_to_33", "sender_lowest_mm": "15", "sender_highest_mm": "235", "sender_points": "7",
    "surge_g": "0.7", "pump_l_h": "130", "return_l_h": "80", "bend_s": "8",
    **lines_of("vents", ("x_mm", "y_mm", "z_mm"), (30, 40, 257), (30, 780, 257)),
    "vent_slope_percent": "5",
}  # fmt: skip
DEEPER_POT = {"pot_depth_mm": "140", "pickup_z_mm": "-127"}
"""The pump that came is 20 mm taller than the one that was drawn."""
LINES = {
    "title": "Feed, return and pickup", "fluid": "petrol", "power_kw": "118", "consumption_g_kwh": "310",
    "margin_percent": "20", "rail_kpa": "300", "delivers_l_h": "130",
    **lines_of(
        "lines", ("name", "duty", "bore_mm", "length_m", "loss_k", "rise_m", "dash"),
        ("Pot to pump", "suction", 12, 0.4, 2.0, -0.05, ""),
        ("Pump to rail", "feed", "", 3.8, 6.5, 0.35, "-6"),
        ("Regulator to tank", "return", "", 4.1, 5.0, -0.2, "-6"),
    ),
}  # fmt: skip
FILLING = {
    "title": "Filling the main tank", "litres_per_min": "45", "nozzle_over_brim_mm": "120",
    "liquid_kg_m3": "745", "bore_mm": "16", "length_m": "1.4", "fittings_k": "3.4", "narrowest_mm": "13",
    "narrow_places": "2", "vents": "1", "outlet_over_nozzle_mm": "60", "slope_percent": "5",
    "consumption_l_h": "49", "warming_c_h": "10", "air_c": "20", "breather_bore_mm": "6",
    "breather_length_m": "1.5", "breather_valve_pa": "150", "breather_valve_l_min": "5",
}  # fmt: skip
OIL_TANK = {
    "title": "Dry-sump tank as drawn by the machinist", "unit": "mm", "thickness_mm": "3",
    "metal": "aluminium_5083", "liquid": "engine_oil", "foam": "none", "foam_percent": "100",
    "pickup_x_mm": "0", "pickup_y_mm": "0", "pickup_z_mm": "15", "expansion_percent": "30", "fill_c": "15",
    "hottest_c": "110", "dip_step_mm": "20", "nose_up_percent": "0", "left_up_percent": "0",
    "sender": "none", "surge_g": "0.8",
}  # fmt: skip
WEIGHT = {
    "title": "Standing on its wheels", "wheelbase_mm": "2690", "track_front_mm": "1370",
    "track_rear_mm": "1360", "weighed": "least", "fuel_x_mm": "3080", "fuel_y_mm": "420", "fuel_z_mm": "330",
    "fuel_least_l": "5", "fuel_most_l": "",
    **lines_of(
        "items", ("name", "mass_kg", "x_mm", "y_mm", "z_mm"),
        ("Body shell, doors, glass and trim", 520, 1450, 0, 680),
        ("Engine, gearbox and propshaft", 245, 420, 0, 520),
        ("Front axle, wheels and brakes", 118, 0, 0, 310),
        ("Rear axle, wheels and brakes", 152, 2690, 0, 310),
        ("Radiator and coolant", 24, -480, 0, 500),
        ("Seats", 38, 1620, 0, 480),
        ("Battery", 15, 2950, -420, 480),
        ("Fuel tank, bare", 10.1, 2900, 0, 460),
    ),
    **lines_of(
        "instead", ("choice", "name", "mass_kg", "x_mm", "y_mm", "z_mm"),
        ("Battery behind the seats", "Battery", "", 2150, -300, 420),
        ("Lighter battery up front", "Battery", 4.5, -250, -350, 620),
    ),
    **lines_of(
        "changing", ("name", "least_kg", "most_kg", "x_mm", "y_mm", "z_mm"),
        ("Driver", 75, 90, 1600, 360, 560),
        ("Passengers", 0, 150, 1900, -120, 580),
    ),
}  # fmt: skip


def sheets_keep(today: date) -> None:
    """Keep the sheets of Gannet's fuel tank and of Skua's oil tank on the jobs that need them."""
    day = Day(today)
    gannet, skua = Car.objects.get(name="Gannet"), Car.objects.get(name="Skua")
    drawn = Job.objects.get(car=gannet, key="fuel-tank-draw")
    first = _keep(drawn, "profile", FUEL_TANK, day, -14)
    calc_sheet_part(sheet=first, part=Part.objects.get(car=gannet, name="Fuel tank"))
    tank = _keep(drawn, "profile", FUEL_TANK | DEEPER_POT, day, -3)
    facts_take_over(sheet=tank, by=Person.objects.get(name="Maud Ellery"))
    _keep(drawn, "filling", FILLING | {"tank_sheet": str(tank.pk)}, day, -3)
    _keep(Job.objects.get(car=gannet, key="fuel-lines"), "lines", LINES, day, -13)
    weighed = Job.objects.get(car=gannet, key="geometry")
    _keep(weighed, "weight", WEIGHT | {"fuel_sheet": str(tank.pk)}, day, -2)
    oil = _keep(
        Job.objects.get(car=skua, key="oil-tank-draw"), "mesh", OIL_TANK, day, -40, {"file": oil_tank_file()}
    )
    calc_sheet_part(sheet=oil, part=Part.objects.get(car=skua, name="Oil tank"))


def oil_tank_file() -> SimpleUploadedFile:
    """An upright tank of 190 mm across and 400 mm high inside, as a machinist's drawing gives it: an STL."""
    return SimpleUploadedFile("dry-sump-tank.stl", stl_of(Drum(190, 400, Lie.UPRIGHT).solid()))


def _keep(
    job: Job, kind: str, typed: Typed, day: Day, on: int, files: Mapping[str, Any] | None = None
) -> CalcSheet:
    form = KINDS[kind].form(typed, files)
    form.offer(job)
    if not form.is_valid():
        raise RuntimeError(f"The demo's {kind} sheet is refused: {form.errors.as_text()}")
    return calc_sheet_save(
        job=job,
        kind=kind,
        title=form.cleaned_data["title"],
        inputs=form.inputs(),
        by=Person.objects.get(name="Tomas Kell"),
        at=timezone.make_aware(datetime.combine(day.at(on), time(11))),
    )

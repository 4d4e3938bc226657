"""What is typed on a filling sheet."""

from typing import Any

from engineering.fields import CountField, FigureField, KeptSheetField
from engineering.forms import SheetForm
from engineering.kept_tanks import tanks_of_car
from engineering.rows import Column, RowsField

OF_THE_TANK = ("vent_mouths", "slope_percent")
BREATHER = ("breather_bore_mm", "breather_length_m")
VALVES = (("valve_pa", "valve_l_min"), ("breather_valve_pa", "breather_valve_l_min"))


class FillingForm(SheetForm):
    litres_per_min = FigureField(
        words="Filling",
        unit="L/min",
        initial=45,
        help_text="A petrol nozzle: up to 38 in America (10 US gal/min), about 45 in Europe; diesel 70 and "
        "more.",
    )
    nozzle_over_brim_mm = FigureField(
        words="Nozzle mouth over the fuel at brim",
        unit="mm",
        help_text="How far fuel may rise in the neck before the nozzle clicks off.",
    )
    liquid_kg_m3 = FigureField(words="Density of the fuel", unit="kg/m³", initial=745)
    bore_mm = FigureField(words="Vent bore", unit="mm")
    length_m = FigureField(words="Vent length", unit="m")
    fittings_k = FigureField(
        words="Bends and tees of the vent, sum of K", unit="", initial=3,
        label="Bends and tees of the vent, sum of K",
        help_text="A tight 90° end 1.5, a swept one 0.4, a tee through its branch 1.5. Ends of the line are "
        "counted already.",
    )  # fmt: skip
    narrowest_mm = FigureField(
        words="Bore of its fittings", unit="mm", required=False,
        help_text="Where a fitting is narrower than the line: barbs often are.",
    )  # fmt: skip
    narrow_places = CountField(words="How many such fittings", unit="", initial=2, required=False)
    valve_pa = FigureField(
        words="Roll-over valve or gauze in it, loses", unit="Pa", required=False,
        help_text="One point of the maker's curve. 1 mbar is 100 Pa.",
    )  # fmt: skip
    valve_l_min = FigureField(
        words="Roll-over valve or gauze, at a flow of",
        unit="L/min",
        label="… at L/min of air",
        required=False,
    )
    vents = CountField(words="Vent lines side by side", unit="", initial=1)
    outlet_over_nozzle_mm = FigureField(
        words="Vent outlet over the nozzle mouth", unit="mm", initial=50, help_text="Below it: a minus sign."
    )
    tank_sheet = KeptSheetField(
        label="Tank by its sheet",
        help_text="A kept sheet of this car: how full it can be brimmed on a slope is worked out from its "
        "shape.",
    )
    tank_l = FigureField(
        words="Tank, brim-full", unit="L", required=False, help_text="Not needed where its sheet is chosen."
    )
    vent_mouths = RowsField(
        label="Where the vents begin in the tank",
        help_text="Measured as on the tank's sheet. Empty: the vents of that sheet. The filler's own "
        "mouth counts "
        "as one where it enters at the roof.",
        required=False,
        columns=(
            Column("x_mm", "Forwards", "mm"),
            Column("y_mm", "To the left", "mm"),
            Column("z_mm", "Up", "mm"),
        ),
    )
    slope_percent = FigureField(
        words="Brimmed on a slope of", unit="%", initial=5, required=False, help_text="5 where left empty."
    )
    consumption_l_h = FigureField(words="Burnt at full power", unit="L/h")
    warming_c_h = FigureField(words="Warming in the sun", unit="°C/h", initial=10)
    air_c = FigureField(words="Air in the tank", unit="°C", initial=20)
    breather_bore_mm = FigureField(words="Breather bore", unit="mm", required=False)
    breather_length_m = FigureField(words="Breather length", unit="m", required=False)
    breather_valve_pa = FigureField(words="Its roll-over valve, loses", unit="Pa", required=False)
    breather_valve_l_min = FigureField(
        words="Its roll-over valve, at a flow of", unit="L/min", label="… at L/min of air", required=False
    )

    def offer(self, job: Any) -> None:
        self.fields["tank_sheet"].offer(tanks_of_car(job, self.initial.get("tank_sheet")))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("tank_sheet") is not None:
            self.leave_out("tank_l")
        elif "tank_sheet" not in self.errors:
            for name in OF_THE_TANK:
                self.leave_out(name)
            self._need(
                cleaned, ("tank_l",), "Tank, brim-full: give it in L, or choose the sheet of the tank."
            )
        if cleaned.get("narrowest_mm") is None and "narrowest_mm" not in self.errors:
            self.leave_out("narrow_places")
        for pair in VALVES:
            if any(cleaned.get(name) is not None for name in pair):
                self._need(cleaned, pair, "A valve needs both: what it loses, and at which flow.")
        breather = (*BREATHER, *VALVES[1])
        if any(cleaned.get(name) is not None for name in breather):
            self._need(cleaned, BREATHER, "The breather needs its bore and its length.")
        return cleaned

    def _need(self, cleaned: dict[str, Any], names: tuple[str, ...], sentence: str) -> None:
        for name in names:
            if cleaned.get(name) is None and name not in self.errors:
                self.add_error(name, sentence)

"""What is typed on a sheet of pipes and pump."""

from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.rows import Column, RowsField
from engineering.tank.pipes import FLUIDS, Duty

DUTIES = {
    "feed": Duty.PRESSURE,
    "pressure": Duty.PRESSURE,
    "suction": Duty.SUCTION,
    "pickup": Duty.SUCTION,
    "return": Duty.RETURN,
}


class LinesForm(SheetForm):
    fluid = forms.ChoiceField(label="Fluid", choices=[(key, fluid.name) for key, fluid in FLUIDS.items()])
    power_kw = FigureField(words="Engine power", unit="kW")
    consumption_g_kwh = FigureField(
        words="Consumption at full power",
        unit="g/kWh",
        initial=304,
        help_text="304 to 335 for a petrol engine without, 335 to 365 with a turbocharger (0.50 to 0.60 "
        "lb/hp h).",
    )
    rail_kpa = FigureField(words="Rail pressure", unit="kPa", initial=300, help_text="100 kPa are 1 bar.")
    margin_percent = FigureField(
        words="Margin",
        unit="%",
        initial=20,
        help_text="For wear, heat and low voltage; 15 to 20 is common practice.",
    )
    lines = RowsField(
        label="Lines",
        columns=(
            Column("name", "Line", is_figure=False),
            Column("duty", "Suction, feed or return", is_figure=False),
            Column("bore_mm", "Bore", "mm"),
            Column("length_m", "Length", "m"),
            Column("loss_k", "Fittings, sum of K", default=0.0),
            Column("rise_m", "Rise", "m", default=0.0),
        ),
    )

    def clean_lines(self) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = self.cleaned_data["lines"]
        for number, row in enumerate(rows, start=1):
            if row["duty"].casefold() not in DUTIES:
                raise forms.ValidationError(
                    f"Line {number}: “{row['duty']}” is neither suction, feed nor return. Write one of the "
                    f"three."
                )
        return rows

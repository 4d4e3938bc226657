"""What is typed on a sheet of pipes and pump."""

from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.rows import Column, RowsField
from engineering.tank import TankInputError
from engineering.tank.pipes import FLUIDS, Duty, tube_bore_mm

DUTIES = {
    "feed": Duty.PRESSURE,
    "pressure": Duty.PRESSURE,
    "suction": Duty.SUCTION,
    "pickup": Duty.SUCTION,
    "return": Duty.RETURN,
}
OF_THE_ENGINE = ("power_kw", "consumption_g_kwh", "margin_percent")


class LinesForm(SheetForm):
    fluid = forms.ChoiceField(label="Fluid", choices=[(key, fluid.name) for key, fluid in FLUIDS.items()])
    power_kw = FigureField(words="Engine power", unit="kW", required=False)
    consumption_g_kwh = FigureField(
        words="Consumption at full power",
        unit="g/kWh",
        initial=304,
        required=False,
        help_text="304 to 335 for a petrol engine without, 335 to 365 with a turbocharger (0.50 to 0.60 "
        "lb/hp h).",
    )
    margin_percent = FigureField(
        words="Margin",
        unit="%",
        initial=20,
        required=False,
        help_text="For wear, heat and low voltage; 15 to 20 is common practice.",
    )
    flow_l_h = FigureField(
        words="Flow that is not an engine’s fuel",
        unit="L/h",
        required=False,
        help_text="Oil, coolant, washer: what is to flow. The engine’s three figures above then count for "
        "nothing.",
    )
    rail_kpa = FigureField(
        words="Pressure at the end of the feed",
        unit="kPa",
        initial=300,
        help_text="At the rail, over the tank. 100 kPa are 1 bar.",
    )
    delivers_l_h = FigureField(
        words="The pump delivers",
        unit="L/h",
        required=False,
        help_text="By its curve, at that pressure and at the voltage that reaches it. Suction and feed "
        "then carry "
        "that, and the return what is left of it.",
    )
    lines = RowsField(
        label="Lines",
        help_text="Bore in mm as its maker states it, or a dash size: then a tube with a wall of 0.035 "
        "in. K: tight "
        "90° hose end 1.5, swept one 0.4, sharp inlet 0.5, outlet 1, filter and valve by their makers. "
        "Rise of a "
        "suction line: from the lowest fuel to the pump.",
        columns=(
            Column("name", "Line", is_figure=False),
            Column("duty", "Suction, feed or return", is_figure=False),
            Column("bore_mm", "Bore", "mm", may_be_blank=True),
            Column("length_m", "Length", "m"),
            Column("loss_k", "Fittings, sum of K", default=0.0),
            Column("rise_m", "Rise", "m", default=0.0),
            Column("dash", "or dash size", is_figure=False, default=""),
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
            if (row["bore_mm"] is None) == (not row["dash"]):
                raise forms.ValidationError(
                    f"Line {number}: give a bore in mm or a dash size, one of the two."
                )
            if row["dash"]:
                _check_dash(number, row["dash"])
        return rows

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("flow_l_h") is not None:
            for name in OF_THE_ENGINE:
                self.leave_out(name)
        elif "flow_l_h" not in self.errors:
            for name in OF_THE_ENGINE:
                if cleaned.get(name) is None and name not in self.errors:
                    field = self.base_fields[name]
                    self.add_error(name, f"{field.label}: give it, or a flow that is not an engine’s fuel.")
        return cleaned


def bore_mm(row: dict[str, Any]) -> float:
    """The bore of a line as typed, or that of its dash size; sheets from before knew no dash sizes."""
    return tube_bore_mm(dash_of(row["dash"])) if row.get("dash") else row["bore_mm"]


def dash_of(typed: str) -> int:
    """-6 and 6 alike. Raises ValueError if it is no number."""
    return int(typed.strip().lstrip("-−–"))


def _check_dash(number: int, typed: str) -> None:
    try:
        tube_bore_mm(dash_of(typed))
    except TankInputError as error:
        raise forms.ValidationError(f"Line {number}: {error.message}") from error
    except ValueError as error:
        raise forms.ValidationError(
            f"Line {number}: “{typed}” is not a dash size. Write it like -6."
        ) from error

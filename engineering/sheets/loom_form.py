"""What is typed on the sheet of a loom."""

from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.loom import INSULATIONS, SYSTEMS_V, WIRES, Return, Series
from engineering.rows import RowsField
from engineering.sheets.loom_tables import BOXES, COMPONENTS, DEVICES, LINKS, PLACES, RUNS, WIRES_TABLE

MOST_WIRES = 600


class LoomForm(SheetForm):
    system_v = forms.TypedChoiceField(
        label="System", coerce=int, choices=[(volts, f"{volts} V") for volts in SYSTEMS_V], initial=12
    )
    series = forms.ChoiceField(
        label="Wire sold in",
        choices=[
            (Series.METRIC.value, "mm² (road-vehicle cable)"),
            (Series.AWG.value, "AWG (gauge numbers)"),
        ],
        initial=Series.METRIC.value,
    )
    insulation = forms.ChoiceField(
        label="Insulation of all wires",
        choices=[(key, INSULATIONS[key].name) for key in ("c", "a", "b", "d")],
        initial="c",
        help_text="In an engine bay plain PVC asks for several times the copper.",
    )
    return_path = forms.ChoiceField(
        label="Return",
        choices=[
            (Return.BODY.value, "the body may carry current back"),
            (Return.WIRE.value, "by wires only, to battery minus"),
        ],
        initial=Return.BODY.value,
        widget=forms.RadioSelect,
    )
    body_v = FigureField(
        words="Allowance for the body", unit="V", initial=0.1,
        help_text="Lost in the body and its joints; counts only for what returns through it.",
    )  # fmt: skip
    least_mm2 = forms.TypedChoiceField(
        label="Thinnest wire that stands handling",
        coerce=float,
        choices=[(wire.area_mm2, wire.name) for wire in WIRES[Series.METRIC][:8]],
        initial=0.5,
    )
    tail_mm = FigureField(
        words="Allowance at each end", unit="mm", initial=100, help_text="From the joint to the contact."
    )
    loop_mm = FigureField(words="Service loop of each wire", unit="mm", initial=0)
    runs = RowsField(label="Measured runs", columns=RUNS)
    places = RowsField(label="Connectors, splices, grounds and supplies", columns=PLACES, most=MOST_WIRES)
    components = RowsField(label="What takes current", columns=COMPONENTS)
    devices = RowsField(label="Fuses and electronic outputs", columns=DEVICES)
    boxes = RowsField(label="Boxes with a limit of their own", columns=BOXES, required=False)
    links = RowsField(label="Switches and relays", columns=LINKS, required=False)
    wires = RowsField(label="Wires", columns=WIRES_TABLE, most=MOST_WIRES)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("return_path") == Return.WIRE:
            self.leave_out("body_v")
        return cleaned

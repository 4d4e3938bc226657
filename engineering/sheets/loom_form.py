"""What is typed on the sheet of a loom."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.loom import INSULATIONS, SYSTEMS_V, WIRES, LoomError, Return, Series
from engineering.loom.generic import GENERIC
from engineering.rows import RowsField
from engineering.sheets.loom_tables import (
    BOXES,
    COLOURS,
    COMPONENTS,
    DEVICES,
    LINKS,
    PLACES,
    RUNS,
    TERMINAL_NUMBERS,
    WIRES_TABLE,
)

MOST_WIRES = 600
MOST_FILES = 12
MOST_BYTES = 2 * 1024 * 1024
MOST_REFUSALS = 40


class SeveralFiles(forms.FileInput):
    allow_multiple_selected = True


class LoomForm(SheetForm):
    """Tables may also come from files and from the generic circuits: then they stand there to be read."""

    table_files = forms.Field(
        label="Tables from files, XLSX or CSV",
        required=False,
        widget=SeveralFiles(attrs={"accept": ".xlsx,.csv,.txt"}),
        help_text="A workbook with a sheet for each table, or a CSV file for each. They take the place of "
        "what stands in those tables; nothing is kept before you have read them below.",
    )
    add = forms.MultipleChoiceField(
        label="Circuits of a plain car",
        required=False,
        choices=[(circuit.name, circuit.name) for circuit in GENERIC],
        widget=forms.CheckboxSelectMultiple,
    )
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

    colours, terminals = COLOURS, TERMINAL_NUMBERS

    def full_clean(self) -> None:
        refused: dict[str, list[str]] = {}
        if self.is_bound:
            self._take_files(refused)
            self._add_circuits(refused)
        super().full_clean()
        for name, sentences in refused.items():
            self.add_error(name, ValidationError(sentences))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("return_path") == Return.WIRE:
            self.leave_out("body_v")
        cleaned["table_files"] = cleaned["add"] = None  # what they gave is kept, not they
        return cleaned

    def _take_files(self, refused: dict[str, list[str]]) -> None:
        files = self.files.getlist(self.add_prefix("table_files")) if hasattr(self.files, "getlist") else []
        if not files:
            return
        from engineering.sheets.loom_files import TITLES, take_files  # its library loads slowly

        taken = take_files((file.name, file.read(MOST_BYTES + 1)) for file in files[:MOST_FILES])
        if taken.refused:
            refused["table_files"] = [
                *taken.refused[:MOST_REFUSALS],
                f"{len(taken.refused)} places to put right; nothing was taken from the files.",
            ]
            return
        self._overwrite(taken.tables)
        found = ", ".join(f"{TITLES[table]} {len(rows)}" for table, rows in taken.tables.items())
        self.taken_in = (*self.taken_in, f"Lines read: {found}.", *taken.notes)

    def _add_circuits(self, refused: dict[str, list[str]]) -> None:
        names = self.data.getlist(self.add_prefix("add")) if hasattr(self.data, "getlist") else []
        chosen = [circuit for circuit in GENERIC if circuit.name in names]
        if refused or not chosen or len(chosen) < len(names):
            return  # a name that nobody knows is refused by its field
        from engineering.sheets.loom_more import with_circuits

        tables = {
            name: field.widget.value_from_datadict(self.data, self.files, self.add_prefix(name))
            for name, field in self.fields.items()
            if isinstance(field, RowsField)
        }
        try:
            more = with_circuits(tables, chosen)
        except LoomError as error:
            refused["add"] = [error.message]
            return
        self._overwrite(more)
        self.data.setlist(self.add_prefix("add"), [])
        self.taken_in = (
            *self.taken_in,
            f"Added: {', '.join(names)}. Positions, currents and colours are those of a plain car: common "
            "practice, no source. Measure and look at each.",
        )

    def _overwrite(self, tables: dict[str, list[dict[str, str]]]) -> None:
        data = self.data.copy()
        for name, rows in tables.items():
            self.fields[name].widget.overwrite(data, self.add_prefix(name), rows)
        self.data = data

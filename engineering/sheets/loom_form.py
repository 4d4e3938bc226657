"""What is typed on the sheet of a loom."""

from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.forms import SheetForm
from engineering.loom import INSULATIONS, SYSTEMS_V, WIRES, Return, Series
from engineering.rows import Column, RowsField


def _words(key: str, words: str, unit: str = "", *, needed: bool = False) -> Column:
    """A cell kept as it was typed: the loom's own readers take '2,5 mm²', '15A' and '1.2 m'."""
    return Column(key, words, unit, is_figure=False, default=None if needed else "")


RUNS = (
    _words("name", "Run", needed=True),
    _words("start", "From joint", needed=True),
    _words("end", "To joint", needed=True),
    _words("length_mm", "Length", "mm", needed=True),
    _words("surroundings", "Surroundings"),
    _words("measured_c", "Temperature", "°C"),
)
PLACES = (
    _words("name", "Name", needed=True),
    _words("kind", "What it is"),
    _words("joint", "At joint", needed=True),
    _words("cavities", "Cavities"),
    _words("largest_mm2", "Largest conductor", "mm²"),
    _words("most_a", "Most current", "A"),
    _words("terminal", "Terminal"),
)
COMPONENTS = (
    _words("name", "Component", needed=True),
    _words("feed", "Feed", needed=True),
    _words("returns", "Return"),
    _words("steady_a", "Current", "A", needed=True),
    _words("nature", "Kind"),
    _words("inrush_a", "In-rush", "A"),
    _words("inrush_s", "In-rush time", "s"),
    _words("duty", "Share of time on"),
    _words("on_s", "Longest on", "s"),
    _words("drop", "Class"),
    _words("one_of", "Never together"),
)
DEVICES = (
    _words("name", "Device", needed=True),
    _words("fed", "Fed at", needed=True),
    _words("out", "Out at", needed=True),
    _words("rating_a", "Rating", "A"),
    _words("kind", "Kind"),
    _words("inrush_a", "In-rush", "A"),
    _words("inrush_s", "In-rush time", "s"),
    _words("ambient_c", "Temperature", "°C"),
)
LINKS = (
    _words("name", "Switch, relay or mated pair", needed=True),
    _words("one", "In at", needed=True),
    _words("other", "Out at", needed=True),
)
WIRES_TABLE = (
    _words("label", "Label", needed=True),
    _words("start", "From", needed=True),
    _words("end", "To", needed=True),
    _words("circuit", "Circuit"),
    _words("colour", "Colour"),
    _words("least_mm2", "Least size", "mm²"),
    _words("given_mm2", "Given size", "mm²"),
    _words("via", "By way of joints"),
    _words("avoid", "Clear of runs"),
    _words("signal", "Signal"),
)


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
    places = RowsField(label="Connectors, splices, grounds and supplies", columns=PLACES)
    components = RowsField(label="What takes current", columns=COMPONENTS)
    devices = RowsField(label="Fuses and electronic outputs", columns=DEVICES)
    links = RowsField(label="Switches and relays", columns=LINKS, required=False)
    wires = RowsField(label="Wires", columns=WIRES_TABLE)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("return_path") == Return.WIRE:
            self.leave_out("body_v")
        return cleaned

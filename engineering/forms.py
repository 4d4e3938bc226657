"""What is typed on a calc sheet: text to typed values, each in the unit that its name carries."""

from typing import Any

from django import forms

from engineering.fields import CountField, FigureField, KeptSheetField
from engineering.loom import INSULATIONS, LOADS, SYSTEMS_V, WIRES, Return, Series
from engineering.rows import RowsField
from engineering.tank import FOAMS, LIQUIDS, METALS, Measured


class SheetForm(forms.Form):
    """What every kind of sheet asks. The fields after `title` are its inputs, stored by their names."""

    use_required_attribute = False  # a field that the chosen shape hides must not stop the browser

    title = forms.CharField(
        label="Title of the sheet",
        max_length=120,
        help_text="What it is for, as on a drawing: “Main fuel tank”, “Headlamp feed”.",
        error_messages={"required": "Title of the sheet: give it one, so that it can be found again."},
    )

    taken_in: tuple[str, ...] = ()  # what came in from elsewhere and has to be read before it is kept

    def inputs(self) -> dict[str, Any]:
        """The typed figures, without what this shape or rule does not use."""
        return {
            name: value for name, value in self.cleaned_data.items() if name != "title" and value is not None
        }

    def offer(self, job: Any) -> None:
        """List what may be chosen from the job's car; most kinds have nothing to list."""

    def leave_out(self, name: str) -> None:
        """Neither use what stands in a field nor complain about it."""
        self.cleaned_data[name] = None
        self.errors.pop(name, None)

    def fix_title(self, title: str) -> None:
        """A revision keeps its title: the field is shown no more."""
        self.fields["title"].disabled = True
        self.fields["title"].widget = forms.HiddenInput()
        self.initial["title"] = title

    @classmethod
    def shown(cls, inputs: dict[str, Any]) -> list[tuple[str, str]]:
        """Stored inputs as (words, figure with unit), in the order of the form."""
        return [
            (_words(field), _figure(field, inputs[name]))
            for name, field in cls.base_fields.items()
            if name in inputs
        ]


SHAPE_DIMENSIONS = {
    "box": ("length_mm", "width_mm", "height_mm"),
    "upright": ("diameter_mm", "height_mm"),
    "lying": ("diameter_mm", "length_mm"),
}


class TankForm(SheetForm):
    shape = forms.ChoiceField(
        label="Shape",
        choices=[
            ("box", "Rectangular"),
            ("upright", "Cylinder, standing upright"),
            ("lying", "Cylinder, lying on its side"),
        ],
        initial="box",
        widget=forms.RadioSelect,
    )
    measured = forms.ChoiceField(
        label="Dimensions taken",
        choices=[(Measured.OUTSIDE.value, "outside the sheet"), (Measured.INSIDE.value, "inside the sheet")],
        initial=Measured.OUTSIDE.value,
        widget=forms.RadioSelect,
    )
    length_mm = FigureField(words="Length", unit="mm")
    width_mm = FigureField(words="Width", unit="mm")
    height_mm = FigureField(words="Height", unit="mm")
    diameter_mm = FigureField(words="Diameter", unit="mm")
    thickness_mm = FigureField(words="Sheet thickness", unit="mm", initial=2)
    metal = forms.ChoiceField(
        label="Sheet metal", choices=[(key, metal.name) for key, metal in METALS.items()]
    )
    liquid = forms.ChoiceField(
        label="Liquid", choices=[(key, liquid.name) for key, liquid in LIQUIDS.items()]
    )
    foam = forms.ChoiceField(
        label="Safety foam",
        choices=[("none", "none"), *((key, foam.name) for key, foam in FOAMS.items())],
        help_text="Foam types of MIL-DTL-83054; the sum takes the whole tank as filled with it.",
    )
    expansion_percent = FigureField(
        words="Expansion space",
        unit="%",
        initial=5,
        help_text="5 is common practice; aircraft rules ask for 2.",
    )
    fill_c = FigureField(words="Temperature when filled", unit="°C", initial=15)
    hottest_c = FigureField(words="Hottest liquid", unit="°C", initial=50)
    pickup_mm = FigureField(
        words="Pickup height", unit="mm", initial=10, help_text="Mouth of the pickup above the floor inside."
    )
    dip_step_mm = FigureField(words="Dip chart step", unit="mm", initial=20)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        needed = SHAPE_DIMENSIONS.get(cleaned.get("shape", ""), ())
        for name in ("length_mm", "width_mm", "height_mm", "diameter_mm"):
            if name not in needed:
                self.leave_out(name)  # left over from another shape, or never asked for
        return cleaned


class CircuitForm(SheetForm):
    system_v = forms.TypedChoiceField(
        label="System", coerce=int, choices=[(volts, f"{volts} V") for volts in SYSTEMS_V], initial=12
    )
    load = forms.ChoiceField(label="Load", choices=[(key, load.name) for key, load in LOADS.items()])
    current_a = FigureField(
        words="Current", unit="A", help_text="Steady, as measured or as the maker states it."
    )
    length_m = FigureField(
        words="Length one way",
        unit="m",
        help_text="From the fuse to the load along the run, not as the crow flies.",
    )
    return_path = forms.ChoiceField(
        label="Return",
        choices=[
            (Return.BODY.value, "through the body"),
            (Return.WIRE.value, "by a wire of the same size and length"),
        ],
        initial=Return.BODY.value,
        widget=forms.RadioSelect,
    )
    body_allowance_v = FigureField(
        words="Allowance for the body", unit="V", initial=0.1,
        help_text="Lost in the body and its joints; counts only for a return through the body.",
    )  # fmt: skip
    drop_limit_percent = FigureField(
        words="Allowed drop", unit="%", initial=3, required=False,
        help_text="Of the nominal voltage, on the whole circuit: 3 for lamps and electronics, 10 "
        "elsewhere. Or:",
    )  # fmt: skip
    drop_limit_v = FigureField(
        words="Allowed drop", unit="V", required=False, help_text="Instead of per cent."
    )
    ambient_c = FigureField(
        words="Hottest surroundings", unit="°C", initial=60,
        help_text="Along the whole run: cabin 50, sunlit dash 85, engine bay 85 to 105 (common practice).",
    )  # fmt: skip
    insulation = forms.ChoiceField(
        label="Insulation", choices=[(key, kind.name) for key, kind in INSULATIONS.items()], initial="b"
    )
    other_wires = CountField(
        words="Other loaded wires in the bunch", unit="wires", initial=0,
        help_text="Loaded at the same time, alike and as much; not counting this circuit's own return.",
    )  # fmt: skip
    least_area_mm2 = forms.TypedChoiceField(
        label="Thinnest wire that stands handling here",
        coerce=float,
        choices=[(wire.area_mm2, wire.name) for wire in WIRES[Series.METRIC][:8]],
        initial=0.5,
    )
    series = forms.ChoiceField(
        label="Wire sold in",
        choices=[
            (Series.METRIC.value, "mm² (road-vehicle cable)"),
            (Series.AWG.value, "AWG (gauge numbers)"),
        ],
        initial=Series.METRIC.value,
    )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("return_path") == Return.WIRE:
            self.leave_out("body_allowance_v")
        return cleaned


def _words(field: forms.Field) -> str:
    return field.words if isinstance(field, FigureField) else str(field.label)


def _figure(field: forms.Field, value: Any) -> str:
    if isinstance(field, RowsField):
        if not value:
            return "none"
        return f"{len(value)} line{'s' * (len(value) != 1)}, listed with the result"
    if isinstance(field, KeptSheetField):
        return field.words(value)
    if isinstance(field, FigureField):
        return f"{value:g} {field.unit}"
    if isinstance(field, forms.ChoiceField):
        return str(next((label for key, label in field.choices if key == value), value))
    return str(value)

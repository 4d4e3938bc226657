"""What is typed on every sheet of a tank of any shape, however its main body is described."""

import json
from typing import Any

from django import forms

from engineering.fields import CountField, FigureField
from engineering.forms import SheetForm
from engineering.rows import Column, RowsField
from engineering.sheets.fitted_parts import FITTED_COLUMNS, NECK_COLUMNS
from engineering.sheets.inner_parts import BOX
from engineering.tank import FOAMS, LIQUIDS, METALS, Measured
from engineering.tank.sender import SENDER_RANGES

POT = ("pot_x_mm", "pot_y_mm", "pot_length_mm", "pot_width_mm", "pot_depth_mm")
NO_SENDER = "none"
OWN_FOAM = ("foam_displaced_percent", "foam_retained_percent")


def found_in(text: str) -> list[str]:
    """Sentences about a file, as a form carries them; none where they are not in that shape."""
    try:
        found = json.loads(text or "[]")
    except ValueError:
        return []
    return [str(one) for one in found] if isinstance(found, list) else []


class ShapedForm(SheetForm):
    measured = forms.ChoiceField(
        label="Dimensions taken",
        choices=[(Measured.OUTSIDE.value, "outside the sheet"), (Measured.INSIDE.value, "inside the sheet")],
        initial=Measured.OUTSIDE.value,
        widget=forms.RadioSelect,
    )
    thickness_mm = FigureField(words="Sheet thickness", unit="mm", initial=2)
    metal = forms.ChoiceField(
        label="Sheet metal", choices=[(key, metal.name) for key, metal in METALS.items()]
    )
    condition = forms.CharField(
        label="Condition of the sheet", max_length=40, required=False, empty_value=None,
        help_text="As the fabricator is to order it: O, H111, H22, 2B.",
    )  # fmt: skip
    wanted_l = FigureField(
        words="Wanted: most to fill in", unit="L", required=False,
        help_text="Stretches the dimension below until the tank takes so much.",
    )  # fmt: skip
    stretch = forms.ChoiceField(
        label="Stretch",
        choices=[("width_mm", "the width"), ("length_mm", "the length"), ("height_mm", "the height")],
        initial="width_mm",
        widget=forms.RadioSelect,
    )
    pot_x_mm = FigureField(words="Pot, rear edge", unit="mm", required=False)
    pot_y_mm = FigureField(words="Pot, from the right side", unit="mm", required=False)
    pot_length_mm = FigureField(words="Pot, length", unit="mm", required=False)
    pot_width_mm = FigureField(words="Pot, width", unit="mm", required=False)
    pot_depth_mm = FigureField(
        words="Pot, depth below the lowest point", unit="mm", required=False,
        help_text="A pot under the floor, open over its whole mouth. Leave all five empty for none.",
    )  # fmt: skip
    liquid = forms.ChoiceField(
        label="Liquid", choices=[(key, liquid.name) for key, liquid in LIQUIDS.items()]
    )
    specific_gravity = FigureField(
        words="Specific gravity", unit="", label="Specific gravity", required=False,
        help_text="Against water, by its data sheet; empty: the usual.",
    )  # fmt: skip
    expansion_per_c = FigureField(
        words="Expansion", unit="per °C", required=False, help_text="As 0.0011; empty: the usual."
    )
    foam = forms.ChoiceField(
        label="Safety foam",
        choices=[("none", "none"), *((key, foam.name) for key, foam in FOAMS.items())],
        help_text="Foam types of MIL-DTL-83054.",
    )
    foam_percent = FigureField(words="Filled with foam", unit="%", initial=100, required=False)
    foam_displaced_percent = FigureField(
        words="Displaced by foam", unit="%", required=False,
        help_text="By its data sheet; empty: the limit of its type.",
    )  # fmt: skip
    foam_retained_percent = FigureField(words="Held back by foam", unit="%", required=False)
    pickup_x_mm = FigureField(words="Pickup, forwards", unit="mm")
    pickup_y_mm = FigureField(words="Pickup, from the right side", unit="mm")
    pickup_z_mm = FigureField(
        words="Pickup, up", unit="mm", help_text="Mouth of the pickup, measured like the profile."
    )
    expansion_percent = FigureField(
        words="Expansion space", unit="%", initial=5,
        help_text="5 is common practice; aircraft rules ask for 2.",
    )  # fmt: skip
    fill_c = FigureField(words="Temperature when filled", unit="°C", initial=15)
    hottest_c = FigureField(words="Hottest liquid", unit="°C", initial=50)
    stick_x_mm = FigureField(
        words="Dip stick or sender, forwards", unit="mm", required=False,
        help_text="Where depth is read; over the pickup where these two stay empty.",
    )  # fmt: skip
    stick_y_mm = FigureField(words="Dip stick or sender, from the right side", unit="mm", required=False)
    dip_step_mm = FigureField(words="Dip chart step", unit="mm", initial=20)
    nose_up_percent = FigureField(words="Slope, nose up", unit="%", initial=0, required=False)
    left_up_percent = FigureField(
        words="Slope, left side up", unit="%", initial=0, required=False,
        help_text="For the second column of the dip chart, and for what the pickup cannot reach. Down: a "
        "minus sign.",
    )  # fmt: skip
    sender = forms.ChoiceField(
        label="Sender, empty to full",
        choices=[
            (NO_SENDER, "none"),
            *(
                (key, f"{one.at_empty:g} to {one.at_full:g} {one.signal}")
                for key, one in SENDER_RANGES.items()
            ),
        ],
    )
    sender_lowest_mm = FigureField(
        words="Sender's lowest depth", unit="mm", required=False, help_text="Above the floor or pot there."
    )
    sender_highest_mm = FigureField(words="Sender's highest depth", unit="mm", required=False)
    sender_points = CountField(
        words="Calibration points of the dash", unit="points", initial=5, required=False
    )
    surge_g = FigureField(
        words="Cornering and braking", unit="g", initial=1,
        help_text="Road tyres hold about 1, slicks more (common practice, no source).",
    )  # fmt: skip
    pump_l_h = FigureField(words="Pump", unit="L/h", required=False)
    return_l_h = FigureField(words="Return into the pot", unit="L/h", initial=0, required=False)
    bend_s = FigureField(words="Longest bend", unit="s", required=False)
    fitted = RowsField(label="Joined and cut", required=False, columns=FITTED_COLUMNS)
    necks = RowsField(label="Filler necks", required=False, columns=NECK_COLUMNS)
    baffles = RowsField(
        label="Baffles",
        required=False,
        columns=(
            Column("way", "Across or along the car", is_figure=False),
            Column("at_mm", "Forwards, or from the right side", "mm"),
            Column("clear_mm", "Gap at its edges", "mm", default=0.0),
            Column("open_percent", "Openings", "%", default=0.0),
        ),
    )
    box_x_mm = FigureField(words="Collector box, rear edge inside", unit="mm", required=False)
    box_y_mm = FigureField(words="Collector box, from the right side", unit="mm", required=False)
    box_length_mm = FigureField(words="Collector box, length inside", unit="mm", required=False)
    box_width_mm = FigureField(words="Collector box, width inside", unit="mm", required=False)
    box_height_mm = FigureField(
        words="Collector box, height", unit="mm", required=False,
        help_text="Stands on the floor round the pickup, open at the top. Leave all five empty for none.",
    )  # fmt: skip
    box_holes = CountField(words="Holes at the foot of the box", unit="holes", initial=0, required=False)
    box_hole_mm = FigureField(words="Diameter of the holes", unit="mm", required=False)
    bend_l = FigureField(
        words="In the tank when the bend begins", unit="L", required=False,
        help_text="With pump and bend: whether the box keeps the pump going.",
    )  # fmt: skip

    vents = RowsField(
        label="Vents for filling",
        required=False,
        columns=(
            Column("x_mm", "Forwards", "mm"),
            Column("y_mm", "From the right side", "mm"),
            Column("z_mm", "Up", "mm"),
        ),
    )
    vent_slope_percent = FigureField(words="Slope when filled", unit="%", initial=5, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self._all_or_none(cleaned, POT, "Give all five figures of the pot, or none.")
        self._all_or_none(cleaned, BOX, "Give all five figures of the box, or none.")
        if cleaned.get("box_height_mm") is None:
            for name in ("box_holes", "box_hole_mm", "bend_l"):
                self.leave_out(name)
        self._all_or_none(cleaned, ("stick_x_mm", "stick_y_mm"), "Give both places of the stick, or none.")
        if cleaned.get("sender") != NO_SENDER:
            for name in ("sender_lowest_mm", "sender_highest_mm", "sender_points"):
                if cleaned.get(name) is None and name not in self.errors:
                    self.add_error(name, "A sender needs this figure.")
        if not cleaned.get("vents") and "vents" not in self.errors:
            self.leave_out("vents")
            self.leave_out("vent_slope_percent")
        if cleaned.get("wanted_l") is None:
            self.leave_out("stretch")
        if cleaned.get("foam") not in FOAMS:
            for name in ("foam_percent", *OWN_FOAM):
                self.leave_out(name)
        return cleaned

    @classmethod
    def shown(cls, inputs: dict[str, Any]) -> list[tuple[str, str]]:
        """Without the share of a foam that is not there: sheets kept at first store it."""
        unused = ("foam_percent",) if inputs.get("foam") not in FOAMS else ()
        return super().shown({name: value for name, value in inputs.items() if name not in unused})

    def _all_or_none(self, cleaned: dict[str, Any], names: tuple[str, ...], words: str) -> None:
        given = [name for name in names if cleaned.get(name) is not None]
        if given and len(given) < len(names):
            for name in names:
                if name not in given and name not in self.errors:
                    self.add_error(name, words)

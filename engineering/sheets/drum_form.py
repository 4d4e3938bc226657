"""What is typed on the sheet of a round or elliptical tank."""

from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.sheets.shaped_form import ShapedForm
from engineering.tank import Lie

LIES = {
    Lie.LENGTHWISE: "lying along the car",
    Lie.CROSSWISE: "lying across the car",
    Lie.UPRIGHT: "standing upright",
}
ENDS = {
    "flat": "flat",
    "dished": "dished, one radius",
    "asme_f_and_d": "flanged and dished (1 D, knuckle 0.06 D)",
    "din_28011": "dished to DIN 28011 (1 D, knuckle 0.1 D)",
    "din_28013": "deep dished to DIN 28013 (0.8 D, knuckle 0.154 D)",
    "ellipsoidal": "half an ellipsoid",
    "hemisphere": "half a ball",
    "coned": "coned",
}
DEEP = ("dished", "ellipsoidal", "coned")
"""Ends that need their depth: the others' follows from the diameter."""

STRETCHES = {
    "straight_mm": "the straight part",
    "diameter_mm": "the diameter, or first axis",
    "other_mm": "the second axis of an ellipse",
}


class DrumForm(ShapedForm):
    field_order = (
        "title", "lie", "diameter_mm", "other_mm", "straight_mm", "first_end", "first_end_mm", "second_end",
        "second_end_mm",
    )  # fmt: skip

    lie = forms.ChoiceField(
        label="The tank is", choices=[(lie.value, words) for lie, words in LIES.items()],
        initial=Lie.CROSSWISE.value, widget=forms.RadioSelect,
    )  # fmt: skip
    diameter_mm = FigureField(
        words="Diameter", unit="mm",
        help_text="Of an ellipse: how wide it is where it lies, how long where it stands.",
    )  # fmt: skip
    other_mm = FigureField(
        words="Second axis of an ellipse", unit="mm", required=False,
        help_text="Its height where it lies, its width where it stands. Empty: the tank is round.",
    )  # fmt: skip
    straight_mm = FigureField(
        words="Straight part", unit="mm", help_text="Between the seams, without the ends. 0 for a ball."
    )
    first_end = forms.ChoiceField(label="Rear, right or bottom end", choices=list(ENDS.items()))
    first_end_mm = FigureField(words="It stands out by", unit="mm", required=False)
    second_end = forms.ChoiceField(label="Front, left or top end", choices=list(ENDS.items()))
    second_end_mm = FigureField(words="This one stands out by", unit="mm", required=False)
    stretch = forms.ChoiceField(
        label="Stretch", choices=list(STRETCHES.items()), initial="straight_mm", widget=forms.RadioSelect
    )
    pickup_z_mm = FigureField(
        words="Pickup, up", unit="mm", help_text="Mouth of the pickup, from the lowest point as measured."
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in ("first_end", "second_end"):
            depth = f"{name}_mm"
            if cleaned.get(name) not in DEEP:
                self.leave_out(depth)
            elif cleaned.get(depth) is None and depth not in self.errors:
                self.add_error(depth, "Say how far this end stands out from the straight part.")
        if (
            cleaned.get("wanted_l") is not None
            and cleaned.get("stretch") == "other_mm"
            and cleaned.get("other_mm") is None
            and "other_mm" not in self.errors
        ):
            self.add_error("stretch", "A round tank has no second axis: stretch its diameter.")
        return cleaned

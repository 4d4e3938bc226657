"""What is typed to work out mass and surface, and what a coat adds."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms

from parts.models import Operation, Part
from parts.trade.growth import COATS, Growth, GrowthError, coating_growth, film_um, thickest_plating_um
from parts.trade.shapes import (
    DENSITIES_KG_M3,
    Measured,
    ShapeError,
    Step,
    box_section,
    round_tube,
    sheet_blank,
    turned_part,
)

MOST_STEPS = 40
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


def size(label: str, help_text: str = "") -> forms.FloatField:
    return forms.FloatField(label=label, required=False, help_text=help_text)


class MeasureForm(forms.Form):
    """A simple shape with its sizes; which of them count depends on the shape."""

    shape = forms.ChoiceField(
        label="Shape",
        choices=[
            ("sheet", "sheet blank"),
            ("tube", "round tube or bar"),
            ("box", "box section or block"),
            ("turned", "turned part"),
        ],
        widget=forms.RadioSelect,
    )
    length_mm = size("Length (mm)")
    width_mm = size("Width (mm)")
    height_mm = size("Height (mm)")
    thickness_mm = size("Thickness (mm)")
    diameter_mm = size("Outside diameter (mm)")
    wall_mm = size("Wall (mm)", "Empty: solid.")
    corner_mm = size("Outside corner radius (mm)", "Empty: sharp. Cold-formed tube: about twice the wall.")
    steps = forms.CharField(
        label="Steps, one on a line",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Length and diameter in mm, for a cone both diameters: 40 30, then 12 60 40.",
    )
    bore_mm = size("Bore through all (mm)", "Empty: none.")
    density_kg_m3 = forms.FloatField(label="Density (kg/m³)")

    NEEDED = {
        "sheet": ("length_mm", "width_mm", "thickness_mm"),
        "tube": ("length_mm", "diameter_mm"),
        "box": ("length_mm", "width_mm", "height_mm"),
        "turned": ("steps",),
    }

    @classmethod
    def first_values(cls, part: Part) -> dict[str, Any]:
        """What the part says already."""
        material = part.material.key if part.material else ""
        return {
            "shape": "sheet",
            "length_mm": part.length_mm,
            "width_mm": part.width_mm,
            "height_mm": part.height_mm,
            "density_kg_m3": DENSITIES_KG_M3.get(material),
        }

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        for name in self.NEEDED.get(given.get("shape", ""), ()):
            if given.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, "This shape needs it.")
        if not self.errors:
            self._measure(given)
        return given

    def _measure(self, given: dict[str, Any]) -> None:
        try:
            self.measured = self._shape(given)
            mass, area = self.measured.mass_kg(given["density_kg_m3"]), self.measured.area_m2
        except ShapeError as error:
            self.add_error(error.field if error.field in self.fields else None, str(error))
            return
        self.mass_kg = Decimal(repr(mass)).quantize(Decimal("0.001"), ROUND_HALF_UP)
        self.area_m2 = Decimal(repr(area)).quantize(Decimal("0.0001"), ROUND_HALF_UP)

    def _shape(self, given: dict[str, Any]) -> Measured:
        shape = given["shape"]
        if shape == "sheet":
            return sheet_blank(given["length_mm"], given["width_mm"], given["thickness_mm"])
        if shape == "tube":
            return round_tube(given["length_mm"], given["diameter_mm"], given["wall_mm"])
        if shape == "box":
            sizes = (given["length_mm"], given["width_mm"], given["height_mm"])
            return box_section(*sizes, given["wall_mm"], given["corner_mm"] or 0.0)
        return turned_part(_steps(given["steps"]), given["bore_mm"] or 0.0)


def _steps(text: str) -> list[Step]:
    steps = []
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_STEPS:
        raise ShapeError("steps", f"{len(lines)} steps; up to {MOST_STEPS} are worked out.")
    for number, line in enumerate(lines, start=1):
        words = line.split()
        if len(words) not in (2, 3) or not all(_NUMBER.fullmatch(word) for word in words):
            raise ShapeError(
                "steps",
                f"Step {number}, “{line.strip()[:40]}”: write length and diameter in mm, and for a cone the "
                "second diameter, with spaces between.",
            )
        values = [float(word.replace(",", ".")) for word in words]
        steps.append(Step(values[0], values[1], values[-1]))
    return steps


class GrowthForm(forms.Form):
    """A film on a size and on a thread."""

    film_um = forms.FloatField(label="Film, mean thickness (µm)")
    share = forms.FloatField(
        label="Share of it outside the old surface",
        required=False,
        help_text="From 0 to 1. Empty: the usual one for this finish. Ask the finisher for his.",
    )
    angle_deg = forms.TypedChoiceField(
        label="Thread",
        coerce=float,
        choices=[
            ("60", "metric or unified, 60°"),
            ("55", "Whitworth, British Standard Fine, pipe, 55°"),
            ("47.5", "British Association, 47½°"),
        ],
    )
    pitch_mm = forms.FloatField(
        label="Pitch of a metric 6g thread (mm)",
        required=False,
        help_text="To see whether its allowance takes the film.",
    )

    def __init__(self, *args: Any, process: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.process = process

    @classmethod
    def first_values(cls, operation: Operation) -> dict[str, Any]:
        """What the line says already; of a span its upper end, which changes sizes most."""
        film = film_um(operation.finish_text)
        return {"film_um": f"{film[1]:g}" if film else None, "angle_deg": "60"}

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if self.errors:
            return given
        try:
            self.growth: Growth = coating_growth(
                self.process, given["film_um"], share=given["share"], angle_deg=given["angle_deg"]
            )
        except GrowthError as error:
            raise forms.ValidationError(str(error)) from error
        self.coat = COATS[self.process]
        if given["pitch_mm"] is not None:
            try:
                self.thickest_um = thickest_plating_um(given["pitch_mm"])
            except GrowthError as error:
                self.add_error("pitch_mm", str(error))
        return given

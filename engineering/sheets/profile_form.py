"""What is typed on the sheet of a tank made from a side profile."""

import json
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField
from engineering.rows import Column, RowsField
from engineering.sheets.profile_start import START, TYPED, StartForm, points_wanted
from engineering.sheets.shaped_form import ShapedForm, found_in


class ProfileForm(ShapedForm, StartForm):
    field_order = ("title", *START, "profile", "width_mm")

    profile = RowsField(
        label="Side profile",
        columns=(
            Column("x_mm", "Forwards", "mm"),
            Column("z_mm", "Up", "mm"),
            Column("bend_mm", "Bend radius", "mm", default=0.0),
        ),
        initial=[
            {"x_mm": 0.0, "z_mm": 0.0, "bend_mm": 12.0},
            {"x_mm": 420.0, "z_mm": 0.0, "bend_mm": 12.0},
            {"x_mm": 260.0, "z_mm": 240.0, "bend_mm": 12.0},
            {"x_mm": 0.0, "z_mm": 240.0, "bend_mm": 0.0},
        ],
    )
    width_mm = FigureField(words="Width across the car", unit="mm")
    found = forms.CharField(label="Found in the drawing", required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        self._start(cleaned)
        return cleaned

    def _start(self, cleaned: dict[str, Any]) -> None:
        """Points of a shape or a drawing take the place of those that stand in the table."""
        try:
            points = None if any(name in self.errors for name in START) else points_wanted(cleaned)
        except ValidationError as error:
            self.add_error(None, error)
            return
        finally:
            for name in START:
                cleaned[name] = None  # what they gave is kept, not they
        if points is not None:
            self.leave_out("profile")
            cleaned["profile"] = points.rows
            cleaned["found"] = json.dumps(points.found) if points.found else None
            self._write(points.rows, cleaned["found"] or "")
        elif not cleaned.get("found"):
            cleaned["found"] = None

    @classmethod
    def shown(cls, inputs: dict[str, Any]) -> list[tuple[str, str]]:
        """Without what was found in the drawing: that stands with the result."""
        return super().shown({name: value for name, value in inputs.items() if name != "found"})

    def clean_found(self) -> str:
        """What an earlier reading found comes back as it was sent, or not at all."""
        found: str = self.cleaned_data["found"]
        return found if found_in(found) else ""

    def _write(self, points: list[dict[str, float]], found: str) -> None:
        """The form that comes back carries the points, to be changed, and starts from them."""
        name = self.add_prefix("profile")
        data = self.data.copy()
        for key in [key for key in data if key.startswith(f"{name}-")]:
            del data[key]
        for number, point in enumerate(points):
            data.update({f"{name}-{number}-{key}": f"{value:g}" for key, value in point.items()})
        data[self.add_prefix("start")] = TYPED
        data[self.add_prefix("found")] = found
        self.data = data

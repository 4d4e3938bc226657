"""What is typed and chosen on the sheet of a tank from a file."""

import json
from pathlib import PurePath
from typing import Any

from django import forms

from engineering.fields import FigureField
from engineering.rows import Column, RowsField
from engineering.sheets.shaped_form import ShapedForm
from engineering.tank import TankInputError
from engineering.tank.kept_mesh import packed, to_be_kept, unpacked
from engineering.tank.units import UNIT_WORDS

MOST_BYTES = 120_000_000
KINDS = (".stl", ".obj", ".3mf")


class MeshForm(ShapedForm):
    """The inside of the tank comes from a file; what was read of it travels on as text."""

    measured = wanted_l = stretch = None  # type: ignore[assignment]
    pot_x_mm = pot_y_mm = pot_length_mm = pot_width_mm = pot_depth_mm = None  # type: ignore[assignment]
    return_l_h = pump_l_h = bend_s = None  # type: ignore[assignment]
    fitted = necks = None  # type: ignore[assignment]
    baffles = box_x_mm = box_y_mm = box_length_mm = box_width_mm = None  # type: ignore[assignment]
    box_height_mm = box_holes = box_hole_mm = bend_l = None  # type: ignore[assignment]

    file = forms.FileField(
        label="File: the inside of the tank, as STL, OBJ or 3MF",
        error_messages={
            "required": "File: choose the STL, OBJ or 3MF that holds the inside of the tank.",
            "empty": "File: it is empty. Export it again.",
        },
        widget=forms.FileInput(attrs={"accept": ",".join(KINDS)}),
        help_text="x forwards, y to the left, z up. Where the sheet is drawn too, its inner skin is taken.",
    )
    unit = forms.ChoiceField(
        label="Drawn in", choices=[("", "choose"), *UNIT_WORDS.items()], required=False,
        help_text="STL and OBJ files do not say.",
    )  # fmt: skip
    file_name = forms.CharField(label="Read from", required=False, widget=forms.HiddenInput)
    mesh = forms.CharField(label="Shape", required=False, strip=True, widget=forms.HiddenInput)
    found = forms.CharField(label="Found in the file", required=False, widget=forms.HiddenInput)
    pickup_x_mm = FigureField(words="Pickup, forwards", unit="mm")
    pickup_y_mm = FigureField(words="Pickup, to the left", unit="mm")
    pickup_z_mm = FigureField(words="Pickup, up", unit="mm", help_text="In the axes of the file.")
    stick_x_mm = FigureField(
        words="Dip stick or sender, forwards", unit="mm", required=False,
        help_text="Where depth is read; over the pickup where these two stay empty.",
    )  # fmt: skip
    stick_y_mm = FigureField(words="Dip stick or sender, to the left", unit="mm", required=False)

    vents = RowsField(
        label="Vents for filling",
        required=False,
        columns=(
            Column("x_mm", "Forwards", "mm"),
            Column("y_mm", "To the left", "mm"),
            Column("z_mm", "Up", "mm"),
        ),
    )

    field_order = ("title", "file", "unit", "thickness_mm", "metal")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = self.data.get(self.add_prefix("mesh")) if self.is_bound else self.initial.get("mesh")
        self.fields["file"].required = not kept  # chosen once, and again only for another

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("file"):
            self._read(cleaned)
        elif cleaned.get("mesh"):
            self._check_kept(cleaned["mesh"])
        for name in ("file", "unit"):
            cleaned[name] = None  # what was read is kept, not the file
        return cleaned

    @classmethod
    def shown(cls, inputs: dict[str, Any]) -> list[tuple[str, str]]:
        """Without the text of the shape."""
        return super().shown({name: value for name, value in inputs.items() if name not in ("mesh", "found")})

    def _read(self, cleaned: dict[str, Any]) -> None:
        from engineering.tank.mesh_file import read_mesh  # its library loads slowly, and few pages need it

        file = cleaned["file"]
        if file.size > MOST_BYTES:
            self.add_error("file", f"File: {file.size / 1e6:.0f} MB is too large. Export it coarser.")
            return
        try:
            report = read_mesh(file.read(), PurePath(file.name).suffix, cleaned.get("unit") or None)
            solid, moved_mm = to_be_kept(report.solid)
        except TankInputError as error:
            self.add_error(error.field if error.field in self.fields else "file", error.message)
            return
        found = [_sentence(one.words, one.mended, one.changed_l) for one in report.findings]
        if moved_mm:
            change = solid.full_l - report.solid.full_l
            found.append(
                _sentence(
                    f"Kept with {len(solid.triangles):,} triangles, within {moved_mm:g} mm.", "", change
                )
            )
        found.insert(0, f"Read {report.read_triangles:,} triangles.")
        kept = {"mesh": packed(solid), "found": json.dumps(found), "file_name": PurePath(file.name).name[:80]}
        cleaned.update(kept)
        # the form that comes back after "Work out" carries the shape, so that the file is chosen once
        self.data = self.data.copy()
        for name, value in kept.items():
            self.data[self.add_prefix(name)] = value

    def _check_kept(self, text: str) -> None:
        try:
            unpacked(text)
        except TankInputError as error:
            self.add_error("file", error.message)


def _sentence(words: str, mended: str, changed_l: float | None) -> str:
    parts = [words, mended]
    if mended and changed_l is None:
        parts.append("The volume before could not be told.")
    elif changed_l and abs(changed_l) >= 5e-4:
        parts.append(f"That changed the volume by {changed_l:+.3f} L.")
    elif mended:
        parts.append("The volume is unchanged.")
    return " ".join(part for part in parts if part)

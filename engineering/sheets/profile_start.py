"""Where the points of a side profile come from: a ready-made shape, or a drawing."""

from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField
from engineering.rows import MOST_LINES
from engineering.tank import SideProfile, TankError, TankInputError, l_profile, step_profile, wedge_profile
from engineering.tank.units import UNIT_WORDS

if TYPE_CHECKING:
    from engineering.tank.profile_file import ProfileReport

MOST_BYTES = 20_000_000
TYPED = "typed"
SHAPES = {TYPED: "the points below", "box": "a box", "wedge": "a wedge", "l": "an L", "step": "a step"}
SIZES = {
    "box": ("length_mm", "height_mm"),
    "wedge": ("length_mm", "roof_mm", "height_mm"),
    "l": ("length_mm", "height_mm", "foot_mm", "leg_mm"),
    "step": ("length_mm", "height_mm", "step_x_mm", "step_z_mm"),
}
DRAWN = ("drawing", "drawing_unit")
START = (
    "start", "start_length_mm", "start_height_mm", "start_roof_mm", "start_foot_mm", "start_leg_mm",
    "start_step_x_mm", "start_step_z_mm", *DRAWN,
)  # fmt: skip


class StartForm(forms.Form):
    """The fields by which points are filled in. None of them is an input of the sheet: the points are."""

    start = forms.ChoiceField(
        label="Start from", choices=list(SHAPES.items()), initial=TYPED, required=False,
        help_text="A shape writes its points into the table below, where bends and corners can be changed.",
    )  # fmt: skip
    start_length_mm = FigureField(words="Length of the floor, or over all", unit="mm", required=False)
    start_height_mm = FigureField(words="Height", unit="mm", required=False)
    start_roof_mm = FigureField(words="Wedge: length of the roof", unit="mm", required=False)
    start_foot_mm = FigureField(words="L: height of the foot", unit="mm", required=False)
    start_leg_mm = FigureField(words="L: length of the leg, at the rear", unit="mm", required=False)
    start_step_x_mm = FigureField(words="Step: from the rear", unit="mm", required=False)
    start_step_z_mm = FigureField(words="Step: height", unit="mm", required=False)
    drawing = forms.FileField(
        label="Or a DXF drawing of the side",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".dxf"}),
        help_text="One closed outline. It takes the place of the points below.",
    )
    drawing_unit = forms.ChoiceField(
        label="Drawn in", choices=[("", "choose"), *UNIT_WORDS.items()], required=False,
        help_text="Many drawings say nothing or the wrong unit.",
    )  # fmt: skip


@dataclass(frozen=True)
class Points:
    """The corners that a shape or a drawing gives, and what was found in the drawing, in sentences."""

    rows: list[dict[str, float]]
    found: tuple[str, ...] = ()


def points_wanted(cleaned: dict[str, Any]) -> Points | None:
    """What a shape or a drawing gives; None where points are typed. Raises ValidationError by field."""
    try:
        if cleaned.get("drawing"):
            report = _drawn(cleaned)
            return Points(_rows(report.profile), _sentences(cleaned["drawing"].name, report))
        shape = cleaned.get("start") or TYPED
        return None if shape == TYPED else Points(_rows(_shaped(shape, cleaned)))
    except TankInputError as error:
        raise ValidationError({_field(error.field): error.message}) from error
    except TankError as error:
        raise ValidationError({"start": str(error)}) from error


def _shaped(shape: str, cleaned: dict[str, Any]) -> SideProfile:
    sizes: dict[str, Any] = {name: cleaned.get(f"start_{name}") for name in SIZES[shape]}
    missing = {
        f"start_{name}": f"To start from {SHAPES[shape]}, give this size."
        for name, size in sizes.items()
        if size is None
    }
    if missing:
        raise ValidationError(missing)
    if shape == "wedge":
        return wedge_profile(sizes["length_mm"], sizes["roof_mm"], sizes["height_mm"])
    if shape == "box":
        return wedge_profile(sizes["length_mm"], sizes["length_mm"], sizes["height_mm"])
    return l_profile(**sizes) if shape == "l" else step_profile(**sizes)


def _sentences(name: str, report: "ProfileReport") -> tuple[str, ...]:
    """The drawing by its name and size, and all that was left out of it or mended."""
    long, high = report.sizes_mm
    corners = len(report.profile.corners)
    first = f"{corners} corners from “{PurePath(name).name[:60]}”, {long:.1f} long and {high:.1f} mm high."
    return (first, *report.findings)


def _drawn(cleaned: dict[str, Any]) -> "ProfileReport":
    from engineering.tank.profile_file import read_profile  # its library loads slowly, and few pages need it

    file, unit = cleaned["drawing"], cleaned.get("drawing_unit")
    if PurePath(file.name).suffix.lower() != ".dxf":
        raise ValidationError({"drawing": f"“{file.name[:60]}” is no DXF drawing. Export it as DXF."})
    if file.size > MOST_BYTES:
        raise ValidationError(
            {"drawing": f"The drawing has {file.size / 1e6:.0f} MB: keep its outline only."}
        )
    if not unit:
        raise ValidationError({"drawing_unit": "Say in which unit the drawing is."})
    report = read_profile(file.read(), unit)
    profile = report.profile
    if len(profile.corners) > MOST_LINES:
        raise ValidationError(
            {
                "drawing": f"Its outline has {len(profile.corners)} points, the table {MOST_LINES} lines. "
                "Draw bends as corners, and type their radius."
            }
        )
    return report


def _rows(profile: SideProfile) -> list[dict[str, float]]:
    return [
        {"x_mm": round(c.x_mm, 4), "z_mm": round(c.z_mm, 4), "bend_mm": c.bend_mm} for c in profile.corners
    ]


def _field(name: str) -> str:
    """Where on the form a refusal belongs."""
    known = {"file": "drawing", "unit": "drawing_unit", "floor_mm": "start_length_mm", "profile": "drawing"}
    return known.get(name, f"start_{name}")

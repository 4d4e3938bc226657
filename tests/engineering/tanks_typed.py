"""Side profiles of tanks as the browser sends them."""

from typing import Any

from engineering.sheets import KINDS
from engineering.sheets.profile_form import ProfileForm


def typed_box(
    *, measured: str, size_mm: tuple[int, int, int], pickup_mm: tuple[int, int, int]
) -> dict[str, str]:
    """A box of 2 mm mild steel for petrol: long, wide and high."""
    long, wide, high = size_mm
    rows = {
        f"profile-{number}-{key}": str(value)
        for number, point in enumerate([(0, 0), (long, 0), (long, high), (0, high)])
        for key, value in zip(("x_mm", "z_mm"), point, strict=True)
    }
    pickup = {f"pickup_{axis}_mm": str(at) for axis, at in zip("xyz", pickup_mm, strict=True)}
    return {
        "title": "Tank", **rows, "width_mm": str(wide), "measured": measured, "thickness_mm": "2",
        "metal": "mild_steel", "stretch": "width_mm", "liquid": "petrol", "foam": "none",
        **pickup, "expansion_percent": "5",
        "fill_c": "15", "hottest_c": "50", "dip_step_mm": "20", "sender": "none", "surge_g": "0.5",
    }  # fmt: skip


def worked_out(typed: dict[str, str]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Inputs and results of the sheet."""
    form = ProfileForm(typed)
    assert form.is_valid(), form.errors
    return form.inputs(), KINDS["profile"].work_out(form.inputs())

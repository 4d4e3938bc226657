"""Small lists to start from: what the columns look like when they are filled in."""

from __future__ import annotations

from builds.importing.columns import JOB_COLUMNS, PART_COLUMNS

from .sheets import ExportSheet, Value

_JOBS: tuple[dict[str, Value], ...] = (
    {
        "area": "cooling",
        "title": "Measure the radiator opening",
        "key": "rad-measure",
        "hours likely": 2,
        "skill": "fitter",
    },
    {
        "area": "cooling",
        "title": "Pressure test and fit the radiator",
        "key": "rad-fit",
        "place": "on the car",
        "hours low": 4,
        "hours likely": 6,
        "hours high": 10,
        "people": 1,
        "skill": "fitter",
        "cautions": "pressure test",
        "needs": "Radiator; Radiator mounts",
    },
    {
        "area": "cooling",
        "title": "Fill and bleed",
        "key": "cool-fill",
        "hours likely": "1,5 h",
        "second signature": "yes",
        "after": "rad-fit + 12 h",
        "milestone": "first start-up",
        "note": "Leave overnight after fitting, then look for leaks first.",
    },
)
_PARTS: tuple[dict[str, Value], ...] = (
    {
        "part": "Radiator",
        "quantity": 1,
        "mass": 6.8,
        "length": 640,
        "width": 440,
        "height": 60,
        "made by": "rad-measure",
        "process": "Fabricate",
        "lead time low": 8,
        "lead time likely": 15,
        "lead time high": 30,
    },
    {
        "part": "Radiator mounts",
        "material": "Mild steel",
        "quantity": 4,
        "surface": 0.018,
        "features": "lapped",
        "seen together with": "engine bay",
        "line": 1,
        "process": "Supply",
        "lead time likely": 7,
    },
    {
        "part": "Radiator mounts",
        "line": 2,
        "process": "Zinc plate",
        "lead time likely": 6,
        "colour": "clear",
        "coating class": "8 µm, passivated",
        "masking": "threads",
    },
)


def example_sheet(kind: str) -> ExportSheet:
    """'jobs' or 'parts': the two examples belong together."""
    columns, rows = (JOB_COLUMNS, _JOBS) if kind == "jobs" else (PART_COLUMNS, _PARTS)
    kept = [column for column in columns if column.name != "car"]
    return ExportSheet(
        "Job list" if kind == "jobs" else "Parts list",
        [column.heading for column in kept],
        [[row.get(column.name) for column in kept] for row in rows],
    )

"""Reference data of the trade: processes, materials, and which material takes which finish.

The files stand in `fixtures/`; a workshop extends them with its own rows, which are never overwritten.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import transaction

from .models import Material, MaterialVerdict, Process

# A row for a whole family holds for each member that has no closer row of its own.
FAMILIES = {
    "al_any": "al_",
    "steel_any": "steel_",
    "stainless_any": "stainless_",
}


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (Path(settings.BASE_DIR) / "fixtures" / name).open(newline="", encoding="utf-8") as file:
        yield from csv.DictReader(file)


@transaction.atomic
def reference_load() -> None:
    """Add what is missing; leave alone what the workshop has changed. Safe to run again."""
    Process.objects.bulk_create(
        [Process(order=order, **row) for order, row in enumerate(_rows("processes.csv"))],
        ignore_conflicts=True,
    )
    Material.objects.bulk_create(
        [Material(order=order, **row) for order, row in enumerate(_rows("materials.csv"))],
        ignore_conflicts=True,
    )
    MaterialVerdict.objects.bulk_create(_verdicts(), ignore_conflicts=True)


def _verdicts() -> list[MaterialVerdict]:
    processes = {process.key: process for process in Process.objects.all()}
    materials = {material.key: material for material in Material.objects.all()}
    rows = [row for row in _rows("finish_materials.csv") if row["finish"] in processes]
    closer = {(row["finish"], row["material"]) for row in rows}
    found = []
    for row in rows:
        for key in _members(row["material"], materials):
            if key == row["material"] or (row["finish"], key) not in closer:
                found.append(
                    MaterialVerdict(
                        process=processes[row["finish"]],
                        material=materials[key],
                        verdict=row["verdict"],
                        reason=row["reason"],
                        source=row["source"],
                    )
                )
    return found


def _members(key: str, materials: dict[str, Material]) -> list[str]:
    if key in FAMILIES:
        return [name for name in materials if name.startswith(FAMILIES[key])]
    return [key] if key in materials else []

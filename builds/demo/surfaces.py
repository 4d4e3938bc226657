"""Surfaces of the template's parts, in and out, for finishers who price by the square metre. Invented."""

from __future__ import annotations

from decimal import Decimal

from parts.models import Part

# m² of one; the others of the template are priced by mass or by the piece, or nobody has measured them yet
SURFACES = {
    "Anodise colour sample": "0.011",
    "Coolant header tank": "0.26",
    "Dash panel": "0.68",
    "Engine mounts": "0.11",
    "Front subframe": "1.9",
    "Fuel rail": "0.07",
    "Fuel tank": "1.45",
    "Inlet manifold and adaptors": "0.48",
    "Oil catch tank": "0.13",
    "Oil tank": "0.37",
    "Pedal box": "0.52",
    "Pump and alternator brackets": "0.08",
    "Suspension arms": "0.19",
    "Switch panel and plates": "0.06",
    "Uprights": "0.17",
}


def surfaces_known() -> None:
    """Write them on the parts of all cars."""
    parts = list(Part.objects.filter(name__in=SURFACES, area_m2__isnull=True))
    for part in parts:
        part.area_m2 = Decimal(SURFACES[part.name])
    Part.objects.bulk_update(parts, ["area_m2"])

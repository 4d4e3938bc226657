"""What a calc sheet knows of a part, written into the part."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Person
from builds.services.route_cards import part_write
from engineering.models import CalcSheet
from engineering.sheets import KINDS
from engineering.sheets.kind import PartFacts
from parts.models import Part

GRAM, SQUARE_CM = Decimal("0.001"), Decimal("0.0001")


@transaction.atomic
def facts_take_over(*, sheet: CalcSheet, by: Person) -> Part:
    """Write mass, sizes and surface of a sheet into its part. Sizes are rounded up: it must fit the finisher.

    Raises ValidationError if the sheet is of no part, its kind knows nothing of one, or a newer revision is
    there.
    """
    kind = KINDS[sheet.kind]
    if sheet.part_id is None:
        raise ValidationError("Say first which part is made from this sheet.")
    if kind.facts is None:
        raise ValidationError(f"A sheet of the kind “{kind.name}” gives no mass or size of a part.")
    if CalcSheet.objects.of(sheet.job, sheet.kind, sheet.title).filter(revision__gt=sheet.revision).exists():
        raise ValidationError("There is a newer revision of this sheet: take its figures over.")
    part = Part.objects.select_for_update().get(pk=sheet.part_id)
    _write(part, kind.facts(sheet.inputs, sheet.results))
    return part_write(part=part, version=part.version, by=by).part


def _write(part: Part, facts: PartFacts) -> None:
    if facts.mass_kg is not None:
        part.mass_kg = Decimal(str(facts.mass_kg)).quantize(GRAM, ROUND_HALF_UP)
    if facts.area_m2 is not None:
        part.area_m2 = Decimal(str(facts.area_m2)).quantize(SQUARE_CM, ROUND_HALF_UP)
    for name in ("length_mm", "width_mm", "height_mm"):
        size = getattr(facts, name)
        if size is not None:
            setattr(part, name, ceil(round(size, 6)))

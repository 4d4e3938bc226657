"""Writing parts and route cards where jobs come into it: nothing may come to wait for itself."""

from django.db import transaction

from builds.services.rings import route_card_ring_refuse
from parts.models import Operation, Part
from parts.services.parts import LineWording, operation_save, part_save


@transaction.atomic
def part_write(*, part: Part, version: int | None = None) -> Part:
    """As `part_save`, and raises ValidationError if the part would wait for a job that waits for it."""
    saved = part_save(part=part, version=version)
    route_card_ring_refuse(saved)
    return saved


@transaction.atomic
def line_write(
    *,
    part: Part,
    wording: LineWording,
    operation: Operation | None = None,
    version: int | None = None,
    lines_seen: int | None = None,
) -> Operation:
    """As `operation_save`, and raises ValidationError if the line would wait for a job that waits for it."""
    line = operation_save(
        part=part, wording=wording, operation=operation, version=version, lines_seen=lines_seen
    )
    route_card_ring_refuse(part)
    return line

"""Writing parts and route cards where jobs and the rules of the trade come into it.

Nothing may come to wait for itself, and what the trade forbids needs a manager's reason.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction

from builds.models import Person
from builds.services.rings import route_card_ring_refuse
from parts.models import Operation, Part
from parts.services.parts import LineWording, operation_delete, operation_save, part_save
from parts.services.trade import fresh_findings, overrules_settle, read_rulebook, saved_card
from parts.trade.cards import Finding
from parts.trade.check import findings

NO_REASONS: Mapping[str, str] = {}


@dataclass(frozen=True)
class Written:
    """What was saved, and what the rules of the trade warn of since."""

    part: Part
    line: Operation | None = None
    warnings: tuple[Finding, ...] = ()


@transaction.atomic
def part_write(
    *,
    part: Part,
    version: int | None = None,
    reasons: Mapping[str, str] = NO_REASONS,
    by: Person | None = None,
) -> Written:
    """As `part_save`, and raises ValidationError if the part would wait for a job that waits for it.

    Raises RuleBroken if its route card then breaks a rule that `by` gives no reason for.
    """
    if part.pk is None:
        return Written(part_save(part=part, version=version))
    book = read_rulebook()
    before = findings(saved_card(part), book)
    saved = part_save(part=part, version=version)
    route_card_ring_refuse(saved)
    fresh = fresh_findings(saved, before, book)
    overrules_settle(part=saved, fresh=fresh, standing=before, reasons=reasons, by=by)
    return Written(saved, warnings=_warnings(fresh))


@transaction.atomic
def line_write(
    *,
    part: Part,
    wording: LineWording,
    operation: Operation | None = None,
    version: int | None = None,
    lines_seen: int | None = None,
    reasons: Mapping[str, str] = NO_REASONS,
    by: Person | None = None,
) -> Written:
    """As `operation_save`, and raises ValidationError if the line would wait for a job that waits for it.

    Raises RuleBroken if the route card then breaks a rule that it did not break before and that `by` gives
    no reason for; see `overrules_settle` for how reasons are named.
    """
    book = read_rulebook()
    before = findings(saved_card(part), book)
    line = operation_save(
        part=part, wording=wording, operation=operation, version=version, lines_seen=lines_seen
    )
    route_card_ring_refuse(part)
    fresh = fresh_findings(part, before, book)
    new_line = line if operation is None else None
    overrules_settle(part=part, fresh=fresh, standing=before, reasons=reasons, by=by, new_line=new_line)
    return Written(part, line, _warnings(fresh))


@transaction.atomic
def line_strike_out(*, operation: Operation) -> Written:
    """As `operation_delete`. What the card breaks without the line is told, and does not keep it there."""
    part, book = operation.part, read_rulebook()
    before = findings(saved_card(part), book)
    operation_delete(operation=operation)
    return Written(part, warnings=fresh_findings(part, before, book))


def _warnings(fresh: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(finding for finding in fresh if not finding.is_must)

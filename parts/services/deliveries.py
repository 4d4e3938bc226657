"""Several lines taken in at one press: a van at the door, a box opened."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Operation

from .operations import operation_count_in
from .pieces import count_of


@transaction.atomic
def deliveries_take_in(
    *,
    counts: Mapping[Operation, int | None],
    on: date,
    by: Any,
    left_seen: Mapping[int, int] | None = None,
) -> list[Operation]:
    """Record goods in, found right, for all of these lines or for none.

    A line without a count came whole. `left_seen` says by key how many pieces were out when the list was
    shown: a second press would count some of them twice. Raises ValidationError with a sentence for each
    line that cannot have come in, naming it.
    """
    if not counts:
        raise ValidationError("Nothing is on the list: scan a label, or tick what came in.")
    taken, refusals = [], []
    # parts are locked in the order of their numbers, so that two such presses take turns
    for line, count in sorted(counts.items(), key=lambda pair: (pair[0].part_id, pair[0].sequence)):
        try:
            accepted = count_of(line).left if count is None else count
            seen = (left_seen or {}).get(line.pk)
            taken.append(operation_count_in(operation=line, on=on, by=by, accepted=accepted, left_seen=seen))
        except ValidationError as error:
            refusals += [f"{line.part.car}, {line.part}: {message}" for message in error.messages]
    if refusals:
        raise ValidationError([*refusals, "Nothing was taken in."])
    return taken
